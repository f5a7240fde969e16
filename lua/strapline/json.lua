--- JSON text with its fields in the order given. Numbers carry 17 significant digits.
local M = {}

--- What stands for nothing in lists and fields.
M.null = setmetatable({}, { __name = "null" })

--- An object: a list of { key, value }.
function M.object(fields)
  return { object = fields }
end

--- A list of values.
function M.list(values)
  return { list = values }
end

--- A value that may be nil.
function M.maybe(value)
  if value == nil then return M.null end
  return value
end

local escapes = { ['"'] = '\\"', ["\\"] = "\\\\", ["\n"] = "\\n", ["\r"] = "\\r", ["\t"] = "\\t" }

local function quote(text)
  return '"' .. text:gsub('[%c"\\\127]', function(char)
    return escapes[char] or ("\\u%04x"):format(char:byte())
  end) .. '"'
end

local function number(value)
  if value ~= value or value == math.huge or value == -math.huge then return "null" end
  return ("%.17g"):format(value)
end

local encode

local function encode_all(open, shut, count, item, depth)
  if count == 0 then return open .. shut end
  local items = {}
  for i = 1, count do items[i] = item(i) end
  if depth > 1 then return open .. table.concat(items, ", ") .. shut end
  local indent = ("  "):rep(depth + 1)
  return ("%s\n%s%s\n%s%s"):format(open, indent, table.concat(items, ",\n" .. indent),
    ("  "):rep(depth), shut)
end

function encode(value, depth)
  if value == M.null then return "null" end
  if type(value) == "string" then return quote(value) end
  if type(value) == "number" then return number(value) end
  if type(value) == "boolean" then return tostring(value) end
  if value.list then
    return encode_all("[", "]", #value.list, function(i)
      return encode(value.list[i], depth + 1)
    end, depth)
  end
  return encode_all("{", "}", #value.object, function(i)
    local field = value.object[i]
    return quote(field[1]) .. ": " .. encode(field[2], depth + 1)
  end, depth)
end

--- The text of a value on one line.
function M.line(value)
  return encode(value, 2)
end

--- The text of a value, with a line for each entry of the two outer levels.
function M.encode(value)
  return encode(value, 0) .. "\n"
end

return M

--- Reads JSON, strictly, for the tests. Objects are { keys = { names in order }, NAME = value },
--- lists are lists, null is M.null.
local M = { null = {} }

local text, at

local function fail(what)
  error(("%s at byte %d: %q"):format(what, at, text:sub(at, at + 20)), 0)
end

local function skip()
  at = text:find("[^ \n\r\t]", at) or #text + 1
end

local function accept(char)
  skip()
  if text:sub(at, at) ~= char then return false end
  at = at + 1
  return true
end

local function expect(char)
  if not accept(char) then fail("wanted " .. char) end
end

local escapes = { n = "\n", r = "\r", t = "\t", b = "\b", f = "\f", ['"'] = '"', ["\\"] = "\\",
  ["/"] = "/" }

local function read_text()
  local pieces = {}
  expect('"')
  while true do
    local plain, stop = text:match('^([^"\\%c]*)()', at)
    pieces[#pieces + 1] = plain
    at = stop
    local char = text:sub(at, at)
    if char == '"' then
      at = at + 1
      return table.concat(pieces)
    elseif char ~= "\\" then
      fail("bad text")
    end
    local code = text:match("^u(%x%x%x%x)", at + 1)
    local escaped = code and utf8.char(tonumber(code, 16)) or escapes[text:sub(at + 1, at + 1)]
    if not escaped then fail("bad escape") end
    pieces[#pieces + 1] = escaped
    at = at + (code and 6 or 2)
  end
end

local read_value

local function read_list()
  local list = {}
  if accept("]") then return list end
  repeat list[#list + 1] = read_value() until not accept(",")
  expect("]")
  return list
end

local function read_object()
  local object = { keys = {} }
  if accept("}") then return object end
  repeat
    skip()
    local key = read_text()
    expect(":")
    object[key] = read_value()
    table.insert(object.keys, key)
  until not accept(",")
  expect("}")
  return object
end

function read_value()
  if accept("{") then return read_object() end
  if accept("[") then return read_list() end
  if text:sub(at, at) == '"' then return read_text() end
  local word = text:match("^%l+", at)
  if word then
    at = at + #word
    if word == "null" then return M.null end
    if word == "true" or word == "false" then return word == "true" end
    fail("unknown word " .. word)
  end
  local number = text:match("^-?%d+%.?%d*[eE]?[+-]?%d*", at)
  if not number then fail("unknown value") end
  at = at + #number
  return tonumber(number)
end

function M.read(json)
  text, at = json, 1
  local value = read_value()
  skip()
  if at <= #text then fail("more than one value") end
  return value
end

return M

--- What a circuit file may use of Lua: pure functions that give the same result every time and
--- cannot take long in one step, catch an error, or reach outside.
local sorted = require "strapline.sorted"

local M = {}

-- While a file runs the methods of strings are these here, so nothing below uses a method.
local format, find, gsub, rep = string.format, string.find, string.gsub, string.rep

--- tostring without addresses.
local function plain_tostring(value)
  local kind = type(value)
  if kind == "number" or kind == "string" or kind == "boolean" or kind == "nil" then
    return tostring(value)
  end
  return kind
end

--- string.format without addresses.
local function plain_format(pattern, ...)
  if type(pattern) ~= "string" or find(gsub(pattern, "%%%%", ""), "%%[-+ #0-9.]*p") then
    error("format takes a text, without %p", 2)
  end
  local values = table.pack(...)
  for i = 1, values.n do
    if type(values[i]) ~= "number" then values[i] = plain_tostring(values[i]) end
  end
  return format(pattern, table.unpack(values, 1, values.n))
end

local function sorted_pairs(of)
  if type(of) ~= "table" then error("pairs takes a table", 2) end
  return sorted.pairs(of)
end

local LONGEST = 1024 * 1024 -- bytes of a text made by rep

local function short_rep(text, times, between)
  between = between or ""
  if type(text) ~= "string" or math.type(times) ~= "integer" or type(between) ~= "string" then
    error("rep takes a text and a whole number", 2)
  end
  if (#text + #between) * times > LONGEST then error("the text would be too long", 2) end
  return rep(text, times, between)
end

M.METHODS = "text here has the methods byte, char, format, len, lower, rep, reverse, sub, upper"

--- A fresh library of strings. No patterns: matching can take time without end in one step.
local function strings()
  return {
    byte = string.byte, char = string.char, len = string.len, lower = string.lower,
    reverse = string.reverse, sub = string.sub, upper = string.upper,
    format = plain_format, rep = short_rep,
  }
end

local maths = {
  "abs", "ceil", "cos", "exp", "floor", "fmod", "huge", "log", "max", "maxinteger", "min",
  "mininteger", "modf", "pi", "sin", "sqrt", "tan", "tointeger", "type", "ult", "acos", "asin",
  "atan", "deg", "rad",
}
local tables = { "concat", "insert", "pack", "remove", "sort", "unpack" }

local function chosen(from, names)
  local copy = {}
  for _, name in ipairs(names) do copy[name] = from[name] end
  return copy
end

--- A fresh table of everything.
function M.tools()
  return {
    assert = assert, error = error, ipairs = ipairs, pairs = sorted_pairs, select = select,
    tonumber = tonumber, tostring = plain_tostring, type = type,
    math = chosen(math, maths), string = strings(), table = chosen(table, tables),
  }
end

--- Makes the methods of strings those above, for as long as a file runs.
--- @return a function that undoes it
function M.restrict_strings()
  local meta = getmetatable("")
  local whole = meta.__index
  meta.__index = strings()
  return function() meta.__index = whole end
end

return M

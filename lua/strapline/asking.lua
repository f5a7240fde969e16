--- How to ask for what a question lacks: the option of the program and the field in Lua, with an
--- example.
local M = {}

local function quoted(text)
  return text:find "[^%w_.+-]" and "'" .. text .. "'" or text
end

--- "--battery 'aux A', or battery = "aux A" from Lua"
function M.form(field, value)
  return ("--%s %s, or %s = \"%s\" from Lua"):format(field, quoted(value), field, value)
end

return M

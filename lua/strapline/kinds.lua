--- The kinds of part, as the library describes them, each looked up when it is first wanted.
local core = require "strapline".core

local M = {}
local known = {}

--- The description of a kind, or nil. A panel is described like one.
function M.find(name)
  local kind = known[name]
  if kind == nil then
    kind = name == "panel" and require("strapline.panel").kind() or core.kind(name) or false
    known[name] = kind
  end
  return kind or nil
end

--- Names of all kinds, in the order of the reference pages.
function M.names()
  return core.kind_names()
end

--- All descriptions, by number and by name.
function M.all()
  local list = {}
  for index, name in ipairs(core.kind_names()) do
    list[index], list[name] = M.find(name), M.find(name)
  end
  return list
end

--- Names of the entries of a list in a description.
function M.names_of(list)
  local names = {}
  for index, entry in ipairs(list) do names[index] = entry.name end
  return names
end

return M

--- Sets of limits, by name, as the library has them.
local core = require "strapline".core
local nearest = require "strapline.nearest"

local M = {}

--- List of { name, about, limits }, also by name; the first is taken when none is named.
function M.all()
  local sets = core.limit_sets()
  for _, set in ipairs(sets) do sets[set.name] = set end
  return sets
end

--- @return set, or nil, message, "misuse"
function M.find(name)
  local sets = M.all()
  if name == nil then return sets[1] end
  if type(name) == "string" and sets[name] then return sets[name] end
  local names = {}
  for index, set in ipairs(sets) do names[index] = set.name end
  return nil, ("there is no set of limits '%s'%s"):format(tostring(name),
    nearest.hint_or_list(tostring(name), names, "sets")), "misuse"
end

return M

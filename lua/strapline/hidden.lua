--- Fields that a record has for the modules beside its own, and that nobody meets who goes through it.
local M = {}

--- @param inner fields by name
--- @param class methods, or nil
--- @return the record
function M.behind(record, inner, class)
  return setmetatable(record, { __index = function(_, key)
    local value = inner[key]
    if value == nil and class then value = class[key] end
    return value
  end })
end

return M

--- Tables gone through in an order that is the same in every run, as that of `pairs` is not.
local M = {}

local function order(a, b)
  if type(a) == type(b) and (type(a) == "number" or type(a) == "string") then return a < b end
  if type(a) == type(b) then return tostring(a) < tostring(b) end
  return type(a) < type(b)
end

--- The keys: numbers first, then text.
function M.keys(of)
  local keys = {}
  for key in next, of do keys[#keys + 1] = key end
  table.sort(keys, order)
  return keys
end

--- `pairs` in the order of the keys.
function M.pairs(of)
  local keys, at = M.keys(of), 0
  return function()
    at = at + 1
    if keys[at] ~= nil then return keys[at], of[keys[at]] end
  end
end

return M

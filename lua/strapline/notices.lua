--- What a person notices of a part, as text.
local format = require "strapline.format"

local M = {}

--- The value of a notice. Nobody reads a thousandth of a scale, or sees a thousandth of the light:
--- such a part is none.
local function shown(value, quantity)
  if not value then return "" end
  if quantity == "fraction" and math.abs(value) < 0.001 then value = 0 end
  return format.estimate(value, quantity)
end

--- "cranks at 180 rpm": the text of a notice with its value.
function M.text(kind, notice)
  local def = kind.notices[notice.name]
  local value = shown(notice.value, def.quantity)
  return (def.text:gsub("@", function() return value end))
end

--- The texts of a list of notices.
function M.texts(kind, list)
  local texts = {}
  for index, notice in ipairs(list) do texts[index] = M.text(kind, notice) end
  return texts
end

return M

--- What a person notices of a part, as text.
local format = require "strapline.format"

local M = {}

--- "cranks at 180 rpm": the text of a notice with its value.
function M.text(kind, notice)
  local def = kind.notices[notice.name]
  local value = notice.value and format.text(notice.value, def.quantity) or ""
  return (def.text:gsub("@", function() return value end))
end

--- The texts of a list of notices.
function M.texts(kind, list)
  local texts = {}
  for index, notice in ipairs(list) do texts[index] = M.text(kind, notice) end
  return texts
end

return M

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

--- How often something chatters, by the period in s; 0: it has none.
function M.rate(period)
  if period <= 0 then return "without end" end
  if period > 1 then return ("about once in %.2g s"):format(period) end
  local pattern = period < 0.1 and "about %.0f times a second" or "about %.2g times a second"
  return pattern:format(1 / period)
end

--- "chatters: rapid clicking, ...", or how often, of a kind that has no word for it.
function M.chatter(kind, period)
  local heard = kind.notices.clicking and M.text(kind, { name = "clicking" })
  return "chatters: " .. (heard or M.rate(period))
end

-- What a part that gives this notice when it works is like when it gives none. A joint, which is no
-- load, has "heat" too.
local stopped = {
  { "light", "lamp dark", load = true }, { "turns", "does not turn", load = true },
  { "cranks", "does not turn", load = true }, { "heat", "does not heat", load = true },
  { "pulled in", "released", load = false }, { "answers", "does not answer", load = true },
  { "reading", "the pointer does not move", load = false },
}

--- What is noticed of a part that gives no notice: "lamp dark"; of most "nothing".
function M.none(kind)
  for _, entry in ipairs(stopped) do
    if kind.load == entry.load and kind.notices[entry[1]] then return entry[2] end
  end
  return "nothing"
end

local leads_on = { wire = true, connection = true, fuse = true, switch = true }

--- Whether a kind only leads current on: without a notice there is nothing to say of it.
function M.only_leads(kind)
  for _, element in ipairs(kind.elements) do
    if not leads_on[element.use] then return false end
  end
  return true
end

--- The texts of a list of notices.
function M.texts(kind, list)
  local texts = {}
  for index, notice in ipairs(list) do texts[index] = M.text(kind, notice) end
  return texts
end

return M

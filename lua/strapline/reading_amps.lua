--- Amps: a multimeter put in series with one path of a part, burden and fuse and all.
---
--- reading = { ..., part, element, burden (ohm), fuse (A), without = { current }, through =
---             { current, voltage (of the burden), above, blows, fuse_does, with } }; when a relay
---             chatters, both have `other`. above: more than the fuse is rated for; blows: so much
---             more that it surely opens, within 10 minutes; fuse_does: "opens in 0.25 to 600 s".
local article = require "strapline.article"
local fuse_words = require "strapline.fuse_words"
local kinds = require "strapline.kinds"
local question = require "strapline.question"
local reading = require "strapline.reading"

local M = {}

function M.check(circuit, plan)
  local kind, part, element = question.find_part(circuit, plan.asked.amps)
  if not kind then return nil, part, element end
  local ok, message, code = question.check_no_panel(circuit, part)
  if not ok then return nil, message, code end
  local names = kinds.names_of(kind.elements)
  if not element and #names == 1 then element = names[1] end
  if not element then
    return question.misuse("'%s' is %s with several paths; say which: '%s: %s'; paths: %s", part,
      article(kind.name), part, names[1], table.concat(names, ", "))
  end
  ok, message, code = question.check_element(circuit, part, element)
  if not ok then return nil, message, code end
  plan.part, plan.element = part, element
  return true
end

function M.take(_, plan, case, look_with)
  local meter = plan.meter
  local function look()
    return { current = case:element(plan.part, plan.element), with = look_with() }
  end
  local without, through, message, code
  without, message, code = reading.solve(case, look)
  if not without then return nil, "without the ammeter: " .. message, code end
  local ok
  ok, message, code = case:edit(plan.part, "series", plan.element, meter.burden)
  if not ok then return nil, message, code end
  through, message, code = reading.solve(case, function()
    local found = look()
    found.voltage = found.current and found.current * meter.burden
    found.fuse_does, found.blows = fuse_words.does(found.current, meter.fuse)
    found.above = found.fuse_does ~= nil
    return found
  end)
  if not through then return nil, "with the ammeter in: " .. message, code end
  return { part = plan.part, element = plan.element, burden = meter.burden, fuse = meter.fuse,
    without = without, through = through, with = through.with, outcome = through.outcome }
end

function M.value(found, second)
  local through = second and found.through.other or not second and found.through
  return through and through.current
end

return M

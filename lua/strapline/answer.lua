--- Predictions: the answer of the library, with names and texts.
---
--- answer = { circuit, condition, temperature, reference, faults = { TEXT },
---            outcome = "settled" | "timing" | "chatters", period,
---            nodes = { { name, voltage, floating } } and by name,
---            parts = { { name, kind, current, drop, power, state, chatters, elements,
---                        notices = { TEXT } } } and by name,
---            quality = { residual, power_balance, worst, iterations, flips },
---            other = { nodes, parts, quality }: the other end of a chatter }
--- answer:between(red, black) -> volts, or nil where nothing joins the two
--- What is not defined is nil.
local notices = require "strapline.notices"
local question = require "strapline.question"

local M = {}
local Answer = {}
Answer.__index = Answer

local function chatter_text(part, period)
  local rate = "without end"
  if period > 0 then
    local pattern = period < 0.1 and "about %.0f times a second" or "about %.2g times a second"
    rate = pattern:format(1 / period)
  end
  return ("chatters: %s; figures are for the moment it is %s")
    :format(rate, part.state or "at one of its ends")
end

--- Puts texts in the place of notices.
local function describe(found, circuit, period)
  for _, part in ipairs(found.parts) do
    local texts = {}
    if part.chatters then texts[1] = chatter_text(part, period) end
    for _, notice in ipairs(part.notices) do
      texts[#texts + 1] = notices.text(circuit.kinds[part.name], notice)
    end
    part.notices = texts
  end
  return found
end

local function collect(circuit, asked, case, condition)
  local outcome, period = case:outcome()
  local answer = describe(case:answer(), circuit, period)
  answer.circuit, answer.condition = circuit.name, condition.name
  answer.temperature, answer.reference = condition.temperature, circuit.core:reference()
  answer.faults = table.move(asked.faults or {}, 1, #(asked.faults or {}), 1, {})
  answer.outcome, answer.period, answer.case = outcome, period, case
  if outcome == "chatters" then
    case:view(2)
    answer.other = describe(case:answer(), circuit, period)
    case:view(1)
  end
  return setmetatable(answer, Answer)
end

local fields = { condition = true, faults = true }

--- @return answer; or nil, message, code
function M.predict(circuit, asked)
  local case, condition, code = question.open(circuit, asked, fields)
  if not case then return nil, condition, code end
  local ok, message
  ok, message, code = case:solve()
  if not ok then
    case:close()
    return nil, message, code
  end
  return collect(circuit, asked, case, condition)
end

--- What a meter that draws nothing reads between two nodes.
function Answer:between(red, black)
  return self.case:between(red, black)
end

return M

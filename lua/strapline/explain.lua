--- A reading taken apart: the path from a source by the red lead, from lead to lead, and from the
--- black lead back; what is lost in the source and on the way adds up to the reading.
---
--- explanation = { circuit, condition, temperature, faults, red, black, outcome,
---                 ends = { { reading, way, cuts = { red = LIST, black = LIST }, lost, compared,
---                            good_reading, states = { { part, state } } } } }
--- way: as a path of strapline.drops, its steps with side "feed" ahead of the red lead, "load"
--- between the leads, "return" after the black one, and `good_drop`, what the good circuit has
--- between the same places. With faults it is the way the current takes in the good circuit, where
--- there is one. lost: as strapline.shares has it. What is not defined is nil.
local calls = require "strapline.calls"
local question = require "strapline.question"
local shares = require "strapline.shares"
local states = require "strapline.states"

local M = {}

local fields = calls.fields "explain"

local function look(circuit, case, asked, floating, good)
  local found = { reading = case:between(asked.red, asked.black),
    way = case:way(asked.red, asked.black, good), cuts = {}, lost = {},
    states = states.chattering(case) }
  if good and case:outcome() ~= "chatters" then
    found.lost = shares.lost(circuit, case, good, (good:way(asked.red, asked.black)))
  end
  for _, lead in ipairs { "red", "black" } do
    if floating(asked[lead]) then found.cuts[lead] = case:cuts(asked[lead]) end
  end
  return found
end

--- Whether a node has no way to the reference.
local function floats_in(case, circuit)
  local reference = circuit.core:reference()
  return function(node) return case:between(node, reference) == nil end
end

--- A solved case. @return case, condition; or nil, message, code
local function solve(circuit, asked, faults)
  local again = { condition = asked.condition, faults = faults, red = asked.red,
    black = asked.black }
  local case, condition, code = question.open(circuit, again, fields)
  if not case then return nil, condition, code end
  local ok, message
  ok, message, code = case:solve()
  if ok then return case, condition end
  case:close()
  return nil, message, code
end

--- What the good circuit has between the same places.
local function compare(good, asked, ends)
  for _, found in ipairs(ends) do
    found.compared, found.good_reading = true, good:between(asked.red, asked.black)
    for _, step in ipairs(found.way and found.way.steps or {}) do
      step.good_drop = good:between(step.from, step.to)
    end
  end
end

--- @return explanation; or nil, message, code
function M.explain(circuit, asked)
  local ok, message, code = question.check_fields(asked, fields)
  if ok then ok, message, code = question.check_leads(circuit, asked) end
  if not ok then return nil, message, code end
  local faults = table.move(asked.faults or {}, 1, #(asked.faults or {}), 1, {})
  local case, condition
  case, condition, code = solve(circuit, asked, asked.faults)
  if not case then return nil, condition, code end
  local good = #faults > 0 and solve(circuit, asked, nil) or nil
  local floating = floats_in(case, circuit)
  local ends, outcome = { look(circuit, case, asked, floating, good) }, case:outcome()
  if outcome == "chatters" then
    case:view(2)
    ends[2] = look(circuit, case, asked, floating, good)
  end
  case:close()
  if good then
    compare(good, asked, ends)
    good:close()
  end
  return {
    circuit = circuit.name, condition = condition.name, temperature = condition.temperature,
    faults = faults, red = asked.red, black = asked.black, outcome = outcome, ends = ends,
  }
end

return M

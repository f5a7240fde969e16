--- Makes the library's circuit from a plan; what the library refuses is told with file:line.
local core = require "strapline".core

local sorted = require "strapline.sorted"

local M = {}

--- Notes what a call of the library refused.
local function refuse(records, line, ok, message)
  if not ok then records.problems:add(line, message) end
end

--- Sets how far something may be off; without a part, the temperature.
--- @return ok, message
local function set_spread(circuit, condition, part, param, spread)
  if part and not circuit:has_part(part) then return true end -- refused already
  return circuit:set_spread(condition, part, param, spread.down, spread.up, spread.relative)
end

local function build_parts(circuit, records, plan)
  for _, part in ipairs(plan.parts) do
    local record = part.record
    if part.panel then
      refuse(records, record.line, circuit:add_panel(record.name, part.panel, part.values))
    else
      refuse(records, record.line,
        circuit:add(record.kind, record.name, part.nodes, part.values, part.points))
    end
    for param, spread in sorted.pairs(part.spreads or {}) do
      refuse(records, record.line, set_spread(circuit, nil, record.name, param, spread))
    end
  end
end

local function build_head(circuit, records, plan)
  local reference = records.reference and records.reference.value
  if type(reference) == "string" and circuit:has_node(reference) then
    refuse(records, records.reference.line, circuit:set_reference(reference))
  end
  if plan.temperature then
    refuse(records, records.temperature.line, circuit:set_temperature(plan.temperature))
  end
  if plan.warmth then
    refuse(records, records.temperature.line, set_spread(circuit, nil, nil, nil, plan.warmth))
  end
end

--- @param whole every part is there; where some are not, others would be refused for want of them
local function build_condition(circuit, records, condition, whole)
  local line, name = condition.record.line, condition.record.name
  local function take(ok, message)
    refuse(records, line, ok, ('condition "%s": %s'):format(name, message))
  end
  local made, message = circuit:add_condition(name)
  take(made, message)
  if not made then return end
  if condition.after then take(circuit:condition_after(name, condition.after)) end
  if condition.temperature then
    take(circuit:condition_temperature(name, condition.temperature))
  end
  if condition.engine_speed and whole then -- before the edits, which hold against it
    take(circuit:condition_engine_speed(name, condition.engine_speed))
  end
  if condition.warmth then take(set_spread(circuit, name, nil, nil, condition.warmth)) end
  for _, varied in ipairs(condition.spreads) do
    take(set_spread(circuit, name, varied.part, varied.param, varied.spread))
  end
  for _, edit in ipairs(condition.edits) do
    if circuit:has_part(edit.part) then
      take(circuit:edit(name, edit.part, edit.change, edit.what, edit.value))
    end
  end
end

--- @return core circuit; nil when there are faults, which are in records.problems
function M.build(records, plan)
  local circuit = assert(core.circuit())
  build_parts(circuit, records, plan)
  build_head(circuit, records, plan)
  local whole = #records.problems == 0
  for _, condition in ipairs(plan.conditions) do
    build_condition(circuit, records, condition, whole)
  end
  if #records.problems > 0 then
    circuit:close()
    return nil
  end
  return circuit
end

return M

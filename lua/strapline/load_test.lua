--- The load test of a battery at half its cold cranking rating.
---
--- test = { circuit, condition, faults, battery, rating (A), load (A), surface_charge (V, taken off
---          before), rest_voltage, loaded_voltage, least_voltage, temperature,
---          verdict = "passes" | "fails" | "charge first" }
local article = require "strapline.article"
local asking = require "strapline.asking"
local calls = require "strapline.calls"
local nearest = require "strapline.nearest"
local question = require "strapline.question"

local M = {}

local fields = calls.fields "load_test"

local function battery_names(circuit)
  local names = {}
  for _, name in ipairs(circuit.part_names) do
    if circuit.kinds[name].name == "battery" then names[#names + 1] = name end
  end
  return names
end

local function find_battery(circuit, name)
  local names = battery_names(circuit)
  if #names == 0 then return question.misuse("%s has no battery", circuit.file) end
  if name == nil then
    if #names == 1 then return names[1] end
    return question.misuse("there are %d batteries: %s; say which: %s", #names,
      table.concat(names, ", "), asking.form("battery", names[1]))
  end
  for _, known in ipairs(names) do
    if known == name then return name end
  end
  local kind = circuit.kinds[name]
  if kind then return question.misuse("'%s' is %s, not a battery; batteries: %s", name, article(kind.name),
    table.concat(names, ", ")) end
  return question.misuse("%s has no battery '%s'%s", circuit.file, tostring(name),
    nearest.hint_or_list(tostring(name), names, "batteries"))
end

--- @return test; or nil, message, code
function M.load_test(circuit, asked)
  local name, case, condition, test, message, code
  local ok
  ok, message, code = question.check_fields(asked, fields)
  if not ok then return nil, message, code end
  name, message, code = find_battery(circuit, asked.battery)
  if not name then return nil, message, code end
  case, condition, code = question.open(circuit, asked, fields)
  if not case then return nil, condition, code end
  test, message, code = case:load_test(name)
  case:close()
  if not test then return nil, message, code end
  test.circuit, test.condition, test.battery = circuit.name, condition.name, name
  test.faults = table.move(asked.faults or {}, 1, #(asked.faults or {}), 1, {})
  return test
end

return M

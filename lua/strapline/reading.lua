--- Readings: what a technician's instruments show.
---
--- Every reading = { func = "volts" | "ohms" | "amps" | "clamp", circuit, condition, temperature,
---   faults, meter, with = { what each further tool shows }, outcome, ... }; the rest is told in
---   reading_volts.lua, reading_ohms.lua, reading_amps.lua and reading_clamp.lua.
--- Over several conditions it is { func, circuit, faults, meter, rows = { reading, ... }, least,
---   most } with least and most = { value, condition, second_end } of the value that M.value gives,
---   nil where no reading has one.
local attach = require "strapline.attach"
local calls = require "strapline.calls"
local multimeter = require "strapline.multimeter"
local question = require "strapline.question"

local M = {}

--- Every function: the field of the question that asks for it, and how it reads.
local functions = {
  { name = "ohms", field = "ohms" }, { name = "amps", field = "amps" },
  { name = "clamp", field = "clamp" },
}

local common = calls.fields("read", "")

local function function_of(asked)
  local chosen
  for _, entry in ipairs(functions) do
    if asked[entry.field] and chosen then
      return question.misuse("%s and %s are two readings: ask for one", chosen, entry.name)
    end
    if asked[entry.field] then chosen = entry.name end
  end
  return chosen or "volts"
end

local function parse_with(circuit, list)
  if type(list) ~= "table" then return question.misuse("with is a list of texts") end
  local used = {}
  for index, text in ipairs(list) do
    local one, message, code = attach.parse_with(circuit, text)
    if not one then return nil, message, code end
    used[index] = one
  end
  -- A pile is turned up when everything else is on.
  table.sort(used, function(a, b) return not a.tool.takes and b.tool.takes and true or false end)
  return used
end

--- What is asked, checked, with texts made into things.
local function prepare(circuit, asked)
  if type(asked) ~= "table" then return question.misuse("the question is not a table") end
  local name, message, code = function_of(asked)
  if not name then return nil, message, code end
  local func = require("strapline.reading_" .. name)
  local ok
  ok, message, code = question.check_fields(asked, calls.fields("read", name))
  if not ok then return nil, message, code end
  local plan = { name = name, func = func, asked = asked }
  plan.meter, message, code = multimeter.of(asked.meter)
  if not plan.meter then return nil, message, code end
  plan.with, message, code = parse_with(circuit, asked.with or {})
  if not plan.with then return nil, message, code end
  ok, message, code = func.check(circuit, plan)
  if not ok then return nil, message, code end
  return plan
end

--- Solves, and looks; at both ends of a chatter. @return what `look` gives, with `outcome`, and
--- `other` for the second end
function M.solve(case, look)
  local ok, message, code = case:solve()
  if not ok then return nil, message, code end
  local found = look()
  found.outcome = case:outcome()
  if found.outcome == "chatters" then
    case:view(2)
    found.other = look()
    case:view(1)
  end
  return found
end

--- Puts the further tools on a case. @return a function that tells what they show
local function put_tools(case, plan)
  local parts = {}
  for index, used in ipairs(plan.with) do
    local part, message, code = attach.put(case, used, index)
    if not part then return nil, ("the %s: %s"):format(used.tool.name, message), code end
    parts[index] = part
  end
  return function()
    local list = {}
    for index, used in ipairs(plan.with) do list[index] = attach.look(case, used, parts[index]) end
    return list
  end
end

local function take(circuit, plan, case)
  local look, message, code = put_tools(case, plan)
  if not look then return nil, message, code end
  return plan.func.take(circuit, plan, case, look)
end

local function read_one(circuit, plan, name)
  local asked = { condition = name, faults = plan.asked.faults }
  local case, condition, code = question.open(circuit, asked, common)
  if not case then return nil, condition, code end
  local reading, message
  reading, message, code = take(circuit, plan, case)
  case:close()
  if not reading then return nil, message, code end
  reading.func, reading.meter = plan.name, plan.meter
  reading.circuit, reading.condition = circuit.name, condition.name
  reading.temperature = condition.temperature
  reading.faults = table.move(asked.faults or {}, 1, #(asked.faults or {}), 1, {})
  return reading
end

--- The number a reading is about, at its first end or its second; nil where there is none.
function M.value(reading, second)
  return require("strapline.reading_" .. reading.func).value(reading, second)
end

local function find_extremes(result)
  local function consider(reading, second)
    local value = M.value(reading, second)
    if not value then return end
    local entry = { value = value, condition = reading.condition, second_end = second }
    if not result.least or value < result.least.value then result.least = entry end
    if not result.most or value > result.most.value then result.most = entry end
  end
  for _, reading in ipairs(result.rows) do
    consider(reading, false)
    consider(reading, true)
  end
end

local function condition_names(circuit, asked)
  if asked.condition then return question.misuse("give either condition or conditions") end
  if asked.conditions ~= "all" then
    if type(asked.conditions) ~= "table" or #asked.conditions == 0 then
      return question.misuse("conditions is a list of names, or \"all\"")
    end
    return asked.conditions
  end
  local names = {}
  for index, condition in ipairs(circuit.conditions) do names[index] = condition.name end
  return names
end

local function read_all(circuit, plan)
  local names, message, code = condition_names(circuit, plan.asked)
  if not names then return nil, message, code end
  local result = { func = plan.name, circuit = circuit.name, meter = plan.meter, rows = {} }
  for index, name in ipairs(names) do
    local reading
    reading, message, code = read_one(circuit, plan, name)
    if not reading then return nil, message, code end
    result.rows[index] = reading
  end
  result.faults = result.rows[1].faults
  find_extremes(result)
  return result
end

--- @return reading; or nil, message, code
function M.read(circuit, asked)
  local plan, message, code = prepare(circuit, asked)
  if not plan then return nil, message, code end
  if asked.conditions then return read_all(circuit, plan) end
  return read_one(circuit, plan, asked.condition)
end

return M

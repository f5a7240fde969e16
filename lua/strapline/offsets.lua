--- How far grounds stand apart: the ground of every module, sensor, gauge and converter against every
--- other, in every condition.
---
--- offsets = { circuit, faults, conditions = { NAME }, failed = { { condition, message } },
---   grounds = { { node, parts = { NAME } } },
---   most[i][j] = { volts, condition }: the greatest difference of ground i against ground j, i < j }
local calls = require "strapline.calls"
local question = require "strapline.question"

local M = {}

M.LIMIT = 0.1 -- V between two grounds; common practice, no source

local function add(grounds, node, part)
  local ground = grounds[node]
  if not ground then
    ground = { node = node, parts = {} }
    grounds[node] = ground
    grounds[#grounds + 1] = ground
  end
  if part then table.insert(ground.parts, part) end
end

--- Nodes that the terminals named "ground" end on, of parts that judge voltages against them.
local function find_grounds(circuit)
  local grounds = {}
  for _, part in ipairs(circuit.part_names) do
    local ground = circuit.kinds[part].terminals.ground
    if ground and not circuit.kinds[part].elements.coil then
      add(grounds, circuit.core:part_node(part, ground.index), part)
    end
  end
  return grounds
end

local function given_grounds(circuit, nodes)
  local grounds = {}
  for _, node in ipairs(nodes) do
    local ok, message, code = question.check_node(circuit, "ground", node)
    if not ok then return nil, message, code end
    add(grounds, node)
  end
  return grounds
end

--- Difference of two nodes at one end of an answer.
local function between(answer, found, red, black)
  if found == answer then return answer:between(red, black) end
  local high, low = found.nodes[red].voltage, found.nodes[black].voltage
  return high and low and high - low
end

local function keep_most(most, i, j, volts, condition)
  local kept = most[i][j]
  if volts and (not kept or math.abs(volts) > math.abs(kept.volts)) then
    most[i][j] = { volts = volts, condition = condition }
  end
end

local function measure(result, answer, condition)
  for _, found in ipairs { answer, answer.other } do
    for i, red in ipairs(result.grounds) do
      for j = i + 1, #result.grounds do
        keep_most(result.most, i, j, between(answer, found, red.node, result.grounds[j].node),
          condition)
      end
    end
  end
end

local fields = calls.fields "offsets"

--- @param asked { conditions = all when not given, faults, nodes = found when not given }
--- @return offsets; or nil, message, code
function M.offsets(circuit, asked)
  local ok, message, code = question.check_fields(asked, fields)
  if not ok then return nil, message, code end
  local grounds
  if asked.nodes then
    grounds, message, code = given_grounds(circuit, asked.nodes)
  else
    grounds = find_grounds(circuit)
  end
  if not grounds then return nil, message, code end
  local result = { circuit = circuit.name, faults = asked.faults or {}, conditions = {},
    failed = {}, grounds = grounds, most = {} }
  for i = 1, #grounds do result.most[i] = {} end
  for _, condition in ipairs(asked.conditions or circuit.conditions) do
    local name = type(condition) == "table" and condition.name or condition
    local answer
    answer, message, code = require("strapline.answer").predict(circuit,
      { condition = name, faults = asked.faults })
    if not answer and code == "misuse" then return nil, message, code end
    result.conditions[#result.conditions + 1] = name
    if answer then
      measure(result, answer, name)
    else
      table.insert(result.failed, { condition = name, message = message })
    end
  end
  return result
end

--- Pairs of grounds, the furthest apart first: { red, black, volts, condition }, red the higher.
function M.pairs(result)
  local list = {}
  for i, row in ipairs(result.most) do
    for j = i + 1, #result.grounds do
      local cell = row[j]
      if cell then
        local higher, lower = result.grounds[i], result.grounds[j]
        if cell.volts < 0 then higher, lower = lower, higher end
        list[#list + 1] = { red = higher, black = lower, volts = math.abs(cell.volts),
          condition = cell.condition, order = #list }
      end
    end
  end
  table.sort(list, function(a, b)
    if a.volts ~= b.volts then return a.volts > b.volts end
    return a.order < b.order
  end)
  return list
end

return M

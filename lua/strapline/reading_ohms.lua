--- Ohms: the resistance an ohmmeter shows between two nodes, and what it shows with its leads
--- swapped.
---
--- reading = { ..., red, black, alone, resistance, swapped (nil: OL), before (volts between the
---             leads without the ohmmeter; nil: nothing joins them), live, elsewhere = { { element,
---             red, black } }: other paths of a part alone whose leads nobody placed }
local question = require "strapline.question"

local M = {}

--- Paths of a part that do not lie between its first two terminals, and that leads can reach.
local function other_paths(circuit, name, kind)
  local list, number = {}, {}
  for index, terminal in ipairs(kind.terminals) do number[terminal.name] = index end
  local function node_of(terminal)
    local node = number[terminal] and circuit.core:part_node(name, number[terminal])
    return node and circuit.core:reach(node) == "test point" and node or nil
  end
  for _, element in ipairs(kind.elements) do
    local from, to = number[element.from] or 0, number[element.to] or 0
    local red, black = node_of(element.from), node_of(element.to)
    if red and black and math.max(from, to) > 2
      and not circuit.core:lacks(name, "element", element.name) then
      list[#list + 1] = { element = element.name, red = red, black = black }
    end
  end
  return #list > 0 and list or nil
end

--- Where the leads go when only the part is named: on its first two terminals.
local function default_leads(circuit, plan)
  local kind, message, code = question.find_part(circuit, plan.asked.alone)
  if not kind then return nil, message, code end
  local name = plan.asked.alone
  if not circuit.kinds[name] then
    return question.misuse("'%s': a part is taken out whole; put the leads on the nodes of the "
      .. "terminals you want", name)
  elseif kind.is_panel then
    return question.misuse("'%s' is a panel: it cannot be taken out of the vehicle to be measured",
      name)
  end
  plan.elsewhere = not (plan.red or plan.black) and other_paths(circuit, name, kind) or nil
  plan.red = plan.red or circuit.core:part_node(name, 1)
  plan.black = plan.black or circuit.core:part_node(name, 2)
  return true
end

function M.check(circuit, plan)
  local asked = plan.asked
  local ok, message, code
  plan.red, plan.black = asked.red, asked.black
  if asked.alone then
    ok, message, code = default_leads(circuit, plan)
    if not ok then return nil, message, code end
  end
  if #plan.with > 0 then
    return question.misuse("take the %s off before measuring ohms: the ohmmeter would measure it "
      .. "too, or be fed by it", plan.with[1].tool.name)
  end
  return question.check_leads(circuit, plan)
end

function M.take(_, plan, case)
  if plan.asked.alone then
    local ok, message, code = case:alone(plan.asked.alone)
    if not ok then return nil, message, code end
  end
  local found, message, code = case:ohms(plan.red, plan.black, plan.meter)
  if not found then return nil, message, code end
  found.red, found.black, found.alone, found.with = plan.red, plan.black, plan.asked.alone, {}
  found.outcome, found.elsewhere = case:outcome(), plan.elsewhere
  return found
end

function M.value(found, second)
  return not second and found.resistance or nil
end

return M

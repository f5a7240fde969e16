--- One reading: red lead, black lead, the meter alone, and the meter with a tool across the leads.
---
--- reading = { circuit, condition, temperature, faults, red, black, unloaded = { voltage },
---             loaded = { tool, about, voltage, current } }; when a relay chatters, each of the two
---             has `other` with the figures of the other end.
local nearest = require "strapline.nearest"
local question = require "strapline.question"
local tools = require "strapline.tools"

local M = {}

local function find_tool(name)
  if name == nil then return tools[1] end
  local names = {}
  for index, tool in ipairs(tools) do
    if tool.name == name then return tool end
    names[index] = tool.name
  end
  return question.misuse("there is no tool '%s'%s", tostring(name),
    nearest.hint_or_list(tostring(name), names, "tools"))
end

--- Solves, and reads the leads and the current of the tool; at both ends of a chatter.
local function measure(case, red, black, part)
  local ok, message, code = case:solve()
  if not ok then return nil, message, code end
  local function look()
    return { voltage = case:between(red, black), current = part and case:current(part) }
  end
  local found = look()
  found.outcome = case:outcome()
  if found.outcome == "chatters" then
    case:view(2)
    found.other = look()
    case:view(1)
  end
  return found
end

local function measure_both(case, red, black, tool)
  local part, message, code = case:attach("meter", "(meter)", { red = red, black = black }, {})
  if not part then return nil, message, code end
  local unloaded, loaded
  unloaded, message, code = measure(case, red, black)
  if not unloaded then return nil, "with the meter alone: " .. message, code end
  local ends = tool.kind == "test_lamp" and { probe = red, clip = black } or { a = red, b = black }
  part, message, code = case:attach(tool.kind, "(" .. tool.name .. ")", ends, tool.values)
  if not part then return nil, message, code end
  loaded, message, code = measure(case, red, black, part)
  if not loaded then return nil, ("with the %s: %s"):format(tool.name, message), code end
  loaded.tool, loaded.about, loaded.heavy = tool.name, tool.about, tool.heavy
  loaded.fuse = tool.fuse
  return { unloaded = unloaded, loaded = loaded }
end

local function check_leads(circuit, asked)
  local ok, message, code = question.check_node(circuit, "red", asked.red)
  if not ok then return nil, message, code end
  ok, message, code = question.check_node(circuit, "black", asked.black)
  if not ok then return nil, message, code end
  if asked.red == asked.black then
    return question.misuse("both leads are on '%s': any meter reads 0 there", asked.red)
  end
  return true
end

local fields = { condition = true, faults = true, red = true, black = true, tool = true }

--- @return reading; or nil, message, code
function M.read(circuit, asked)
  local ok, tool, case, condition, message, code
  ok, message, code = check_leads(circuit, asked)
  if not ok then return nil, message, code end
  tool, message, code = find_tool(asked.tool)
  if not tool then return nil, message, code end
  case, condition, code = question.open(circuit, asked, fields)
  if not case then return nil, condition, code end
  local reading
  reading, message, code = measure_both(case, asked.red, asked.black, tool)
  case:close()
  if not reading then return nil, message, code end
  reading.circuit, reading.condition = circuit.name, condition.name
  reading.temperature, reading.red, reading.black = condition.temperature, asked.red, asked.black
  reading.faults = table.move(asked.faults or {}, 1, #(asked.faults or {}), 1, {})
  return reading
end

return M

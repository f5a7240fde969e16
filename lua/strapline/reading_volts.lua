--- Volts: red lead, black lead, the meter alone, and the meter with a tool across the leads.
---
--- reading = { ..., red, black, unloaded = { voltage, with }, loaded = { tool, about, voltage,
---             current, shows, with } }; voltage is that at the meter's own input. When a relay
---             chatters, each of the two has `other` with the figures of the other end.
local attach = require "strapline.attach"
local question = require "strapline.question"
local reading = require "strapline.reading"
local tools = require "strapline.tools"

local M = {}

function M.check(circuit, plan)
  local asked = plan.asked
  local ok, message, code = question.check_leads(circuit, asked)
  if not ok then return nil, message, code end
  plan.tool, message, code = attach.parse(asked.tool or tools[1].name)
  if not plan.tool then return nil, message, code end
  plan.tool.red, plan.tool.black = asked.red, asked.black
  return true
end

function M.take(_, plan, case, look_with)
  local red, black, meter = plan.asked.red, plan.asked.black, plan.meter
  local share = meter.input_resistance / (meter.input_resistance + meter.lead_resistance)
  local part, message, code = case:attach("meter", "(meter)", { red = red, black = black },
    { input_resistance = meter.input_resistance, lead_resistance = meter.lead_resistance })
  if not part then return nil, message, code end
  local function look(tool)
    local found = tool and attach.look(case, plan.tool, tool) or {}
    local volts = case:between(red, black)
    found.voltage, found.with = volts and volts * share, look_with()
    return found
  end
  local unloaded, loaded, tool
  unloaded, message, code = reading.solve(case, look)
  if not unloaded then return nil, "with the meter alone: " .. message, code end
  tool, message, code = attach.put(case, plan.tool, 0)
  if tool then
    loaded, message, code = reading.solve(case, function() return look(tool) end)
  end
  if not loaded then return nil, ("with the %s: %s"):format(plan.tool.text, message), code end
  return { red = red, black = black, unloaded = unloaded, loaded = loaded, with = unloaded.with,
    outcome = unloaded.outcome }
end

function M.value(found, second)
  local unloaded = second and found.unloaded.other or not second and found.unloaded
  return unloaded and unloaded.voltage
end

return M

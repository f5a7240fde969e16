--- Predictions and readings as JSON, in fixed shapes.
local json = require "strapline.json"

local M = {}
local maybe = json.maybe

local function nodes(answer)
  local list = {}
  for index, node in ipairs(answer.nodes) do
    list[index] = json.object {
      { "name", node.name }, { "voltage", maybe(node.voltage) }, { "floating", node.floating },
    }
  end
  return json.list(list)
end

local function parts(answer)
  local list = {}
  for index, part in ipairs(answer.parts) do
    list[index] = json.object {
      { "name", part.name }, { "kind", part.kind }, { "current", maybe(part.current) },
      { "drop", maybe(part.drop) }, { "power", maybe(part.power) },
      { "notices", json.list(part.notices) },
    }
  end
  return json.list(list)
end

--- @return the report as one text
function M.predict(_, answer)
  return json.encode(json.object {
    { "circuit", answer.circuit }, { "condition", answer.condition },
    { "reference", answer.reference },
    { "nodes", nodes(answer) }, { "parts", parts(answer) },
    { "quality", json.object {
      { "residual", answer.quality.residual }, { "power_balance", answer.quality.power_balance },
    } },
  })
end

--- @return the report as one text
function M.read(_, reading)
  return json.encode(json.object {
    { "red", reading.red }, { "black", reading.black },
    { "unloaded", json.object { { "voltage", maybe(reading.unloaded.voltage) } } },
    { "loaded", json.object {
      { "tool", reading.loaded.tool }, { "voltage", maybe(reading.loaded.voltage) },
      { "current", maybe(reading.loaded.current) },
    } },
  })
end

return M

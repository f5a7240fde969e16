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

local function head(reading)
  return {
    { "reading", reading.func }, { "circuit", reading.circuit },
    { "condition", reading.condition }, { "faults", json.list(reading.faults) },
  }
end

local function tools(list)
  local items = {}
  for index, tool in ipairs(list) do
    items[index] = json.object {
      { "tool", tool.tool }, { "red", tool.red }, { "black", tool.black },
      { "voltage", maybe(tool.voltage) }, { "current", maybe(tool.current) },
      { "shows", json.list(tool.shows) },
    }
  end
  return json.list(items)
end

--- What `make` gives, with `other` for the second end of a chatter, or null.
local function with_other(found, make)
  local fields = make(found)
  fields[#fields + 1] = { "other", found.other and json.object(make(found.other)) or json.null }
  return json.object(fields)
end

local add_fields = {}

function add_fields.volts(fields, reading)
  local function unloaded(found)
    return { { "voltage", maybe(found.voltage) } }
  end
  local function loaded(found)
    return {
      { "tool", found.tool }, { "voltage", maybe(found.voltage) },
      { "current", maybe(found.current) }, { "shows", json.list(found.shows) },
    }
  end
  table.move({
    { "red", reading.red }, { "black", reading.black },
    { "unloaded", with_other(reading.unloaded, unloaded) },
    { "loaded", with_other(reading.loaded, loaded) },
  }, 1, 4, #fields + 1, fields)
end

function add_fields.ohms(fields, reading)
  table.move({
    { "red", reading.red }, { "black", reading.black }, { "alone", maybe(reading.alone) },
    { "resistance", maybe(reading.resistance) }, { "swapped", maybe(reading.swapped) },
    { "before", maybe(reading.before) }, { "live", reading.live },
  }, 1, 7, #fields + 1, fields)
end

function add_fields.amps(fields, reading)
  local function without(found)
    return { { "current", maybe(found.current) } }
  end
  local function through(found)
    return {
      { "current", maybe(found.current) }, { "voltage", maybe(found.voltage) },
      { "above_fuse", found.above }, { "blows", found.blows },
      { "fuse_does", maybe(found.fuse_does) },
    }
  end
  table.move({
    { "part", reading.part }, { "element", reading.element }, { "burden", reading.burden },
    { "fuse", reading.fuse }, { "without", with_other(reading.without, without) },
    { "through", with_other(reading.through, through) },
  }, 1, 6, #fields + 1, fields)
end

local function clamp(found)
  local leads, places = {}, {}
  for index, lead in ipairs(found.leads) do
    leads[index] = json.object {
      { "part", lead.part }, { "terminal", lead.terminal }, { "reversed", lead.reversed },
      { "current", lead.current },
    }
  end
  for index, place in ipairs(found.places) do
    local others = {}
    for number, other in ipairs(place.others) do
      others[number] = json.object { { "part", other.part }, { "current", other.current } }
    end
    places[index] = json.object {
      { "node", place.node }, { "through", place.through }, { "held", place.held },
      { "others", json.list(others) },
    }
  end
  return {
    { "current", found.current }, { "leads", json.list(leads) }, { "places", json.list(places) },
  }
end

function add_fields.clamp(fields, reading)
  local found = clamp(reading)
  table.move(found, 1, #found, #fields + 1, fields)
  local other = reading.other and json.object(clamp(reading.other))
  fields[#fields + 1] = { "other", maybe(other) }
end

local function one(reading)
  local fields = head(reading)
  add_fields[reading.func](fields, reading)
  fields[#fields + 1] = { "with", tools(reading.with) }
  return json.object(fields)
end

local function extreme(entry)
  return entry and json.object {
    { "value", entry.value }, { "condition", entry.condition }, { "second_end", entry.second_end },
  } or json.null
end

--- @return the report as one text
function M.read(_, reading)
  if not reading.rows then return json.encode(one(reading)) end
  local rows = {}
  for index, row in ipairs(reading.rows) do rows[index] = one(row) end
  return json.encode(json.object {
    { "reading", reading.func }, { "circuit", reading.circuit },
    { "least", extreme(reading.least) }, { "most", extreme(reading.most) },
    { "rows", json.list(rows) },
  })
end

--- @return a load test as one text
function M.load_test(_, test)
  return json.encode(json.object {
    { "circuit", test.circuit }, { "condition", test.condition },
    { "faults", json.list(test.faults) }, { "battery", test.battery }, { "verdict", test.verdict },
    { "temperature", test.temperature }, { "rating", test.rating }, { "load", test.load },
    { "rest_voltage", test.rest_voltage }, { "loaded_voltage", test.loaded_voltage },
    { "least_voltage", test.least_voltage },
  })
end

local function values_of(answer, name)
  local list = {}
  for index, value in ipairs(answer:values(name)) do
    list[index] = json.object {
      { "name", value.name }, { "value", maybe(value.value) }, { "unit", value.unit },
      { "text", value.text }, { "origin", value.origin }, { "standing", value.standing },
    }
  end
  return json.list(list)
end

--- @param names the parts
--- @return the report as one text
function M.values(_, answer, names)
  local list = {}
  for index, name in ipairs(names) do
    list[index] = json.object {
      { "name", name }, { "kind", answer.parts[name].kind }, { "values", values_of(answer, name) },
    }
  end
  return json.encode(json.object {
    { "circuit", answer.circuit }, { "condition", answer.condition }, { "parts", json.list(list) },
  })
end

return M

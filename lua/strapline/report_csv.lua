--- Predictions and readings as comma-separated values: a line of headings, then a line for each
--- node and part. Numbers carry 17 significant digits; what is not defined is empty.
local csv = require "strapline.csv"
local fuse_words = require "strapline.fuse_words"

local M = {}

local predict_headings = {
  "circuit", "condition", "faults", "row", "name", "kind", "voltage", "floating", "current", "drop",
  "power", "notices",
}

--- @return the report as one text
function M.predict(_, answer)
  local rows, faults = {}, table.concat(answer.faults, "; ")
  for _, node in ipairs(answer.nodes) do
    rows[#rows + 1] = { answer.circuit, answer.condition, faults, "node", node.name, nil,
      node.voltage, node.floating }
  end
  for _, part in ipairs(answer.parts) do
    rows[#rows + 1] = { answer.circuit, answer.condition, faults, "part", part.name, part.kind, nil,
      nil, part.current, part.drop, part.power, table.concat(part.notices, "; ") }
  end
  return csv.text(predict_headings, rows)
end

local read_headings = {
  "circuit", "condition", "faults", "red", "black", "tool", "voltage", "current", "resistance",
  "part", "end", "remark",
}

--- Adds rows for each end of what was found; `fields` gives what an end adds to { red, black, tool,
--- part }.
local function add_ends(rows, reading, found, about, fields)
  local faults = table.concat(reading.faults, "; ")
  for number, seen in ipairs { found, found.other } do
    local more = fields(seen)
    rows[#rows + 1] = { reading.circuit, reading.condition, faults, about.red, about.black,
      about.tool, more.voltage, more.current, more.resistance, about.part, number, more.remark }
  end
end

local function tool_fields(tool)
  return { voltage = tool.voltage, current = tool.current,
    remark = tool.shows and #tool.shows > 0 and table.concat(tool.shows, "; ") or nil }
end

local add_rows = {}

function add_rows.volts(rows, reading)
  local leads = { red = reading.red, black = reading.black, tool = "meter alone" }
  add_ends(rows, reading, reading.unloaded, leads, tool_fields)
  leads.tool = reading.loaded.tool
  add_ends(rows, reading, reading.loaded, leads, tool_fields)
end

function add_rows.ohms(rows, reading)
  local remark = reading.live and "live: the reading is false" or nil
  local leads = { red = reading.red, black = reading.black, tool = "ohmmeter",
    part = reading.alone }
  add_ends(rows, reading, reading, leads, function()
    return { resistance = reading.resistance, voltage = reading.before, remark = remark }
  end)
  leads.red, leads.black = leads.black, leads.red
  add_ends(rows, reading, reading, leads, function()
    return { resistance = reading.swapped, voltage = reading.before and 0 - reading.before,
      remark = remark }
  end)
end

function add_rows.amps(rows, reading)
  local part = reading.part .. "." .. reading.element
  add_ends(rows, reading, reading.without, { tool = "no ammeter", part = part }, tool_fields)
  add_ends(rows, reading, reading.through, { tool = "ammeter", part = part }, function(through)
    return { voltage = through.voltage, current = through.current, resistance = reading.burden,
      remark = fuse_words.text(through.current, reading.fuse) }
  end)
end

function add_rows.clamp(rows, reading)
  local names = {}
  for index, lead in ipairs(reading.leads) do
    names[index] = lead.text
    add_ends(rows, reading, { current = lead.current, other = reading.other
      and reading.other.leads[index] }, { tool = "lead", part = lead.part }, tool_fields)
  end
  add_ends(rows, reading, reading, { tool = "clamp", part = table.concat(names, ", ") },
    function(seen) return { current = seen.current } end)
end

--- @return the report as one text
function M.read(_, reading)
  local rows = {}
  for _, one in ipairs(reading.rows or { reading }) do
    add_rows[one.func](rows, one)
    for _, tool in ipairs(one.with) do
      add_ends(rows, one, tool, { red = tool.red, black = tool.black, tool = tool.tool },
        tool_fields)
    end
  end
  return csv.text(read_headings, rows)
end

local test_headings = {
  "circuit", "condition", "faults", "battery", "verdict", "temperature", "rating", "load",
  "rest_voltage", "loaded_voltage", "least_voltage",
}

--- @return a load test as one text
function M.load_test(_, test)
  return csv.text(test_headings, { { test.circuit, test.condition, table.concat(test.faults, "; "),
    test.battery, test.verdict, test.temperature, test.rating, test.load, test.rest_voltage,
    test.loaded_voltage, test.least_voltage } })
end

local values_headings = {
  "circuit", "condition", "faults", "part", "kind", "field", "value", "unit", "text", "origin",
  "standing",
}

--- @param names the parts
--- @return the report as one text
function M.values(_, answer, names)
  local rows, faults = {}, table.concat(answer.faults, "; ")
  for _, name in ipairs(names) do
    for _, value in ipairs(answer:values(name)) do
      rows[#rows + 1] = { answer.circuit, answer.condition, faults, name, answer.parts[name].kind,
        value.name, value.value, value.unit, value.text, value.origin, value.standing }
    end
  end
  return csv.text(values_headings, rows)
end

return M

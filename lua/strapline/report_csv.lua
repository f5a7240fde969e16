--- Predictions and readings as comma-separated values: a line of headings, then a line for each
--- node and part. Numbers carry 17 significant digits; what is not defined is empty.
local M = {}

local function cell(value)
  if value == nil then return "" end
  if math.type(value) then return ("%.17g"):format(value) end
  value = tostring(value)
  if value:find('[",\r\n]') then return '"' .. value:gsub('"', '""') .. '"' end
  return value
end

local function line(values, count)
  local cells = {}
  for i = 1, count do cells[i] = cell(values[i]) end
  return table.concat(cells, ",")
end

--- A line of headings and a line for each row.
function M.text_of(headings, rows)
  local lines = { line(headings, #headings) }
  for index, row in ipairs(rows) do lines[index + 1] = line(row, #headings) end
  return table.concat(lines, "\n") .. "\n"
end

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
  return M.text_of(predict_headings, rows)
end

local read_headings = {
  "circuit", "condition", "faults", "red", "black", "tool", "voltage", "current",
}

--- @return the report as one text
function M.read(_, reading)
  local faults = table.concat(reading.faults, "; ")
  local function row(tool, found)
    return { reading.circuit, reading.condition, faults, reading.red, reading.black, tool,
      found.voltage, found.current }
  end
  return M.text_of(read_headings, {
    row("meter alone", reading.unloaded), row(reading.loaded.tool, reading.loaded),
  })
end

return M

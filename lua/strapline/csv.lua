--- Comma-separated values: a line of headings, then a line for each row. Numbers carry 17 significant
--- digits; what is not defined is empty.
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

--- A line of values, the first `count` of them, without its end.
M.line = line

--- @param headings list of texts
--- @param rows lists of cells: text, number, boolean or nil
function M.text(headings, rows)
  local lines = { line(headings, #headings) }
  for index, row in ipairs(rows) do lines[index + 1] = line(row, #headings) end
  return table.concat(lines, "\n") .. "\n"
end

return M

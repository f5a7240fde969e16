--- Tables of text with aligned columns.
local format = require "strapline.format"

local M = {}

local function width(text)
  return utf8.len(text) or #text
end

local function left(text, room)
  return text .. (" "):rep(room - width(text))
end

local function right(text, room)
  return (" "):rep(room - width(text)) .. text
end

--- A cell for a quantity: number and unit, or what stands in its place.
function M.quantity(value, quantity, instead)
  if not value then return instead or "-" end
  local number, unit = format.split(value, quantity)
  return { number, unit }
end

--- Room that numbers, units, and whole cells of a column need.
local function measure(column, heading, rows)
  local number, unit, whole = 0, 0, width(heading)
  for _, row in ipairs(rows) do
    local cell = row[column] or ""
    if type(cell) == "table" then
      number, unit = math.max(number, width(cell[1])), math.max(unit, width(cell[2]))
    else
      whole = math.max(whole, width(cell))
    end
  end
  local joined = number > 0 and number + 1 + unit or 0
  return { number = number, unit = unit, whole = math.max(whole, joined), numbers = number > 0 }
end

local function draw(cell, room)
  cell = cell or ""
  if type(cell) == "table" then
    return right(right(cell[1], room.number) .. " " .. left(cell[2], room.unit), room.whole)
  end
  return (room.numbers and right or left)(cell, room.whole)
end

--- Lines of a table, each with two spaces before it.
--- @param headings list of texts
--- @param rows lists of cells: text, or what M.quantity gives
function M.lines(headings, rows)
  local rooms, lines = {}, {}
  for column, heading in ipairs(headings) do rooms[column] = measure(column, heading, rows) end
  local function add(row)
    local cells = {}
    for column in ipairs(headings) do cells[column] = draw(row[column], rooms[column]) end
    lines[#lines + 1] = ("  " .. table.concat(cells, "  ")):gsub("%s+$", "")
  end
  add(headings)
  for _, row in ipairs(rows) do add(row) end
  return lines
end

return M

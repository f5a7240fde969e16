--- Tables of text with aligned columns. What is wider than a page is folded: the cells of words, the
--- widest first, go on in further lines.
local format = require "strapline.format"

local M = {}

local WIDEST = 100 -- of a whole line
local GAP = "  "

local function width(text)
  return utf8.len(text) or #text
end

local function left(text, room)
  local short = room - width(text)
  return short > 0 and text .. (" "):rep(short) or text
end

local function right(text, room)
  local short = room - width(text)
  return short > 0 and (" "):rep(short) .. text or text
end

--- Without spaces at its end; a pattern would look at every run of them.
local function trimmed(text)
  local last = #text
  while text:byte(last) == 32 do last = last - 1 end
  return text:sub(1, last)
end

--- A cell for a quantity: number and unit, or what stands in its place.
function M.quantity(value, quantity, instead)
  if not value then return instead or "-" end
  local number, unit = format.split(value, quantity)
  return { number, unit }
end

--- Where a text may go on in the next line: after words, after the dot of "PART.TERMINAL", and after
--- a low line.
--- @return iterator of pieces, each with what stands before it in its line
local function pieces(text)
  local glue = ""
  return coroutine.wrap(function()
    for word in text:gmatch "%S+" do
      for piece in (word:gsub("(%a[._])(%a)", "%1\0%2")):gmatch "[^%z]+" do
        coroutine.yield(piece, glue)
        glue = ""
      end
      glue = " "
    end
  end)
end

--- The lines of a text, which a line feed parts, and those too long for the room. What goes on stands
--- two further in than its first line.
local function fold(text, room)
  local list = {}
  for line in (text .. "\n"):gmatch "(.-)\n" do
    local indent = line:match "^ *"
    local current = indent
    for piece, glue in pieces(line) do
      if width(current) > #indent and width(current) + #glue + width(piece) > room then
        list[#list + 1] = current
        current = indent .. "  " .. piece
      else
        current = current .. glue .. piece
      end
    end
    list[#list + 1] = current
  end
  return list
end

--- Folded text when it does not fit as it is, which may have several spaces in a row.
local function cell_lines(text, room)
  if not text:find("\n", 1, true) and width(text) <= room then return { text } end
  return fold(text, room)
end

--- The least room a text needs: that of its longest piece, where it goes on.
local function least_room(text)
  local indent = #text:match "^ *"
  local most, further = 0, 0
  for piece in pieces(text) do
    most, further = math.max(most, width(piece) + further), 2
  end
  return most + indent
end

--- That of the widest line of a cell.
local function widest_line(cell)
  if not cell:find("\n", 1, true) then return width(cell) end
  local most = 0
  for line in cell:gmatch "[^\n]+" do most = math.max(most, width(line)) end
  return most
end

--- Room that numbers, units, and whole cells of a column need.
local function measure(column, heading, rows)
  local number, unit, cells = 0, 0, 0
  for _, row in ipairs(rows) do
    local cell = row[column]
    if type(cell) == "table" then
      number, unit = math.max(number, width(cell[1])), math.max(unit, width(cell[2]))
    elseif cell then
      cells = math.max(cells, widest_line(cell))
    end
  end
  cells = math.max(cells, number > 0 and number + 1 + unit or 0)
  return { number = number, unit = unit, whole = math.max(width(heading), cells), cells = cells,
    numbers = number > 0 }
end

--- The least room that a column can do with.
local function measure_least(room, column, heading, rows)
  local least = math.max(least_room(heading), room.numbers and room.number + 1 + room.unit or 0)
  for _, row in ipairs(rows) do
    local cell = row[column] or ""
    if type(cell) == "string" then least = math.max(least, least_room(cell)) end
  end
  return least
end

--- The column to take room from: one that only its heading needs, then the widest of words that can
--- do with less; the last of those that are alike.
local function widest(rooms)
  local found
  for _, room in ipairs(rooms) do
    local may = room.whole > room.least
    local heading = room.whole > room.cells
    if may and (not found or heading and not found.heading
      or heading == found.heading and room.whole >= found.room.whole) then
      found = { room = room, heading = heading }
    end
  end
  return found and found.room
end

--- Takes room from columns until a line fits.
local function narrow(rooms, headings, rows)
  local total = 0
  for _, room in ipairs(rooms) do total = total + #GAP + room.whole end
  if total <= WIDEST then return end
  for column, room in ipairs(rooms) do
    room.least = measure_least(room, column, headings[column], rows)
  end
  for _ = WIDEST + 1, total do
    local room = widest(rooms)
    if not room then return end
    room.whole = room.whole - 1
  end
end

--- A cell as lines.
local function draw(cell, room)
  if type(cell) == "table" then
    return { right(right(cell[1], room.number) .. " " .. left(cell[2], room.unit), room.whole) }
  end
  local list = cell_lines(cell or "", room.whole)
  for index, text in ipairs(list) do
    list[index] = (room.numbers and right or left)(text, room.whole)
  end
  return list
end

--- Lines of a table, each with two spaces before it.
--- @param headings list of texts
--- @param rows lists of cells: text, of one line or several, or what M.quantity gives
function M.lines(headings, rows)
  local rooms, lines = {}, {}
  for column, heading in ipairs(headings) do rooms[column] = measure(column, heading, rows) end
  narrow(rooms, headings, rows)
  local function add(row)
    local cells, most = {}, 1
    for column in ipairs(headings) do
      cells[column] = draw(row[column], rooms[column])
      most = math.max(most, #cells[column])
    end
    for at = 1, most do
      local texts = {}
      for column, room in ipairs(rooms) do
        texts[column] = cells[column][at] or (" "):rep(room.whole)
      end
      lines[#lines + 1] = trimmed(GAP .. table.concat(texts, GAP))
    end
  end
  add(headings)
  for _, row in ipairs(rows) do add(row) end
  return lines
end

return M

--- A good and a faulted prediction side by side, as text.
local cautions = require "strapline.cautions"
local columns = require "strapline.columns"
local format = require "strapline.format"
local lines = require "strapline.lines"
local notice_words = require "strapline.notices"
local report_text = require "strapline.report_text"

local M = {}

local append = lines.add_group

--- The answers in columns of their own: good, faulted, and of a chatter its other end too.
local function sides(good, faulted)
  local list = { { heading = "good", found = good } }
  if faulted.other then
    list[2] = { heading = "faulted, first end", found = faulted }
    list[3] = { heading = "second end", found = faulted.other }
  else
    list[2] = { heading = "faulted", found = faulted }
  end
  return list
end

local NOTHING = 1e-6 -- of a current: less is none, and flows no way

--- The change from `before` to `after`. Of sizes: below 0 is less, whichever way it flows.
local function change_cell(before, after, quantity, by_size)
  if not before or not after then return "" end -- from or to what is not defined: no number
  if not by_size then return columns.quantity(after - before, quantity) end
  local less, more = math.abs(before), math.abs(after)
  if less > more then less, more = more, less end
  if before * after < 0 and less > NOTHING * more then return "reversed" end
  return columns.quantity(math.abs(after) - math.abs(before), quantity)
end

--- A table of one quantity: a row for each of `rows`, a column for each side and, where there are
--- two, one for the change, or for that of the size.
local function side_table(title, headings, rows, columns_of, quantity, instead, by_size)
  local change = #columns_of == 2
  for _, side in ipairs(columns_of) do headings[#headings + 1] = side.heading end
  if change then headings[#headings + 1] = by_size and "change of size" or "change" end
  for _, row in ipairs(rows) do
    local values = row.values
    for side = 1, #columns_of do
      row[#row + 1] = columns.quantity(values[side], quantity, instead)
    end
    if change then row[#row + 1] = change_cell(values[1], values[2], quantity, by_size) end
  end
  local group = { title }
  lines.add(group, columns.lines(headings, rows))
  return group
end

local function nodes_table(circuit, good, all)
  local rows = {}
  for index, node in ipairs(good.nodes) do
    if not report_text.is_inner(circuit, node) then
      local values = {}
      for side, of in ipairs(all) do values[side] = of.found.nodes[index].voltage end
      rows[#rows + 1] = { node.name, values = values }
    end
  end
  return side_table(('Nodes: red lead on the node, black lead on "%s"'):format(good.reference),
    { "node" }, rows, all, "voltage", "floating")
end

local function parts_table(good, all, title, field, quantity, instead)
  local rows = {}
  for index, part in ipairs(good.parts) do
    local values = {}
    for side, of in ipairs(all) do values[side] = of.found.parts[index][field] end
    rows[index] = { part.name, part.kind, values = values }
  end
  return side_table(title, { "part", "kind" }, rows, all, quantity, instead, field ~= "drop")
end

local NO_CURRENT = 1e-9 -- A

--- "gives 85.00 A at 11.40 V", "takes 3.000 A at 14.20 V", "gives nothing at 12.60 V".
local function exchange(part)
  if not part.current or not part.drop then return "not defined" end
  if math.abs(part.current) < NO_CURRENT then
    return ("gives nothing at %s"):format(format.text(part.drop, "voltage"))
  end
  return ("%s %s at %s"):format(part.power < 0 and "gives" or "takes",
    format.text(math.abs(part.current), "current"), format.text(part.drop, "voltage"))
end

local GIVES_W = 1e-3 -- less is a leak, not a source

--- What is said of the good circuit and, in one cell, of the faulted: of a chatter the two ends in
--- lines of their own, where they differ.
local function two_cells(texts)
  local cell = texts[2]
  if texts[3] and texts[3] ~= cell then
    cell = ("first end: %s\nsecond end: %s"):format(cell, texts[3])
  end
  return texts[1], cell
end

--- Of what gives power on one side at least, how much on each: a lesser current out of a battery is
--- a greater number below 0, and easily read the wrong way.
local function sources_table(good, all)
  local rows = {}
  for index, part in ipairs(good.parts) do
    local texts, gives = {}, false
    for side, of in ipairs(all) do
      local there = of.found.parts[index]
      texts[side] = exchange(there)
      gives = gives or (there.power or 0) < -GIVES_W
    end
    if gives then rows[#rows + 1] = { part.name, two_cells(texts) } end
  end
  if #rows == 0 then return { "Nothing gives current" } end
  local group = { "What gives current" }
  lines.add(group, columns.lines({ "part", "good", "faulted" }, rows))
  return group
end

--- What a person notices that is not the same on every side: also what is gone, but of what only
--- leads current on.
local function notices_table(circuit, good, all)
  local rows, same = {}, {}
  for index, part in ipairs(good.parts) do
    local texts, differs, ever = {}, false, false
    for side, of in ipairs(all) do
      texts[side] = table.concat(of.found.parts[index].notices, "; ")
      ever = ever or side > 1 and texts[side] ~= ""
    end
    local kind = circuit.kinds[part.name]
    local none = notice_words.none(kind)
    for _, text in ipairs(texts) do
      differs = differs or (text == "" and none or text) ~= (texts[1] == "" and none or texts[1])
    end
    if differs and (ever or not notice_words.only_leads(kind)) then
      for side, text in ipairs(texts) do texts[side] = text == "" and none or text end
      rows[#rows + 1] = { part.name, two_cells(texts) }
    elseif not differs and texts[1] ~= "" then
      same[#same + 1] = part.name .. ": " .. texts[1]
    end
  end
  local group = { "What a person notices" }
  if #rows == 0 then
    group[2] = "  no difference"
  else
    lines.add(group, columns.lines({ "part", "good", "faulted" }, rows))
  end
  if #same > 0 then
    lines.add(group, lines.wrap("as before: " .. table.concat(same, "; "), "  ", "    "))
  end
  return group
end

local function append_remarks(report, which, answer)
  local remark = report_text.outcome(answer)
  if remark then append(report, lines.wrap(which .. ": " .. remark, "")) end
  if answer.other then
    append(report, { which .. ": no steady state, something chatters between two ends" })
  end
end

--- @return the report as one text
function M.predict(circuit, good, faulted)
  local report = {}
  append(report, report_text.heading(circuit, faulted))
  append_remarks(report, "Good", good)
  append_remarks(report, "Faulted", faulted)
  local all = sides(good, faulted)
  append(report, notices_table(circuit, good, all))
  append(report, sources_table(good, all))
  append(report, nodes_table(circuit, good, all))
  append(report, parts_table(good, all, "Currents into the first terminal", "current", "current",
    "not defined"))
  append(report, parts_table(good, all, "Drops: red on the first terminal, black on the second",
    "drop", "voltage", "floating"))
  append(report, parts_table(good, all, "Powers taken, below 0 given", "power", "power",
    "not defined"))
  append(report, cautions.lines(circuit, faulted, "predict"))
  return lines.join(report)
end

return M

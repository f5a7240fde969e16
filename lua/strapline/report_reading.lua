--- One reading as text, with the digits an instrument shows.
local cautions = require "strapline.cautions"
local columns = require "strapline.columns"
local format = require "strapline.format"
local fuse_words = require "strapline.fuse_words"
local lines = require "strapline.lines"
local report_text = require "strapline.report_text"

local M = {}

local parts = {
  volts = "strapline.report_volts", ohms = "strapline.report_ohms",
  amps = "strapline.report_amps", clamp = "strapline.report_clamp",
}

--- A cell of what a display shows; `instead` where there is nothing to show.
function M.cell(shown, value, meter, instead)
  if value == nil then return instead or "-" end
  return { shown(value, meter) }
end

local function shows_text(tool, more)
  local says = table.move(tool.shows, 1, #tool.shows, 1, {})
  says[#says + 1] = more
  return #says > 0 and ("%s: %s"):format(tool.tool, table.concat(says, "; ")) or nil
end

--- What a tool shows, at both ends of a chatter where it is not the same, as lines.
function M.shows(tool, indent, more)
  local first, second = shows_text(tool, more), tool.other and shows_text(tool.other)
  local group = first and lines.wrap(first, indent) or {}
  if second and second ~= first then
    lines.add(group, lines.wrap("at the other end of the chatter: " .. second, indent))
  end
  return group
end

--- What the further tools show.
function M.tools(list)
  local rows, says = {}, {}
  for _, tool in ipairs(list) do
    lines.add(says, M.shows(tool, "  ", tool.fuse and fuse_words.remark(tool.current, tool.fuse)))
    rows[#rows + 1] = { tool.tool, tool.red, tool.black,
      columns.quantity(tool.current, "current", "not defined") }
  end
  if #rows == 0 then return nil end
  local group = columns.lines({ "also connected", "red", "black", "current" }, rows)
  lines.add(group, says)
  return group
end

local function add_group(report, group)
  if group and #group > 0 then lines.add_group(report, group) end
end

local function one(circuit, reading)
  local part = require(parts[reading.func])
  local report = report_text.heading(circuit, reading)
  lines.add(report, part.heading(reading))
  for _, remark in ipairs(part.outcomes(reading)) do
    add_group(report, lines.wrap(remark, ""))
  end
  add_group(report, part.body(reading))
  add_group(report, M.tools(reading.with))
  for _, remark in ipairs(part.remarks(reading)) do
    add_group(report, lines.wrap(remark, ""))
  end
  return report
end

local FLEETING = "What chatters stays at each end for milliseconds: a meter on min/max catches only "
  .. "what lasts as long as it samples, 0.1 s on many."

local function extreme(part, result, name)
  local entry = result[name]
  if not entry then return { name, "none", "" } end
  return { name, part.shown(entry.value, result.meter),
    entry.condition .. (entry.second_end and ", the second end of a chatter" or "") }
end

--- A line for each condition, and the least and the most of them, as a meter on min/max keeps them.
local function many(circuit, result)
  local part = require(parts[result.func])
  local first = result.rows[1]
  local report = { ("%s: %d condition%s"):format(result.circuit, #result.rows,
    #result.rows == 1 and "" or "s") }
  lines.add(report, report_text.fault_lines(circuit, result))
  lines.add(report, part.heading(first))
  local rows, chatters = {}, false
  for _, reading in ipairs(result.rows) do
    local row = part.row(reading, false)
    table.insert(row, 1, format.text(reading.temperature, "temperature"))
    table.insert(row, 1, reading.condition)
    rows[#rows + 1] = row
    local second = part.row(reading, true)
    if second then
      chatters = true
      table.insert(second, 1, "")
      table.insert(second, 1, "  the second end of a chatter")
      rows[#rows + 1] = second
    end
  end
  local headings = table.move(part.row_headings, 1, #part.row_headings, 3, { "condition", "at" })
  add_group(report, columns.lines(headings, rows))
  add_group(report, columns.lines({ part.extreme_of, "", "in" }, {
    extreme(part, result, "least"), extreme(part, result, "most"),
  }))
  if chatters then add_group(report, lines.wrap(FLEETING, "")) end
  return report
end

local function conditions_of(reading)
  local names = {}
  for index, row in ipairs(reading.rows or { reading }) do names[index] = row.condition end
  return names
end

--- @return the report as one text
function M.read(circuit, reading)
  local report = reading.rows and many(circuit, reading) or one(circuit, reading)
  lines.add_group(report, cautions.lines(circuit, reading, "read", conditions_of(reading)))
  return lines.join(report)
end

return M

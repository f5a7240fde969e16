--- One reading as text.
local cautions = require "strapline.cautions"
local columns = require "strapline.columns"
local format = require "strapline.format"
local lines = require "strapline.lines"
local report_text = require "strapline.report_text"

local M = {}

local function row(label, found)
  return { label, columns.quantity(found.voltage, "voltage", "floating"),
    found.current and columns.quantity(found.current, "current") or "" }
end

--- What the fall under load says of the path behind the leads.
local function meaning(reading)
  local unloaded, loaded = reading.unloaded, reading.loaded
  local fall = unloaded.voltage and loaded.voltage and math.abs(unloaded.voltage - loaded.voltage)
  if not fall or math.abs(loaded.current or 0) < 1e-9 then
    return "no current through the tool: nothing behind the leads can feed it"
  end
  if loaded.fuse and math.abs(loaded.current) > loaded.fuse then
    return ("its fuse of %g A blows: this is the current before it does")
      :format(loaded.fuse)
  end
  return ("falls by %s at %s: the path behind the leads looks like %s"):format(
    format.text(fall, "voltage"), format.text(math.abs(loaded.current), "current"),
    format.text(fall / math.abs(loaded.current), "resistance"))
end

local function add_other(rows, found, label)
  rows[#rows + 1] = row(label, found)
  if found.other then rows[#rows + 1] = row("  the other end of a chatter", found.other) end
end

local function readings_table(reading)
  local rows = {}
  add_other(rows, reading.unloaded, "meter alone, 10 Mohm")
  add_other(rows, reading.loaded, ("with the %s across the leads"):format(reading.loaded.tool))
  local group = columns.lines({ "", "voltage", "tool current" }, rows)
  group[#group + 1] = "  " .. meaning(reading)
  group[#group + 1] = ("  %s: %s"):format(reading.loaded.tool, reading.loaded.about)
  return group
end

--- @return the report as one text
function M.read(circuit, reading)
  local report = report_text.heading(circuit, reading)
  report[#report + 1] = ('red lead on "%s", black lead on "%s"'):format(reading.red, reading.black)
  for _, found in ipairs { reading.unloaded, reading.loaded } do
    local remark = report_text.outcome(found)
    if remark then lines.add_group(report, lines.wrap(remark, "")) end
  end
  lines.add_group(report, readings_table(reading))
  lines.add_group(report, cautions.lines(circuit, reading, "read"))
  return lines.join(report)
end

return M

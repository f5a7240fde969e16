--- A reading of volts as text.
local columns = require "strapline.columns"
local display = require "strapline.display"
local format = require "strapline.format"
local fuse_words = require "strapline.fuse_words"
local lines = require "strapline.lines"
local multimeter = require "strapline.multimeter"
local report_reading = require "strapline.report_reading"
local report_text = require "strapline.report_text"

local M = { row_headings = { "meter alone", "with the tool", "tool current" },
  extreme_of = "meter alone" }

function M.heading(reading)
  return { ('red lead on "%s", black lead on "%s"'):format(reading.red, reading.black) }
end

function M.outcomes(reading)
  local list = {}
  for _, found in ipairs { reading.unloaded, reading.loaded } do
    list[#list + 1] = report_text.outcome(found)
  end
  return list
end

function M.shown(value, meter)
  return display.join(display.voltage(value, meter))
end

local function cells(found, meter)
  return report_reading.cell(display.voltage, found.voltage, meter, "floating"),
    found.current and columns.quantity(found.current, "current") or ""
end

local COARSE = 0.05 -- of a fall: a step of the display that is worth a word

--- The fall in the digits of the display, and what it says of the path behind the leads: what somebody
--- works out who reads them, and between what the last digit leaves it.
local function fall_text(fall, amperes, step)
  local current = format.text(amperes, "current")
  if fall < step then
    return ("does not fall by as much as this meter shows, %s, at %s: the path behind the leads "
      .. "has less than %s"):format(format.limit(step, "voltage", "V"), current,
      format.rough(step / amperes, "resistance"))
  end
  local shown = ("%.0f"):format(fall / step) * step
  local coarse = step > COARSE * shown and (", %s to %s by the last digit"):format(
    format.rough((shown - step) / amperes, "resistance"),
    format.rough((shown + step) / amperes, "resistance")) or ""
  return ("falls by %s at %s: the path behind the leads looks like %s%s"):format(
    format.rough(shown, "voltage"), current, format.rough(shown / amperes, "resistance"), coarse)
end

local function meaning(reading)
  local unloaded, loaded = reading.unloaded, reading.loaded
  local fall = unloaded.voltage and loaded.voltage and math.abs(unloaded.voltage - loaded.voltage)
  if not fall or math.abs(loaded.current or 0) < 1e-9 then
    return "no current through the tool: nothing behind the leads can feed it"
  end
  local fuse = loaded.fuse and fuse_words.remark(loaded.current, loaded.fuse)
  if fuse then return fuse end
  return fall_text(fall, math.abs(loaded.current),
    display.voltage_step(unloaded.voltage, reading.meter))
end

function M.body(reading)
  local rows, meter = {}, reading.meter
  local function add(label, found)
    rows[#rows + 1] = { label, cells(found, meter) }
    if found.other then
      rows[#rows + 1] = { "  the other end of a chatter", cells(found.other, meter) }
    end
  end
  add(("meter alone, %s"):format(multimeter.input(meter)), reading.unloaded)
  add(("with the %s across the leads"):format(reading.loaded.tool), reading.loaded)
  local group = columns.lines({ "", "voltage", "tool current" }, rows)
  lines.add(group, report_reading.shows(reading.loaded, "  "))
  lines.add(group, lines.wrap(meaning(reading), "  "))
  lines.add(group, lines.wrap(("%s: %s"):format(reading.loaded.tool, reading.loaded.about), "  "))
  return group
end

function M.remarks()
  return {}
end

function M.row(reading, second)
  local unloaded, loaded = reading.unloaded, reading.loaded
  if second then unloaded, loaded = unloaded.other, loaded.other end
  if not unloaded and not loaded then return nil end
  local meter = reading.meter
  local row = { "", "", "" }
  if unloaded then row[1] = cells(unloaded, meter) end
  if loaded then row[2], row[3] = cells(loaded, meter) end
  return row
end

return M

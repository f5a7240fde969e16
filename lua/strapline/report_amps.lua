--- A reading of an ammeter in series as text.
local columns = require "strapline.columns"
local display = require "strapline.display"
local format = require "strapline.format"
local fuse_words = require "strapline.fuse_words"
local report_reading = require "strapline.report_reading"
local report_text = require "strapline.report_text"

local M = { row_headings = { "ammeter", "without it", "" }, extreme_of = "ammeter" }

local MATTERS = 0.01 -- a change of the current by the meter itself worth a remark

function M.heading(reading)
  local where = reading.part
  if reading.element ~= reading.part then where = where .. ", " .. reading.element end
  return { ("ammeter in series with %s: burden %s, fuse %g A"):format(where,
    format.limit(reading.burden, "resistance", "ohm"), reading.fuse) }
end

function M.outcomes(reading)
  return { report_text.outcome(reading.without), report_text.outcome(reading.through) }
end

function M.shown(value, meter)
  return display.join(display.current(value, meter))
end

local function fuse_text(found, reading)
  return fuse_words.text(found.current, reading.fuse) or ""
end

local function add(rows, label, found, reading, through)
  local row = { label, columns.quantity(found.current, "current", "not defined") }
  if through then
    row[2] = report_reading.cell(display.current, found.current, reading.meter, "not defined")
    row[3] = report_reading.cell(display.voltage, found.voltage, reading.meter, "")
    row[4] = fuse_text(found, reading)
  end
  rows[#rows + 1] = row
end

function M.body(reading)
  local rows = {}
  add(rows, "without the ammeter", reading.without, reading)
  if reading.without.other then
    add(rows, "  the other end of a chatter", reading.without.other, reading)
  end
  add(rows, "ammeter in", reading.through, reading, true)
  if reading.through.other then
    add(rows, "  the other end of a chatter", reading.through.other, reading, true)
  end
  return columns.lines({ "", "current", "burden voltage", "" }, rows)
end

--- The end of a chatter, or the only one, that the fuse takes worse.
local function hardest(reading)
  local first, other = reading.through, reading.through.other
  local harder = other and math.abs(other.current or 0) > math.abs(first.current or 0)
  return harder and other or first
end

function M.remarks(reading)
  local list = {}
  local without, through = reading.without.current, reading.through.current
  local hard = hardest(reading)
  if hard.blows then
    list[1] = ("The meter's fuse of %g A %s at %s: the display then says 0, and the circuit is "
      .. "open there. Use a clamp."):format(reading.fuse, hard.fuse_does,
      format.text(math.abs(hard.current), "current"))
  elseif hard.above then
    list[1] = ("%s is more than the meter's fuse is rated for, %g A: it %s. Once it has opened the "
      .. "display says 0. Use a clamp."):format(format.text(math.abs(hard.current), "current"),
      reading.fuse, hard.fuse_does)
  elseif without and through and math.abs(without - through) > MATTERS * math.abs(without) then
    list[1] = ("The meter changes what it measures: its burden takes %s of the current away.")
      :format(format.text(1 - through / without, "fraction"))
  elseif through == 0 or through and math.abs(through) < 1e-6 then
    list[1] = "No current flows there in this condition."
  end
  return list
end

function M.row(reading, second)
  local without, through = reading.without, reading.through
  if second then without, through = without.other, through.other end
  if not without and not through then return nil end
  local row = { "", "", "" }
  if through then
    row[1] = report_reading.cell(display.current, through.current, reading.meter, "not defined")
    row[3] = fuse_text(through, reading)
  end
  if without then row[2] = columns.quantity(without.current, "current", "not defined") end
  return row
end

return M

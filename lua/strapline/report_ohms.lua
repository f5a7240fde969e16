--- A reading of ohms as text.
local columns = require "strapline.columns"
local display = require "strapline.display"
local format = require "strapline.format"
local report_text = require "strapline.report_text"

local M = { row_headings = { "ohmmeter", "leads swapped", "" }, extreme_of = "ohmmeter" }

local LOW_OHM = 10 -- a wire, not a load
local AGREE = 0.01 -- leads as asked and swapped, of a path that is the same both ways

function M.heading(reading)
  local where = ('ohmmeter: red lead on "%s", black lead on "%s"')
    :format(reading.red, reading.black)
  if not reading.alone then return { where } end
  return { where, ('"%s" alone: everything else is taken off it'):format(reading.alone) }
end

function M.outcomes(reading)
  return { report_text.outcome(reading) }
end

function M.shown(value, meter)
  return display.join(display.resistance(value, meter))
end

local function cell(value, meter)
  return { display.resistance(value, meter) }
end

function M.body(reading)
  return columns.lines({ "", "ohmmeter" }, {
    { "leads as asked", cell(reading.resistance, reading.meter) },
    { "leads swapped", cell(reading.swapped, reading.meter) },
  })
end

local function one_way(reading)
  local forward, back = reading.resistance, reading.swapped
  if not forward or not back then return forward ~= back end
  return math.abs(forward - back) > AGREE * math.max(math.abs(forward), math.abs(back)) + 0.1
end

local function open_path(reading)
  return not reading.resistance and not reading.swapped
end

--- Where the other paths of a part alone are to be measured.
local function elsewhere(reading)
  local places = {}
  for index, path in ipairs(reading.elsewhere or {}) do
    places[index] = ('its %s from "%s" to "%s"'):format(path.element, path.red, path.black)
  end
  return #places > 0 and ("Not measured: %s. Put the leads there."):format(
    table.concat(places, ", ")) or nil
end

local function about_reading(reading)
  local list, meter = {}, reading.meter
  if reading.live then
    list[1] = ("Circuit is live: this reading is false. %s stands between the leads without the "
      .. "ohmmeter, and mixes with its own test voltage%s. Take the power off, take the part out "
      .. "of the circuit, or measure the voltage drop under load instead."):format(
      display.join(display.voltage(reading.before, meter)), open_path(reading)
        and "; OL here does not mean open" or ", so it changes when the leads are swapped")
  elseif open_path(reading) then
    list[1] = "OL: no path between the leads that this meter sees."
  elseif one_way(reading) then
    list[1] = "Another reading with the leads swapped, and nothing is live: a diode, a module or "
      .. "an LED is in the path."
  else
    list[1] = ("The leads' own %s are in it%s."):format(
      format.limit(meter.lead_resistance, "resistance", "ohm"), reading.alone and ""
        or ", and so is every other path between the two nodes")
    if math.abs(reading.resistance) > LOW_OHM then return list end
    list[2] = ("A good figure at the ohmmeter's own current, %s at the most, does not say that the "
      .. "path carries a working current: measure the drop under load.")
      :format(format.rough(meter.test_voltage / (0.5 * meter.counts), "current"))
  end
  return list
end

--- What is to be said of it, most important first.
function M.remarks(reading)
  local list = about_reading(reading)
  list[#list + 1] = elsewhere(reading)
  return list
end

function M.row(reading, second)
  if second then return nil end
  return { cell(reading.resistance, reading.meter), cell(reading.swapped, reading.meter),
    reading.live and "live: false" or "" }
end

return M

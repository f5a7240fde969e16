--- Numbers as the display of a shop meter has them: so many digits, in the range it chooses. The
--- model's own numbers have more digits; they are in CSV and JSON.
local core = require "strapline".core

local M = {}

--- Digits after the point where the last one is worth `step`.
local function decimals(step)
  return math.max(0, math.floor(0.5 - math.log(step, 10)))
end

local function text(shown, step, factor, unit)
  return ("%." .. decimals(step * factor) .. "f"):format(shown * factor), unit
end

--- Number and unit, as two texts; "OL" where the display has no room.
local function show(value, counts, step, most, unit)
  local shown, digit = core.shown(value, counts, step, most)
  if not shown then return "OL", "" end
  if digit < 0.99e-3 then return text(shown, digit, 1e3, "m" .. unit) end
  return text(shown, digit, 1, unit)
end

--- The last digit of the lowest range: of 600 mV with 6000 counts.
local function finest(counts)
  return 10.0 ^ -(math.floor(math.log(counts, 10)) + 1)
end

local MOST_V = 600

--- Volts on a multimeter.
function M.voltage(value, meter)
  return show(value, meter.counts, finest(meter.counts), MOST_V, "V")
end

--- What the last digit is worth that it shows of so many volts.
function M.voltage_step(value, meter)
  return select(2, core.shown(value, meter.counts, finest(meter.counts), MOST_V))
end

--- Amperes on a multimeter in series: three digits more than its fuse has, or four.
function M.current(value, meter)
  local lowest = meter.fuse < 1 and 0.1 or 10
  return show(value, meter.counts, lowest * finest(meter.counts), meter.fuse, "A")
end

local CLAMP_COUNTS, CLAMP_STEP, CLAMP_MOST = 6000, 0.01, 2000

--- Amperes on a clamp: 10 mA up to 60 A, 0.1 A up to 600 A, 1 A above.
function M.clamp(value)
  return show(value, CLAMP_COUNTS, CLAMP_STEP, CLAMP_MOST, "A")
end

--- The last digit of a clamp for a current.
function M.clamp_step(value)
  return select(2, core.shown(value, CLAMP_COUNTS, CLAMP_STEP, CLAMP_MOST))
end

local OHM_STEP = 0.1 -- last digit of the lowest range

--- Ohms on a multimeter; nil is OL.
function M.resistance(value, meter)
  if not value then return "OL", "" end
  local counts = meter.counts
  local shown, digit = core.shown(value, counts, OHM_STEP, 1e5 * counts * OHM_STEP)
  if not shown then return "OL", "" end
  if digit * counts > 1.01e6 then return text(shown, digit, 1e-6, "Mohm") end
  if digit * counts > 1.01e3 then return text(shown, digit, 1e-3, "kohm") end
  return text(shown, digit, 1, "ohm")
end

--- Number and unit as one text.
function M.join(number, unit)
  return unit == "" and number or number .. " " .. unit
end

return M

--- The load test of a battery as text.
local cautions = require "strapline.cautions"
local columns = require "strapline.columns"
local core = require "strapline".core
local display = require "strapline.display"
local format = require "strapline.format"
local lines = require "strapline.lines"
local report_text = require "strapline.report_text"

local M = {}

local verdicts = {
  passes = "Passes: it holds %s or more.",
  fails = "Fails: it does not hold %s.",
  ["charge first"] = "Charge it first, then test: below 12.4 V at rest (per six cells) a sound "
    .. "battery can fail.",
}

local SOURCE = "Least voltage: vehicle maker service data, several model tables agree (20 C and "
  .. "above 9.6 V, 16 C 9.5, 10 C 9.4, 4 C 9.3, -1 C 9.1, -7 C 8.9, -12 C 8.7, -18 C 8.5; between "
  .. "them in proportion). The maker's figure for a battery comes first."

--- @return the report as one text
function M.load_test(circuit, test)
  local meter = core.multimeter()
  local function volts(value) return { display.voltage(value, meter) } end
  local report = report_text.heading(circuit, test)
  report[#report + 1] = ("load test of %s off the vehicle: half its %s cold cranking rating, 15 s")
    :format(test.battery, format.text(test.rating, "current"))
  if test.surface_charge > 0 then
    lines.add(report, lines.wrap(("Its surface charge, %s on six cells, is taken off before, by a "
      .. "load for a minute: with it a bad battery can pass."):format(
      format.text(test.surface_charge, "voltage")), ""))
  end
  lines.add_group(report, columns.lines({ "", "voltage" }, {
    { "at rest", volts(test.rest_voltage) },
    { ("after 15 s at %s"):format(format.text(test.load, "current")), volts(test.loaded_voltage) },
    { ("least at %s"):format(format.text(test.temperature, "temperature")),
      volts(test.least_voltage) },
  }))
  lines.add_group(report, lines.wrap(verdicts[test.verdict]:format(
    format.limit(tonumber(("%.2f"):format(test.least_voltage)), "voltage", "V")), ""))
  lines.add(report, lines.wrap(SOURCE, ""))
  lines.add_group(report, cautions.lines(circuit, test, "loadtest"))
  return lines.join(report)
end

return M

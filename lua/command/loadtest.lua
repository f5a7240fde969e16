--- strapline loadtest: a battery at half its cold cranking rating.
local options = require "strapline.command.options"

return {
  name = "loadtest",
  arguments = "CIRCUIT [--battery NAME]",
  needs = { "CIRCUIT" },
  about = "Tests a battery at half its cold cranking rating for 15 s, off the vehicle, against the "
    .. "voltage\nit must hold at its temperature. Exit code 1: it fails, or must be charged first.",
  options = {
    { name = "battery", value = "N", doc = "the battery; needed where there are several" },
    options.condition, options.fault, options.format,
  },
  examples = {
    "strapline loadtest circuits/wicken_410.lua",
    "strapline loadtest circuits/quillon_parcel_3.lua --format json",
  },
  run = function(values, io)
    local circuit, wrong = io.load(values[1])
    if not circuit then return io.refuse(wrong) end
    local test = io.ask(circuit, "load_test", {
      battery = values.battery, condition = values.condition, faults = values.fault,
    })
    if not test then return io.failed end
    local format = values.format or "text"
    local report = format == "text" and "strapline.report_load_test"
      or "strapline.report_" .. format
    local code = io.write(require(report).load_test(circuit, test))
    if code ~= io.done or test.verdict == "passes" then return code end
    return io.bad
  end,
}

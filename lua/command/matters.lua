--- strapline matters: which part matters most to a reading.
local options = require "strapline.command.options"

return {
  name = "matters",
  arguments = "CIRCUIT --red NODE --black NODE | --current PART",
  needs = { "CIRCUIT" },
  about = "Tells which part matters most to a reading: what 10 mohm more in one place would do to "
    .. "it, and\nwhat every value of every part does when it is off by 1 %, or by its spread.",
  options = {
    { name = "red", value = "N", doc = "the node the red lead is on" },
    { name = "black", value = "N", doc = "the node the black lead is on" },
    { name = "current", value = "P", doc = "the current of a part instead; 'PART: PATH' for one path" },
    options.condition, options.fault, options.format,
  },
  examples = {
    "strapline matters circuits/wicken_410.lua --red 'engine block' --black 'battery - post' "
      .. "--condition crank",
    "strapline matters circuits/wicken_410.lua --current starter --condition crank",
    "strapline matters circuits/wicken_410.lua --current 'starter relay/coil' --condition crank",
  },
  run = function(values, io)
    local asked, wrong = options.reading(values)
    if not asked then return io.misuse(wrong) end
    local circuit
    circuit, wrong = io.load(values[1])
    if not circuit then return io.refuse(wrong) end
    asked.condition, asked.faults = values.condition, values.fault
    local result = io.ask(circuit, "matters", asked)
    if not result then return io.failed end
    local report = require("strapline.report_band")[values.format or "text"]
    return io.write(report.matters(circuit, result))
  end,
}

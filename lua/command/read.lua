--- strapline read: one reading, with the meter alone and with a tool across the leads.
local options = require "strapline.command.options"

return {
  name = "read",
  arguments = "CIRCUIT --red NODE --black NODE [--tool TOOL]",
  needs = { "CIRCUIT" },
  about = "Tells what a meter shows between two nodes: alone (10 Mohm), and with a tool that draws "
    .. "current\nacross the same two leads.",
  options = {
    { name = "red", value = "N", doc = "the node the red lead is on" },
    { name = "black", value = "N", doc = "the node the black lead is on" },
    { name = "tool", value = "T", doc = "a test lamp of 0.25 A when not given; "
      .. "`strapline words` lists the tools" },
    options.condition, options.fault, options.format,
  },
  examples = {
    "strapline read circuits/larkfield.lua --red 'B1 +' --black engine",
    "strapline read circuits/larkfield.lua --red engine --black 'B1 -' --condition crank",
    "strapline read circuits/larkfield.lua --red stud --black engine --tool '21 W lamp'",
  },
  run = function(values, io)
    if not values.red or not values.black then
      return io.misuse("say where both leads are: --red NODE --black NODE")
    end
    local circuit, wrong = io.load(values[1])
    if not circuit then return io.refuse(wrong) end
    local reading = io.ask(circuit, "read", {
      red = values.red, black = values.black, tool = values.tool,
      condition = values.condition, faults = values.fault,
    })
    if not reading then return io.failed end
    local format = values.format or "text"
    local report = format == "text" and "strapline.report_reading" or "strapline.report_" .. format
    return io.write(require(report).read(circuit, reading))
  end,
}

--- strapline read: one reading, with the meter alone and with a tool across the leads.
local options = require "strapline.command.options"

--- What a format without room for remarks leaves out.
local function remark_outcomes(reading, io)
  for _, found in ipairs { reading.unloaded, reading.loaded } do
    local remark = require("strapline.report_text").outcome(found)
    if remark then io.remark(remark) end
    if found.other then io.remark("something chatters: the reading is of one end of it") end
  end
end

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
    "strapline read circuits/wicken_410.lua --red 'battery + post' --black 'engine block'",
    "strapline read circuits/wicken_410.lua --red frame --black 'battery - post' --condition crank",
    "strapline read circuits/wicken_410.lua --red 'main feed' --black frame --tool '21 W lamp'",
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
    if format ~= "text" then remark_outcomes(reading, io) end
    local report = format == "text" and "strapline.report_reading" or "strapline.report_" .. format
    return io.write(require(report).read(circuit, reading))
  end,
}

--- strapline explain: what makes up a reading.
local options = require "strapline.command.options"

return {
  name = "explain",
  arguments = "CIRCUIT --red NODE --black NODE [--condition C] [--fault F]...",
  needs = { "CIRCUIT" },
  about = "Takes a reading apart: the source, what is lost inside it, ahead of the red lead, between "
    .. "the leads\nand after the black lead. The figures printed add up to the last digit. With a "
    .. "--fault, beside those\nof the good circuit.",
  options = {
    { name = "red", value = "N", doc = "the node the red lead is on" },
    { name = "black", value = "N", doc = "the node the black lead is on" },
    options.condition, options.fault, options.format,
  },
  examples = {
    "strapline explain circuits/wicken_410.lua --red 'starter stud' --black 'engine block' "
      .. "--condition crank",
    "strapline explain circuits/wicken_410.lua --red 'engine block' --black 'battery - post' "
      .. "--condition crank --fault 'corroded frame ground'",
  },
  run = function(values, io)
    if not values.red or not values.black then
      return io.misuse("say where both leads are: --red NODE --black NODE")
    end
    local circuit, wrong = io.load(values[1])
    if not circuit then return io.refuse(wrong) end
    local explanation = io.ask(circuit, "explain", {
      red = values.red, black = values.black, condition = values.condition, faults = values.fault,
    })
    if not explanation then return io.failed end
    local format = values.format or "text"
    return io.write(require("strapline.report_explain")[format](circuit, explanation))
  end,
}

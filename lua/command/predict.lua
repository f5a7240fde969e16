--- strapline predict: node voltages, currents, drops, powers, what a person notices.
local options = require "strapline.command.options"

return {
  name = "predict",
  arguments = "CIRCUIT [--condition C] [--fault F]...",
  needs = { "CIRCUIT" },
  about = "Predicts every node voltage, and current, drop and power of every part, and tells what\n"
    .. "a person at the vehicle would notice.",
  options = {
    options.condition, options.fault, options.format,
    { name = "beside-good", doc = "the good and the faulted circuit side by side, as text" },
  },
  examples = {
    "strapline predict circuits/wicken_410.lua --condition crank",
    "strapline predict circuits/wicken_410.lua --condition crank --fault 'weak battery' "
      .. "--beside-good",
    "strapline predict circuits/wicken_410.lua --fault 'main fuse: blown' "
      .. "--fault 'starter cable: +20 mohm'",
    "strapline predict circuits/wicken_410.lua --format json",
  },
  run = function(values, io)
    local format = values.format or "text"
    if values["beside-good"] and (format ~= "text" or not values.fault) then
      return io.misuse("--beside-good compares with a --fault, as text")
    end
    local circuit, wrong = io.load(values[1])
    if not circuit then return io.refuse(wrong) end
    local question = { condition = values.condition, faults = values.fault }
    local answer = io.ask(circuit, "predict", question)
    if not answer then return io.failed end
    if values["beside-good"] then
      local good = io.ask(circuit, "predict", { condition = values.condition })
      if not good then return io.failed end
      return io.write(require("strapline.report_beside").predict(circuit, good, answer))
    end
    if format == "text" then
      local good = values.fault and circuit:predict { condition = values.condition }
      return io.write(require("strapline.report_text").predict(circuit, answer, good or nil))
    end
    if answer.outcome == "timing" then
      io.remark(require("strapline.report_text").outcome(answer))
    end
    return io.write(require("strapline.report_" .. format).predict(circuit, answer))
  end,
}

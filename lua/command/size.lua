--- strapline size: the smallest standard conductor that will do.
local options = require "strapline.command.options"

return {
  name = "size",
  arguments = "CIRCUIT PART [--drop D] [--limits SET] [--condition C] [--fault F]...",
  needs = { "CIRCUIT", "PART" },
  about = "Tries every standard size in the place of a cable: what it loses, how hot it gets, "
    .. "whether the fuse\nahead guards it and a short at its far end opens that fuse; and why each "
    .. "smaller one fails.\nExit code 1: no listed size will do.",
  options = {
    { name = "drop", value = "D", doc = "what may be lost over its run, out and back: "
      .. "'0.36 V' or '3 %'" },
    { name = "limits", value = "SET", doc = "the set of limits when --drop is not given; "
      .. "see strapline drops --limits list" },
    options.condition, options.fault, options.format,
  },
  examples = {
    "strapline size circuits/tern_skerry_28.lua 'bilge feed' --condition 'bilge pumping' "
      .. "--drop '3 %'",
    "strapline size circuits/tern_skerry_28.lua 'bow feed' --condition 'running night' "
      .. "--limits abyc-3",
  },
  run = function(values, io)
    local circuit, wrong = io.load(values[1])
    if not circuit then return io.refuse(wrong) end
    local sizes = io.ask(circuit, "size", {
      part = values[2], drop = values.drop, limits = values.limits, condition = values.condition,
      faults = values.fault,
    })
    if not sizes then return io.failed end
    local code = io.write(require("strapline.report_size")[values.format or "text"](circuit, sizes))
    local none = not sizes.best and not sizes.best_gauge
    return code == io.done and none and io.bad or code
  end,
}

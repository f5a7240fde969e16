--- strapline sneak: loads fed past their switch, currents that turn round, what a lost ground heats.
local options = require "strapline.command.options"
local progress = require "strapline.command.progress"

return {
  name = "sneak",
  arguments = "CIRCUIT",
  needs = { "CIRCUIT" },
  about = "Looks for paths that were never meant. With all parts good, in every condition and with each\n"
    .. "switch in each of its other positions: loads and relay coils that are fed through another\n"
    .. "load, and those whose current turns round. And with each cable, strap, joint, fuse and breaker\n"
    .. "open in turn in each of these states: which loads are then fed through others; and in each\n"
    .. "condition, which conductors then overheat. A load that is never fed but through another one\n"
    .. "is taken to be in series with it by design, and not told.\n"
    .. "Ctrl-C stops it: what was found so far is reported, with exit code 130.",
  options = { options.format },
  examples = {
    "strapline sneak circuits/brindle_9.lua",
    "strapline sneak circuits/tern_skerry_28.lua --format json",
  },
  run = function(values, io)
    local circuit, wrong = io.load(values[1])
    if not circuit then return io.refuse(wrong) end
    local found = io.ask(circuit, "sneak", { progress = progress.of(io, "steps") })
    if not found then return io.failed end
    local code = io.write(require("strapline.report_sneak")[values.format or "text"](circuit, found))
    if not found.stopped or code ~= io.done then return code end
    io.remark "stopped: what is reported was found until then"
    return progress.INTERRUPTED
  end,
}

--- strapline drops: the path of each load's current and every drop on it against its limit.
local options = require "strapline.command.options"

return {
  name = "drops",
  arguments = "CIRCUIT [--load PART] [--limits SET] [--condition C] [--fault F]...",
  needs = {},
  may = { "CIRCUIT" },
  about = "Follows the current from the source to a load and back, tells where the leads go, what "
    .. "each\nplace loses, and judges it. --limits list shows the sets of limits. Exit code 1: a "
    .. "limit is exceeded.",
  options = {
    { name = "load", value = "PART", doc = "the part whose current to follow, or 'PART: PATH'; "
      .. "else those that carry most" },
    { name = "limits", value = "SET", doc = "the set of limits; shop when not given; "
      .. "list to see them" },
    options.condition, options.fault, options.format,
  },
  examples = {
    "strapline drops circuits/wicken_410.lua --condition crank",
    "strapline drops circuits/wicken_410.lua --condition 'key on' --load 'low beam'",
    "strapline drops circuits/wicken_410.lua --condition crank --limits j541-light --format csv",
    "strapline drops --limits list",
  },
  run = function(values, io)
    local format = values.format or "text"
    if values.limits == "list" then
      return io.write(require("strapline.report_limits")[format]())
    end
    if not values[1] then
      return io.misuse("CIRCUIT is missing; write strapline drops CIRCUIT")
    end
    local circuit, wrong = io.load(values[1])
    if not circuit then return io.refuse(wrong) end
    local drops = io.ask(circuit, "drops", {
      load = values.load, limits = values.limits, condition = values.condition,
      faults = values.fault,
    })
    if not drops then return io.failed end
    local report = format == "text" and "strapline.report_drops" or "strapline.report_drops_data"
    local code = io.write(require(report)[format](circuit, drops))
    if not drops.judged and #drops.ends[1] > 0 then
      io.remark(("nothing was judged: set %s has no limit for any place on these paths; --limits "
        .. "list shows the sets"):format(drops.set.name))
    end
    return code == io.done and drops.bad and io.bad or code
  end,
}

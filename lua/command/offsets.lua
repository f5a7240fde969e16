--- strapline offsets: how far the grounds of modules stand apart.
local options = require "strapline.command.options"
local offsets = require "strapline.offsets"
local quantity = require "strapline.quantity"

local function limit_of(values)
  if not values.limit then return offsets.LIMIT end
  local limit, wrong = quantity.parse(tonumber(values.limit) or values.limit, "voltage", true)
  if not limit then return nil, ('--limit "%s" %s'):format(values.limit, wrong) end
  if limit <= 0 then return nil, ('--limit "%s": above 0 V is wanted'):format(values.limit) end
  return limit
end

return {
  name = "offsets",
  arguments = "CIRCUIT [--condition C]... [--fault F]... [--node N]... [--limit V]",
  needs = { "CIRCUIT" },
  about = "Compares the grounds of modules, sensors, gauges and converters with each other and tells\n"
    .. "which stand apart by more than the limit, and in which condition.\n\n"
    .. "Exit code: 1 when --limit is given and a pair is above it.",
  options = {
    { name = "condition", value = "C", many = true,
      doc = "how the vehicle is held; may be given several times; all when not given" },
    options.fault,
    { name = "node", value = "N", many = true,
      doc = "compare these nodes instead; may be given several times" },
    { name = "limit", value = "V", doc = "what two grounds may stand apart; 0.1 V when not given" },
    options.format,
  },
  examples = {
    "strapline offsets circuits/brindle_9.lua",
    "strapline offsets circuits/brindle_9.lua --fault 'G2 30 mohm, brush stalled' --limit '0.5 V'",
    "strapline offsets circuits/wicken_410.lua --node 'engine block' --node frame",
  },
  run = function(values, io)
    local limit, wrong = limit_of(values)
    if not limit then return io.misuse(wrong) end
    local circuit
    circuit, wrong = io.load(values[1])
    if not circuit then return io.refuse(wrong) end
    local result = io.ask(circuit, "offsets",
      { conditions = values.condition, faults = values.fault, nodes = values.node })
    if not result then return io.failed end
    local text, over = require("strapline.report_offsets")[values.format or "text"](result, limit)
    local code = io.write(text)
    if code == io.done and values.limit and over > 0 then return io.bad end
    return code
  end,
}

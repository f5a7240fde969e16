--- strapline values: every value the parts use, and where it comes from.
local options = require "strapline.command.options"

--- The part that is asked for, or all. @return list of names, or nil and what is wrong
local function names_asked(circuit, name)
  if not name then return circuit.part_names end
  if circuit.kinds[name] then return { name } end
  local nearest = require "strapline.nearest"
  return nil, ("there is no part '%s'%s"):format(name,
    nearest.hint_or_list(name, circuit.part_names, "parts"))
end

return {
  name = "values",
  arguments = "CIRCUIT [PART] [--condition C] [--fault F]...",
  needs = { "CIRCUIT" },
  may = { "PART" },
  about = "Tells every value that the parts use, or one PART, and where it comes from: given in the "
    .. "file,\nset by the condition or a fault, worked out from others, or a default; of the last "
    .. "two, what\nstands behind them.",
  options = { options.condition, options.fault, options.format },
  examples = {
    "strapline values circuits/wicken_410.lua",
    "strapline values circuits/wicken_410.lua battery --condition crank --fault 'weak battery'",
    "strapline values circuits/wicken_410.lua --format csv",
  },
  run = function(values, io)
    local circuit, wrong = io.load(values[1])
    if not circuit then return io.refuse(wrong) end
    local names
    names, wrong = names_asked(circuit, values[2])
    if not names then return io.misuse(wrong) end
    local question = { condition = values.condition, faults = values.fault }
    local answer = io.ask(circuit, "predict", question)
    if not answer then return io.failed end
    local format = values.format or "text"
    local report = format == "text" and "strapline.report_values" or "strapline.report_" .. format
    return io.write(require(report).values(circuit, answer, names))
  end,
}

--- strapline faults: each possible fault in every condition, and what shows it.
local options = require "strapline.command.options"
local progress = require "strapline.command.progress"
local quantity = require "strapline.quantity"

--- A whole number of an option. @return number or nil, and what is wrong
local function whole(values, name, most, otherwise)
  if not values[name] then return otherwise end
  local number = values[name]:find "^%d+$" and tonumber(values[name])
  if number and number >= 1 and number <= most then return number end
  return nil, ("--%s %s: a whole number from 1 to %d is wanted"):format(name, values[name], most)
end

local function volts(text)
  if not text then return nil end
  local value, wrong = quantity.parse(tonumber(text) or text, "voltage", true)
  if not value then return nil, ('--change "%s" %s'):format(text, wrong) end
  if value <= 0 then return nil, ('--change "%s": above 0 V is wanted'):format(text) end
  return value
end

--- What is asked for, and how many rows; or nil, nil and what is wrong.
local function read(values)
  local severities, rows, threads, change, wrong
  severities, wrong = whole(values, "severities", 1000, 1)
  if not severities then return nil, nil, wrong end
  threads, wrong = whole(values, "threads", 64, 1)
  if not threads then return nil, nil, wrong end
  if values.rows == "all" then
    rows = math.huge
  else
    rows, wrong = whole(values, "rows", 1000000, require("strapline.report_faults").ROWS)
    if not rows then return nil, nil, wrong end
  end
  change, wrong = volts(values.change)
  if wrong then return nil, nil, wrong end
  return {
    conditions = values.condition, parts = values.part, severities = severities,
    pairs = values.pairs, shorts = values.shorts,
    swaps = values.swaps and "all", readings = values.reading, change = change,
    threads = threads,
  }, rows
end

local function condition_names(circuit, asked)
  if asked then return asked end
  local names = {}
  for index, condition in ipairs(circuit.conditions) do names[index] = condition.name end
  return names
end

return {
  name = "faults",
  arguments = "CIRCUIT [--condition C]... [--part P]... [--severities N] [--pairs] [--shorts] [--swaps] ...",
  needs = { "CIRCUIT" },
  about = "Puts in each possible fault in every condition and tells which leads show it best, what a\n"
    .. "person would notice, and which faults look good to a meter alone: some reading differs by\n"
    .. "--change or more while the condition's currents flow, and none does once every load but coils\n"
    .. "is unplugged and the engine stopped, with every switch as it is. Each mode of failure takes the\n"
    .. "middle of its range, or --severities values of it. Ctrl-C stops it: what is done is reported,\n"
    .. "with exit code 130.",
  options = {
    { name = "condition", value = "C", many = true,
      doc = "how the vehicle is held; may be given several times; all when not given" },
    { name = "part", value = "P", many = true,
      doc = "faults of this part only, in each condition; may be given several times" },
    { name = "severities", value = "N", doc = "values for each mode with a range, 1 to 1000" },
    { name = "pairs", doc = "two faults at a time too" },
    { name = "shorts", doc = "also every node shorted to ground and to the feed, over 10 mohm" },
    { name = "swaps", doc = "also each two wires on different terminals of one part in each other's place" },
    { name = "reading", value = "RED,BLACK", many = true,
      doc = "these leads only; may be given several times" },
    { name = "table", doc = "the failure table: part, mode, effect there, effect elsewhere, reading" },
    { name = "change", value = "V", doc = "the least difference that counts; 0.1 V when not given" },
    { name = "rows", value = "N", doc = "faults shown of each section, or all; 12 when not given" },
    { name = "threads", value = "N", doc = "1 to 64; the result is the same; 1 when not given" },
    options.format,
  },
  examples = {
    "strapline faults circuits/wicken_410.lua",
    "strapline faults circuits/wicken_410.lua --condition crank --part 'engine ground'",
    "strapline faults circuits/wicken_410.lua --reading 'battery + post,engine block' --change 0.5",
    "strapline faults circuits/brindle_9.lua --table --shorts --format csv",
    "strapline faults circuits/brindle_9.lua --pairs --condition working --threads 2 --format csv",
  },
  run = function(values, io)
    local asked, rows, wrong = read(values)
    if values.table and values.pairs then wrong = "--table is of single failures, without --pairs" end
    if wrong then return io.misuse(wrong) end
    local circuit
    circuit, wrong = io.load(values[1])
    if not circuit then return io.refuse(wrong) end
    local survey = io.ask(circuit, "survey", asked)
    if not survey then return io.failed end
    local told, interrupted = progress.of(io, "cases")
    local format, code = values.format or "text", io.done
    if format == "text" and not values.table then
      code = io.write(require("strapline.report_faults").text(survey,
        condition_names(circuit, values.condition), rows, values.part ~= nil or values.pairs, told))
    else
      local report = values.table and "strapline.report_failures" or "strapline.report_faults_data"
      require(report)[format](survey, function(text)
        if code == io.done then code = io.write(text) end
      end, told)
    end
    if not interrupted() then return code end
    io.remark(("stopped after %d of %d cases: what is reported is of these"):format(
      survey.done, survey.sweep.cases))
    return code == io.done and progress.INTERRUPTED or code
  end,
}

--- strapline read: what an instrument shows: volts, ohms, amps in series, or a clamp.
local options = require "strapline.command.options"

--- What a format without room for remarks leaves out.
local function remark_outcomes(reading, io)
  local report_text = require "strapline.report_text"
  for _, row in ipairs(reading.rows or { reading }) do
    for _, found in ipairs { row.unloaded or row.without or row, row.loaded or row.through } do
      local remark = report_text.outcome(found)
      if remark then io.remark(remark) end
      if found.other then
        io.remark("something chatters: there is a reading for each end of it")
      end
    end
  end
end

--- "PART, PART" as a list; names of parts may have commas in them.
local function split_parts(circuit, text)
  local list, from, at = {}, 1, 1
  local function known(piece)
    return circuit.kinds[piece] or circuit.kinds[piece:match("^%-?%s*(.-)$")]
      or circuit.kinds[piece:match("^%-?%s*(.-)%.[^.]*$") or ""]
  end
  while true do
    local comma, after = text:find("%s*,%s*", at)
    local piece = text:sub(from, (comma or #text + 1) - 1)
    if not comma then
      list[#list + 1] = piece
      return list
    end
    at = after + 1
    if known(piece) then
      list[#list + 1] = piece
      from = at
    end
  end
end

local meter_options = {
  { name = "input-resistance", field = "input_resistance", value = "R",
    doc = "of the voltmeter; 10 Mohm when not given" },
  { name = "lead-resistance", field = "lead_resistance", value = "R",
    doc = "of both leads, for volts and ohms; 0.2 ohm when not given" },
  { name = "counts", field = "counts", value = "N",
    doc = "the greatest number the display shows; 6000 when not given" },
  { name = "burden", field = "burden", value = "R",
    doc = "of the ammeter; 50 mohm when not given" },
  { name = "fuse", field = "fuse", value = "A",
    doc = "of the ammeter; 10 A when not given" },
}

local function meter_of(values)
  local meter
  for _, option in ipairs(meter_options) do
    local written = values[option.name]
    if written then
      meter = meter or {}
      meter[option.field] = option.field == "counts" and tonumber(written) or written
    end
  end
  return meter
end

local function question_of(circuit, values)
  local conditions = values.condition
  local asked = {
    red = values.red, black = values.black, tool = values.tool, alone = values.alone,
    ohms = values.ohms, amps = values["in"], faults = values.fault, with = values.with,
    clamp = values.clamp and split_parts(circuit, values.clamp), meter = meter_of(values),
  }
  if values["min-max"] then
    asked.conditions = conditions or "all"
  elseif conditions then
    asked.condition = conditions[1]
  end
  return asked
end

local function check(values)
  local leads = not values["in"] and not values.clamp and not values.alone
  if (values["in"] or values.clamp) and (values.red or values.black or values.tool) then
    return "--red, --black and --tool are for volts and ohms: --in and --clamp name parts"
  elseif values.ohms and values.tool then
    return "--tool draws current: no ohms beside it"
  elseif leads and not (values.red and values.black) then
    return "say where both leads are: --red NODE --black NODE"
  elseif values.alone and not values.ohms then
    return "--alone is for --ohms: a part out of its circuit has nothing else to read"
  elseif values.condition and #values.condition > 1 and not values["min-max"] then
    return "--condition is given twice: add --min-max for a reading over several"
  end
end

local list = {
  { name = "red", value = "N", doc = "the node the red lead is on" },
  { name = "black", value = "N", doc = "the node the black lead is on" },
  { name = "tool", value = "T", doc = "for volts, across the same leads: a test lamp of 0.25 A "
    .. "when not given; `strapline words` lists the tools" },
  { name = "with", value = "T:N,N", many = true,
    doc = "a further tool on two nodes, red lead first; may be given several times" },
  { name = "ohms", doc = "the ohmmeter between --red and --black" },
  { name = "alone", value = "P", doc = "for ohms: this part taken out of its circuit; the leads "
    .. "on its first two terminals when not given" },
  { name = "in", value = "P", doc = "the ammeter in series with this part; 'PART: PATH' where it has "
    .. "several paths" },
  { name = "clamp", value = "P,P", doc = "a clamp round the leads of these parts; PART.TERMINAL "
    .. "where a part has more than two, -PART for one laid the other way" },
  { name = "min-max", doc = "over every --condition given, or all there are, with the least and "
    .. "the most" },
  { name = "condition", value = "C", many = true, doc = "how the vehicle is held; the first of "
    .. "the file when not given; several with --min-max" },
  options.fault,
}
table.move(meter_options, 1, #meter_options, #list + 1, list)
list[#list + 1] = options.format

return {
  name = "read",
  arguments = "CIRCUIT --red NODE --black NODE [--tool TOOL | --ohms] | --in PART | --clamp PARTS",
  needs = { "CIRCUIT" },
  about = "Tells what an instrument shows. Volts between two nodes: the meter alone, and with a "
    .. "tool that\ndraws current across the same two leads. Ohms (--ohms), amps in series (--in), "
    .. "a clamp (--clamp).\nText has the digits of the instrument's display; csv and json have "
    .. "all of the model's.",
  options = list,
  examples = {
    "strapline read circuits/wicken_410.lua --red 'battery + post' --black 'engine block'",
    "strapline read circuits/wicken_410.lua --red frame --black 'battery - post' --condition crank",
    "strapline read circuits/wicken_410.lua --red 'main feed' --black frame --tool '21 W lamp'",
    "strapline read circuits/wicken_410.lua --red 'battery + post' --black 'engine block' "
      .. "--tool 'carbon pile = 50 A'",
    "strapline read circuits/wicken_410.lua --red frame --black 'battery - post' "
      .. "--with '55 W lamp: battery + post, frame'",
    "strapline read circuits/wicken_410.lua --ohms --red 'engine block' --black frame",
    "strapline read circuits/wicken_410.lua --ohms --alone 'ground cable'",
    "strapline read circuits/wicken_410.lua --in 'main fuse' --condition 'key on'",
    "strapline read circuits/wicken_410.lua --clamp 'engine strap' --condition crank",
    "strapline read circuits/wicken_410.lua --red 'battery + post' --black 'battery - post' "
      .. "--min-max",
  },
  run = function(values, io)
    local wrong = check(values)
    if wrong then return io.misuse(wrong) end
    local circuit
    circuit, wrong = io.load(values[1])
    if not circuit then return io.refuse(wrong) end
    local reading = io.ask(circuit, "read", question_of(circuit, values))
    if not reading then return io.failed end
    local format = values.format or "text"
    if format ~= "text" then remark_outcomes(reading, io) end
    local report = format == "text" and "strapline.report_reading" or "strapline.report_" .. format
    return io.write(require(report).read(circuit, reading))
  end,
}

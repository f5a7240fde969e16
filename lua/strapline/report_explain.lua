--- A reading taken apart, as text, CSV and JSON.
local cautions = require "strapline.cautions"
local columns = require "strapline.columns"
local csv = require "strapline.csv"
local format = require "strapline.format"
local json = require "strapline.json"
local lines = require "strapline.lines"
local path_data = require "strapline.path_data"
local report_text = require "strapline.report_text"
local states = require "strapline.states"
local words = require "strapline.path_words"

local M = {}

local stretches = {
  { "feed", "Ahead of the red lead" },
  { "load", "Between the leads" },
  { "return", "After the black lead" },
}

local function step_row(way, step, compared)
  local row = { step.from, step.to, words.place(step),
    columns.quantity(step.current, "current", "not defined"),
    step.drop and words.cell(way, step.shown) or (step.open and "open" or "floating") }
  if compared then
    row[6] = step.good_drop and words.cell(way, math.floor(step.good_drop / way.unit + 0.5))
      or "floating"
  end
  return row
end

local function stretch_lines(found, side, label)
  local way, compared, rows = found.way, found.compared, {}
  for _, step in ipairs(way.steps) do
    if step.side == side then
      rows[#rows + 1] = step_row(way, step, compared)
    end
  end
  if #rows == 0 then return { label .. ": nothing" } end
  local headings = { "from", "to", "over", "current", "drop", compared and "good" or nil }
  if words.closes(way) then
    rows[#rows + 1] = { "in all", "", "", "",
      words.cell(way, words.sum(way, function(step) return step.side == side end)) }
  end
  local group = { label }
  lines.add(group, columns.lines(headings, rows))
  return group
end

--- What a stretch loses and what sources in it add, in units of the way.
local function loss_and_gain(way, side)
  return words.sum(way, function(step) return step.side == side and step.use ~= "source" end),
    -words.sum(way, function(step) return step.side == side and step.use == "source" end)
end

--- What is taken from a sum, with its sign: " - 1.903 V", " + 0.014 V".
local function less(way, units)
  return (units < 0 and " + " or " - ") .. words.volts(way, math.abs(units))
end

--- "12.690 V - 1.903 V lost inside - ... = 10.477 V"
local function equation(found)
  local way = found.way
  local first, losses = way.shown_source, ""
  if way.open_voltage then
    first = way.shown_open
    losses = less(way, way.shown_open - way.shown_source)
      .. (way.shown_source > way.shown_open and " of its charging" or " lost inside it")
  end
  local text = ("%s of %s"):format(words.volts(way, first), way.source)
  for _, stretch in ipairs { stretches[1], stretches[3] } do
    local lost, gained = loss_and_gain(way, stretch[1])
    losses = losses .. less(way, lost) .. " " .. stretch[2]:lower()
    if gained ~= 0 then
      text = text .. less(way, -gained) .. " of sources " .. stretch[2]:lower()
    end
  end
  local reading = words.sum(way, function(step) return step.side == "load" end)
  return ("%s%s = %s"):format(text, losses, words.volts(way, reading))
end

local function source_lines(way)
  if not way.source_voltage then return {} end
  if not way.open_voltage then
    return { ("Source: %s holds %s from \"%s\" to \"%s\""):format(way.source,
      words.volts(way, way.shown_source), way.plus, way.minus) }
  end
  local inside = way.shown_open - way.shown_source
  return { ('Source: %s has %s without current and %s %s inside at %s: %s from "%s" to "%s"'):format(
    way.source, words.volts(way, way.shown_open), inside < 0 and "takes" or "loses",
    words.volts(way, math.abs(inside)), format.text(way.source_current or 0, "current"),
    words.volts(way, way.shown_source), way.plus, way.minus) }
end

--- What a floating lead hangs on.
local function cut_lines(explanation, found)
  local group = {}
  for _, lead in ipairs { "red", "black" } do
    local cuts = found.cuts[lead]
    if cuts and #cuts == 0 then
      group[#group + 1] = ('"%s" floats: no part joins it to the rest')
        :format(explanation[lead])
    elseif cuts then
      local places = {}
      for index, cut in ipairs(cuts) do
        places[index] = ('%s (open between "%s" and "%s")'):format(words.place(cut), cut.from,
          cut.to)
      end
      lines.add(group, lines.wrap(('"%s" floats: it hangs on %s'):format(explanation[lead],
        table.concat(places, ", ")), "", "  "))
    end
  end
  return group
end

--- How the reading compares with that of the good circuit.
local function comparison(found)
  local good = found.good_reading
  if not good or not found.reading then return nil end
  local change = found.reading - good
  if math.abs(change) < 1e-6 then return "The good circuit reads the same: this reading does not show "
    .. "the fault" end
  return ("The good circuit reads %s: %s by %s"):format(format.text(good, "voltage"),
    change > 0 and "this is higher" or "this is lower", format.text(math.abs(change), "voltage"))
end

--- What is lost beyond the good drop, whichever way the current goes: leads the other way round
--- read less than nothing along the whole way.
local function loses_beyond(drop, good)
  if drop <= 0 and good <= 0 then return good - drop end
  return drop - good
end

local MOST_CHANGES = 3
local LEAST_CHANGE = 0.05 -- of the greatest

--- The places, loads aside, whose drop differs most from that of the good circuit; one that the way
--- goes through there and back is told once.
local function change_lines(found)
  local changes, told = {}, {}
  for _, step in ipairs(found.compared and found.way and found.way.steps or {}) do
    local change = step.drop and step.good_drop and loses_beyond(step.drop, step.good_drop)
    if change and not words.is_load(step.use) and step.use ~= "source"
      and math.abs(change) >= 2 * found.way.unit and not told[words.place(step)] then
      changes[#changes + 1] = { place = words.place(step), change = change, at = #changes }
      told[words.place(step)] = true
    end
  end
  table.sort(changes, function(a, b)
    if math.abs(a.change) ~= math.abs(b.change) then
      return math.abs(a.change) > math.abs(b.change)
    end
    return a.at < b.at
  end)
  local texts = {}
  for index = 1, math.min(MOST_CHANGES, #changes) do
    local change = changes[index].change
    if math.abs(change) >= LEAST_CHANGE * math.abs(changes[1].change) then
      texts[index] = ("%s loses %s %s"):format(changes[index].place,
        format.text(math.abs(change), "voltage"), change > 0 and "more" or "less")
    end
  end
  if #texts == 0 then return {} end
  return lines.wrap("Against the good circuit " .. table.concat(texts, ", "), "", "  ")
end

local LEAST_SHARE = 0.02 -- of the ways beside; less when there are no others

--- The steps of a way that have others beside them, the greatest share first; what carries little
--- is left out where another carries more.
local function divided(way)
  local most, steps = 0, {}
  for _, step in ipairs(way.steps) do
    for _, beside in ipairs(step.beside) do most = math.max(most, beside.share) end
  end
  for at, step in ipairs(way.steps) do
    local copy = setmetatable({ beside = {}, at = at }, { __index = step })
    for _, beside in ipairs(step.beside) do
      if beside.share >= math.min(most, LEAST_SHARE) then
        copy.beside[#copy.beside + 1] = beside
      end
    end
    if #copy.beside > 0 then steps[#steps + 1] = copy end
  end
  table.sort(steps, function(a, b)
    local first, second = a.beside[1].share, b.beside[1].share
    if first ~= second then return first > second end
    return a.at < b.at
  end)
  return { steps = steps }
end

local function append_end(report, explanation, found)
  local way = found.way
  if not found.reading then
    lines.add_group(report, { "Nothing joins the leads: there is no voltage between them" })
  elseif way then
    lines.add_group(report, { ("The reading: %s"):format(words.volts(way,
      words.sum(way, function(step) return step.side == "load" end))) })
  else
    lines.add_group(report, { ("The reading: %s"):format(format.text(found.reading, "voltage")) })
  end
  lines.add(report, cut_lines(explanation, found))
  local text = comparison(found)
  if text then lines.add(report, { text }) end
  lines.add(report, change_lines(found))
  if not way then
    return lines.add_group(report, { "No way leads from a source by both leads" })
  end
  if words.closes(way) then
    lines.add(report, lines.wrap(equation(found), "  = ", "    "))
  end
  lines.add_group(report, lines.wrap(table.concat(source_lines(way)), "", "  "))
  for _, stop in ipairs(words.stops(way)) do lines.add(report, lines.wrap(stop, "", "  ")) end
  for _, stretch in ipairs(stretches) do
    lines.add_group(report, stretch_lines(found, stretch[1], stretch[2]))
  end
  for _, lost in ipairs(found.lost) do
    lines.add_group(report, lines.wrap(words.lost(lost), "", "  "))
  end
  local partings = words.partings(divided(way))
  if #partings > 0 then lines.add_group(report, { "Where the current divides" }) end
  for _, parting in ipairs(partings) do lines.add(report, lines.wrap(parting, "  ", "    ")) end
end

--- @return the report as one text
function M.text(circuit, explanation)
  local report = report_text.heading(circuit, explanation)
  report[#report + 1] = ('red lead on "%s", black lead on "%s"'):format(explanation.red,
    explanation.black)
  local remark = report_text.outcome(explanation)
  if remark then lines.add_group(report, lines.wrap(remark, "")) end
  for index, found in ipairs(explanation.ends) do
    if #explanation.ends > 1 then
      lines.add_group(report, lines.wrap(states.heading(found.states, index), "", "  "))
    end
    append_end(report, explanation, found)
  end
  lines.add_group(report, cautions.lines(circuit, explanation, "explain"))
  return lines.join(report)
end

local headings = { "circuit", "condition", "faults", "red", "black", "end", "reading",
  "good_reading", "source", "open_voltage", "source_voltage", "stretch", "from", "to", "part",
  "path", "use", "open", "current", "drop", "good_drop", "share", "good_current" }

local function names(step)
  return step.side == "feed" and "ahead of red" or step.side == "load" and "between"
    or "after black"
end

--- Leads that float, red first, each with what it hangs on.
local function pairs_of(cuts)
  local order, at = { "red", "black" }, 0
  return function()
    repeat at = at + 1 until not order[at] or cuts[order[at]]
    return order[at], cuts[order[at]]
  end
end

--- @return the report as one text
function M.csv(_, explanation)
  local rows, faults = {}, table.concat(explanation.faults, "; ")
  for index, found in ipairs(explanation.ends) do
    local way = found.way or { steps = {} }
    local head = { explanation.circuit, explanation.condition, faults, explanation.red,
      explanation.black, index, found.reading, found.good_reading, way.source,
      way.open_voltage, way.source_voltage }
    local function add(cells)
      local row = table.move(head, 1, 11, 1, {})
      for at = 1, 12 do row[11 + at] = cells[at] end
      rows[#rows + 1] = row
    end
    if #way.steps == 0 then add {} end
    for _, step in ipairs(way.steps) do
      add { names(step), step.from, step.to, step.part, step.element, step.use, step.open,
        step.current, step.drop, step.good_drop, step.share }
      for _, beside in ipairs(step.beside) do add(path_data.beside_cells(step, beside)) end
    end
    for _, lost in ipairs(found.lost) do add(path_data.lost_cells(lost)) end
    for lead, cuts in pairs_of(found.cuts) do
      for _, cut in ipairs(cuts) do
        add { lead .. " floats", cut.from, cut.to, cut.part, cut.element, cut.use, true }
      end
    end
  end
  return csv.text(headings, rows)
end

local function json_steps(way)
  local list = {}
  for index, step in ipairs(way.steps) do
    list[index] = json.object {
      { "stretch", names(step) }, { "from", step.from }, { "to", step.to }, { "part", step.part },
      { "path", json.maybe(step.element) }, { "use", step.use }, { "open", step.open },
      { "current", json.maybe(step.current) }, { "drop", json.maybe(step.drop) },
      { "share", json.maybe(step.share) },
      { "good_drop", json.maybe(step.good_drop) },
      { "beside", path_data.json_beside(step.beside) },
    }
  end
  return json.list(list)
end

local function json_cuts(cuts)
  local list = {}
  for lead, places in pairs_of(cuts) do
    for _, cut in ipairs(places) do
      list[#list + 1] = json.object { { "lead", lead }, { "part", cut.part },
        { "path", json.maybe(cut.element) }, { "from", cut.from }, { "to", cut.to } }
    end
  end
  return json.list(list)
end

--- @return the report as one text
function M.json(_, explanation)
  local ends = {}
  for index, found in ipairs(explanation.ends) do
    local way = found.way or { steps = {} }
    ends[index] = json.object {
      { "reading", json.maybe(found.reading) },
      { "good_reading", json.maybe(found.good_reading) },
      { "source", json.maybe(way.source) }, { "open_voltage", json.maybe(way.open_voltage) },
      { "source_voltage", json.maybe(way.source_voltage) },
      { "steps", json_steps(way) }, { "lost", path_data.json_lost(found.lost) },
      { "floats", json_cuts(found.cuts) }, { "states", path_data.json_states(found.states) },
    }
  end
  return json.encode(json.object {
    { "circuit", explanation.circuit }, { "condition", explanation.condition },
    { "faults", json.list(explanation.faults) }, { "outcome", explanation.outcome },
    { "red", explanation.red }, { "black", explanation.black }, { "ends", json.list(ends) },
  })
end

return M

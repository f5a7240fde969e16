--- Drops along paths as text.
local cautions = require "strapline.cautions"
local columns = require "strapline.columns"
local drops_of = require "strapline.drops"
local format = require "strapline.format"
local lines = require "strapline.lines"
local report_limits = require "strapline.report_limits"
local report_text = require "strapline.report_text"
local states = require "strapline.states"
local words = require "strapline.path_words"

local M = {}

local most_in_full = 6 -- loads; of others a line

--- Numbers limits as they come up.
local function new_notes()
  local notes = { list = {}, number = {} }
  function notes:of(limit)
    local text = report_limits.describe(limit)
    if not self.number[text] then
      self.list[#self.list + 1] = text
      self.number[text] = #self.list
    end
    return ("[%d]"):format(self.number[text])
  end
  return notes
end

local function judged_cells(path, judged, notes)
  if judged.verdict == "no limit" then return "", "", "" end
  local allowed = math.floor(judged.allowed / path.unit + 0.5)
  return words.cell(path, allowed), judged.verdict, notes:of(judged.limit)
end

local function step_row(path, step, notes)
  local limit, verdict, note = judged_cells(path, step.judged, notes)
  return { "  " .. step.from, step.to, words.place(step),
    columns.quantity(step.current, "current", "not defined"),
    step.drop and words.cell(path, step.shown) or (step.open and "open" or "floating"),
    limit, step.open and "open" or verdict, note }
end

local function total_row(path, label, fits, judged, notes)
  local limit, verdict, note = judged_cells(path, judged, notes)
  return { "  " .. label, "", "", "", words.cell(path, words.sum(path, fits)), limit, verdict,
    note }
end

--- A battery in series with the source: its voltage is no loss.
local function is_source(step)
  return step.use == "source" and step.side ~= "load" and not step.inside
end

local sides = {
  { "Feed side", function(step)
    return step.side == "feed" and not step.inside and not is_source(step)
  end, "feed" },
  { "Inside the load", function(step) return step.inside and step.side == "feed" end },
  { "Load", function(step) return step.side == "load" end },
  { "Inside the load, its ground side", function(step)
    return step.inside and step.side == "return"
  end },
  { "Ground side", function(step)
    return step.side == "return" and not step.inside and not is_source(step)
  end, "ground" },
  { "Sources in series", is_source },
}

local headings = { "red lead", "black lead", "over", "current", "drop", "limit", "", "" }

local function path_table(path, notes)
  local rows = {}
  for _, side in ipairs(sides) do
    local label, fits, judged = table.unpack(side)
    local any = false
    for _, step in ipairs(path.steps) do
      if fits(step) then
        if not any then rows[#rows + 1] = { label } end
        any = true
        rows[#rows + 1] = step_row(path, step, notes)
      end
    end
    if any and judged and words.closes(path) then
      rows[#rows + 1] = total_row(path, "in all", fits, path[judged], notes)
    end
  end
  return columns.lines(headings, rows)
end

--- "0.190 V feed side + ... = 10.44 V across battery": closes to the printed digit.
local function closing(path)
  if not words.closes(path) then
    return "The loop does not close: part of it hangs on nothing"
  end
  local sum, labels = "", { "feed side", "inside", "load", "inside", "ground side" }
  for index, label in ipairs(labels) do
    local total = words.sum(path, sides[index][2])
    if total ~= 0 or index == 1 or index == 3 or index == 5 then
      local sign = sum == "" and "" or total < 0 and " - " or " + "
      local size = sign == " - " and -total or total
      sum = ("%s%s%s %s"):format(sum, sign, words.volts(path, size), label)
    end
  end
  local order, volts = { path.source }, { [path.source] = path.shown_source }
  for _, step in ipairs(path.steps) do
    if is_source(step) then
      if not volts[step.part] then order[#order + 1] = step.part end
      volts[step.part] = (volts[step.part] or 0) - step.shown
    end
  end
  local sources = ""
  for _, part in ipairs(order) do
    local sign = sources == "" and "" or volts[part] < 0 and " - " or " + "
    local size = sign == " - " and -volts[part] or volts[part]
    sources = ("%s%s%s across %s"):format(sources, sign, words.volts(path, size), part)
  end
  return ("Loop: %s = %s"):format(sum, sources)
end

--- What both sides, the cables alone and the batteries come to, where there is a limit for it.
local function whole_lines(path, notes, temperature)
  local list = {}
  local function add(label, judged)
    if judged.limit and judged.value and path.load_current > 0 then
      local warm = judged.celsius and judged.celsius ~= temperature
        and (" at its %s"):format(format.text(judged.celsius, "temperature")) or ""
      list[#list + 1] = ("%s: %s, %s %s%s: %s %s"):format(label,
        format.text(judged.value, "voltage"), judged.limit.least and "at least" or "allowed",
        format.text(judged.allowed, "voltage"), warm, judged.verdict, notes:of(judged.limit))
    end
  end
  add("Both sides", path.both)
  add("Both sides but for switches, relays and fuses", path.cables)
  add("Lowest source", path.batteries)
  local cables, current = path.cables.value, path.load_current
  if path.use == "starter motor" and current and current > 1 and cables and path.stops == 0 then
    list[#list + 1] = ("Cables and connections lose %s per 100 A"):format(
      format.text(cables / current * 100, "voltage"))
  end
  return list
end

local MORE = 1.25 -- times the current of the good circuit: as lib/analysis/judge.c has it

local function draws_too_much(path)
  return path.expected and path.expected > 0 and path.load_current > MORE * path.expected
end

--- Is something else at fault than that a load takes too much?
local function others_blamed(blamed)
  return #blamed.open + #blamed.moved + #blamed.own + #blamed.over + #blamed.lost > 0
end

--- Of what is over its limit for its current alone: how much that is.
local function current_lines(path, bad, blamed)
  local places, list = {}, {}
  for _, step in ipairs(path.steps) do
    if step.judged.verdict == "by current" then
      places[#places + 1] = ("%s (%s, %s without faults)"):format(words.place(step),
        format.text(step.current, "current"), format.text(step.judged.good_current, "current"))
    end
  end
  local side = path.feed.verdict == "by current" or path.ground.verdict == "by current"
    or path.both.verdict == "by current" or path.cables.verdict == "by current"
  if #places > 0 then
    list[1] = ("%s: not at fault. The resistance is good; the drop is over its limit for the "
      .. "current alone"):format(table.concat(places, ", "))
  end
  if bad == 0 and (#places > 0 or side) and not draws_too_much(path)
    and not others_blamed(blamed) then
    list[#list + 1] = "something else draws too much through the same places: follow that load"
  end
  return list
end

local MOST_OF_IT = 0.6 -- of what is lost on both sides
local FEW = 3          -- places that can be called most of it

local function is_on(step, side)
  return not side or step.side == (side == "ground" and "return" or side)
end

--- Of a side, or of both, that lose too much where no place does: the few that lose most of it, or
--- that it is many.
local function side_lines(path, side)
  local places, all = {}, 0
  for at, step in ipairs(path.steps) do
    if step.side ~= "load" and is_on(step, side) and step.use ~= "source" and not step.inside
      and step.drop then
      places[#places + 1] = { step = step, at = at }
      all = all + math.abs(step.shown)
    end
  end
  table.sort(places, function(a, b)
    local x, y = math.abs(a.step.shown), math.abs(b.step.shown)
    if x ~= y then return x > y end
    return a.at < b.at
  end)
  local sum, list = 0, {}
  for index = 1, math.min(FEW, #places) do
    local step = places[index].step
    if sum < MOST_OF_IT * all then
      list[index] = ("%s, %s: %s"):format(words.place(step), words.volts(path, step.shown),
        words.meaning(step.use))
    end
    sum = sum + math.abs(step.shown)
  end
  local where = side and side .. " side: " or ""
  if sum >= MOST_OF_IT * all and (#places > FEW or side) then
    table.insert(list, 1, where .. "no place has a limit that it is over; most is lost here")
    return list
  end
  return { where .. "no single place is over its limit: many small drops add up; clean and tighten "
    .. "from the largest on" }
end

--- What each thing that is bad means.
local function meaning_lines(path, blamed)
  local list, open = {}, false
  for _, step in ipairs(path.steps) do open = open or step.stop == "open" end
  for _, step in ipairs(path.steps) do
    if step.stop == "open" or step.stop and not open then
      list[#list + 1] = ("%s: %s"):format(words.place(step), words.stop_meaning(step))
    elseif step.judged.verdict == "bad" then
      list[#list + 1] = ("%s: %s"):format(words.place(step), words.meaning(step.use))
    end
  end
  lines.add(list, current_lines(path, #list, blamed))
  if path.batteries.verdict == "bad" then
    list[#list + 1] = "low voltage and high current: a dragging starter or engine, or a weak "
      .. "battery; charge and test the battery first"
  end
  if #words.sneaks(path) > 0 then
    list[#list + 1] = "the current does not go its own way: look for an open or poor joint where "
      .. "it turns off"
  elseif path.stops == 0 and #path.lost == 0 then
    for _, side in ipairs(drops_of.bad_sides(path)) do
      lines.add(list, side_lines(path, side))
    end
    if #list == 0 and path.bad then lines.add(list, side_lines(path)) end
  end
  return list
end

local BRIDGED = 4 -- times the current that a pull-in winding has once the contacts have closed

--- A remark on how much current there is to judge by. What a load takes at an end of a chatter, or
--- while something else is at fault, says nothing of the load.
local function current_remark(path, blamed, chatters)
  local current, expected = path.load_current or 0, path.expected
  if current == 0 then
    return "No current through the load: where none flows a place reads 0 V or all of it, and "
      .. "cannot be called good"
  elseif current < 0 then
    return ("%s flows through the load the wrong way round%s"):format(
      format.text(-current, "current"), expected
        and (", and %s the right way without faults"):format(format.text(expected, "current")) or "")
  elseif expected and current < 0.5 * expected then
    return ("Only %s of the %s that the load has without faults: where little flows, a small drop "
      .. "proves nothing"):format(
      format.text(current, "current"), format.text(expected, "current"))
  elseif path.use == "solenoid coil" and expected and current > BRIDGED * expected then
    return ("%s, and %s without faults, where its contacts bridge it: they have not closed here")
      :format(format.text(current, "current"), format.text(expected, "current"))
  elseif draws_too_much(path) and not chatters and not others_blamed(blamed) then
    return ("%s, and %s without faults: %s or what it drives takes too much"):format(
      format.text(current, "current"), format.text(expected, "current"), path.part)
  end
end

--- What the current is there for; of a motor that has its current through a winding of its own
--- solenoid, that it does not turn.
local function use_text(path)
  for _, step in ipairs(path.steps) do
    if step.side == "load" and step.use ~= path.use and words.is_coil(path.use) then
      return (" (%s, fed through its own coil: it does not turn)"):format(step.use)
    end
  end
  if path.use == "source" then return " (being charged)" end
  return path.use == path.element and "" or (" (%s)"):format(path.use)
end

local function load_heading(path)
  local name = path.element and path.part .. ": " .. path.element or path.part
  local use = use_text(path)
  local current = path.load_current or 0
  return ('%s%s: %s%s from %s, out at "%s", back at "%s"'):format(name, use,
    format.text(math.abs(current), "current"), current < 0 and " backwards" or "", path.source,
    path.plus, path.minus)
end

--- At an end of a chatter: what is over its limit, with good resistance, by a current that the
--- good circuit has only for a moment.
local function unjudged_lines(path)
  local places = {}
  for _, step in ipairs(path.steps) do
    local judged = step.judged
    if judged.verdict == "cannot judge" and (step.current or 0) > 0
      and math.abs(judged.value) > judged.allowed then
      places[#places + 1] = words.place(step)
    end
  end
  if #places == 0 then return {} end
  return { ("%s: over the limit, with good resistance, and cannot be judged: what flows at this end "
    .. "of the chatter flows in the good circuit for a moment only"):format(
    table.concat(places, ", ")) }
end

local function has_limit(path)
  for _, step in ipairs(path.steps or {}) do
    if step.judged.limit then return true end
  end
  for _, side in ipairs { "feed", "ground", "both", "cables", "batteries" } do
    if path[side] and path[side].limit then return true end
  end
  return false
end

local function append_path(report, path, notes, drops, index)
  if path.no_way then
    return lines.add_group(report, { ("%s: no way leads from a source to it and back")
      :format(path.element and path.part .. ": " .. path.element or path.part) })
  end
  lines.add_group(report, lines.wrap(load_heading(path), "", "  "))
  local blamed = drops.blamed[index]
  local remark = current_remark(path, blamed, #drops.ends > 1)
  if remark then lines.add(report, lines.wrap(remark, "  ", "  ")) end
  for _, text in ipairs(words.stops(path)) do lines.add(report, lines.wrap(text, "  ", "    ")) end
  lines.add(report, path_table(path, notes))
  if not has_limit(path) then
    lines.add(report, lines.wrap(("Not judged: set %s has no limit for any place here; --limits "
      .. "list shows the sets"):format(drops.set.name), "  ", "    "))
  end
  for _, list in ipairs { { closing(path) }, whole_lines(path, notes, drops.temperature),
    unjudged_lines(path), words.partings(path), words.sneaks(path) } do
    for _, text in ipairs(list) do lines.add(report, lines.wrap(text, "  ", "    ")) end
  end
  for _, way in ipairs(path.lost) do lines.add(report, lines.wrap(words.lost(way), "  ", "    ")) end
  local meanings = meaning_lines(path, blamed)
  if #meanings > 0 then
    lines.add(report, { "  What is bad may mean" })
    for _, text in ipairs(meanings) do lines.add(report, lines.wrap(text, "    - ", "      ")) end
  end
end

local function append_rest(report, paths)
  local rest = {}
  for index = most_in_full + 1, #paths do
    local path = paths[index]
    rest[#rest + 1] = { (path.element and path.part .. ": " .. path.element or path.part),
      columns.quantity(path.load_current, "current", "no way"), path.bad and "bad" or "" }
  end
  if #rest > 0 then
    local group = { "Further loads; --load PART follows one" }
    lines.add(group, columns.lines({ "load", "current", "" }, rest))
    lines.add_group(report, group)
  end
end

local function append_notes(report, drops, notes)
  if #drops.ends[1] == 0 then return end
  local group = lines.wrap(("Limits: set %s, %s. A maker's figure for the vehicle comes first.")
    :format(drops.set.name, drops.set.about), "", "  ")
  for index, text in ipairs(notes.list) do
    lines.add(group, lines.wrap(text, ("  [%d] "):format(index), "      "))
  end
  lines.add_group(report, group)
end

local function condition_names(circuit)
  local names = {}
  for index, condition in ipairs(circuit.conditions) do names[index] = condition.name end
  return table.concat(names, ", ")
end

local places_in_summary = 6

--- Places by name, the first few.
local function some(places)
  local more = #places - places_in_summary
  return table.concat(places, "; ", 1, math.min(#places, places_in_summary))
    .. (more > 0 and ("; and %d more"):format(more) or "")
end

--- What is at fault at one end, the surest first; nil when nothing is.
local function blamed_text(blamed)
  local list = {}
  local function add(heading, places)
    if #places > 0 then list[#list + 1] = heading .. some(places) end
  end
  add("OPEN: ", blamed.open)
  local over = table.move(blamed.over, 1, #blamed.over, 1, {})
  for _, side in ipairs(blamed.sides) do over[#over + 1] = side .. " in all" end
  add("OVER THE LIMIT: ", over)
  add("SOURCE BELOW ITS LIMIT: ", blamed.sources)
  add(#list > 0 and "Also lost its share: " or "LOST ITS SHARE: ", blamed.lost)
  add(#list > 0 and "Also open: " or "OPEN: ", blamed.moved)
  if #list == 0 then add("OPEN: ", blamed.own) end
  add(#list > 0 and "Too much current, not at fault: "
    or "TOO MUCH CURRENT, and over the limit for that alone: ", blamed.by_current)
  return #list > 0 and table.concat(list, ". ") or nil
end

--- Of places with too little current to prove anything, the one that carries most elsewhere.
local function little_text(step)
  return ('%s through %s, which carries %s in condition "%s"; judge it there'):format(
    format.text(math.abs(step.current or 0), "current"), words.place(step),
    format.text(step.judged.peak, "current"), step.judged.peak_condition)
end

local function places_text(count) return count == 1 and "1 place" or count .. " places" end

--- That nothing is over its limit, and for what there is too little current; nil where a way stops, a
--- current is not what it should be, or something cannot be judged for that.
local function all_well(paths, blamed)
  local judged, unproved, seen, most = 0, 0, {}, nil
  for _, path in ipairs(paths) do
    if path.no_way or path.stops > 0 or current_remark(path, blamed, false) then return nil end
    for _, step in ipairs(path.steps) do
      local verdict, place, peak = step.judged.verdict, words.place(step), step.judged.peak
      if verdict == "cannot judge" and not peak then return nil end
      if not seen[place] and peak then
        unproved = unproved + 1
        if not most or peak > most.judged.peak then most = step end
      elseif not seen[place] and verdict == "ok" then
        judged = judged + 1
      end
      seen[place] = seen[place] or peak or verdict == "ok"
    end
  end
  if judged == 0 then return most and "TOO LITTLE CURRENT TO JUDGE BY: " .. little_text(most) end
  local text = ("NOTHING OVER ITS LIMIT: %s judged, each at the current it has here"):format(
    places_text(judged))
  return most and ("%s. Too little current to judge %s: %s"):format(text, places_text(unproved),
    little_text(most)) or text
end

--- What is at fault, before the tables that show it, or that nothing is; nil when that is not told.
local function summary(drops, index)
  if not drops.judged and #drops.ends[1] > 0 then
    return ("NOTHING WAS JUDGED: set %s has no limit for any place on these paths; --limits list "
      .. "shows the sets"):format(drops.set.name)
  end
  local text = blamed_text(drops.blamed[index])
  if text then return text end
  local other = drops.blamed[3 - index]
  text = other and blamed_text(other)
  if text then return "Nothing to blame at this end; at the other: " .. text end
  for _, path in ipairs(drops.ends[index]) do
    if path.bad then return "BAD: no single place, but a side as a whole; see below" end
  end
  return not other and all_well(drops.ends[index], drops.blamed[index]) or nil
end

--- @return the report as one text
function M.text(circuit, drops)
  local report, notes = report_text.heading(circuit, drops), new_notes()
  local remark = report_text.outcome(drops)
  if remark then lines.add_group(report, lines.wrap(remark, "")) end
  for index, paths in ipairs(drops.ends) do
    if #drops.ends > 1 then
      lines.add_group(report, lines.wrap(states.heading(drops.states[index], index), "", "  "))
    end
    local over = summary(drops, index)
    if over then lines.add_group(report, lines.wrap(over, "", "  ")) end
    if #paths == 0 then
      lines.add_group(report, lines.wrap("No load has current: there is nothing to test. Switch it "
        .. "on by a --condition; the file has: " .. condition_names(circuit) .. ".", "", "  "))
    end
    for at = 1, math.min(#paths, most_in_full) do
      append_path(report, paths[at], notes, drops, index)
    end
    append_rest(report, paths)
  end
  append_notes(report, drops, notes)
  lines.add_group(report, cautions.lines(circuit, drops, "drops"))
  return lines.join(report)
end

return M

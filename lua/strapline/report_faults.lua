--- Surveys of faults as text: what only a load brings out, what a meter alone finds too, and what
--- nothing shows.
local cautions = require "strapline.cautions"
local format = require "strapline.format"
local lines = require "strapline.lines"
local pair_summary = require "strapline.pair_summary"

local M = {}

local MOST_LISTED = 100000 -- of the faults that nothing shows

M.ROWS = 12 -- of each section, when not said

local function volts(value)
  return value and format.text(value, "voltage") or "0 V (floats)"
end

local function leads(place)
  return ('"%s" to "%s"'):format(place.red, place.black)
end

--- "starter: turns slowly (was: cranks at 260 rpm)", "L1: dark (was: 85 % light)"
function M.notice(entry)
  local now, was = table.concat(entry.now, "; "), table.concat(entry.was, "; ")
  if now == "" then now = entry.none end
  if entry.other_end then now = now .. ", at the other end of the chatter" end
  if was == "" then return ("%s: %s"):format(entry.part, now) end
  return ("%s: %s (was: %s)"):format(entry.part, now, was)
end

local MOST_NOTICES = 3

local function notice_line(found)
  local texts = {}
  for index, entry in ipairs(found.notices) do
    if index <= MOST_NOTICES then texts[index] = M.notice(entry) end
  end
  local more = #found.notices - #texts
  if more > 0 then texts[#texts + 1] = ("and %d more"):format(more) end
  return table.concat(texts, " | ")
end

--- "A" to "B": 4.157 V, good 9.015 mV; meter alone 0 V
local function loaded_text(found, reading)
  local text = ("%s: %s, good %s"):format(leads(reading.place), volts(reading.now),
    volts(reading.good))
  if not M.looks_good(found) then return text end
  return ("%s; meter alone %s"):format(text, volts(reading.alone_now))
end

--- Whether a meter alone finds nothing, in this condition and in the others looked at.
function M.looks_good(found)
  return found.load_only and not found.found_alone
end

--- "A" to "B": 0 V, good 12.64 V; in another condition than the one shown when only that shows it.
function M.alone(found)
  local from = found.found_alone
  if not from then return nil end
  local text = ("%s: %s, good %s"):format(leads(from.alone.place), volts(from.alone.alone_now),
    volts(from.alone.alone_good))
  return from.condition == found.condition and text or ("%s [%s]"):format(text, from.condition)
end

local INDENT = "            "

--- Title, and a line each for the loaded readings, the meter alone, and what is noticed.
local function block(found)
  local title = ("  %s   [%s]"):format(table.concat(found.faults, " + "), found.condition)
  if found.outcome == "chatters" then
    title = title .. ", chatters: the end that shows it more"
  end
  local group = #title > lines.WIDTH and lines.wrap(title, "  ", "    ") or { title }
  local function add(label, text)
    lines.add(group, lines.wrap(text, ("    %-8s"):format(label), INDENT))
  end
  if found.best then add("loaded", loaded_text(found, found.best)) end
  if M.looks_good(found) and found.load and found.load ~= found.best and found.load.now then
    add("", loaded_text(found, found.load))
  end
  if found.found_alone then
    add("alone", M.alone(found))
  end
  if #found.notices > 0 then add("notice", notice_line(found)) end
  return group
end

--- 2 when a load or another part than the faulty one tells of a fault, 1 when somebody has to look
--- at that, 0 when nothing is noticed.
local function noticed(found)
  for _, entry in ipairs(found.notices) do
    if entry.load or not entry.own then return 2 end
  end
  return #found.notices > 0 and 1 or 0
end

--- The difference a finding makes, to a microvolt: what differs by less is a tie.
local function size(found)
  return math.floor(found.by * 1e6 + 0.5)
end

--- Whether a comes before b: what somebody notices first, then the larger difference.
local function before(a, b)
  local noticed_a, noticed_b = noticed(a), noticed(b)
  if noticed_a ~= noticed_b then return noticed_a > noticed_b end
  if size(a) ~= size(b) then return size(a) > size(b) end
  return a.case < b.case
end

--- Whether b shows a fault better than a: when somebody notices it, then by the difference.
local function stronger(a, b)
  local noticed_a, noticed_b = noticed(a), noticed(b)
  if noticed_a ~= noticed_b then return noticed_b > noticed_a end
  return size(b) > size(a)
end

--- Findings of which only the first `most` are kept, in the order of `comes_first`; all are counted.
local function keep_first(most, comes_first)
  local kept = { count = 0 }
  local function cut()
    if comes_first then table.sort(kept, comes_first) end
    for index = #kept, most + 1, -1 do kept[index] = nil end
  end
  function kept.add(found)
    kept.count = kept.count + 1
    kept[#kept + 1] = found
    if #kept > 2 * most + 1000 then cut() end
  end
  kept.cut = cut
  return kept
end

local function is_inside_loads(survey, found)
  for _, fault in ipairs(found.of) do
    if not fault.part or not survey.circuit.kinds[fault.part].load then return false end
  end
  return true
end

local function section_of(survey, found)
  if found.status or found.good_status then return "failed" end
  local alone = found.found_alone
  if not found.best and not found.alone and #found.notices == 0 then return "nothing" end
  if not found.best and not alone then return "noticed" end
  if not M.looks_good(found) then return "both" end
  return is_inside_loads(survey, found) and "inside" or "load_only"
end

local function each(list)
  local at = 0
  return function()
    at = at + 1
    return list[at]
  end
end

--- Pairs in the order they come, each condition for itself: there are too many to keep.
local function one_by_one(survey, summary, progress)
  local next_finding = survey:whole(progress)
  return function()
    local found = next_finding()
    if found and found.alone then found.found_alone = found end
    if found then summary:add(found) end
    return found
  end
end

--- Findings in the order their faults come, a chatter as one; of each fault the one that shows it
--- best over the conditions, or all of them. found_alone: the finding, of any condition, that a meter
--- alone makes; nil: none.
--- @return iterator
local function over_conditions(survey, all, progress)
  local faults, order = {}, {}
  for found in survey:whole(progress) do
    local key = table.concat(found.faults, "\0")
    local kept = faults[key]
    if not kept then
      kept = { list = {} }
      faults[key], order[#order + 1] = kept, kept
    end
    if all then table.insert(kept.list, found)
    elseif not kept.list[1] or stronger(kept.list[1], found) then kept.list[1] = found end
    if found.alone and (not kept.alone or size(found) > size(kept.alone)) then kept.alone = found end
  end
  local list = {}
  for _, kept in ipairs(order) do
    for _, found in ipairs(kept.list) do
      found.found_alone = found.alone and found or kept.alone
      list[#list + 1] = found
    end
  end
  return each(list)
end

--- Of each fault the finding that shows it best over the conditions. @return iterator
function M.strongest(survey, progress)
  return over_conditions(survey, false, progress)
end

--- Sorts findings into sections.
--- @param summary of pairs, which are added to it
local function collect(survey, rows, all, summary, progress)
  local sections = {
    load_only = keep_first(rows, before), both = keep_first(rows, before),
    inside = keep_first(rows, before), noticed = keep_first(rows, before),
    nothing = keep_first(MOST_LISTED), failed = keep_first(rows),
  }
  local findings = survey.pairs and one_by_one(survey, summary, progress)
    or over_conditions(survey, all, progress)
  for found in findings do sections[section_of(survey, found)].add(found) end
  for _, kept in pairs(sections) do kept.cut() end
  return sections
end

local function left_out(count, rows)
  return count > rows and { ("  ... and %d more: --rows all shows them"):format(count - rows) } or {}
end

local function section(report, title, findings, rows)
  if findings.count == 0 then return end
  local group = lines.wrap(("%s (%d)"):format(title, findings.count), "")
  for _, found in ipairs(findings) do lines.add(group, block(found)) end
  lines.add(group, left_out(findings.count, rows))
  lines.add_group(report, group)
end

--- What is written before and in a list of faults: part and changes or, where each condition is told
--- for itself, fault and conditions.
local function list_entry(found, all)
  if all then return found.faults[1], found.condition end
  local part, change = found.faults[1]:match "^(.-): (.*)$"
  return part or found.faults[1], change
end

--- "G1: corroded = 0.1 ohm, loose = 32 mohm", or "G1: open [rest, key on]"
local function short_list(findings, all)
  local order, entries = {}, {}
  for _, found in ipairs(findings) do
    local head, item = list_entry(found, all)
    if not entries[head] then
      entries[head] = {}
      order[#order + 1] = head
    end
    table.insert(entries[head], item)
  end
  local texts = {}
  for index, head in ipairs(order) do
    local items = table.concat(entries[head], ", ")
    local pattern = items == "" and "%s" or all and "%s [%s]" or "%s: %s"
    texts[index] = pattern:format(head, items)
  end
  return texts
end

local MOST_SILENT = 20

local function silent(report, survey, findings, rows, all)
  if findings.count == 0 then return end
  local group = { ("Nothing shows these in the conditions looked at (%d)"):format(findings.count) }
  if survey.pairs then
    group[2] = "  --format csv lists them, with load_only false and no leads"
  else
    local texts = short_list(findings, all)
    local most = rows == math.huge and #texts or math.min(#texts, MOST_SILENT)
    lines.add(group, lines.wrap(table.concat(texts, "; ", 1, most), "  "))
    if most < #texts then
      group[#group + 1] = ("  ... and %d more: --rows all shows them"):format(#texts - most)
    end
  end
  lines.add_group(report, group)
end

local function failed(report, findings, rows)
  if findings.count == 0 then return end
  local group = { ("No answer (%d)"):format(findings.count) }
  for _, found in ipairs(findings) do
    lines.add(group, lines.wrap(("%s [%s]: %s"):format(table.concat(found.faults, " + "),
      found.condition, found.message or "the good circuit has no answer in this condition"),
      "  ", "    "))
  end
  lines.add(group, left_out(findings.count, rows))
  lines.add_group(report, group)
end

local MOST_PARTS = 8 -- of a list of a summary

--- One list of a summary: how many pairs there are of each two parts, with one of them.
local function pair_lines(group, title, list)
  local count = 0
  for _, entry in ipairs(list) do count = count + entry.count end
  if count == 0 then return end
  lines.add(group, lines.wrap(("%s (%d)"):format(title, count), "  ", "    "))
  for index = 1, math.min(#list, MOST_PARTS) do
    local entry = list[index]
    lines.add(group, lines.wrap(("%s and %s: %d, as %s"):format(entry.parts[1], entry.parts[2],
      entry.count, entry.example), "    ", "      "))
  end
  if #list > MOST_PARTS then
    group[#group + 1] = ("    ... and of %d more pairs of parts"):format(#list - MOST_PARTS)
  end
end

--- What pairs do that neither fault does, by part.
local function summary_lines(summary)
  local found = summary:close()
  local group = { ("Pairs by part (%d of faults in two parts)"):format(found.pairs) }
  pair_lines(group, "Only together: neither fault shows anything alone, both at once do",
    found.together)
  pair_lines(group, "One hides the other: alone it shows, with both nothing does", found.silent)
  pair_lines(group, "Hidden from a meter alone: it finds one of them, and nothing once both are "
    .. "there", found.meter)
  local texts = {}
  for index = 1, math.min(#found.marked, MOST_PARTS) do
    texts[index] = ("%s %d"):format(found.marked[index].part, found.marked[index].count)
  end
  if #texts > 0 then
    lines.add(group, lines.wrap(("Parts in most of the %d marked pairs: %s"):format(
      found.marked_pairs, table.concat(texts, "; ")), "  ", "    "))
  end
  return group
end

local function heading(survey, conditions)
  local change = format.limit(survey.change, "voltage", "V")
  local group = lines.wrap(("%s: %d faults in %d %s, %d cases%s"):format(survey.circuit.name,
    #survey.sweep.faults, #conditions, #conditions == 1 and "condition" or "conditions",
    survey.sweep.cases, survey.done < survey.sweep.cases and
    (", stopped after %d: the rest has not been looked at"):format(survey.done) or ""), "")
  lines.add(group, lines.wrap(("A reading counts when it differs from the good vehicle by %s or "
    .. "more. \"loaded\": the condition's own currents flow. \"alone\": every load unplugged but coils, "
    .. "the engine stopped, every switch as it is, a meter the only thing connected. In brackets: "
    .. "the condition."):format(
    change), ""))
  return group
end

--- @param rows blocks of a section; math.huge for all
--- @param all each condition for itself, instead of the one that shows a fault best; pairs always,
---   and what finds them is then told of each condition too
--- @return the report as one text
function M.text(survey, conditions, rows, all, progress)
  local report = {}
  local summary = survey.pairs and pair_summary.new(survey.change)
  local sections = collect(survey, rows, all, summary, progress)
  lines.add(report, heading(survey, conditions))
  if summary then lines.add_group(report, summary_lines(summary)) end
  section(report, "** LOOKS GOOD TO A METER ALONE, bad under load", sections.load_only, rows)
  section(report, "Inside a load: without it everything reads good", sections.inside, rows)
  section(report, "A meter alone finds these too", sections.both, rows)
  section(report, "Noticed, and no voltage differs; an ammeter or a clamp may tell", sections.noticed, rows)
  silent(report, survey, sections.nothing, rows, all)
  failed(report, sections.failed, rows)
  lines.add_group(report, cautions.lines(survey.circuit,
    { condition = table.concat(conditions, ", "), faults = {} }, "faults"))
  return lines.join(report)
end

return M

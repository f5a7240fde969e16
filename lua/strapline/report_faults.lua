--- Surveys of faults as text: what only a load brings out, what a meter alone finds too, and what
--- nothing shows.
local cautions = require "strapline.cautions"
local format = require "strapline.format"
local lines = require "strapline.lines"

local M = {}

local MOST_LISTED = 100000 -- of the faults that nothing shows

M.ROWS = 12 -- of each section, when not said

local function volts(value)
  return value and format.text(value, "voltage") or "0 V (floats)"
end

local function leads(place)
  return ('"%s" to "%s"'):format(place.red, place.black)
end

--- "starter: turns slowly (was: cranks at 260 rpm)", "L1: nothing (was: 85 % light)"
function M.notice(entry)
  local now, was = table.concat(entry.now, "; "), table.concat(entry.was, "; ")
  if was == "" then return ("%s: %s"):format(entry.part, now) end
  return ("%s: %s (was: %s)"):format(entry.part, now == "" and "nothing" or now, was)
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
  if not found.load_only then return text end
  return ("%s; meter alone %s"):format(text, volts(reading.alone_now))
end

local INDENT = "            "

--- Title, and a line each for the loaded readings, the meter alone, and what is noticed.
local function block(found)
  local title = ("  %s   [%s]"):format(table.concat(found.faults, " + "), found.condition)
  if found.outcome == "chatters" then
    title = ("%s, end %d of a chatter"):format(title, found.ending)
  end
  local group = { title }
  local function add(label, text)
    lines.add(group, lines.wrap(text, ("    %-8s"):format(label), INDENT))
  end
  if found.best then add("loaded", loaded_text(found, found.best)) end
  if found.load_only and found.load and found.load ~= found.best then
    add("", loaded_text(found, found.load))
  end
  if found.alone then
    add("alone", ("%s: %s, good %s"):format(leads(found.alone.place),
      volts(found.alone.alone_now), volts(found.alone.alone_good)))
  end
  if #found.notices > 0 then add("notice", notice_line(found)) end
  return group
end

--- Whether a comes before b: what somebody notices first, then the larger difference.
local function before(a, b)
  local noticed_a, noticed_b = #a.notices > 0, #b.notices > 0
  if noticed_a ~= noticed_b then return noticed_a end
  if a.by ~= b.by then return a.by > b.by end
  return a.case < b.case
end

--- Whether b shows a fault better than a: when somebody notices it, then by the difference.
local function stronger(a, b)
  local noticed_a, noticed_b = #a.notices > 0, #b.notices > 0
  if noticed_a ~= noticed_b then return noticed_b end
  return b.by > a.by
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
  if not found.best and not found.alone and #found.notices == 0 then return "nothing" end
  if not found.best and not found.alone then return "noticed" end
  if not found.load_only then return "both" end
  return is_inside_loads(survey, found) and "inside" or "load_only"
end

--- Findings in the order they come; of each fault the one that shows it best over the conditions.
--- @return iterator
function M.strongest(survey, progress)
  local kept, order = {}, {}
  for found in survey:findings(progress) do
    local key = table.concat(found.faults, "\0")
    if not kept[key] then order[#order + 1] = key end
    if not kept[key] or stronger(kept[key], found) then kept[key] = found end
  end
  local at = 0
  return function()
    at = at + 1
    return kept[order[at]]
  end
end

--- Sorts findings into sections.
local function collect(survey, rows, all, progress)
  local sections = {
    load_only = keep_first(rows, before), both = keep_first(rows, before),
    inside = keep_first(rows, before), noticed = keep_first(rows, before),
    nothing = keep_first(MOST_LISTED), failed = keep_first(rows),
  }
  local findings = all and survey:findings(progress) or M.strongest(survey, progress)
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

local function heading(survey, conditions)
  local change = format.limit(survey.change, "voltage", "V")
  local group = lines.wrap(("%s: %d faults in %d %s, %d cases%s"):format(survey.circuit.name,
    #survey.sweep.faults, #conditions, #conditions == 1 and "condition" or "conditions",
    survey.sweep.cases, survey.done < survey.sweep.cases and
    (", stopped after %d: the rest has not been looked at"):format(survey.done) or ""), "")
  lines.add(group, lines.wrap(("A reading counts when it differs from the good vehicle by %s or "
    .. "more. \"loaded\": the condition's own currents flow. \"alone\": every load unplugged, every "
    .. "switch as it is, a meter the only thing connected. In brackets: the condition."):format(
    change), ""))
  return group
end

--- @param rows blocks of a section; math.huge for all
--- @param all each condition for itself, instead of the one that shows a fault best: pairs take no
---   memory then
--- @return the report as one text
function M.text(survey, conditions, rows, all, progress)
  local report = {}
  local sections = collect(survey, rows, all, progress)
  lines.add(report, heading(survey, conditions))
  section(report, "** LOOKS GOOD TO A METER ALONE, bad under load", sections.load_only, rows)
  section(report, "Inside a load: without it everything reads good", sections.inside, rows)
  section(report, "A meter alone finds these too", sections.both, rows)
  section(report, "Noticed, and no reading differs", sections.noticed, rows)
  silent(report, survey, sections.nothing, rows, all)
  failed(report, sections.failed, rows)
  lines.add_group(report, cautions.lines(survey.circuit,
    { condition = table.concat(conditions, ", "), faults = {} }, "faults"))
  return lines.join(report)
end

return M

--- The failure table: part, mode, what it does where it is, what it does elsewhere, and the reading
--- that shows it, in the condition that shows it best. Its columns follow the failure mode and effect
--- analysis of MIL-STD-1629A, task 101: item, mode, local effect, system effect, way of detection.
local columns = require "strapline.columns"
local csv = require "strapline.csv"
local format = require "strapline.format"
local json = require "strapline.json"
local lines = require "strapline.lines"
local report_faults = require "strapline.report_faults"

local M = {}

local NONE = "none"

local function notices(found, own)
  local texts = {}
  for _, entry in ipairs(found.notices) do
    if entry.own == own then texts[#texts + 1] = report_faults.notice(entry) end
  end
  return #texts > 0 and table.concat(texts, "; ") or nil
end

local function reading(which, good, now)
  if not which then return nil end
  local function volts(value) return value and format.text(value, "voltage") or "0 V (floats)" end
  return ('"%s" to "%s": %s, good %s'):format(which.place.red, which.place.black, volts(which[now]),
    volts(which[good]))
end

local function alone(found)
  return report_faults.looks_good(found) and "looks good" or report_faults.alone(found)
end

--- { item, mode, condition, local_effect, system_effect, loaded, alone }
local function row_of(found)
  local fault = found.of[1]
  local item, mode = fault.text:match "^(.-): (.*)$"
  local failed = found.status and (found.message or found.status)
    or found.good_status and "the good circuit has no answer in this condition"
  local loaded = reading(found.best, "good", "now")
  return {
    item = fault.part and item or "node " .. (fault.node or fault.text),
    mode = fault.part and mode or fault.text, condition = found.condition,
    local_effect = failed or notices(found, true)
      or found.best and found.best.own and loaded or NONE,
    system_effect = failed and "" or notices(found, false) or NONE,
    loaded = loaded, alone = alone(found),
  }
end

local function rows_of(survey, progress)
  local rows = {}
  for found in report_faults.strongest(survey, progress) do rows[#rows + 1] = row_of(found) end
  return rows
end

local keys = { "item", "mode", "condition", "local_effect", "system_effect", "loaded", "alone" }

function M.csv(survey, write, progress)
  write(csv.line(keys, #keys) .. "\n")
  for _, row in ipairs(rows_of(survey, progress)) do
    local cells = {}
    for index, key in ipairs(keys) do cells[index] = row[key] end
    write(csv.line(cells, #keys) .. "\n")
  end
end

function M.json(survey, write, progress)
  local list = {}
  for index, row in ipairs(rows_of(survey, progress)) do
    local object = {}
    for at, key in ipairs(keys) do object[at] = { key, json.maybe(row[key]) } end
    list[index] = json.line(json.object(object))
  end
  write("[\n" .. table.concat(list, ",\n") .. "\n]\n")
end

local function block(row)
  local group = { ("  %s   [%s]"):format(row.mode, row.condition) }
  local function add(label, text)
    lines.add(group, lines.wrap(text, ("    %-8s"):format(label), "            "))
  end
  if row.local_effect ~= NONE and row.local_effect ~= row.loaded then
    add("here", row.local_effect)
  end
  if row.system_effect ~= NONE and row.system_effect ~= "" then add("system", row.system_effect) end
  if row.loaded then add("loaded", row.loaded) end
  if row.alone then add("alone", row.alone) end
  if #group == 1 then group[1] = group[1] .. "   nothing shows it" end
  return group
end

--- Counts by what finds them.
local function summary(rows)
  local count = { load = 0, alone = 0, notice = 0, nothing = 0 }
  for _, row in ipairs(rows) do
    local key = row.alone == "looks good" and "load" or row.alone and "alone"
      or (row.loaded or row.system_effect ~= NONE or row.local_effect ~= NONE) and "notice"
      or "nothing"
    count[key] = count[key] + 1
  end
  return columns.lines({ "found by", "failures" }, {
    { "a reading under load only", tostring(count.load) },
    { "a meter alone too", tostring(count.alone) },
    { "what is noticed, or other readings", tostring(count.notice) },
    { "nothing here", tostring(count.nothing) },
  })
end

function M.text(survey, write, progress)
  local rows, report, item = rows_of(survey, progress), {}, nil
  local group = { ("%s: failure table, %d failures"):format(survey.circuit.name, #rows) }
  lines.add(group, lines.wrap("Each failure in the condition that shows it best. here: what is "
    .. "noticed of the part; system: of others; loaded, alone: the leads that show it most, with "
    .. "the loads on and unplugged.", ""))
  lines.add(group, summary(rows))
  lines.add_group(report, group)
  for _, row in ipairs(rows) do
    if row.item ~= item then lines.add_group(report, { row.item }) end
    item = row.item
    lines.add(report, block(row))
  end
  write(lines.join(report))
end

return M

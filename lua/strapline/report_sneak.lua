--- Sneak paths as text, comma-separated values and JSON.
local csv = require "strapline.csv"
local format = require "strapline.format"
local json = require "strapline.json"
local lines = require "strapline.lines"
local report_faults = require "strapline.report_faults"

local M = {}

--- "working, WATER open"
local function switching(where)
  if not where then return nil end
  if not where.moved then return where.condition end
  return ("%s, %s %s"):format(where.condition, where.moved, where.position)
end

local function volts(value) return format.text(value, "voltage") end
local function amps(value) return format.text(value, "current") end

local function name_of(circuit, sneak)
  if #circuit.kinds[sneak.part].elements == 1 then return sneak.part end
  return ("%s, %s"):format(sneak.part, sneak.element)
end

--- 'through "A" and "B"'
local function ways(sneak)
  if not sneak.through then return "several other loads" end
  local first = ('"%s"'):format(sneak.through)
  return sneak.also and ('%s and "%s"'):format(first, sneak.also) or first
end

local function through_text(circuit, sneak)
  return ("%s: %s and %s through %s [%s]; in %d states"):format(name_of(circuit, sneak),
    volts(sneak.volts), amps(sneak.amps), ways(sneak), switching(sneak.where), sneak.states)
end

local function reverses_text(circuit, sneak)
  return ("%s: %s [%s], %s [%s]"):format(name_of(circuit, sneak), amps(sneak.amps),
    switching(sneak.where), amps(sneak.other_amps), switching(sneak.other))
end

local function section(report, title, list, text)
  if #list == 0 then return end
  local group = { ("%s (%d)"):format(title, #list) }
  for _, entry in ipairs(list) do lines.add(group, lines.wrap(text(entry), "  ", "      ")) end
  lines.add_group(report, group)
end

local function split(found)
  local by_type = { through = {}, reverses = {}, lost = {} }
  for _, sneak in ipairs(found.sneaks) do table.insert(by_type[sneak.type], sneak) end
  return by_type
end

local MOST_LOST = 3

--- The sneaks of each lost conductor, the greatest voltage first, as one entry each.
local function by_conductor(sneaks)
  local list = {}
  for _, sneak in ipairs(sneaks) do
    local last = list[#list]
    if not last or last.lost ~= sneak.where.lost then
      last = { lost = sneak.where.lost }
      list[#list + 1] = last
    end
    last[#last + 1] = sneak
  end
  for _, entry in ipairs(list) do
    for at, sneak in ipairs(entry) do sneak.at = at end
    table.sort(entry, function(a, b)
      local first, second = math.abs(a.volts), math.abs(b.volts)
      if first ~= second then return first > second end
      return a.at < b.at
    end)
  end
  return list
end

--- 'L2 is fed through "tail" and "stop": 5.1 V and 0.3 A [rest]'
local function fed_text(circuit, entry)
  local texts = {}
  for index, sneak in ipairs(entry) do
    if index <= MOST_LOST then
      texts[index] = ("%s is fed through %s: %s and %s [%s]"):format(name_of(circuit, sneak),
        ways(sneak), volts(math.abs(sneak.volts)), amps(math.abs(sneak.amps)),
        switching(sneak.where))
    end
  end
  local more = #entry - #texts
  if more > 0 then texts[#texts + 1] = ("and %d more"):format(more) end
  return table.concat(texts, " | ")
end

--- "with G1 open: ...", a text for each conductor; of those that follow each other on a way, whose
--- loss does the same, one.
local function fed_texts(circuit, sneaks)
  local list, place = {}, {}
  for _, entry in ipairs(by_conductor(sneaks)) do
    local text = fed_text(circuit, entry)
    local at = place[text] or #list + 1
    place[text], list[at] = at, list[at] or { text = text }
    table.insert(list[at], entry.lost)
  end
  for index, same in ipairs(list) do
    local last = table.remove(same)
    local names = #same == 0 and last or table.concat(same, ", ") .. " or " .. last
    list[index] = ("with %s open: %s"):format(names, same.text)
  end
  return list
end

local function lost_text(lost)
  local texts = {}
  for index, entry in ipairs(lost.notices) do
    if index <= MOST_LOST then texts[index] = report_faults.notice(entry) end
  end
  local more = #lost.notices - #texts
  if more > 0 then texts[#texts + 1] = ("and %d more"):format(more) end
  return ("%s [%s]: %s"):format(lost.fault, lost.condition, table.concat(texts, " | "))
end

function M.text(circuit, found)
  local by_type = split(found)
  local report = lines.wrap(("%s: all parts good, every condition as it is and with each switch in "
    .. "each other position. A load is fed through another when it has voltage and loses it once "
    .. "every other load is unplugged."):format(circuit.name), "")
  section(report, "Fed through another load, past its own switch", by_type.through,
    function(sneak) return through_text(circuit, sneak) end)
  section(report, "Current turns round", by_type.reverses,
    function(sneak) return reverses_text(circuit, sneak) end)
  if #by_type.through + #by_type.reverses == 0 then
    lines.add_group(report, { "No sneak path found with all parts good" })
  end
  section(report, "When one conductor is lost, a load is fed through another",
    fed_texts(circuit, by_type.lost), function(text) return text end)
  section(report, "When one conductor is lost, others overheat", found.lost, lost_text)
  return lines.join(report)
end

local keys = { "type", "part", "element", "where", "volts", "amps", "through", "other",
  "other_amps", "states", "notices", "also", "lost" }

local function rows_of(found)
  local rows = {}
  for _, sneak in ipairs(found.sneaks) do
    rows[#rows + 1] = { type = sneak.type == "lost" and "fed when lost" or sneak.type,
      part = sneak.part, element = sneak.element,
      where = switching(sneak.where), volts = sneak.volts, amps = sneak.amps,
      through = sneak.through, other = switching(sneak.other), other_amps = sneak.other_amps,
      states = sneak.states, notices = {}, also = sneak.also, lost = sneak.where.lost }
  end
  for _, lost in ipairs(found.lost) do
    local texts = {}
    for index, entry in ipairs(lost.notices) do texts[index] = report_faults.notice(entry) end
    rows[#rows + 1] = { type = "lost", part = lost.fault:match "^(.*): open$",
      where = lost.condition, notices = texts, lost = lost.fault:match "^(.*): open$" }
  end
  return rows
end

function M.csv(_, found)
  local list = { csv.line(keys, #keys) }
  for _, row in ipairs(rows_of(found)) do
    local cells = {}
    row.notices = table.concat(row.notices, "; ")
    for index, key in ipairs(keys) do cells[index] = row[key] end
    list[#list + 1] = csv.line(cells, #keys)
  end
  return table.concat(list, "\n") .. "\n"
end

function M.json(_, found)
  local list = {}
  for index, row in ipairs(rows_of(found)) do
    local object = {}
    row.notices = json.list(row.notices)
    for at, key in ipairs(keys) do object[at] = { key, json.maybe(row[key]) } end
    list[index] = json.object(object)
  end
  return json.encode(json.list(list))
end

return M

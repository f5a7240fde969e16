--- Every possible fault of a circuit beside the good one: which leads show it, with the loads on and
--- to a meter alone, and what a person notices.
---
--- survey = { circuit, change, sweep, places = { [n] = { red, black, across } } }
--- survey:findings() -> iterator of findings { case, condition, faults = { TEXT }, of = { fault },
---   status, message, good_status, outcome, ending,
---   by = largest difference in V, 0 when nothing differs or its leads float,
---   best = { place, good, now, alone_good, alone_now, by, own }: the leads that show it best, or
---   nil; own: they lie across the part at fault, and go before all others then,
---   load = the leads across a load that show it best, or nil,
---   alone = the same for a meter alone with the loads unplugged, or nil,
---   load_only = no meter alone finds it,
---   notices = { { part, now, was, own, danger, load, none } }, those noticed first first; none: what is
---   said where `now` has nothing }
--- survey:whole() -> the same with the two ends of a chatter as one finding: the end that shows it
---   more, with the notices of both; an entry of the other end alone has other_end
local calls = require "strapline.calls"
local hidden = require "strapline.hidden"
local notice_words = require "strapline.notices"
local question = require "strapline.question"
local sweeps = require "strapline.sweep"

local M = {}
local Survey = {}

local ACROSS_PART, ACROSS_LOAD, TO_REFERENCE = 1, 2, 3

--- Leads across every path of every part, and across what lies between the first two terminals of a
--- load.
local function across_parts(circuit, add)
  for _, part in ipairs(circuit.part_names) do
    local kind = circuit.kinds[part]
    local function node(terminal)
      return circuit.core:part_node(part, kind.terminals[terminal].index)
    end
    local group = kind.load and ACROSS_LOAD or ACROSS_PART
    if kind.load then add(node(kind.terminals[1].name), node(kind.terminals[2].name), group, part) end
    for _, element in ipairs(kind.elements) do
      if not circuit.core:lacks(part, "element", element.name) then
        add(node(element.from), node(element.to), group, part)
      end
    end
  end
end

--- Every pair of leads worth a look: { red, black, group, across = { [PART] = true } }.
function M.places(circuit)
  local list, seen = {}, {}
  local function reached(node) return circuit.core:reach(node) == "test point" end
  local function add(red, black, group, across)
    local key = red .. "\0" .. black
    if red == black or not reached(red) or not reached(black) then return end
    if not seen[key] then
      seen[key] = hidden.behind({ red = red, black = black }, { group = group, across = {} })
      list[#list + 1] = seen[key]
    end
    if across then seen[key].across[across] = true end
  end
  across_parts(circuit, add)
  local reference = circuit.core:reference()
  for _, node in ipairs(circuit.core:nodes()) do add(node, reference, TO_REFERENCE) end
  return list
end

--- Leads as a person gave them.
local function given_places(circuit, texts)
  local list = {}
  for index, text in ipairs(texts) do
    local reading, message, code = sweeps.reading(circuit, text)
    if not reading then return nil, message, code end
    if reading.red == reading.black then
      return question.misuse("both leads are on '%s'", reading.red)
    end
    list[index] = hidden.behind({ red = reading.red, black = reading.black }, { group = 1 })
  end
  return list
end

local fields = calls.fields "survey"

--- @param asked fields of circuit:sweep, readings = { "RED,BLACK" } or nil for all, change in V
--- @return survey; or nil, message, code
function M.survey(circuit, asked)
  local ok, places, message, code
  ok, message, code = question.check_fields(asked, fields)
  if not ok then return nil, message, code end
  if asked.readings then
    places, message, code = given_places(circuit, asked.readings)
    if not places then return nil, message, code end
  end
  places = places or M.places(circuit)
  local wanted = {}
  for key, value in pairs(asked) do wanted[key] = value end
  wanted.readings, wanted.change = places, nil
  local sweep
  sweep, message, code = sweeps.sweep(circuit, wanted)
  if not sweep then return nil, message, code end
  return hidden.behind({ sweep = sweep, change = asked.change or M.CHANGE },
    { circuit = circuit, places = places, pairs = asked.pairs }, Survey)
end

M.CHANGE = 0.1 -- V: what a joint may lose; common practice, no source

local function shown(volts)
  return volts or 0
end

--- Whether leads lie across a part of the fault.
local function is_own(place, of)
  for _, fault in ipairs(of) do
    if place.across and place.across[fault.part or false] then return true end
  end
  return false
end

--- The reading of a group that differs most, as in include/strapline/contrast.h: one across the
--- faulty part goes before all others; of those that are all but equal, the first.
local function pick(self, groups, of, now, good, only)
  local best
  for group = only or ACROSS_PART, only or TO_REFERENCE do
    local found = groups[group]
    if found then
      found.by = math.abs(shown(found[now]) - shown(found[good]))
      found.place = self.places[found.reading]
      found.own = is_own(found.place, of)
      local equal_rank = not best or best.own == found.own
      if not best or equal_rank and found.by > 1.02 * best.by or not equal_rank and found.own then
        best = found
      end
    end
  end
  return best
end

local burns = { ["overloaded bare"] = true, melts = true }
local BURNS_AT_ONCE = 60 -- s
local danger = { overloaded = true, ["overloaded bare"] = true, melts = true, ["too hot"] = true }
local loads, others = { appears = 1, changes = 3 }, { appears = 5, changes = 7 }

--- What is noticed first: a chatter, what burns within a minute; then loads, those that start
--- something or stop altogether before those that do more or less; then conductors in danger, what
--- is new, gone, more or less of the rest; last a complaint that is gone.
local function rank(symptom, kind)
  if symptom.type == "chatters" then return -1 end
  if burns[symptom.name] and (symptom.now or math.huge) <= BURNS_AT_ONCE then return 0 end
  if symptom.type == "disappears" then
    return notice_words.none(kind) == "nothing" and 8 or kind.load and 1 or 6
  elseif kind.load then
    return loads[symptom.type]
  end
  return symptom.type == "appears" and danger[symptom.name] and 4 or others[symptom.type]
end

local function by_rank(a, b)
  if a.rank ~= b.rank then return a.rank < b.rank end
  return a.order < b.order
end

--- Sorts what is noticed, and hides what it is sorted by.
local function sort(list)
  table.sort(list, by_rank)
  for _, entry in ipairs(list) do
    local inner = { rank = entry.rank, order = entry.order }
    entry.rank, entry.order = nil, nil
    hidden.behind(entry, inner)
  end
  return list
end

--- Puts the texts of a symptom into the entry of its part.
local function add_texts(entry, symptom, kind, period)
  local function text(value)
    return notice_words.text(kind, { name = symptom.name, value = value })
  end
  if symptom.type == "chatters" then
    table.insert(entry.now, 1, notice_words.chatter(kind, period))
  elseif symptom.name ~= "clicking" then -- that is the chatter
    if symptom.type ~= "disappears" then table.insert(entry.now, text(symptom.now)) end
    if symptom.type ~= "appears" then table.insert(entry.was, text(symptom.good)) end
  end
end

--- What is noticed of each part that is not as before; own: a part of the fault. What only leads
--- current on, and of which nothing is noticed any more, is left out.
local function notices(self, row, of)
  local list, by_part = {}, {}
  for _, symptom in ipairs(row.symptoms) do
    local kind, entry = self.circuit.kinds[symptom.part], by_part[symptom.part]
    if not entry then
      entry = { part = symptom.part, now = {}, was = {}, own = false, rank = math.huge,
        order = #list, load = kind.load, none = notice_words.none(kind) }
      for _, fault in ipairs(of) do entry.own = entry.own or fault.part == symptom.part end
      by_part[symptom.part] = entry
      list[#list + 1] = entry
    end
    entry.rank = math.min(entry.rank, rank(symptom, kind))
    entry.danger = entry.danger or symptom.type == "appears" and danger[symptom.name] or false
    add_texts(entry, symptom, kind, row.period)
  end
  local kept = {}
  for _, entry in ipairs(list) do
    local leads = notice_words.only_leads(self.circuit.kinds[entry.part])
    if #entry.now > 0 or #entry.was > 0 and not leads then
      kept[#kept + 1] = entry
    end
  end
  return sort(kept)
end

local function finding(self, row)
  local of = {}
  for index, number in ipairs { row.fault, row.second } do of[index] = self.sweep.faults[number] end
  local found = {
    case = row.case, condition = row.condition, faults = row.faults, of = of,
    status = row.status, message = row.message, good_status = row.good_status,
    outcome = row.outcome, ending = row.ending, load_only = row.load_only,
    best = pick(self, row.best, of, "now", "good"),
    load = pick(self, row.best, of, "now", "good", ACROSS_LOAD),
    alone = pick(self, row.alone, of, "alone_now", "alone_good"),
    notices = notices(self, row, of),
  }
  found.by = found.best and found.best.now and found.best.by or 0
  return found
end

--- Of every case with a fault.
--- @param progress called with the number of cases done and of all; false stops. survey.done counts.
function Survey:findings(progress)
  local rows = self.sweep:contrasts(self.change)
  self.done = 0
  return function()
    for row in rows do
      if progress and progress(row.case, self.sweep.cases) == false then return nil end
      self.done = row.case
      if row.fault then return finding(self, row) end
    end
  end
end

--- Notices of one end of a chatter, and what is noticed at the other alone.
local function join_notices(of_shown, of_other)
  local list, by_part = {}, {}
  for index, entry in ipairs(of_shown) do
    list[index], by_part[entry.part] = entry, entry
  end
  for _, entry in ipairs(of_other) do
    if not by_part[entry.part] then
      entry.other_end = not (entry.now[1] or ""):find "^chatters"
      list[#list + 1] = entry
    elseif #by_part[entry.part].was == 0 then
      by_part[entry.part].was = entry.was
    end
  end
  return sort(list)
end

--- Two ends of a chatter as one finding.
local function join_ends(first, second)
  local own_first = first.best and first.best.own or false
  local own_second = second.best and second.best.own or false
  local swap = second.by > first.by
  if own_first ~= own_second then swap = own_second end
  local clearer, other = first, second
  if swap then clearer, other = second, first end
  clearer.notices = join_notices(clearer.notices, other.notices)
  clearer.load_only = clearer.load_only or other.load_only
  return clearer
end

--- As findings, with the two ends of a chatter as one.
function Survey:whole(progress)
  local next_finding = self:findings(progress)
  return function()
    local found = next_finding()
    if not found or found.outcome ~= "chatters" then return found end
    local second = next_finding()
    return second and join_ends(found, second) or found
  end
end

return M

--- Every possible fault of a circuit beside the good one: which leads show it, with the loads on and
--- to a meter alone, and what a person notices.
---
--- survey = { circuit, change, sweep, places = { [n] = { red, black, across } } }
--- survey:findings() -> iterator of findings { case, condition, faults = { TEXT }, of = { fault },
---   status, message, good_status, outcome, ending,
---   by = largest difference in V, 0 when nothing differs,
---   best = { place, good, now, alone_good, alone_now, by }: the leads that show it best, or nil,
---   load = the leads across a load that show it best, or nil,
---   alone = the same for a meter alone with the loads unplugged, or nil,
---   load_only = no meter alone finds it, notices = { { part, now, was, own } }, those that matter most first }
local notice_words = require "strapline.notices"
local question = require "strapline.question"
local sweeps = require "strapline.sweep"

local M = {}
local Survey = {}
Survey.__index = Survey

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

--- Every pair of leads worth a look: { red, black, group, across }.
function M.places(circuit)
  local list, seen = {}, {}
  local function reached(node) return circuit.core:reach(node) == "test point" end
  local function add(red, black, group, across)
    local key = red .. "\0" .. black
    if seen[key] or red == black or not reached(red) or not reached(black) then return end
    seen[key] = true
    list[#list + 1] = { red = red, black = black, group = group, across = across }
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
    list[index] = { red = reading.red, black = reading.black, group = 1 }
  end
  return list
end

M.fields = {
  conditions = true, parts = true, severities = true, pairs = true, shorts = true, threads = true,
  readings = true, change = true, faults = true,
}

--- @param asked fields of circuit:sweep, readings = { "RED,BLACK" } or nil for all, change in V
--- @return survey; or nil, message, code
function M.survey(circuit, asked)
  local ok, places, message, code
  ok, message, code = question.check_fields(asked, M.fields)
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
  sweep, message, code = sweeps.new(circuit, wanted)
  if not sweep then return nil, message, code end
  return setmetatable({
    circuit = circuit, sweep = sweep, places = places, change = asked.change or M.CHANGE,
    pairs = asked.pairs,
  }, Survey)
end

M.CHANGE = 0.1 -- V: what a joint may lose; common practice, no source

local function shown(volts)
  return volts or 0
end

--- Whether leads lie across a part of the fault.
local function is_own(place, of)
  for _, fault in ipairs(of) do
    if place.across and fault.part == place.across then return true end
  end
  return false
end

--- The reading of a group that differs most, as in include/strapline/contrast.h: one across the
--- faulty part goes before others up to twice as large; of those that are all but equal, the first.
local function pick(self, groups, of, now, good, only)
  local best, best_weight
  for group = only or ACROSS_PART, only or TO_REFERENCE do
    local found = groups[group]
    if found then
      found.by = math.abs(shown(found[now]) - shown(found[good]))
      found.place = self.places[found.reading]
      local weight = found.by * (is_own(found.place, of) and 2 or 1)
      if not best or weight > 1.02 * best_weight then best, best_weight = found, weight end
    end
  end
  return best
end

--- What comes first: conductors in danger, what is new, what is gone, what is more or less.
local danger = { overloaded = true, ["overloaded bare"] = true, melts = true, ["too hot"] = true }
local ranks = { appears = 1, disappears = 2, changes = 3 }

local function rank(symptom)
  return symptom.type == "appears" and danger[symptom.name] and 0 or ranks[symptom.type]
end

--- What is noticed of each part that is not as before: { part, now, was, own }, own: a part of the
--- fault.
local function notices(self, row, of)
  local list, by_part = {}, {}
  for _, symptom in ipairs(row.symptoms) do
    local entry = by_part[symptom.part]
    if not entry then
      entry = { part = symptom.part, now = {}, was = {}, own = false, rank = 3,
        order = #list }
      for _, fault in ipairs(of) do entry.own = entry.own or fault.part == symptom.part end
      by_part[symptom.part] = entry
      list[#list + 1] = entry
    end
    entry.rank = math.min(entry.rank, rank(symptom))
    local kind = self.circuit.kinds[symptom.part]
    local function text(value)
      return notice_words.text(kind, { name = symptom.name, value = value })
    end
    if symptom.type ~= "disappears" then table.insert(entry.now, text(symptom.now)) end
    if symptom.type ~= "appears" then table.insert(entry.was, text(symptom.good)) end
  end
  table.sort(list, function(a, b)
    if a.rank ~= b.rank then return a.rank < b.rank end
    return a.order < b.order
  end)
  return list
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
  found.by = found.best and found.best.by or 0
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

return M

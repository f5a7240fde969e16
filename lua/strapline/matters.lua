--- Which part matters most to a reading.
---
--- strapline/answers.lua tells of the fields of what comes of it.
--- series: with ADDED ohm more in that path; `slope` per ohm, of a small change; MOST of them, of the
--- greatest slopes, are solved anew and sorted by that: their `reading` and `effect` are of all of it,
--- relays and all.
--- fields: `effect` of `change` ("+1 %" or "+1 C"), `down` and `up` at the ends of the spread;
--- sorted by that where there is a spread, else by `effect`. What one value does is told once, by the
--- field that the file gives: the current that follows from a given power is left out. Where the usual
--- spread is that of such a field, `spread_of` names it.
local aim = require "strapline.aim"
local calls = require "strapline.calls"
local hidden = require "strapline.hidden"
local question = require "strapline.question"
local core = require "strapline".core

local M = {}

M.ADDED = 0.010 -- ohm
M.MOST = 12

--- Effects below this share of the greatest, and of what a meter shows, are none.
local NOTHING, LEAST = 1e-9, 1e-12

local function by_size(x, y, a, b)
  if math.abs(x) ~= math.abs(y) then return math.abs(x) > math.abs(y) end
  return a.order < b.order
end

local function by_effect(a, b) return by_size(a.effect, b.effect, a, b) end

--- How far the ends of its spread move the reading at most; nil without a spread.
function M.reach(row)
  return row.up and math.max(math.abs(row.down), math.abs(row.up))
end

--- By what the spread does or, where there is none, by the effect.
local function by_spread(a, b)
  return by_size(M.reach(a) or a.effect, M.reach(b) or b.effect, a, b)
end

--- Leaves out what does nothing, and sorts.
local function rank(rows, comes_first)
  local most, kept = 0, {}
  for order, row in ipairs(rows) do
    local origin = row.origin
    row.origin = nil
    hidden.behind(row, { order = order, origin = origin })
    most = math.max(most, math.abs(row.effect))
  end
  for _, row in ipairs(rows) do
    if math.abs(row.effect) > math.max(most * NOTHING, LEAST) then kept[#kept + 1] = row end
  end
  table.sort(kept, comes_first)
  return kept
end

local function list_series(circuit, effects)
  local rows = {}
  for _, found in ipairs(effects.parts) do
    local kind = circuit.kinds[found.name]
    for _, element in ipairs(kind and kind.elements or {}) do -- a way through a panel is no place
      local slope = found.series[element.name]
      if slope and not circuit.core:lacks(found.name, "element", element.name) then
        rows[#rows + 1] = { part = found.name, kind = kind.name, slope = slope,
          element = element.name, only = #kind.elements == 1, effect = slope * M.ADDED }
      end
    end
  end
  return rank(rows, by_effect)
end

--- How far the reading goes at the ends of a field's spread, as far as its slope goes.
local function over_spread(circuit, condition, row)
  local down, up, relative = circuit.core:spread(condition, row.part, row.field)
  if not down then
    down, up, relative = core.kind_spread(row.kind, row.field)
    row.usual = down ~= nil
  end
  if not down then return end
  local size = relative and math.abs(row.value) or 1
  row.down, row.up = -down * size * row.slope, up * size * row.slope
end

local ALIKE = 1e-6 -- of an effect: as far as slopes are good

--- Of two fields of a part of which one follows from the other: whether they do the same.
local function same_effect(a, b)
  return math.abs(math.abs(a.effect) - math.abs(b.effect)) <= ALIKE * math.abs(a.effect)
end

--- Hands the spread of a field that is left out to the one that stands for it.
local function hand_over(from, to)
  if not from.up or to.up then return end
  local sign = from.effect * to.effect < 0 and -1 or 1
  to.down, to.up, to.usual, to.spread_of = from.down, from.up, from.usual, from.field
  if sign < 0 then to.down, to.up = from.up, from.down end
end

--- Whether a field that is worked out says no more than one beside it: that has the same effect, and
--- no spread of the file's own beside the usual one of the field.
local function is_said(row, rows)
  if row.origin ~= "worked out" then return false end
  for _, other in ipairs(rows) do
    if other.origin ~= "worked out" and same_effect(row, other)
      and not (row.up and other.up and not other.usual) then
      hand_over(row, other)
      return true
    end
  end
  return false
end

--- The fields of one part, or panel, each once.
local function fields_of_part(circuit, condition, case, name, slopes)
  local kind, rows, kept = circuit.kinds[name], {}, {}
  for _, param in ipairs(kind.params) do
    local slope = slopes[param.name]
    if slope and slope ~= 0 then
      local value, origin = case:value(name, param.name)
      local warm = param.quantity == "temperature"
      local row = { part = name, kind = kind.name, field = param.name, value = value,
        quantity = param.quantity, slope = slope, change = warm and "+1 C" or "+1 %",
        effect = warm and slope or slope * math.abs(value or 0) / 100, origin = origin }
      if value and not kind.is_panel then over_spread(circuit, condition, row) end
      if value then rows[#rows + 1] = row end
    end
  end
  for _, row in ipairs(rows) do
    if not is_said(row, rows) then kept[#kept + 1] = row end
  end
  return kept
end

--- The slopes of each part by its fields, those of the ways through a panel added up.
local function slopes_by_name(effects)
  local order, slopes = {}, {}
  for _, found in ipairs(effects.parts) do
    local name = found.panel or found.name
    if not slopes[name] then
      slopes[name], order[#order + 1] = {}, name
    end
    for field, slope in pairs(found.params) do
      slopes[name][field] = (slopes[name][field] or 0) + slope
    end
  end
  return order, slopes
end

local function list_fields(circuit, condition, case, effects)
  local rows = {}
  local order, slopes = slopes_by_name(effects)
  for _, name in ipairs(order) do
    local of_part = fields_of_part(circuit, condition, case, name, slopes[name])
    table.move(of_part, 1, #of_part, #rows + 1, rows)
  end
  if effects.kelvin and effects.kelvin ~= 0 then
    rows[#rows + 1] = { part = "(everything)", kind = "", field = "temperature",
      quantity = "temperature", slope = effects.kelvin, change = "+1 C", effect = effects.kelvin }
  end
  return rank(rows, by_spread)
end

local fields = calls.fields "matters"

local function states(case)
  local found = {}
  for _, part in ipairs(case:answer().parts) do found[part.name] = part.state end
  return found
end

local function read(case, of)
  if not of.part then return case:between(of.red, of.black) end
  if not of.element then return case:current(of.part) end
  return case:answer().parts[of.part].elements[of.element].current
end

--- Solves with the resistance in place.
local function try(circuit, asked, of, row, before, reading)
  local case = question.open(circuit, asked, fields)
  if not case then return end
  case:edit(row.part, "series", row.element, M.ADDED)
  if case:solve() then
    row.reading = read(case, of)
    row.effect = row.reading and row.reading - reading
    row.moved = {}
    local after = states(case)
    for _, name in ipairs(circuit.part_names) do
      if after[name] ~= before[name] then
        table.insert(row.moved, ("%s %s"):format(name, after[name]))
      end
    end
  end
  row.effect = row.effect or row.slope * M.ADDED
  case:close()
end

--- @return result; or nil, message, code
function M.matters(circuit, asked)
  local of, case, condition, effects, message, code
  of, message, code = aim.check(circuit, asked, fields)
  if not of then return nil, message, code end
  case, condition, code = question.open(circuit, asked, fields)
  if not case then return nil, condition, code end
  effects, message, code = case:solve()
  if effects then effects, message, code = case:effects(of) end
  if not effects then
    case:close()
    return nil, message, code
  end
  local result = aim.head(circuit, asked, of, condition)
  result.reading = effects.reading
  result.series = list_series(circuit, effects)
  result.fields = list_fields(circuit, condition.name, case, effects)
  local before = states(case)
  local most = math.min(M.MOST, #result.series)
  for index = 1, most do
    try(circuit, asked, of, result.series[index], before, result.reading)
  end
  case:close()
  local solved = table.move(result.series, 1, most, 1, {})
  table.sort(solved, by_effect)
  table.move(solved, 1, most, 1, result.series)
  return result
end

return M

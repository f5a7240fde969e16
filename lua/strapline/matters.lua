--- Which part matters most to a reading.
---
--- result = { circuit, condition, temperature, faults, red, black, part, element, quantity, reading,
---            series = { { part, kind, element, slope, effect, reading, moved = { TEXT } } },
---            fields = { { part, kind, field, quantity, value, slope, change, effect, down, up } } }
--- series: with ADDED ohm more in that path; `slope` per ohm, of a small change; MOST of them, of the
--- greatest slopes, are solved anew and sorted by that: their `reading` and `effect` are of all of it,
--- relays and all.
--- fields: `effect` of `change` ("+1 %" or "+1 C"), `down` and `up` at the ends of the spread;
--- sorted by that where there is a spread, else by `effect`.
local aim = require "strapline.aim"
local calls = require "strapline.calls"
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
    row.order, most = order, math.max(most, math.abs(row.effect))
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
    for _, element in ipairs(kind.elements) do
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

local function list_fields(circuit, condition, case, effects)
  local rows = {}
  for _, found in ipairs(effects.parts) do
    local kind = circuit.kinds[found.name]
    for _, param in ipairs(kind.params) do
      local slope = found.params[param.name]
      local value = slope and slope ~= 0 and case:value(found.name, param.name)
      if value then
        local warm = param.quantity == "temperature"
        local row = { part = found.name, kind = kind.name, field = param.name, value = value,
          quantity = param.quantity, slope = slope, change = warm and "+1 C" or "+1 %",
          effect = warm and slope or slope * math.abs(value) / 100 }
        over_spread(circuit, condition, row)
        rows[#rows + 1] = row
      end
    end
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

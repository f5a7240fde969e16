--- The smallest standard conductor in the place of one of the circuit's.
---
--- sizes = { circuit, condition, temperature, faults, part, kind, set, drop, load, element, side,
---           length, run_length, run_allowed, allowed, nominal, limit, limit_temperature, duty, air,
---           shared_length, shared_drop, fuse, fuse_rating, fuses, fuses_together, by_rule, present,
---           rows, best, best_gauge, peak, peak_condition }
--- peak: what flows through it in peak_condition with all parts good, where that is more than here.
--- row = { size, gauge, current, drop, ampacity, temperature, seconds, short_current,
---         fails = { "drop", "heat", "fuse", "short", "off" } }
--- What is not defined is nil.
local asking = require "strapline.asking"
local calls = require "strapline.calls"
local format = require "strapline.format"
local limits = require "strapline.limits"
local nearest = require "strapline.nearest"
local peaks = require "strapline.peaks"
local quantity = require "strapline.quantity"
local question = require "strapline.question"

local M = {}

--- "3 %" as a part, "0.36 V" or a number as volts. @return { drop, part }, or nil, message, code
local function read_drop(written)
  if written == nil then return {} end
  local is_part = type(written) == "string" and written:find("%%%s*$")
  local value, wrong = quantity.parse(written, is_part and "fraction" or "voltage", true)
  if not value then return question.misuse("drop = %s %s", quantity.quote(written), wrong) end
  if not (value > 0 and value <= (is_part and 0.5 or 30)) then
    return question.misuse("drop = %s: allowed: above 0, up to 30 V or 50 %%",
      quantity.quote(written))
  end
  return { [is_part and "part" or "drop"] = value }
end

local function check_part(circuit, part)
  if part == nil then
    return question.misuse "say which cable or strap: part = \"C1\""
  end
  if type(part) == "string" and circuit.core:has_part(part) then
    return question.check_no_panel(circuit, part)
  end
  return question.misuse("%s has no part '%s'%s", circuit.file, tostring(part),
    nearest.hint_or_list(tostring(part), circuit.part_names, "parts"))
end

local fields = calls.fields "size"

local LEAST_A = 1e-3

--- The part on the way of a load's current that a part lies beside, the greatest load's first; nil
--- where there is none.
local function beside_what(case, part)
  for _, load in ipairs(case:loads()) do
    local path = case:path(load.part, load.element, limits.all()[1].name)
    for _, step in ipairs(path and path.steps or {}) do
      for _, beside in ipairs(step.beside) do
        if beside.part == part and step.part ~= load.part then return step.part end
      end
    end
  end
  return nil
end

--- Of a part that has current but is on the way of no load's: where that goes instead, and which
--- fault to ask with.
local function beside_text(case, part)
  local main = beside_what(case, part)
  return ("it carries %s in this condition, but most of every load's current takes another way%s, "
    .. "and a size is found for the way of most; to size it for when that way is lost, ask with %s")
    :format(format.text(math.abs(case:current(part)), "current"), main and ", by " .. main or "",
    main and asking.form("fault", main .. ": open") or "a fault that opens it")
end

--- Why it cannot be said, and what to ask instead: in a condition in which the part has current or,
--- where it has, with what may be lost.
--- @param why what the library found wrong
local function what_to_ask(circuit, asked, condition, why)
  local kind, names = circuit.kinds[asked.part], {}
  if kind.elements[1].use ~= "wire" or not kind.params.size then return why end
  for _, other in ipairs(circuit.conditions) do
    local case = question.open(circuit, { condition = other.name, faults = asked.faults }, fields)
    local works = case and case:solve() and math.abs(case:current(asked.part) or 0) > LEAST_A
    local here = works and other.name == condition.name
    if here then
      why = why:find("no load's current", 1, true) and beside_text(case, asked.part)
        or why .. "; such as " .. asking.form("drop", "3 %")
    end
    if case then case:close() end
    if here then return why end
    names[#names + 1] = works and other.name or nil
  end
  if #names == 0 then return why .. "; it has none in any condition of the file" end
  return ("%s; it has current in: %s; ask with %s"):format(why, table.concat(names, ", "),
    asking.form("condition", names[1]))
end

--- Less than this part of what it carries in some other condition is not what it is sized for.
local ALL = 0.95

--- Says in which condition more flows through it, with all parts good.
local function add_peak(circuit, sizes)
  local peak_of, close = peaks.of(circuit)
  local peak, condition = peak_of(sizes.part, circuit.kinds[sizes.part].elements[1].name)
  close()
  if sizes.present.current < ALL * peak and condition ~= sizes.condition then
    sizes.peak, sizes.peak_condition = peak, condition
  end
end

--- @return sizes; or nil, message, code
function M.size(circuit, asked)
  local ok, set, drop, condition, edits, message, code
  ok, message, code = question.check_fields(asked, fields)
  if ok then ok, message, code = check_part(circuit, asked.part) end
  if not ok then return nil, message, code end
  set, message, code = limits.find(asked.limits)
  if not set then return nil, message, code end
  drop, message, code = read_drop(asked.drop)
  if not drop then return nil, message, code end
  condition, edits, code = question.find(circuit, asked, fields)
  if not condition then return nil, edits, code end
  drop.set = set.name
  local sizes
  sizes, message, code = circuit.core:size(condition.name, asked.part, edits, drop)
  if not sizes then
    if code == "SL_E_VALUE" then message = what_to_ask(circuit, asked, condition, message) end
    return nil, ("%s: %s"):format(asked.part, message), code
  end
  sizes.circuit, sizes.condition, sizes.temperature = circuit.name, condition.name,
    condition.temperature
  sizes.faults = table.move(asked.faults or {}, 1, #(asked.faults or {}), 1, {})
  sizes.part, sizes.kind, sizes.drop = asked.part, circuit.kinds[asked.part].name, asked.drop
  sizes.set = { name = set.name, about = set.about }
  add_peak(circuit, sizes)
  return sizes
end

return M

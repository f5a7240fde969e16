--- Parallel ways that have lost their share of the current: the others carry it then, no drop shows
--- it, and a clamp does.
---
--- lost = { node, part, element, use, current, good_current, on_path }: what carries less than half of
--- what it has in the good circuit, from or to that node; element is nil for a part of one path.
local M = {}

local LEAST_SHARE = 0.1 -- of a good way that is worth a word
local LOST = 0.5        -- of what it has in the good circuit
local WORSE = 1.25      -- times the good resistance, as lib/analysis/judge.c has it

--- What leads on and may be a way beside another; loads are none.
local leads_on = {
  wire = true, connection = true, fuse = true, switch = true, ["relay contact"] = true,
  ["solenoid contact"] = true,
}

--- The present current of a way and that of the good circuit, along the latter; nil for one through a
--- panel, where a share is no part's.
local function currents(circuit, case, good, way)
  local kind = circuit.kinds[way.part]
  if not kind then return nil end
  local element = way.element or kind.elements[1].name
  local now, before = case:element(way.part, element), good:element(way.part, element)
  if not now or not before or before == 0 then return nil end
  return before < 0 and -now or now, math.abs(before)
end

--- How much of the good current comes to a place now; 1 at most.
local function scale_of(circuit, case, good, ways)
  local now, before = 0, 0
  for _, way in ipairs(ways) do
    local present, usual = currents(circuit, case, good, way)
    now, before = now + math.max(present or 0, 0), before + (usual or 0)
  end
  return before > 0 and math.min(1, now / before) or 0
end

--- Ways that have lost their share, on a path and beside it.
--- @param path in the good circuit
--- @return list
function M.lost(circuit, case, good, path)
  local list = {}
  for _, step in ipairs(path and path.steps or {}) do
    local ways = #step.beside > 0 and step.share and { step, table.unpack(step.beside) } or {}
    local left = scale_of(circuit, case, good, ways)
    for index, way in ipairs(ways) do
      local now, before = currents(circuit, case, good, way)
      local may = now and leads_on[way.use] and way.share >= LEAST_SHARE and left > LOST
      if may and now < LOST * before * left then
        list[#list + 1] = { node = step.side == "feed" and step.to or step.from, part = way.part,
          element = way.element, use = way.use, current = now, good_current = before,
          on_path = index == 1 }
      end
    end
  end
  return list
end

--- Whether a place has become worse than it is in the good circuit: its resistance has risen.
function M.is_worse(circuit, good, step)
  local kind = circuit.kinds[step.part]
  if not kind or not step.drop or (step.current or 0) == 0 then return false end
  local amps, volts = good:element(step.part, step.element or kind.elements[1].name)
  if not amps or amps == 0 or not volts then return true end
  return math.abs(step.drop / step.current) > WORSE * math.abs(volts / amps)
end

return M

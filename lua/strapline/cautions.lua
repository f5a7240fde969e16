--- Cautions that go with a report: those that fit the parts, the condition and the work.
--- `fits` is given facts = { kinds = set, cranking, verb, func, loads, ammeter, heavy, faults }.
local lines = require "strapline.lines"

local M = {}

--- Each names the danger and what to do, in two lines at most but for jump starting, and no danger
--- is named twice.
local cautions = {
  {
    text = "A model, not the vehicle: measure before you replace anything; the maker comes first.",
    fits = function() return true end,
  },
  {
    text = "Batteries give off explosive gas: fresh air, eye protection, no flame, no rings. Ground "
      .. "cable off first, on last; never make or break the last connection at the battery.",
    fits = function(facts) return facts.kinds.battery end,
  },
  {
    text = "Jump starting: same voltage, never a frozen or leaking battery. Red on the flat "
      .. "battery's positive post, the last black clamp on bare engine metal away from it; off in "
      .. "reverse. Wrong way round burns diodes and can burst a battery. A jump pack: no longer "
      .. "than its maker allows.",
    fits = function(facts) return facts.kinds.booster_leads or facts.kinds.jump_pack end,
  },
  {
    text = "Cranking: neutral or park, brake set, wheels chocked, fuel or ignition disabled, clear "
      .. "of belts and fans; 15 s at most, then rest 2 min.",
    fits = function(facts) return facts.cranking end,
  },
  {
    text = "Nothing turns? Let go of the start control: hundreds of amperes may be taking cables, "
      .. "hoses and bearings instead. Look for smoke.",
    fits = function(facts) return facts.cranking end,
  },
  {
    text = "The tool carries real current: never on airbag, tensioner, module signal or 5 V wires.",
    fits = function(facts) return facts.loads end,
  },
  {
    text = "Ohmmeter: only without power, on a part taken out of the circuit; never on airbag, "
      .. "tensioner or unknown yellow-marked circuits.",
    fits = function(facts) return facts.func == "ohms" end,
  },
  {
    text = "Ammeter never across a battery, only in series with a load. Its fuse and leads checked "
      .. "first; leads back to volts when done.",
    fits = function(facts) return facts.func == "amps" or facts.ammeter end,
  },
  {
    text = "Load test: caps on; tester on before it is turned up, off after it is down; 15 s, then "
      .. "let it cool. Never a frozen, cracked or leaking battery.",
    fits = function(facts) return facts.verb == "loadtest" end,
  },
  {
    text = "Fuse a jumper; heavy loads briefly, and connected away from the battery.",
    fits = function(facts) return facts.heavy end,
  },
  {
    text = "Never fit a larger fuse to stop one blowing.",
    fits = function(facts) return facts.kinds.fuse and facts.verb ~= "read" end,
  },
  {
    text = "A fault for a class: fused, limited in current, never in brake, steering, airbag or fuel "
      .. "circuits; out and checked before the machine is driven.",
    fits = function(facts) return facts.faults end,
  },
}

--- Whether somebody wants a starter to crank: the condition says so by its name.
local function is_cranking(kinds_there, condition)
  local name = condition:lower()
  return kinds_there.starter and (name:find("crank") or name:find("start"))
end

--- Everything that is connected in one reading or several.
local function tools_of(result)
  local list = {}
  for _, reading in ipairs(result.rows or { result }) do
    if reading.loaded then list[#list + 1] = reading.loaded end
    for _, tool in ipairs(reading.with or {}) do list[#list + 1] = tool end
  end
  return list
end

--- Lines for a text report.
--- @param result an answer or a reading
--- @param conditions names of all that are in it; that of the result when not given
function M.lines(circuit, result, verb, conditions)
  local facts = { kinds = {}, verb = verb, func = result.func, faults = #result.faults > 0 }
  for _, kind in pairs(circuit.kinds) do facts.kinds[kind.name] = true end
  for _, name in ipairs(conditions or { result.condition }) do
    facts.cranking = facts.cranking or is_cranking(facts.kinds, name)
  end
  for _, tool in ipairs(tools_of(result)) do
    facts.loads = true
    facts.heavy = facts.heavy or tool.heavy
    facts.ammeter = facts.ammeter or tool.tool == "ammeter"
  end
  local group = { "Take care" }
  for _, caution in ipairs(cautions) do
    if caution.fits(facts) then lines.add(group, lines.wrap(caution.text, "  - ", "    ")) end
  end
  return group
end

return M

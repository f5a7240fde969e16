--- Cautions that go with a report: those that fit the parts, the condition and the work.
--- `fits` is given facts = { kinds = set, cranking, verb, func, loads, ammeter, heavy, faults }.
local lines = require "strapline.lines"

local M = {}

local cautions = {
  {
    text = "A model, not the vehicle: real joints change with heat, shaking and water. Measure "
      .. "before you replace anything; the maker's procedures and limits come first.",
    fits = function() return true end,
  },
  {
    text = "Batteries give off explosive gas: fresh air, eye protection, no flame, rings and watch "
      .. "off. Never make or break the last connection at the battery. Ground cable off first, "
      .. "on last.",
    fits = function(facts) return facts.kinds.battery end,
  },
  {
    text = "Jump starting: never on a frozen or leaking battery; the same voltage on both sides; red "
      .. "on the flat battery's positive post, the last black clamp on bare metal of the engine, "
      .. "away from its battery; off in reverse order. Clamps the wrong way round burn diodes and "
      .. "can burst a battery. Crank no longer than the maker of a jump pack allows, then let it "
      .. "cool.",
    fits = function(facts) return facts.kinds.booster_leads or facts.kinds.jump_pack end,
  },
  {
    text = "Before cranking: neutral or park, brake set, wheels chocked, fuel or ignition "
      .. "disabled, hands, leads and clothing clear of belts and fans. 15 s at most, then rest "
      .. "2 min.",
    fits = function(facts) return facts.cranking end,
  },
  {
    text = "If nothing turns, let go of the start control: hundreds of amperes may be looking for "
      .. "another way through cables, hoses and bearings. Look for smoke.",
    fits = function(facts) return facts.cranking end,
  },
  {
    text = "The tool carries real current: not on airbag, tensioner, module signal or 5 V "
      .. "circuits.",
    fits = function(facts) return facts.loads end,
  },
  {
    text = "Ohmmeter only on a circuit without power, on a part taken out of it; never on airbag, "
      .. "tensioner or unknown yellow-marked circuits.",
    fits = function(facts) return facts.func == "ohms" end,
  },
  {
    text = "Ammeter never across a battery, only in series with a load. Check the meter's fuse and "
      .. "leads first; put the leads back to volts when done. Break and make the circuit away "
      .. "from the battery.",
    fits = function(facts) return facts.func == "amps" or facts.ammeter end,
  },
  {
    text = "Test the battery with its caps on, leads of the tester on before it is turned up, off "
      .. "after it is turned down; 15 s, then let tester and battery cool. Never a frozen, "
      .. "cracked or leaking battery.",
    fits = function(facts) return facts.verb == "loadtest" end,
  },
  {
    text = "Fuse a jumper; keep heavy loads brief and connect them away from the battery.",
    fits = function(facts) return facts.heavy end,
  },
  {
    text = "Never fit a larger fuse to stop one blowing.",
    fits = function(facts) return facts.kinds.fuse and facts.verb ~= "read" end,
  },
  {
    text = "A fault set up for a class: fused and limited in current, never in brake, steering, "
      .. "airbag or fuel circuits; take it out and check before the machine is driven.",
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

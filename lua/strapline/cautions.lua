--- Cautions that go with a report: those that fit the parts, the condition and the work.
--- `fits` is given facts = { kinds = set, cranking, verb, heavy, faults }.
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
    fits = function(facts) return facts.verb == "read" end,
  },
  {
    text = "Fuse a jumper; keep heavy loads brief and connect them away from the battery.",
    fits = function(facts) return facts.heavy end,
  },
  {
    text = "Never fit a larger fuse to stop one blowing.",
    fits = function(facts) return facts.kinds.fuse and facts.verb == "predict" end,
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

--- Lines for a text report.
--- @param result an answer or a reading
function M.lines(circuit, result, verb)
  local there = {}
  for _, kind in pairs(circuit.kinds) do there[kind.name] = true end
  local facts = {
    kinds = there, verb = verb, cranking = is_cranking(there, result.condition),
    heavy = result.loaded and result.loaded.heavy, faults = #result.faults > 0,
  }
  local group = { "Take care" }
  for _, caution in ipairs(cautions) do
    if caution.fits(facts) then lines.add(group, lines.wrap(caution.text, "  - ", "    ")) end
  end
  return group
end

return M

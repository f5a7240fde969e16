-- The ways of a charging current. Batteries in series are filled one through the other: neither is
-- an end of the way, and what stands across one is no loss on the way to the other.
local T = dofile((arg[0]:match "^(.*/)" or "./") .. "harness.lua")
local report_drops = require "strapline.report_drops"
local report_explain = require "strapline.report_explain"
local strapline = require "strapline"

local set = [[
source  "ALT"  { "stud", "block", voltage = "28.4 V" }
joint   "W"    { "stud", "B +", resistance = "20 mohm" }
battery "B"    { "B +", "B -", cca = "600 A", charge = "60 %" }
joint   "LINK" { "B -", "A +", resistance = "4 mohm" }
battery "A"    { "A +", "A -", cca = "600 A", charge = "60 %" }
joint   "G"    { "A -", "block", resistance = "6 mohm" }
]]

local function steps(path, side)
  local list = {}
  for _, step in ipairs(path.steps) do
    if step.side == side then list[#list + 1] = step.part end
  end
  return table.concat(list, " ")
end

local function drops(text, load)
  local circuit = assert(strapline.parse(text .. 'reference "block"\n', "set.lua"))
  local found = assert(circuit:drops { load = load })
  return found.ends[1][1], (report_drops.text(circuit, found):gsub("%s+", " "))
end

-- By hand: the current that is left is one, by every part; what the joints lose is its product with
-- theirs, and 28.4 V is both batteries and those.
T.case("each of a set has its way from the alternator and back", function()
  local b, text = drops(set, "B")
  T.equal(b.source, "ALT")
  T.equal(steps(b, "feed"), "W")
  T.equal(steps(b, "return"), "LINK A G")
  T.near(b.feed.value, 0.020 * b.load_current, 1e-9)
  T.near(b.ground.value, 0.010 * b.load_current, 1e-9)
  T.has(text, " Sources in series A + A - A ")
  assert(text:find "= 28%.400 V across ALT %- 1%d%.%d+ V across A ", text)
  local a = drops(set, "A")
  T.equal(steps(a, "feed"), "W B LINK")
  T.equal(steps(a, "return"), "G")
  T.near(a.feed.value, 0.024 * a.load_current, 1e-9)
  T.near(a.load_current, b.load_current, 1e-9)
  T.equal(a.nominal, 24) -- limits for charging at 12 V are not for a set of 24 V
end)

-- Nothing flows, so the way is that of the good set; what stands across the open link is what the
-- alternator has more than both batteries.
T.case("an open link is where the way of a set stops", function()
  local circuit = assert(strapline.parse(set .. [[
resistor "L" { "B +", "A -", resistance = "10 ohm" }
reference "block"
]], "set.lua"))
  local a = assert(circuit:drops { load = "A", faults = { "LINK: open" } }).ends[1][1]
  T.equal(a.source, "ALT")
  T.equal(steps(a, "feed"), "W B LINK")
  T.equal(steps(a, "return"), "G")
  T.equal(a.stops, 1)
  local amps, sides, open = 28.4 / (10 + 0.020 + 0.006), 0, nil
  for _, step in ipairs(a.steps) do
    if step.part == "LINK" then open = step end
    if step.part == "A" or step.part == "B" then sides = sides + step.drop end
  end
  T.near(open.drop, 10 * amps - sides, 1e-9)
end)

-- What is left for a load on the tap is 12 V: half of what charges the set.
T.case("a load behind a battery on charge is one of 12 V", function()
  local load = drops(set .. 'resistor "L" { "A +", "block", resistance = "100 ohm" }\n', "L")
  T.equal(load.source, "ALT")
  T.equal(steps(load, "feed"), "W B LINK")
  T.equal(load.nominal, 12)
end)

T.case("a battery that is not charged is not followed as a load", function()
  T.raises("load: 'B' is not charged in condition 'rest'; a battery is followed where it is",
    function()
      drops(set:gsub('source  "ALT"[^\n]*', 'resistor "ALT" { "stud", "block", resistance = 9 }'), "B")
    end)
end)

-- A generator may lose 0.2 V on its way to a 12 V battery: by wires, not by what is meant to limit.
T.case("a charging resistor is no bad wire, a bad wire beside it is told", function()
  local function charger(ohms)
    local circuit = assert(strapline.parse(([[
source   "ALT" { "stud", "block", voltage = "13.6 V" }
cable    "W"   { "stud", "in", size = "2.5 mm2", length = "2 m" }
resistor "R"   { "in", "+", resistance = "%g ohm" }
battery  "B"   { "+", "block", cca = "100 A", charge = "90 %%" }
reference "block"
fault "dirty" { "W: +3 ohm" }
]]):format(ohms), "trickle.lua"))
    return function(faults)
      return assert(circuit:drops { load = "B", faults = faults }).ends[1][1]
    end
  end
  local good = charger(4.7)
  T.equal(good().feed.verdict, "no limit")
  T.equal(good().bad, false)
  T.equal(good { "dirty" }.bad, true)
  T.equal(charger(0.001)().feed.verdict, "bad")
end)

T.case("no sum shows two signs", function()
  local circuit = assert(strapline.parse(set .. [[
resistor "L" { "A +", "lamp -", resistance = "100 ohm" }
joint    "H" { "lamp -", "block", resistance = "10 mohm" }
reference "block"
]], "set.lua"))
  local found = assert(circuit:explain { red = "A +", black = "lamp -" })
  local text = report_explain.text(circuit, found):gsub("%s+", " ")
  assert(text:find "= 28%.400 V of ALT %- 1%d%.%d+ V of sources ahead of the red lead %- ", text)
end)

T.finish()

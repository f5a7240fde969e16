-- Parallel ways of a current: what has lost its share of it, and limits that are for what a load is.
local here = arg[0]:match "^(.*/)" or "./"
local T = dofile(here .. "harness.lua")
local strapline = require "strapline"

-- 12 V over a load of 1 ohm, and back by two straps of 2 and 6 mohm: 3/4 and 1/4 of the current.
local function two_straps()
  return assert(strapline.parse([[
source   "B"  { "+", "-", voltage = "12 V" }
resistor "L"  { "+", "block", resistance = "1 ohm" }
joint    "G1" { "block", "-", resistance = "2 mohm" }
joint    "G2" { "block", "-", resistance = "6 mohm" }
lamp     "L2" { "+", "block", power = "21 W" }
reference "-"
]], "straps.lua"))
end

local function drops_with(circuit, ...)
  return assert(circuit:drops { load = "L", faults = { ... } })
end

T.case("a way that carries less than half of its share is blamed, with no limit exceeded", function()
  local circuit = two_straps()
  local good = drops_with(circuit)
  T.equal(good.bad, false)
  T.equal(#good.ends[1][1].lost, 0)
  -- By hand: with 60 mohm more in G2 it has 2 / (2 + 66) of the current, and had 2 / (2 + 6).
  local found = drops_with(circuit, "G2: +60 mohm")
  local path = found.ends[1][1]
  T.equal(table.concat(found.blamed[1].lost, ", "), "G2")
  T.equal(#found.blamed[1].over + #found.blamed[1].open, 0)
  T.equal(found.bad, true)
  local all = path.lost[1].current * 68 / 2
  local all_good = path.lost[1].good_current * 8 / 2
  T.near(all, all_good, 0.01)
  T.equal(path.lost[1].node, "block")
  T.equal(path.lost[1].on_path, false)
  -- Gone, it is not even among the ways beside.
  T.equal(drops_with(circuit, "G2: open").ends[1][1].lost[1].current, 0)
  T.equal(table.concat(drops_with(circuit, "G2: open").blamed[1].lost, ", "), "G2")
  -- The main way, long before its drop is over any limit.
  found = drops_with(circuit, "G1: +10 mohm")
  T.equal(table.concat(found.blamed[1].lost, ", "), "G1")
  T.equal(found.ends[1][1].lost[1].on_path, true)
  -- 2 / (2 + 12) is more than half of 2 / (2 + 6).
  T.equal(#drops_with(circuit, "G2: +6 mohm").blamed[1].lost, 0)
end)

T.case("less current through all ways alike is no lost share", function()
  local found = drops_with(two_straps(), "L: +20 ohm")
  T.equal(#found.blamed[1].lost, 0)
end)

T.case("explain tells it too, and tells it of no circuit without faults", function()
  local circuit = two_straps()
  local asked = { red = "+", black = "block", faults = { "G2: open" } }
  local explained = assert(circuit:explain(asked))
  T.equal(explained.ends[1].lost[1].part, "G2")
  local text = require("strapline.report_explain").text(circuit, explained):gsub("%s+", " ")
  T.has(text, 'G2 has lost its share at "block": 0 A, and')
  T.equal(#assert(circuit:explain { red = "+", black = "block" }).ends[1].lost, 0)
end)

-- The control circuit of a solenoid has a published limit; a relay's coil has none, and takes none
-- from it.
T.case("the coil of a relay is not judged by the limit of a solenoid", function()
  local circuit = assert(strapline.parse([[
battery  "B"   { "+", "-", cca = "600 A" }
switch   "KEY" { "+", "key", position = "closed" }
resistor "W"   { "key", "wire", resistance = "20 ohm" }
relay    "K"   { ["30"] = "+", ["87"] = "out", ["86"] = "wire", ["85"] = "-" }
lamp     "L"   { "out", "-", power = "21 W" }
cable    "C"   { "+", "stud", size = "35 mm2", length = "1 m" }
starter  "M"   { B = "stud", case = "-", S = "s" }
switch   "START" { "+", "s", position = "closed" }
reference "-"
]], "coils.lua"))
  for _, name in ipairs { "shop", "tm-2420" } do
    local coil = assert(circuit:drops { load = "K: coil", limits = name }).ends[1][1]
    T.equal(coil.use, "coil")
    T.equal(coil.both.limit, nil)
    T.equal(coil.both.verdict, "no limit")
    local winding = assert(circuit:drops { load = "M: hold-in", limits = name }).ends[1][1]
    T.equal(winding.use, "solenoid coil")
    T.equal(winding.both.limit.volts, 1.0)
  end
end)

-- The published limit is of an alternator's cable; batteries that fill each other have none.
T.case("a battery that fills another is not judged by the limit of an alternator", function()
  local function charged_from(source)
    local circuit = assert(strapline.parse(source .. [[
battery "LOW" { "low +", "-", cca = "600 A", charge = "40 %" }
cable   "W"   { "+", "low +", size = "35 mm2", length = "1 m" }
reference "-"
]], "charging.lua"))
    for _, path in ipairs(assert(circuit:drops()).ends[1]) do
      if path.part == "LOW" then return path end
    end
  end
  local by_battery = charged_from 'battery "FULL" { "+", "-", cca = "600 A", charge = "100 %" }\n'
  T.equal(by_battery.use, "source")
  T.equal(by_battery.feed.limit, nil)
  local by_alternator = charged_from 'alternator "A" { "+", "-", speed = "3000 rpm" }\n'
  T.equal(by_alternator.feed.limit.volts, 0.2)
end)

T.case("a module without power says so", function()
  local circuit = assert(strapline.parse([[
source "B"   { "+", "-", voltage = "12 V" }
switch "KEY" { "+", "key" }
module "ECU" { "key", "-", power = "12 W" }
module "LOW" { "low", "-", power = "12 W" }
source "V"   { "low", "-", voltage = "4 V" }
reference "-"
condition "off" {}
condition "on" { KEY = "closed" }
]], "modules.lua"))
  T.equal(assert(circuit:predict()).parts.ECU.state, "no power")
  T.equal(assert(circuit:predict()).parts.LOW.state, "reset")
  T.equal(assert(circuit:predict { condition = "on" }).parts.ECU.state, "running")
end)

T.finish()

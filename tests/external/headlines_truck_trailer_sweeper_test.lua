-- The headline numbers of three vehicles as small networks that can be worked by hand.
--
-- Run by the program: strapline run tests/external/headlines_truck_trailer_sweeper_test.lua
local strapline = require "strapline"
local V = dofile((arg[0]:match "^(.*/)" or "./") .. "vehicle.lua")
local check, is, printed, near, has_notice, bisect, solve
  = V.check, V.is, V.printed, V.near, V.has_notice, V.bisect, V.solve

-- The truck by hand. Source: [C] closed form, computed --------------------------------------------

--- A current through a joint that the closed form knows.
local function through(amperes, joint, name)
  return solve(([[
source "steady current" { "in", "frame", current = "%g A" }
%s
reference "frame"
]]):format(amperes, joint), name)
end

local function truck_headlines()
  local pins = through(350, 'joint "hinge pins" { "in", "frame", resistance = "22 mohm" }',
    "winch by hand")
  near(pins.parts["hinge pins"].drop, 350 * 0.022, 1e-9, "winch by hand: hinge pins")
  printed(pins.parts["hinge pins"].drop, "7.7", "winch by hand: hinge pins")
  has_notice(pins.parts["hinge pins"], "hot: 2.695 kW", "winch by hand")

  local relay = through(60, 'joint "contact" { "in", "frame", resistance = "12 mohm" }',
    "sensing relay by hand")
  printed(relay.parts.contact.drop, "0.72", "sensing relay by hand")

  local drain = solve([[
source "battery" { "+", "-", voltage = "12.6 V" }
fuse "beacon fuse" { "+", "feed", rating = "10 A" }
module "beacon controller" { "feed", "-", current = "0.25 A", voltage = "12.6 V",
                             position = "asleep", sleep_current = "2 mA" }
reference "-"
]], "drain by hand", { faults = { "beacon controller: stays awake" } })
  printed(drain.parts.battery.current, "-0.25", "drain by hand: amperes")
  printed(drain.parts["beacon fuse"].drop * 1000, "1.9", "drain by hand: millivolts")
end

--- An alternator that can give less than the loads take: the battery gives the rest.
local function idle_headline()
  local name = "idle by hand"
  local answer = solve([[
source "cells" { "inside", "-", voltage = "12.6 V" }
resistor "battery" { "inside", "+", resistance = "5 mohm" }
source "loads" { "-", "+", current = "100 A" }
alternator "alternator" { "+", "-", rated_current = "120 A", idle_current = "60 A",
                          speed = "1500 rpm", pulley_ratio = 1 }
reference "-"
]], name)
  -- 60 A, and 1 % more for each volt below 14.1 V; 100 kohm leak the other way
  local volts = bisect(10, 14, function(v)
    return 12.6 - 0.005 * (100 - 60 * (1 + 0.01 * (14.1 - v))) - v
  end)
  near(answer.nodes["+"].voltage, volts, 1e-5, name .. ": volts")
  near(answer.parts.alternator.current, -60 * (1 + 0.01 * (14.1 - volts)), 1e-3, name)
  printed(answer.parts.battery.current, "39", name .. ": amperes of the battery")
  has_notice(answer.parts.alternator, "at its limit of 61.02 A", name)
end

-- The trailer by hand. Source: [C] closed form, computed ------------------------------------------

local function lamps_by_hand()
  local lines = {
    'source "supply" { "feed", "tug frame", voltage = "13.5 V" }',
    'joint "ground pin" { "trailer frame", "tug frame", resistance = "5 mohm" }',
    'joint "hitch" { "trailer frame", "tug frame", resistance = "0.9 ohm" }',
    'reference "tug frame"',
  }
  for n = 1, 24 do
    lines[#lines + 1] = ([[lamp "L%d" { "feed", "trailer frame", current = "0.35 A",
      voltage = "13.5 V", full_light = "13.5 V" }]]):format(n)
  end
  return table.concat(lines, "\n") .. "\n"
end

local function hitch_headlines()
  local name = "trailer by hand"
  local bad = { faults = { "ground pin: open" } }
  local answer = solve(lamps_by_hand(), name, bad)
  local lamp = bisect(0, 13.5, function(v)
    return (13.5 - v) / 0.9 - 24 * 0.35 * (v / 13.5) ^ 0.55
  end)
  near(answer.parts.L7.drop, lamp, 1e-9, name .. ": lamps")
  near(answer.nodes["trailer frame"].voltage, 13.5 - lamp, 1e-9, name .. ": frame")
  printed(answer.parts.L7.drop, "7.9", name .. ": lamps")
  printed(answer.nodes["trailer frame"].voltage, "5.6", name .. ": frame")
  printed(100 * (lamp / 13.5) ^ 3.4, "16", name .. ": light")
  has_notice(answer.parts.L7, "lamp at 16 % light", name)

  -- A brake node that takes next to nothing sees what the lamps see.
  local node = 'module "brake node" { "feed", "trailer frame", power = "10 mW", '
    .. 'working = "8.5 V" }\n'
  local good = solve(lamps_by_hand() .. node, name)
  is(good.parts["brake node"].notices[1], "answers", name .. ": brake node, good")
  local starved = solve(lamps_by_hand() .. node, name, bad)
  has_notice(starved.parts["brake node"], "below its working voltage at 7.8", name)
end

local function run_headlines()
  local name = "fan run by hand"
  local run = [[
source "fans" { "far return", "far feed", current = "10 A" } -- both wires in one loop
cable "feed" { "near", "far feed", size = "5.3 mm2", length = "15 m" }
cable "return" { "far return", "near", size = "5.3 mm2", length = "15 m" }
reference "near"
]]
  local function lost(faults)
    local answer = solve(run, name, { faults = faults })
    return answer.parts.feed.drop + answer.parts["return"].drop
  end
  local thin = lost { "feed: wrong size = 2.08 mm2", "return: wrong size = 2.08 mm2" }
  near(thin, 10 * 30 * 0.017241 / 2.08, 1e-4, name .. ": 2.08 mm2")
  printed(thin, "2.5", name .. ": 2.08 mm2")
  printed(lost {}, "0.98", name .. ": 5.3 mm2")
end

local function bridge_headlines()
  local name = "bridged feeds by hand"
  local text = [[
source "supply" { "+", "-", voltage = "13.5 V" }
resistor "marker feed" { "+", "marker", resistance = "0.1 ohm" }
lamp "markers" { "marker", "-", current = "8.4 A", voltage = "13.5 V" }
switch "STOP" { "+", "stop", resistance = "0.1 ohm" }
lamp "stop lamps" { "stop", "-", power = "42 W" }
switch "BRIDGE" { "marker", "stop", resistance = "0 ohm" }
reference "-"
]]
  local good = solve(text, name)
  near(good.nodes.stop.voltage, 0, 1e-12, name .. ": good")
  local bad = solve(text, name, { faults = { "BRIDGE: stuck closed" } })
  local volts = bisect(0, 13.5, function(v)
    return (13.5 - v) / 0.1 - 8.4 * (v / 13.5) ^ 0.55 - 3.5 * (v / 12) ^ 0.55
  end)
  near(bad.nodes.stop.voltage, volts, 1e-9, name)
  has_notice(bad.parts["stop lamps"], "lamp at", name)
end

-- The sweeper by hand. Source: [C] closed form, computed ------------------------------------------

local short_by_hand = [[
source "12 V" { "+", "-", voltage = "12 V" }
resistor "source and clips" { "+", "fuse in", resistance = "10 mohm" }
fuse "fuse" { "fuse in", "fuse out", rating = "15 A", resistance = "0 ohm" }
cable "out" { "fuse out", "far +", size = "0.75 mm2", length = "10 m", basis = "iec60228" }
switch "SHORT" { "far +", "far -", resistance = "0 ohm" }
cable "back" { "far -", "-", size = "0.75 mm2", length = "10 m", basis = "iec60228" }
reference "-"
]]

local function short_headlines()
  local name = "short by hand"
  local right = solve(short_by_hand, name, { faults = { "SHORT: stuck closed" } })
  local amperes = right.parts.out.current
  near(amperes, 12 / (0.010 + 20 * 0.026), 1e-9, name)
  printed(amperes, "22.6", name .. ": amperes")
  printed(100 * amperes / 15, "151", name .. ": of a 15 A fuse")
  printed(100 * amperes / 25, "91", name .. ": of a 25 A fuse")
  has_notice(right.parts.fuse, "carries 151 % of its rating: opens in", name)
  has_notice(right.parts.out, "overloaded: insulation limit in", name)
  local wrong = solve(short_by_hand, name .. ", 25 A fuse",
    { faults = { "SHORT: stuck closed", "fuse: rating = 25 A" } })
  near(wrong.parts.out.current, amperes, 1e-9, name .. ", 25 A fuse")
  is(#wrong.parts.fuse.notices, 0, name .. ", 25 A fuse: it never opens")
  has_notice(wrong.parts.out, "overloaded: insulation limit in", name)
end

local function lift_headlines()
  local name = "G2 by hand"
  local answer = through(30, [[
joint "G2" { "in", "frame", resistance = "30 mohm" }
meter "module offset" { "in", "frame" }
]], name)
  near(answer.parts.G2.drop, 0.9, 1e-6, name)
  printed(answer.nodes["in"].voltage, "0.9", name)
end

local h_by_hand = [[
source "supply" { "+", "-", voltage = "28 V" }
switch "BRUSH" { "+", "brush coil", resistance = "0 ohm" }
switch "WATER" { "+", "pump coil", resistance = "0 ohm" }
lamp "dust lamp" { "brush coil", "pump coil", power = "5 W", voltage = "24 V" }
relay "brush" { "+", "brush out", "brush coil", "-", coil_resistance = "255 ohm",
                pull_in = "16 V", drop_out = "3 V" }
relay "pump" { "+", "pump out", "pump coil", "-", coil_resistance = "255 ohm",
               pull_in = "16 V", drop_out = "3 V" }
condition "none" {}
condition "brush" { BRUSH = "closed" }
condition "water" { WATER = "closed" }
condition "both" { BRUSH = "closed", WATER = "closed" }
reference "-"
]]

local function h_headlines()
  local name = "H by hand"
  local circuit = assert(strapline.parse(h_by_hand, name))
  local function at(condition)
    local answer = assert(circuit:predict { condition = condition })
    return answer.parts["dust lamp"].current, answer.parts.brush.state, answer.parts.pump.state,
      answer
  end
  local coil = bisect(0, 28, function(v)
    return 5 / 24 * ((28 - v) / 24) ^ 0.55 - v / 255
  end)
  local amperes, brush, pump, answer = at "brush"
  near(answer.nodes["pump coil"].voltage, coil, 1e-9, name .. ": coil of the other relay")
  near(amperes, coil / 255, 1e-11, name .. ": the bar")
  check(brush == "pulled in" and pump == "pulled in", "%s: BRUSH works both", name)
  amperes, brush, pump = at "water"
  near(amperes, -coil / 255, 1e-11, name .. ": the bar the other way")
  check(brush == "pulled in" and pump == "pulled in", "%s: WATER works both", name)
  amperes = at "both"
  near(amperes, 0, 1e-12, name .. ": both on")
  amperes, brush, pump = at "none"
  near(amperes, 0, 1e-12, name .. ": both off")
  check(brush == "released" and pump == "released", "%s: both off", name)
end

-- All of it ---------------------------------------------------------------------------------------

V.finish {
  truck_headlines, idle_headline, hitch_headlines, run_headlines, bridge_headlines,
  short_headlines, lift_headlines, h_headlines
}

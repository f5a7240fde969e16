-- The headline numbers of five vehicles as small networks that can be worked by hand.
--
-- Run by the program: strapline run tests/external/headlines_bike_boat_bus_van_tractor_test.lua
local V = dofile((arg[0]:match "^(.*/)" or "./") .. "vehicle.lua")
local is, printed, near, between, has_notice, light, bisect, solve
  = V.is, V.printed, V.near, V.between, V.has_notice, V.light, V.bisect, V.solve

local function parallel(...)
  local siemens = 0
  for _, ohm in ipairs { ... } do siemens = siemens + 1 / ohm end
  return 1 / siemens
end

-- The workboat by hand. Source: [C] closed form, computed -----------------------------------------
--
-- 12.6 V; battery 6, port side 1 and starter 34 mohm are the rest of the loop, 41 mohm. The port
-- block returns by its own lug, or by tie and starboard lug, or by the shared harness.

local boat_by_hand = [[
source "battery" { "+", "bus", voltage = "12.6 V" }
resistor "inside" { "+", "post", resistance = "6 mohm" }
resistor "feed" { "post", "stud", resistance = "1 mohm" }
resistor "starter" { "stud", "port block", resistance = "34 mohm" }
joint "port lug" { "port block", "bus", resistance = "0.5 mohm" }
joint "tie" { "port block", "starboard block", resistance = "2 mohm" }
joint "starboard lug" { "starboard block", "bus", resistance = "2 mohm" }
resistor "harness" { "port block", "bus", resistance = "0.25 ohm" }
reference "bus"
]]

local function boat_headlines()
  local name = "boat by hand, lug 60 mohm, good tie"
  local hidden = solve(boat_by_hand, name,
    { faults = { "port lug: resistance = 60 mohm", "harness: open" } })
  local total = 12.6 / (0.041 + parallel(0.060, 0.004))
  near(hidden.parts.starter.current, total, 1e-10, name .. ": total")
  near(hidden.parts.tie.current, total * 60 / 64, 1e-10, name .. ": tie")
  printed(hidden.parts.starter.current, "282", name .. ": total")
  printed(hidden.parts.tie.current, "264", name .. ": tie")

  name = "boat by hand, lug 60 mohm, tie 80 mohm"
  local bad = solve(boat_by_hand, name,
    { faults = { "port lug: resistance = 60 mohm", "tie: resistance = 80 mohm" } })
  local back = parallel(0.060, 0.082, 0.250)
  total = 12.6 / (0.041 + back)
  near(bad.parts.starter.current, total, 1e-10, name .. ": total")
  near(bad.nodes["port block"].voltage, total * back, 1e-10, name .. ": port block")
  printed(bad.parts.starter.current, "176", name .. ": total")
  printed(bad.parts.starter.drop, "6.0", name .. ": starter")
  printed(bad.parts.harness.current, "21", name .. ": harness")
  printed(bad.parts.harness.power, "115", name .. ": harness")
end

-- The motorcycle by hand. Source: [C] closed form, computed ---------------------------------------

local clip_by_hand = [[
source "battery" { "+", "-", voltage = "12.6 V" }
joint "fuse clip" { "+", "feed", resistance = "40 mohm" }
resistor "loads" { "feed", "-", resistance = "590 mohm" } -- 20 A in all
reference "-"
]]

local function clip_headlines()
  local name = "fuse clip by hand"
  local answer = solve(clip_by_hand, name)
  near(answer.parts["fuse clip"].current, 20, 1e-11, name)
  printed(answer.parts["fuse clip"].drop, "0.8", name .. ": volts")
  printed(answer.parts["fuse clip"].power, "16", name .. ": watts")
  has_notice(answer.parts["fuse clip"], "hot: 16.00 W", name)
end

local coil_by_hand = [[
source "battery" { "+", "-", voltage = "12.4 V" }
relay "relay" { ["30"] = "+", ["87"] = "out", ["86"] = "+", ["85"] = "coil lead",
                coil_resistance = "4 ohm", pull_in = "7 V", drop_out = "2 V" }
switch "clutch" { "coil lead", "-", position = "closed", resistance = "0 ohm" }
resistor "load" { "out", "-", resistance = "1 kohm" }
reference "-"
]]

local function coil_headlines()
  local name = "coil 4 ohm, clutch switch 6 ohm"
  local good = solve(coil_by_hand, name)
  is(good.parts.relay.state, "pulled in", name .. ": good")
  local bad, circuit = solve(coil_by_hand, name, { faults = { "clutch: +6 ohm" } })
  is(bad.parts.relay.state, "released", name)
  near(bad.parts.relay.elements.coil.drop, 12.4 * 4 / 10, 1e-12, name .. ": coil")
  printed(bad.parts.relay.elements.coil.drop, "5.0", name .. ": coil")

  -- The lead is off the coil: from there the switch looks like a perfect ground.
  local reading = assert(circuit:read { red = "+", black = "coil lead", tool = "21 W lamp",
    meter = { lead_resistance = 0 }, -- by hand: the meter and nothing else
    faults = { "clutch: +6 ohm", "relay: coil open" } })
  near(reading.unloaded.voltage, 12.4 * 10e6 / (10e6 + 6), 1e-9, name .. ": meter on the lead")
  printed(reading.unloaded.voltage, "12.4", name .. ": meter on the lead")
  local lamp = bisect(0, 12.4, function(v)
    return (12.4 - v) / 6 - 21 / 12 * (v / 12) ^ 0.55 - v / 10e6
  end)
  near(reading.loaded.voltage, lamp, 1e-9, name .. ": 21 W lamp on the lead")
  between(reading.loaded.voltage, 3, 6, name .. ": 21 W lamp on the lead")
end

local regulator_by_hand = [[
source "regulator" { "+", "regulator case", voltage = "14.4 V" }
joint "regulator ground" { "regulator case", "frame", resistance = "40 mohm" }
resistor "battery and lamps" { "+", "frame", resistance = "1.4 ohm" } -- 10 A in all
reference "frame"
]]

local function regulator_headlines()
  local name = "regulator ground by hand"
  local answer = solve(regulator_by_hand, name)
  printed(answer.nodes["regulator case"].voltage, "-0.4", name .. ": case")
  printed(answer.nodes["+"].voltage, "14.0", name .. ": battery instead of 14.4 V")
  near(answer.nodes["+"].voltage, 14.4 * 1.4 / 1.44, 1e-12, name)
end

-- The bus by hand. Source: [C] closed form, computed ----------------------------------------------

local function bus_disconnect_headline()
  local name = "bus by hand, disconnect 18 mohm"
  local answer = solve([[
    source "batteries" { "+", "-", voltage = "25.2 V" }
    switch "disconnect" { "+", "out", position = "closed", resistance = "18 mohm" }
    resistor "rest of the loop" { "out", "-", resistance = "66 mohm" } -- 300 A in all
    reference "-"
  ]], name)
  near(answer.parts.disconnect.current, 300, 1e-10, name)
  printed(answer.parts.disconnect.drop, "5.4", name)
  has_notice(answer.parts["disconnect"], "hot: 1.620 kW", name)
end

local function bus_weak_unit_headline()
  local name = "bus by hand, B 30 mohm"
  local answer = solve([[
    source "A" { "A inside", "-", voltage = "12.6 V" }
    resistor "A resistance" { "A inside", "tap", resistance = "6 mohm" }
    source "B" { "B inside", "tap", voltage = "12.6 V" }
    resistor "B resistance" { "B inside", "+", resistance = "30 mohm" }
    resistor "starter" { "+", "-", resistance = "64.8 mohm" } -- 250 A in all
    reference "-"
  ]], name)
  near(answer.parts.starter.current, 250, 1e-10, name)
  printed(answer:between("+", "tap"), "5.1", name .. ": B")
  printed(answer:between("tap", "-"), "11.1", name .. ": A")
end

local function bus_reversal_headline()
  local name = "bus by hand, frame return off"
  local text = [[
    source "A" { "tap", "A -", voltage = "12.6 V" }
    source "B" { "+", "tap", voltage = "12.6 V" }
    resistor "24 V loads" { "+", "chassis", resistance = "1.26 ohm" }
    resistor "12 V loads" { "tap", "chassis", resistance = "1.26 ohm" }
    joint "frame return" { "chassis", "A -", resistance = "0.1 mohm" }
    reference "A -"
  ]]
  local good = solve(text, name)
  near(good.parts["12 V loads"].drop, 12.6, 0.01, name .. ": good")
  local bad = solve(text, name, { faults = { "frame return: open" } })
  near(bad.nodes.chassis.voltage, 18.9, 1e-12, name)
  printed(bad.parts["12 V loads"].drop, "-6.3", name)
end

local function bus_coil_headline()
  local name = "bus by hand, heater and coil on 0.7 ohm"
  local text = [[
    source "running" { "+", "body", voltage = "27 V" }
    heater "heater" { "+", "lug", resistance = "1.5 ohm", voltage = "24 V" }
    relay "relay" { ["30"] = "+", ["87"] = "lamps", ["86"] = "+", ["85"] = "lug",
                    coil_resistance = "255 ohm", pull_in = "16 V", drop_out = "3 V" }
    resistor "lamps" { "lamps", "body", resistance = "4 ohm" }
    joint "ground" { "lug", "body", resistance = "0.7 ohm" }
    reference "body"
    condition "cold" { relay = { temperature = "20 C" } }
    condition "hot" { relay = { temperature = "83.61 C" } } -- the coil has 1.25 times as much
  ]]
  for _, at in ipairs { { "cold", 255, "pulled in" }, { "hot", 255 * 1.25, "released" } } do
    local condition, ohm, state = table.unpack(at)
    local answer = solve(text, name, { condition = condition })
    local loads = 1 / (1 / 1.5 + 1 / ohm)
    local coil = answer.parts.relay.elements.coil.drop
    near(coil, 27 * loads / (loads + 0.7), 1e-4, name .. ", " .. condition)
    printed(coil, "18.4", name .. ", " .. condition)
    is(answer.parts.relay.state, state, name .. ", " .. condition)
    local good = solve(text, name,
      { condition = condition, faults = { "ground: resistance = 1 mohm" } })
    is(good.parts.relay.state, "pulled in", name .. ", good, " .. condition)
  end
end

-- The van by hand. Source: [C] closed form, computed ----------------------------------------------

local function van_cluster_headline()
  local name = "van by hand, left cluster ground open"
  local answer = solve([[
    source "battery" { "+", "body", voltage = "12.4 V" }
    lamp "brake" { "+", "cluster", power = "21 W", full_light = "13.5 V" }
    lamp "tail" { "tail feed", "cluster", power = "5 W", full_light = "13.5 V" }
    lamp "turn" { "turn feed", "cluster", power = "21 W", full_light = "13.5 V" }
    lamp "four position lamps" { "tail feed", "body", power = "20 W", full_light = "13.5 V" }
    lamp "front turn" { "turn feed", "body", power = "21 W", full_light = "13.5 V" }
    lamp "repeater" { "turn feed", "body", power = "5 W", full_light = "13.5 V" }
    joint "ground" { "cluster", "body", resistance = "0.1 mohm" }
    reference "body"
  ]], name, { faults = { "ground: open" } })
  printed(answer.nodes.cluster.voltage, "6.31", name .. ": ground node")
  printed(answer.parts.brake.drop, "6.09", name .. ": brake lamp")
  printed(light(answer, "brake"), "7", name .. ": brake lamp")
  printed(light(answer, "tail"), "6", name .. ": tail lamp")
  printed(light(answer, "turn"), "1", name .. ": turn lamp")
end

local function van_drain_headline()
  local name = "van by hand, bay module awake"
  local answer = solve([[
    source "drain" { "body", "module", current = "0.38 A" }
    fuse "bay fuse" { "+", "module", rating = "10 A" }
    source "battery" { "+", "body", voltage = "12.5 V" }
    reference "body"
  ]], name)
  printed(answer.parts["bay fuse"].drop * 1e3, "2.9", name .. ": mV")
  printed(30 / (0.38 + 0.03) / 24, "3", name .. ": days for 30 Ah")
end

local function van_headlamp_headline()
  local name = "van by hand, headlamp crimp 0.35 ohm"
  local answer = solve([[
    source "feed" { "+", "body", voltage = "13.8 V" }
    joint "crimp" { "+", "lamp +", resistance = "0.35 ohm" }
    lamp "headlamp" { "lamp +", "body", power = "55 W", voltage = "13.2 V",
                      full_light = "13.2 V" }
    reference "body"
  ]], name)
  printed(answer.parts.headlamp.drop, "12.4", name)
  printed(light(answer, "headlamp"), "81", name)
end

-- The tractor by hand. Source: [C] closed form, computed ------------------------------------------

local function tractor_braid_headline()
  local name = "tractor by hand, paint under the braid"
  local answer = solve([[
    source "cab loads" { "block", "cab", current = "-22 A" }
    joint "braid" { "cab", "block", resistance = "15 mohm" }
    reference "block"
  ]], name)
  near(answer.nodes.cab.voltage, 22 * 0.015, 1e-12, name)
  printed(answer.nodes.cab.voltage, "0.33", name)
end

local function tractor_chain_headline()
  local name = "tractor by hand, six contacts"
  local answer = solve([[
    source "feed" { "n0", "block", voltage = "12.2 V" }
    for i, contact in ipairs { "key", "neutral", "seat", "PTO", "clutch", "relay" } do
      joint(contact) { "n" .. (i - 1), "n" .. i, resistance = "33 mohm" }
    end
    resistor "windings" { "n6", "block", resistance = "0.34 ohm" }
    reference "block"
  ]], name)
  near(answer.nodes.n6.voltage, 12.2 * 0.34 / (0.34 + 6 * 0.033), 1e-12, name .. ": S")
  printed(answer.nodes.n6.voltage, "7.7", name .. ": S")
  for _, contact in ipairs { "key", "neutral", "seat", "PTO", "clutch", "relay" } do
    between(answer.parts[contact].drop, 0.74, 0.75, name .. ": " .. contact)
  end
end

local function tractor_sharing_headline()
  local name = "tractor by hand, one link loose"
  local answer = solve([[
    for _, side in ipairs { "left", "right" } do
      source(side) { side .. " inside", "-", voltage = "12.6 V" }
      resistor(side .. " resistance") { side .. " inside", side .. " +", resistance = "6 mohm" }
    end
    joint "link" { "left +", "right +", resistance = "30 mohm" }
    resistor "starter" { "right +", "-", resistance = "35 mohm" }
    reference "-"
  ]], name)
  local total = 12.6 / (0.035 + 1 / (1 / 0.036 + 1 / 0.006))
  near(answer.parts.starter.current, total, 1e-10, name)
  near(answer.parts.link.current, total * 6 / 42, 1e-10, name .. ": the left unit gives a seventh")
end

local function sensor_offset_headline()
  -- A sensor ground 0.33 V above the module's, at half: e (1 - x) too high.
  local name = "sensor ground lifted by 0.33 V"
  local text = [[
    sensor_input "input" { "5 V", "signal", "module ground" }
    sensor "sensor" { "5 V", "signal", "sensor ground", output = "50 %" }
    source "lift" { "sensor ground", "module ground", voltage = "0.33 V" }
    reference "module ground"
  ]]
  local signal = solve(text, name).nodes.signal.voltage
  local good = solve(text, name, { faults = { "lift: voltage = 0 V" } }).nodes.signal.voltage
  near(good, 2.5, 5e-3, name .. ": without")
  near(signal - good, 0.165, 1e-3, name)
  printed((signal - good) / 5 * 100, "3.3", name .. ": percent of span")
end

-- All of it ---------------------------------------------------------------------------------------

V.finish {
  boat_headlines, clip_headlines, coil_headlines, regulator_headlines, bus_disconnect_headline,
  bus_weak_unit_headline, bus_reversal_headline, bus_coil_headline, van_cluster_headline,
  van_drain_headline, van_headlamp_headline, tractor_braid_headline, tractor_chain_headline,
  tractor_sharing_headline, sensor_offset_headline
}

-- Readings with instruments from Lua.
local here = arg[0]:match "^(.*/)" or "./"
local T = dofile(here .. "harness.lua")
local strapline = require "strapline"
local display = require "strapline.display"

--- Voltage across a lamp of 12 V whose current is the 0.55th power of voltage, in series with R on
--- 12.6 V, by bisection; cold it has a tenth of its hot resistance.
local function lamp_volts(rated, ohm)
  local function amperes(v)
    return math.max(0, math.min(rated * (v / 12) ^ 0.55, 10 * rated * v / 12))
  end
  local low, high = 0, 12.6
  for _ = 1, 200 do
    local middle = (low + high) / 2
    if middle + ohm * amperes(middle) > 12.6 then high = middle else low = middle end
  end
  return low
end

local function ground(ohm)
  return assert(strapline.parse(([[
    source   "battery" { "plus", "minus", voltage = "12.6 V" }
    resistor "ground"  { "lamp ground", "minus", resistance = %.17g }
    reference "minus"
  ]]):format(ohm)))
end

-- The loaded test of a ground: nominal values and law of the trade's lamps, computed.
local lesson = {
  -- ohm, meter alone, 0.25 A test lamp, 21 W lamp
  { 0.01, 12.60, 12.60, 12.58 }, { 1, 12.60, 12.35, 10.94 }, { 10, 12.60, 10.30, 3.59 },
  { 50, 12.60, 4.93, 0.34 }, { 140, 12.60, 1.49, 0.06 }, { 500, 12.60, 0.18, 0.02 },
}

T.case("a bad ground: meter, test lamp, 21 W lamp", function()
  for _, row in ipairs(lesson) do
    local circuit = ground(row[1])
    local function read(tool)
      return assert(circuit:read { red = "plus", black = "lamp ground", tool = tool })
    end
    local small, large = read "test lamp", read "21 W lamp"
    assert(math.abs(small.unloaded.voltage - row[2]) < 0.0051)
    assert(math.abs(small.loaded.voltage - row[3]) < 0.0051)
    assert(math.abs(large.loaded.voltage - row[4]) < 0.0051)
    T.near(small.loaded.voltage, lamp_volts(0.25, row[1]), 1e-4)
    T.near(large.loaded.voltage, lamp_volts(1.75, row[1]), 1e-4)
  end
end)

T.case("a test lamp with LEDs is lit through a ground on which a filament is dark", function()
  local circuit = ground(140)
  local function shows(tool)
    return assert(circuit:read { red = "plus", black = "lamp ground", tool = tool }).loaded
  end
  local led, filament = shows "LED test lamp", shows "test lamp"
  T.equal(filament.shows[1], "lamp dark")
  T.has(led.shows[1], "% light")
  assert(tonumber(led.shows[1]:match("(%d+) %%")) > 60)
  -- A straight line from 6 V to 15 mA at 12 V, in series with 140 ohm, but for its soft foot.
  T.near(led.current, (12.6 - 6) / (140 + 6 / 0.015), 0.03)
end)

T.case("the meter is settable, and reads at its own input", function()
  local circuit = ground(1e6)
  local reading = assert(circuit:read { red = "plus", black = "lamp ground",
    meter = { input_resistance = "1 Mohm", lead_resistance = 100 } })
  T.near(reading.unloaded.voltage, 12.6 * 1e6 / 2000100, 1e-9)
end)

local LAB = [[
  battery  "B1" { "B+", "B-", cca = "600 A", resistance = "5 mohm" }
  cable    "N1" { "B-", "frame", size = "25 mm2", length = "0.5 m" }
  cable    "N2" { "B-", "block", size = "35 mm2", length = "0.8 m" }
  strap    "S"  { "block", "frame", size = "16 mm2", length = "0.3 m" }
  cable    "P"  { "B+", "feed", size = "35 mm2", length = "1.5 m" }
  switch   "SW" { "feed", "load in" }
  resistor "L"  { "load in", "block", resistance = "0.1 ohm" }
  relay    "K"  { ["30"] = "feed", ["87"] = "out", ["86"] = "load in", ["85"] = "frame" }
  condition "off" {}
  condition "on" { SW = "closed" }
]]

local function lab() return assert(strapline.parse(LAB)) end

T.case("ohms: dead, live, alone", function()
  local circuit = lab()
  local dead = assert(circuit:read { ohms = true, red = "block", black = "B-" })
  T.equal(dead.live, false)
  T.near(dead.resistance, dead.swapped, 1e-9)
  assert(dead.resistance > 0.2 and dead.resistance < 0.201)
  local live = assert(circuit:read { ohms = true, red = "block", black = "B-", condition = "on" })
  T.equal(live.live, true)
  assert(live.resistance > 20 and live.swapped < -20)
  local alone = assert(circuit:read { ohms = true, alone = "L", condition = "on" })
  T.equal(alone.live, false)
  T.near(alone.resistance, 0.3, 1e-9)
  T.equal(alone.red, "load in")
  local bare = assert(circuit:read { ohms = true, alone = "L", meter = { lead_resistance = 0 } })
  T.near(bare.resistance, 0.1, 1e-9)
end)

T.case("amps: burden and fuse", function()
  local circuit = lab()
  local reading = assert(circuit:read { amps = "K.coil", condition = "on" })
  T.equal(reading.part .. "/" .. reading.element, "K/coil")
  assert(reading.through.current < reading.without.current)
  T.near(reading.through.voltage, reading.through.current * 0.05, 1e-12)
  T.equal(reading.through.blows, false)
  local blown = assert(circuit:read { amps = "P", condition = "on" })
  T.equal(blown.through.blows, true)
  local other = assert(circuit:read { amps = "P", condition = "on",
    meter = { fuse = "200 A", burden = "1 mohm" } })
  T.equal(other.through.blows, false)
  assert(other.through.current > blown.through.current)
end)

-- By hand: 12 V over R and the burden of 50 mohm. A fuse holds 110 % of its rating and opens at 135 %.
T.case("amps: a little above its rating a fuse may open, far above it does", function()
  local function of(ohm)
    local circuit = assert(strapline.parse(([[
source "B" { "p", "m", voltage = "12 V" }
resistor "R" { "p", "m", resistance = "%g ohm" }
reference "m"
]]):format(ohm), "amps.lua"))
    local found = assert(circuit:read { amps = "R" })
    T.near(found.through.current, 12 / (ohm + 0.05), 1e-9)
    return circuit, found, found.through.above, found.through.blows
  end
  local report = require "strapline.report_reading"
  for _, row in ipairs { { 1.16, false, false }, { 1.13, true, false, "holds for 100 h" },
    { 0.85, true, false, "holds for hours or opens after 0.75 s" },
    { 0.83, true, true, "opens in 0.25 to 600 s" }, { 0.54, true, true, "opens in 0.04 to 5 s" },
    { 0.14, true, true, "opens at once" } } do
    local circuit, found, above, blows = of(row[1])
    T.equal(above, row[2])
    T.equal(blows, row[3])
    local text = report.read(circuit, found)
    T.equal(text:find("its fuse of 10 A", 1, true) ~= nil, above)
    text = text:gsub("%s+", " ")
    T.equal(text:find("the circuit is open there", 1, true) ~= nil, blows)
    if row[4] then T.has(text, "its fuse of 10 A " .. row[4]) end
  end
end)

T.case("a clamp: one of two cables, both, and both ways", function()
  local circuit = lab()
  local function clamp(...)
    return assert(circuit:read { clamp = { ... }, condition = "on" })
  end
  local one, both = clamp "N1", clamp("N1", "N2")
  local battery = clamp "B1"
  T.near(both.current, battery.current, 1e-9) -- from the first terminal on, both
  T.equal(#both.places, 0)
  T.equal(#one.places, 1)
  local place = one.places[1]
  T.equal(place.node, "B-")
  T.near(place.through, battery.current < 0 and -battery.current or battery.current, 1e-9)
  T.near(place.held, math.abs(one.current), 1e-12)
  local sum = one.current
  for _, other in ipairs(place.others) do sum = sum + other.current end
  T.near(sum + 1, 1, 1e-9) -- Kirchhoff
  T.near(clamp("N1", "-N2").current, 2 * one.current - both.current, 1e-9)
  T.near(clamp("K.86").current, assert(circuit:read { amps = "K.coil", condition = "on" })
    .without.current, 1e-9)
end)

T.case("the least and the most over conditions, and through a chatter", function()
  local circuit = lab()
  local all = assert(circuit:read { red = "B+", black = "B-", conditions = "all" })
  T.equal(#all.rows, 2)
  T.equal(all.least.condition, "on")
  T.equal(all.most.condition, "off")
  T.near(all.least.value, circuit:read { red = "B+", black = "B-", condition = "on" }
    .unloaded.voltage, 0)
  -- A relay whose coil hangs on its own rest contact.
  local buzzer = assert(strapline.parse [[
    source "E" { "+", "-", voltage = "12 V" }
    relay "K" { ["30"] = "+", ["87"] = "none", ["87a"] = "coil", ["86"] = "coil", ["85"] = "-" }
    reference "-"
  ]])
  local buzz = assert(buzzer:read { red = "coil", black = "-", conditions = { "rest" } })
  assert(buzz.rows[1].unloaded.other)
  assert(buzz.most.value > 11.9 and buzz.least.value < 0.1)
  assert(buzz.least.second_end ~= buzz.most.second_end)
  local amps = assert(buzzer:read { amps = "K.coil", conditions = "all" })
  assert(amps.most.value > 0.05 and math.abs(amps.least.value) < 1e-9)
  local clamp = assert(buzzer:read { clamp = "E", conditions = "all" })
  assert(clamp.most.value - clamp.least.value > 0.05)
end)

T.case("several tools at once", function()
  local circuit = lab()
  local reading = assert(circuit:read { red = "B+", black = "B-", tool = "5 W lamp",
    with = { "carbon pile = 100 A: B+, B-", "load resistor: feed, frame" } })
  T.equal(#reading.with, 2)
  local drawn = 0
  for _, tool in ipairs(reading.with) do
    drawn = drawn + tool.current
    if tool.tool == "carbon pile = 100 A" then T.near(tool.current, 100, 1e-9) end
  end
  -- The battery's own 5 mohm.
  T.near(circuit:predict().parts.B1.drop - reading.unloaded.voltage, 0.005 * drawn, 1e-4)
end)

T.case("load test", function()
  local circuit = lab()
  local test = assert(circuit:load_test {})
  T.equal(test.verdict, "passes")
  T.near(test.rest_voltage - test.loaded_voltage, 300 * 0.005, 1e-9)
  T.equal(circuit:load_test { faults = { "B1: resistance = 12 mohm" } }.verdict, "fails")
  T.equal(circuit:load_test { faults = { "B1: charge = 40 %" } }.verdict, "charge first")
  T.raises("is a cable, not a battery", function() circuit:load_test { battery = "N1" } end)
end)

T.case("an ohmmeter on a relay alone says where its coil is", function()
  local circuit = assert(strapline.parse [[
battery "B" { "+", "0", cca = "500 A" }
relay "K" { "+", "out", "key", "0" }
resistor "L" { "out", "0", resistance = "10 ohm" }
]])
  local reading = assert(circuit:read { ohms = true, alone = "K" })
  T.equal(#reading.elsewhere, 1)
  T.equal(reading.elsewhere[1].element, "coil")
  T.equal(reading.elsewhere[1].red .. ", " .. reading.elsewhere[1].black, "key, 0")
  local remarks = require "strapline.report_ohms".remarks(reading)
  T.equal(remarks[#remarks], 'Not measured: its coil from "key" to "0". Put the leads there.')
  T.equal(assert(circuit:read { ohms = true, alone = "K", red = "key", black = "0" }).elsewhere, nil)
  T.equal(assert(circuit:read { ohms = true, alone = "L" }).elsewhere, nil)
end)

-- A bad battery that comes off a charge: 13.9 V at rest, and it would pass.
T.case("surface charge is taken off before a load test", function()
  local function tested(more)
    local circuit = assert(strapline.parse(
      ('battery "B" { "+", "-", cca = "600 A", resistance = "12 mohm"%s }'):format(more)))
    return assert(circuit:load_test {}), circuit
  end
  local rested = tested ""
  local charged, circuit = tested ', surface_charge = "1.3 V"'
  T.equal(rested.surface_charge, 0)
  T.equal(charged.surface_charge, 1.3)
  T.equal(charged.rest_voltage, rested.rest_voltage)
  T.equal(charged.loaded_voltage, rested.loaded_voltage)
  T.equal(charged.verdict, "fails")
  T.has(require "strapline.report_load_test".load_test(circuit, charged),
    "surface charge, 1.300 V on six cells, is taken off before")
end)

T.case("wrong use", function()
  local circuit = lab()
  local function wrong(part, question)
    T.raises(part, function() return circuit:read(question) end)
  end
  local leads = { red = "B+", black = "B-" }
  local function with(more)
    for key, value in pairs(leads) do more[key] = value end
    return more
  end
  wrong("ask for ohms instead", with { tool = "ohmmeter" })
  wrong("goes round a lead", with { with = { "clamp: B+, B-" } })
  wrong("take the test lamp off", with { ohms = true, with = { "test lamp: B+, B-" } })
  wrong("unknown field 'tool'", with { ohms = true, tool = "test lamp" })
  wrong("TOOL: NODE, NODE", with { with = { "test lamp" } })
  wrong("the test lamp's black lead: circuit has no node", with { with = { "test lamp: B+, nowhere" } })
  wrong("did you mean 'block'?", with { with = { "test lamp: blck, B-" } })
  wrong("takes no value", with { tool = "test lamp = 5 A" })
  wrong("has no unit", with { tool = "carbon pile = 5" })
  wrong("is too high", with { tool = "carbon pile = 5 kA" })
  wrong("several paths; say which: 'K: contacts'", { amps = "K" })
  wrong("has no path 'coils' (did you mean 'coil'?)", { amps = "K.coils" })
  wrong("with 5 leads", { clamp = "K" })
  wrong("in the clamp twice", { clamp = { "N1", "-N1" } })
  wrong("no part 'N9'", { clamp = "N9" })
  wrong("two readings", { clamp = "N1", amps = "N2" })
  wrong("input_resistance", with { meter = { input_resistance = "5 ohm" } })
  wrong("unknown field 'inputs' in the meter", with { meter = { inputs = 1 } })
  wrong("either condition or conditions", with { condition = "on", conditions = "all" })
  local loop = assert(strapline.parse [[
    source "E" { "+", "-", voltage = "12 V" }
    resistor "A" { "+", "a", resistance = 0 }
    resistor "B" { "+", "a", resistance = 0 }
    resistor "R" { "a", "-", resistance = 1 }
    reference "-"
  ]])
  T.raises("current of 'A' is not defined", function() loop:read { clamp = "A" } end)
end)

T.case("a display shows the digits of a shop meter", function()
  local meter = strapline.core.multimeter()
  local function volts(value) return display.join(display.voltage(value, meter)) end
  T.equal(volts(12.63456), "12.63 V")
  T.equal(volts(1.49021), "1.490 V")
  T.equal(volts(0.0619), "61.9 mV")
  T.equal(volts(14.95e-6), "0.0 mV")
  T.equal(volts(-0.089), "-89.0 mV")
  local function ohms(value) return display.join(display.resistance(value, meter)) end
  T.equal(ohms(0.2248), "0.2 ohm")
  T.equal(ohms(1234.5), "1.235 kohm")
  T.equal(ohms(4.7e6), "4.700 Mohm")
  T.equal(ohms(nil), "OL")
  T.equal(display.join(display.current(8.0861, meter)), "8.09 A")
  T.equal(display.join(display.current(0.0213, meter)), "0.021 A")
  T.equal(display.join(display.current(10.01, meter)), "OL")
  T.equal(display.join(display.clamp(0.038)), "0.04 A")
  T.equal(display.join(display.clamp(282.36)), "282.4 A")
end)

-- Behind an open ground no current is more than what leaks: rounding of the meter's own volts is no
-- reason to search.
T.case("ohms of what floats", function()
  local folder = os.getenv "STRAPLINE_CIRCUITS" or "circuits"
  local bike = assert(strapline.load(folder .. "/wicken_410.lua"))
  for _, condition in ipairs(bike.conditions) do
    for _, fault in ipairs(bike.faults) do
      assert(bike:read { ohms = true, red = "battery + post", black = "frame", faults = { fault.name },
        condition = condition.name })
    end
  end
  local open = assert(bike:read { ohms = true, red = "battery + post", black = "frame",
    faults = { "open main ground" } })
  T.near(open.resistance, 100e3, 1e2) -- the leak of the regulator alone
end)

T.finish()

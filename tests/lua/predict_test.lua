-- Predictions and readings through the Lua module.
local T = dofile((arg[0]:match "^(.*/)" or "./") .. "harness.lua")
local strapline = require "strapline"

-- Closed form: 12.6 V behind 6 mohm, 1 mohm each way, a load of 34 mohm: 300 A.
local LOOP = [[
source "E1" { "+", "-", voltage = "12.6 V" }
resistor "RI" { "+", "post", resistance = "6 mohm" }
resistor "RP" { "post", "stud", resistance = "1 mohm" }
resistor "RL" { "stud", "engine", resistance = "34 mohm" }
resistor "RG" { "engine", "-", resistance = "1 mohm" }
resistor "RX" { "loose a", "loose b", resistance = "1 ohm" }
reference "-"
fault "bad ground" { "RG: +10 mohm", about = "green crust" }
]]

local VEHICLE = [[
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
switch "KEY" { "B1 +", "key out" }
lamp "L1" { "key out", "B1 -", power = "21 W" }
starter "M1" { B = "B1 +", case = "B1 -", S = "key out" }
condition "off" {}
condition "crank" { KEY = "closed", temperature = "0 C" }
]]

local function loop() return assert(strapline.parse(LOOP, "loop.lua")) end

T.case("voltages, currents, drops and powers of a loop", function()
  local answer = assert(loop():predict())
  T.near(answer.nodes.post.voltage, 10.8, 1e-12)
  T.near(answer.nodes.engine.voltage, 0.3, 1e-12)
  T.near(answer.parts.RL.current, 300, 1e-12)
  T.near(answer.parts.RL.drop, 10.2, 1e-12)
  T.near(answer.parts.RL.power, 3060, 1e-12)
  T.near(answer.parts.E1.power, -3780, 1e-12)
  T.near(answer:between("post", "engine"), 10.5, 1e-12)
  T.equal(answer.outcome, "settled")
  assert(answer.quality.residual < 1e-9 and answer.quality.power_balance < 1e-9)
end)

T.case("lists in the order of the file", function()
  local answer = assert(loop():predict())
  T.equal(answer.nodes[1].name, "+")
  T.equal(answer.parts[3].name, "RP")
  T.equal(answer.parts[3], answer.parts.RP)
  T.equal(#answer.parts, 6)
end)

T.case("floating nodes are undefined, and defined against each other", function()
  local answer = assert(loop():predict())
  T.equal(answer.nodes["loose a"].voltage, nil)
  T.equal(answer.nodes["loose a"].floating, true)
  T.equal(answer.nodes.engine.floating, false)
  T.near(answer:between("loose a", "loose b"), 0, 1e-12)
  T.equal(answer:between("loose a", "engine"), nil)
end)

T.case("faults as text and by name", function()
  local circuit = loop()
  for _, fault in ipairs { "RG: +10 mohm", "bad ground" } do
    local answer = assert(circuit:predict { faults = { fault } })
    T.near(answer.parts.RL.current, 12.6 / 0.052, 1e-12)
    T.near(answer.parts.RG.drop, 12.6 / 52 * 11, 1e-12)
  end
  T.near(assert(circuit:predict { faults = { "RG: open" } }).nodes.engine.voltage, 12.6, 1e-9)
  local two = { "RG: +10 mohm", "RP: resistance = 11 mohm" }
  T.near(assert(circuit:predict { faults = two }).parts.RL.current, 12.6 / 0.062, 1e-12)
end)

T.case("a fault leaves no trace: the healthy answer is the same to the last bit", function()
  local circuit = loop()
  local before = assert(circuit:predict())
  assert(circuit:predict { faults = { "bad ground", "RP: open" } })
  local after = assert(circuit:predict())
  for index, node in ipairs(before.nodes) do T.equal(after.nodes[index].voltage, node.voltage) end
end)

T.case("conditions set positions and temperatures", function()
  local circuit = assert(strapline.parse(VEHICLE))
  local off, crank = assert(circuit:predict()), assert(circuit:predict { condition = "crank" })
  T.equal(off.condition, "off")
  T.equal(off.temperature, 20)
  T.equal(crank.temperature, 0)
  T.equal(off.parts.M1.state, "released")
  T.equal(crank.parts.M1.state, "pulled in")
  T.equal(off.parts.L1.current, 0)
  T.has(table.concat(crank.parts.M1.notices), "rpm")
  assert(crank.parts.M1.elements.motor.current > 100)
end)

T.case("wrong use raises and tells what was meant", function()
  local circuit = assert(strapline.parse(VEHICLE))
  local function predict(question) return circuit:predict(question) end
  T.raises("did you mean 'crank'?", predict, { condition = "crnk" })
  T.raises("there is no part 'L2'", predict, { faults = { "L2: open" } })
  T.raises("did you mean 'open'?", predict, { faults = { "L1: opne" } })
  T.raises("there is no fault 'flat'", predict, { faults = { "flat" } })
  T.raises("unknown field 'condtion'", predict, { condtion = "crank" })
  T.raises("a fault is text", predict, { faults = { 5 } })
  T.raises('faults is "L1: open", not a list; write faults = {', predict, { faults = "L1: open" })
  T.raises("faults is a table with names or gaps, not a list", predict, { faults = { a = "L1: open" } })
  T.raises("faults is a table with names or gaps, not a list", predict, { faults = { [2] = "L1: open" } })
  T.raises("unknown field 'red'", predict, { red = "B1 +" })
end)

T.case("what cannot be solved gives nil, a message and the name of the code", function()
  local circuit = assert(strapline.parse([[
    source "E1" { "a", "0", voltage = "12 V" }
    source "E2" { "a", "0", voltage = "6 V" }
    reference "0"
  ]]))
  local answer, message, code = circuit:predict()
  T.equal(answer, nil)
  T.equal(code, "SL_E_CONTRADICTION")
  T.has(message, "E2")
end)

T.case("a chatter tells both ends", function()
  local circuit = assert(strapline.parse(VEHICLE))
  local answer = assert(circuit:predict { condition = "crank", faults = { "M1: hold-in open" } })
  T.equal(answer.outcome, "chatters")
  assert(answer.period > 0)
  T.has(answer.parts.M1.notices[1], "chatters: about")
  assert(answer.other.parts.M1.state ~= answer.parts.M1.state)
end)

T.case("a reading: the meter alone sees through a path that a lamp does not", function()
  local circuit = assert(strapline.parse([[
    source "E1" { "+", "-", voltage = "12.6 V" }
    resistor "RG" { "body", "-", resistance = "140 ohm" }
    reference "-"
  ]]))
  local reading = assert(circuit:read { red = "+", black = "body" })
  T.near(reading.unloaded.voltage, 12.6, 1e-4)
  -- 0.25 A at 12 V, current as the 0.55th power of voltage, in series with 140 ohm: 1.49 V.
  T.near(reading.loaded.voltage, 1.49, 0.01)
  T.near(reading.loaded.current, (12.6 - reading.loaded.voltage) / 140, 1e-3)
  T.equal(reading.loaded.tool, "test lamp")
  local swapped = assert(circuit:read { red = "body", black = "+" })
  T.near(swapped.loaded.voltage, -reading.loaded.voltage, 1e-9)
end)

T.case("every tool can be used", function()
  local circuit = assert(strapline.parse(VEHICLE))
  for _, tool in ipairs(strapline.tools) do
    local reading = assert(circuit:read { red = "B1 +", black = "B1 -", tool = tool.name })
    T.equal(reading.loaded.tool:match("^[^=]*[^= ]"), tool.name)
    assert(reading.loaded.current > 1e-5, tool.name)
    assert(reading.loaded.voltage < reading.unloaded.voltage, tool.name)
  end
end)

T.case("a floating node reads nothing", function()
  local reading = assert(loop():read { red = "loose a", black = "engine" })
  T.near(reading.unloaded.voltage + 1, 1, 1e-9)
  T.near(reading.loaded.current + 1, 1, 1e-9)
end)

T.case("wrong use of readings raises", function()
  local circuit = assert(strapline.parse(VEHICLE))
  local function read(question) return circuit:read(question) end
  T.raises("which node the red lead is on", read, {})
  T.raises("red lead", read, { red = "B2", black = "B1 -" })
  T.raises("both leads", read, { red = "B1 -", black = "B1 -" })
  T.raises("did you mean 'test lamp'?", read, { red = "B1 +", black = "B1 -", tool = "tst lamp" })
end)

T.case("many cases one after another, collected and closed in any order", function()
  local answers = {}
  for i = 1, 300 do
    local circuit = loop()
    answers[i % 7 + 1] = assert(circuit:predict { faults = { ("RG: +%d mohm"):format(i) } })
    if i % 3 == 0 then circuit:close() end
  end
  collectgarbage()
  T.near(answers[1].parts.RL.current, 12.6 / (0.042 + 0.294), 1e-9)
end)

T.case("a closed circuit says so", function()
  local circuit = loop()
  circuit:close()
  T.raises("closed", function() return circuit:predict() end)
end)

-- Its sense wire sees the battery, at 12.6 V, whatever it does: field full on below, off above.
T.case("a regulator that senses elsewhere comes to rest though its stud is open", function()
  for millivolts = 12000, 13200, 8 do
    local circuit = assert(strapline.parse(([[
battery "B" { "+", "0", cca = "500 A" }
alternator "A" { B = "stud", case = "0", sense = "+", sensing = "remote", rated_current = "96 A",
  speed = "3700 rpm", set_point = "%d mV" }
]]):format(millivolts)))
    local answer = assert(circuit:predict())
    local volts = answer.nodes.stud.voltage
    assert(volts < 0.1 or volts > 1.9 * millivolts / 1000, ("%d mV: %g V"):format(millivolts, volts))
  end
end)

T.finish()

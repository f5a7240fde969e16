-- The headline numbers of the school bus, the delivery van and the tractor as small networks that
-- can be worked by hand, and the three whole vehicles in circuits/ telling the same stories with
-- their own numbers.
--
-- Run by the program: strapline run tests/external/vehicles_bus_van_tractor_test.lua
local strapline = require "strapline"

local folder = os.getenv "STRAPLINE_CIRCUITS" or "circuits"
local passed, failed = 0, 0

-- What is checked ---------------------------------------------------------------------------------

local function check(ok, what, ...)
  if ok then
    passed = passed + 1
  else
    failed = failed + 1
    print(("FAILED: " .. what):format(...))
  end
end

local function is(got, want, what)
  check(got == want, "%s: got %s, wanted %s", what, tostring(got), tostring(want))
end

--- got as a person would round it: printed(281.56, "282").
local function printed(got, want, what)
  local digits = want:match "%.(%d+)$"
  local text = got and ("%%.%df"):format(digits and #digits or 0):format(got)
  check(text == want, "%s: got %s, that is %s; wanted %s", what, tostring(got), tostring(text),
    want)
end

local function near(got, want, tolerance, what)
  check(got and math.abs(got - want) <= tolerance, "%s: got %s, wanted %.17g within %g", what,
    tostring(got), want, tolerance)
end

local function between(got, least, greatest, what)
  check(got and got >= least and got <= greatest, "%s: got %s, wanted %g to %g", what,
    tostring(got), least, greatest)
end

local function notices(answer, part)
  return table.concat(answer.parts[part].notices, "; ")
end

local function has_notice(answer, part, text, what)
  local all = notices(answer, part)
  check(all:find(text, 1, true), "%s: %s: notices '%s', wanted '%s'", what, part, all, text)
end

local function no_notice(answer, part, text, what)
  local all = notices(answer, part)
  check(not all:find(text, 1, true), "%s: %s: notices '%s', without '%s'", what, part, all, text)
end

--- The number in a notice, 0 when nothing of the kind is said.
local function number_in(answer, part, pattern)
  return tonumber(notices(answer, part):match(pattern)) or 0
end

local function rpm(answer) return number_in(answer, "starter", "cranks[%a ]* at ([%d.]+) rpm") end
local function light(answer, lamp) return number_in(answer, lamp, "lamp at ([%d.]+) %% light") end
local function scale(answer, gauge) return number_in(answer, gauge, "reads ([%d.]+) %%") end

--- A part's answer in a text of a circuit.
local function solve(text, name, question)
  local circuit = assert(strapline.parse(text, name))
  return assert(circuit:predict(question))
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
  has_notice(answer, "disconnect", "hot: 1.620 kW", name)
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

-- Whole vehicles ----------------------------------------------------------------------------------

local function load(file)
  return assert(strapline.load(folder .. "/" .. file))
end

--- Nodes somebody named, without those a part makes for a terminal that is not used.
local function named_nodes(circuit)
  local answer, count = assert(circuit:predict()), 0
  for _, node in ipairs(answer.nodes) do
    local part = node.name:match "^(.*)%.[^.]*$"
    if not (part and answer.parts[part]) then count = count + 1 end
  end
  return count
end

--- Every condition, good and with each named fault, has a steady answer that is proved.
local function all_cases_settle(circuit)
  local questions = { {} }
  for _, fault in ipairs(circuit.faults) do questions[#questions + 1] = { fault.name } end
  for _, condition in ipairs(circuit.conditions) do
    for _, faults in ipairs(questions) do
      local what = ("%s, %s, %s"):format(circuit.name, condition.name, faults[1] or "good")
      local answer, message = circuit:predict { condition = condition.name, faults = faults }
      check(answer, "%s: %s", what, message)
      is(answer and answer.outcome, "settled", what)
      check(answer and answer.quality.residual <= 1e-9, "%s: residual", what)
    end
  end
end

--- Nothing is amiss in the good vehicle, whatever the condition.
local function nothing_amiss(circuit)
  local amiss = { "hot", "blown", "dark", "overloaded", "opens", "not pulled in", "never meant",
    "discharged", "under load", "wrong way", "resets", "no click", "below its working",
    "does nothing", "not charging", "at its limit", "chatters", "ghost" }
  for _, condition in ipairs(circuit.conditions) do
    local answer = assert(circuit:predict { condition = condition.name })
    local said = {}
    for _, part in ipairs(answer.parts) do
      local all = notices(answer, part.name)
      for _, word in ipairs(amiss) do
        if all:find(word, 1, true) then said[#said + 1] = part.name .. ": " .. all end
      end
    end
    is(table.concat(said, "; "), "", ("%s, %s: amiss"):format(circuit.name, condition.name))
  end
end

--- The drops along a loop, red lead towards the positive post, add up to nothing.
local function loop_closes(answer, battery_volts, loop)
  local sum = 0
  for _, name in ipairs(loop) do sum = sum + answer.parts[name].drop end
  near(sum, battery_volts, 1e-9, answer.circuit .. ": sum of drops around the loop")
end

--- Limits of a cranking circuit: of the battery and of both sides, each with its source.
local function within_limits(answer, at)
  local who = answer.circuit .. ", "
  local positive = answer:between(at.post, "starter stud")
  local ground = answer:between("engine block", at.negative)
  local amperes = answer.parts.starter.current
  between(answer:between(at.post, at.negative), at.battery[1], at.battery[2],
    who .. "battery while cranking: TM-C, 9.6 V for each unit at 21 to 27 C")
  between(positive, 0, at.positive, who .. "positive side: US Army TM 5-3895-382-24, 0.5 / 1.0 V")
  between(ground, 0, at.ground, who .. "ground side: " .. at.ground_source)
  between((positive + ground) / amperes * 100, 0, at.per_100_a,
    who .. "both sides: SAE J541, 12 V 0.20 and 24 V 0.40 V per 100 A, light and medium duty")
  between(answer:between("starter stud", "motor stud"), 0, 0.2,
    who .. "solenoid contacts: US Army TM 5-3820-256-24-4, 0.2 V")
  between(answer:between(at.control, "solenoid"), 0, at.control_limit,
    who .. "solenoid control: US Army TM 5-2420-230-24-2, 1.0 / 2.0 V")
  for _, part in ipairs(answer.parts) do
    if part.kind == "joint" then
      between(math.abs(part.drop), 0, 0.1,
        who .. part.name .. ": each connection, common practice, 0.1 V")
    end
  end
end

--- Looks at each named fault of a circuit, and that none is left out.
local function look_at_faults(circuit, tests)
  for _, fault in ipairs(circuit.faults) do
    check(tests[fault.name], "%s: fault '%s' is not tested", circuit.name, fault.name)
  end
  for name, test in pairs(tests) do
    local good = circuit:predict { condition = test.condition }
    local bad = circuit:predict { condition = test.condition, faults = { name } }
    check(good and bad, "%s: '%s' has no answer in '%s'", circuit.name, name, test.condition)
    if good and bad then test.look(good, bad, ("%s, %s"):format(circuit.name, name)) end
  end
end

--- Asks a circuit, with the words of `predict` and of `read`.
local function asker(circuit)
  return function(condition, ...)
    return assert(circuit:predict { condition = condition, faults = { ... } })
  end, function(question)
    return assert(circuit:read(question))
  end
end

-- The bus -----------------------------------------------------------------------------------------

local bus_loop = { "B + clamp joint", "B + cable", "DISCONNECT", "starter cable", "starter nut",
  "starter", "engine strap joint", "engine strap", "frame rails", "frame return lug",
  "frame return", "A - clamp joint" }
local red_lamps = { "front left red", "front right red", "rear left red", "rear right red" }

local bus_faults = {
  ["disconnect 18 mohm"] = { condition = "crank", look = function(good, bad, name)
    between(bad.parts.DISCONNECT.drop, 3.8, 5.4, name .. ": drop, limit 1.0 V (TM-B)")
    has_notice(bad, "DISCONNECT", "hot", name)
    check(bad:between("B + post", "A - post") > good:between("B + post", "A - post"),
      "%s: the batteries fall less", name)
    check(bad.parts.starter.current < good.parts.starter.current, "%s: fewer amperes", name)
    between(rpm(bad), 100, 0.9 * rpm(good), name .. ": rpm")
  end },
  ["B 30 mohm"] = { condition = "crank", look = function(good, bad, name)
    between(bad.parts.B.drop, 4.9, 6.2, name .. ": B")
    between(bad.parts.A.drop, 11.1, 12, name .. ": A holds")
    between(good.parts.A.drop - good.parts.B.drop, -0.1, 0.1, name .. ": alike when good")
    has_notice(bad, "B", "voltage falls to", name)
    no_notice(bad, "A", "voltage falls to", name)
    has_notice(bad, "equaliser", "does nothing", name)
    between(rpm(bad), 100, 0.8 * rpm(good), name .. ": rpm")
  end },
  ["frame return lug off"] = { condition = "lights on", look = function(good, bad, name)
    near(good:between("body", "A - post"), 0, 0.05, name .. ": good")
    between(bad:between("body", "A - post"), 19, 25, name .. ": the frame floats up")
    between(bad:between("12 V panel", "body"), -12.6, -6.3, name .. ": the tap is reversed")
    has_notice(bad, "camera recorder", "the wrong way round", name)
    has_notice(bad, "two-way radio", "the wrong way round", name)
    has_notice(bad, "driver's fan", "turns backwards", name)
    has_notice(bad, "left headlamp", "dark", name)
    near(bad:between("24 V panel", "A - post"), good:between("24 V panel", "A - post"), 0.3,
      name .. ": the feed is good")
  end },
  ["step-well ground 0.7 ohm"] = { condition = "running, coil hot",
    look = function(good, bad, name)
      is(good.parts["master relay"].state, "pulled in", name .. ": good")
      is(bad.parts["master relay"].state, "released", name)
      between(bad.parts["master relay"].elements.coil.drop, 18.4, 19.2, name .. ": coil")
      between(bad:between("step-well ground lug", "body"), 8.5, 9, name .. ": ground")
      has_notice(bad, "master relay", "not pulled in", name)
      has_notice(bad, "step-well ground", "hot", name)
      for _, lamp in ipairs(red_lamps) do
        check(light(good, lamp) > 85 and light(bad, lamp) == 0, "%s: %s", name, lamp)
      end
    end },
}

local function bus_readings(bus)
  local predict, read = asker(bus)
  -- The same bad ground, the coil still cool: all works. Without the heater it works hot too.
  local cold = predict("running", "step-well ground 0.7 ohm")
  is(cold.parts["master relay"].state, "pulled in", "bus: coil cold")
  between(cold.parts["master relay"].elements.coil.drop, 18.4, 19.2, "bus: coil cold")
  local alone = predict("running, coil hot", "step-well ground 0.7 ohm", "STEP_HEATER: stuck open")
  is(alone.parts["master relay"].state, "pulled in", "bus: coil hot, heater off")

  -- With the meter alone, or the coil's own small current, the ground looks perfect.
  local function ground(tool)
    return read { condition = "rest", faults = { "step-well ground 0.7 ohm" }, tool = tool,
      red = "24 V panel", black = "step-well ground lug" }
  end
  printed(ground().unloaded.voltage, "25.2", "bus: step-well ground, meter alone")
  between(ground("24 V 5 W lamp").loaded.voltage, 24.9, 25.15, "bus: step-well, 5 W lamp")
  between(ground("24 V 70 W lamp").loaded.voltage, 22.5, 23.8, "bus: step-well, 70 W lamp")

  -- Both units rest alike, the bad one too; with the lug off, each side of it reads like a supply.
  local rest = predict("rest", "B 30 mohm")
  near(rest.parts.B.drop, rest.parts.A.drop, 0.05, "bus: at rest")
  local lug = read { condition = "rest", faults = { "frame return lug off" },
    tool = "24 V 21 W lamp", red = "frame middle", black = "frame return cable end" }
  between(lug.unloaded.voltage, 10, 25.2, "bus: across the open lug, meter alone")
  between(lug.loaded.voltage, -1, 1, "bus: across the open lug, 21 W lamp")

  -- No start at all without the frame; the engine runs on when the lug comes off, and the loads
  -- of the tap then get too much instead of the wrong way round.
  local crank = predict("crank", "frame return lug off")
  is(crank.parts.starter.state, "released", "bus: no frame, no start")
  is(rpm(crank), 0, "bus: no frame, no start")
  local running = predict("running", "frame return lug off")
  between(running:between("12 V panel", "body"), 14.2, 15.5, "bus: running without the lug")

  -- Running, the equaliser carries the loads of the tap.
  local good = predict "running"
  between(good.parts.equaliser.elements.lower.current, -4, -1, "bus: equaliser feeds the tap")
  near(good.parts.A.drop, good.parts.B.drop, 0.1, "bus: equalised")
  between(good:between("24 V panel", "body"), 27, 28, "bus: running")
  between(good.parts.DISCONNECT.drop, -0.05, 0, "bus: charging through the disconnect")
end

local function bus()
  local circuit = load "larkfield_60.lua"
  between(named_nodes(circuit), 54, 66, "bus: nodes")
  all_cases_settle(circuit)
  nothing_amiss(circuit)
  local crank = assert(circuit:predict { condition = "crank" })
  loop_closes(crank, crank:between("B + post", "A - post"), bus_loop)
  within_limits(crank, {
    post = "B + post", negative = "A - post", battery = { 19.2, 24 }, positive = 1.0,
    ground = 1.4, ground_source = "US Army TM 5-3895-382-24, 24 V 1.4 V", per_100_a = 0.40,
    control = "starter stud", control_limit = 2.0 })
  between((crank:between("B + post", "starter stud") + crank:between("engine block", "A - post"))
    / crank.parts.starter.current * 250, 0, 1.0, "bus: US Army TM 5-2420-230-24-2, 1.0 V at 250 A")
  between(crank.parts.DISCONNECT.drop, 0, 0.1, "bus: disconnect, mechanical switch 0.1 V")
  between(crank.parts.starter.current, 200, 300, "bus: amperes, TM-E, at most 300 A")
  between(crank:between("starter stud", "engine block"), 18, 23, "bus: TM-E, at least 18 V")
  between(rpm(crank), 130, 220, "bus: rpm")
  look_at_faults(circuit, bus_faults)
  bus_readings(circuit)
end

-- The van -----------------------------------------------------------------------------------------

local van_loop = { "+ clamp joint", "starter cable", "starter nut", "starter",
  "engine strap joint", "engine strap", "battery ground bolt", "ground cable", "- clamp joint" }

--- For how many days 30 Ah last.
local function days_of_30_ah(answer)
  return 30 / -answer.parts.battery.current / 24
end

local van_faults = {
  ["left cluster ground open"] = { condition = "brake held", look = function(good, bad, name)
    near(good:between("left cluster ground", "box"), 0, 0.01, name .. ": good")
    between(bad:between("left cluster ground", "box"), 6.1, 6.5, name .. ": ground node")
    between(bad.parts["left brake lamp"].drop, 5.9, 6.3, name .. ": brake lamp")
    check(light(good, "left brake lamp") > 70, "%s: good", name)
    between(light(bad, "left brake lamp"), 5, 9, name .. ": brake lamp")
    between(light(bad, "left tail lamp"), 4, 8, name .. ": tail lamp glows")
    between(light(bad, "left rear turn"), 1, 2, name .. ": turn lamp")
    near(light(bad, "right brake lamp"), light(good, "right brake lamp"), 2, name .. ": right")
    check(bad.parts["left tail lamp"].current < -0.2, "%s: backwards through the tail lamp", name)
    check(bad.parts["left rear turn"].current < -0.7, "%s: backwards through the turn lamp", name)
  end },
  ["bay module stays awake"] = { condition = "parked", look = function(good, bad, name)
    is(good.parts["bay module"].state, "asleep", name .. ": good")
    is(bad.parts["bay module"].state, "running", name)
    near(bad.parts["bay module"].current, 0.38, 0.005, name .. ": amperes")
    printed(bad.parts["bay fuse"].drop * 1e3, "2.9", name .. ": mV across its fuse")
    between(good.parts["bay fuse"].drop * 1e3, 0, 0.1, name .. ": mV, asleep")
    between(-good.parts.battery.current, 0.02, 0.05, name .. ": all good, at most 50 mA")
    between(days_of_30_ah(bad), 2.8, 3.3, name .. ": days")
    check(days_of_30_ah(good) > 30, "%s: days, good", name)
  end },
  ["door switch stuck"] = { condition = "parked", look = function(_, bad, name)
    is(bad.parts["bay module"].state, "running", name)
    between(-bad.parts.battery.current, 1.5, 2.5, name .. ": drain")
    between(bad.parts["bay fuse"].drop * 1e3, 10, 20, name .. ": mV across its fuse")
    check(light(bad, "rear bay lamp") > 70, "%s: lit behind the door", name)
    between(days_of_30_ah(bad), 0.4, 1, name .. ": flat overnight")
  end },
  ["headlamp crimp 0.35 ohm"] = { condition = "running night", look = function(good, bad, name)
    between(bad.parts["left headlamp crimp"].drop, 1.35, 1.5, name .. ": drop")
    between(bad.parts["left headlamp"].drop, 12.2, 12.6, name .. ": lamp")
    between(light(bad, "left headlamp"), 77, 85, name .. ": light")
    check(light(good, "left headlamp") > 110, "%s: good", name)
    near(light(bad, "right headlamp"), light(good, "right headlamp"), 1, name .. ": right")
    has_notice(bad, "left headlamp crimp", "hot", name)
  end },
  ["box strap 0.2 ohm"] = { condition = "brake held, lights on", look = function(good, bad, name)
    between(bad:between("box", "chassis"), 0.7, 1.1, name .. ": box")
    for _, lamp in ipairs { "left brake lamp", "right brake lamp", "right tail lamp" } do
      between(light(bad, lamp), 40, light(good, lamp) - 10, name .. ": " .. lamp)
    end
    near(light(bad, "left front lamp"), light(good, "left front lamp"), 2, name .. ": front")
    near(bad:between("left cluster ground", "box"), 0, 0.01, name .. ": its screw is good")
  end },
}

local function van_readings(van)
  local predict, read = asker(van)
  -- The cold filaments of the cluster pass for a ground with a meter and with a small test lamp.
  local function cluster(tool, faults)
    return read { condition = "parked", faults = faults or { "left cluster ground open" },
      tool = tool, red = "battery + post", black = "left cluster ground" }
  end
  printed(cluster().unloaded.voltage, "12.6", "van: cluster ground, meter alone")
  between(cluster("test lamp").loaded.voltage, 12, 12.55, "van: cluster ground, test lamp")
  between(cluster("21 W lamp").loaded.voltage, 7, 10, "van: cluster ground, 21 W lamp")
  between(cluster("21 W lamp", {}).loaded.voltage, 12.5, 12.6, "van: good, 21 W lamp")

  -- The plug off the headlamp: full voltage until a lamp draws its current.
  local function plug(tool)
    return read { condition = "running night", tool = tool,
      faults = { "headlamp crimp 0.35 ohm", "left headlamp: open" },
      red = "left headlamp +", black = "front lamp ground" }
  end
  between(plug().unloaded.voltage, 13.8, 14.2, "van: headlamp plug, meter alone")
  between(plug("test lamp").loaded.voltage, 13.7, 14.1, "van: headlamp plug, test lamp")
  between(plug("55 W lamp").loaded.voltage, 11.9, 12.6, "van: headlamp plug, 55 W lamp")

  -- No current, no drop, and nothing to see in the fuse of a module that sleeps.
  local parked = predict("parked", "headlamp crimp 0.35 ohm")
  near(parked.parts["left headlamp crimp"].drop, 0, 1e-6, "van: crimp without current")

  -- The turn lamp of the bad cluster finds its way through the brake lamps and the tail lamps.
  local turn = predict("left turn", "left cluster ground open")
  between(light(turn, "left rear turn"), 3, 9, "van: turn with the ground open")
  check(light(turn, "left tail lamp") > 5, "van: the tail lamp glows with the turn signal")
  check(light(predict "left turn", "left rear turn") > 70, "van: turn, good")

  local loading = predict "loading"
  is(loading.parts["bay module"].state, "running", "van: the door wakes the module")
  between(light(loading, "front bay lamp"), 70, 90, "van: bay lamps")
end

local function van()
  local circuit = load "quillon_parcel_3.lua"
  between(named_nodes(circuit), 40, 50, "van: nodes")
  all_cases_settle(circuit)
  nothing_amiss(circuit)
  local crank = assert(circuit:predict { condition = "crank" })
  loop_closes(crank, crank.parts.battery.drop, van_loop)
  within_limits(crank, {
    post = "battery + post", negative = "battery - post", battery = { 9.6, 12 }, positive = 0.5,
    ground = 0.2, ground_source = "US Army TM 5-3820-256-24-4, 0.2 V", per_100_a = 0.20,
    control = "battery + clamp", control_limit = 1.0 })
  between(rpm(crank), 180, 300, "van: rpm")
  local night = assert(circuit:predict { condition = "running night" })
  between(night.parts.battery.drop, 13.8, 14.5, "van: charging, common practice 13.8 to 14.5 V")
  between(night:between("alternator stud", "battery + post"), 0, 0.2,
    "van: alternator to battery, vehicle maker, 0.2 V")
  between(night:between("battery - post", "engine block"), 0, 0.2,
    "van: alternator case, vehicle maker, 0.2 V")
  look_at_faults(circuit, van_faults)
  van_readings(circuit)
end

-- The tractor -------------------------------------------------------------------------------------

local tractor_loop = { "right + clamp joint", "starter cable", "starter nut", "starter",
  "block ground bolt", "ground cable" }
local chain = { "NEUTRAL", "SEAT", "PTO", "CLUTCH" }
local gauges = { "fuel gauge", "temperature gauge", "oil pressure gauge" }

local tractor_faults = {
  ["paint under cab braid"] = { condition = "running, cab loads on",
    look = function(good, bad, name)
      between(good:between("cab", "engine block"), 0, 0.05, name .. ": good")
      between(bad.parts["cab braid joint"].current, 20, 23, name .. ": amperes")
      between(bad.parts["cab braid joint"].drop, 0.30, 0.34, name .. ": the paint")
      between(bad:between("dash ground", "engine block"), 0.30, 0.36, name .. ": gauges")
      for _, gauge in ipairs(gauges) do
        between(scale(bad, gauge) - scale(good, gauge), 2, 6, name .. ": " .. gauge)
      end
      near(number_in(good, "hitch input", "sees ([%d.]+) %%"), 50, 0.5, name .. ": hitch, good")
      near(number_in(bad, "hitch input", "sees ([%d.]+) %%"), 50 - 3.3, 1, name .. ": hitch")
      has_notice(bad, "throttle cable", "never meant to carry", name)
      has_notice(bad, "cab braid joint", "hot", name)
    end },
  ["six tired contacts"] = { condition = "crank", look = function(good, bad, name)
    is(good.parts.starter.state, "pulled in", name .. ": good")
    is(bad.parts.starter.state, "released", name)
    is(bad.parts["start relay"].state, "pulled in", name .. ": the relay clicks")
    has_notice(bad, "starter", "no click", name)
    between(bad:between("solenoid", "engine block"), 7.4, 7.99, name .. ": S")
    between(bad:between("key in", "key start"), 0.7, 0.75, name .. ": KEY")
    between(bad:between("clutch out", "start relay out"), 0.7, 0.75, name .. ": start relay")
    local sum = bad:between("key in", "key start") + bad:between("clutch out", "start relay out")
    for _, switch in ipairs(chain) do
      between(bad.parts[switch].drop, 0.7, 0.75, name .. ": " .. switch)
      between(good.parts[switch].drop, 0, 0.06, name .. ": good, " .. switch)
      sum = sum + bad.parts[switch].drop
    end
    between(sum, 4.3, 4.5, name .. ": the six together, limit 1.0 V (TM-A)")
    between(bad.parts["left battery"].drop, 12.4, 12.6, name .. ": the batteries are at rest")
  end },
  ["positive link loose"] = { condition = "crank", look = function(good, bad, name)
    near(good.parts["left battery"].current, good.parts["right battery"].current, 0.5,
      name .. ": alike when good")
    between(bad.parts["left battery"].current / bad.parts["right battery"].current, 0.1, 0.25,
      name .. ": share of the left unit")
    between(bad.parts["left battery"].drop, 12.2, 12.5, name .. ": the left one hardly works")
    between(bad.parts["right battery"].drop, 11, 11.5, name .. ": the right one does it alone")
    between(bad.parts["positive link joint"].drop, 1, 1.4, name .. ": the loose lug")
    check(rpm(bad) > 0.85 * rpm(good), "%s: it starts, warm", name)
  end },
  ["glow plug 3 open"] = { condition = "glow", look = function(good, bad, name)
    has_notice(bad, "glow plug 3", "does not heat", name)
    near(bad.parts["glow wire"].current / good.parts["glow wire"].current, 0.75, 0.02,
      name .. ": three quarters of the current")
    near(bad:between("glow rail", "engine block"), good:between("glow rail", "engine block"), 0.1,
      name .. ": the rail tells nothing")
  end },
  ["cab braid off"] = { condition = "running, cab loads on", look = function(good, bad, name)
    between(bad.parts["throttle cable"].current, 15, 20, name .. ": throttle cable")
    has_notice(bad, "throttle cable", "overloaded", name)
    between(bad:between("cab", "engine block"), 2.5, 4, name .. ": cab")
    check(scale(bad, "fuel gauge") > scale(good, "fuel gauge") + 20, "%s: fuel gauge", name)
    check(light(bad, "left work lamp") < 0.6 * light(good, "left work lamp"), "%s: lamps", name)
  end },
}

local function tractor_readings(tractor)
  local predict, read = asker(tractor)
  -- The wire off the solenoid: full voltage through six bad contacts, until something draws.
  local function wire(tool)
    return read { condition = "crank", tool = tool, red = "solenoid", black = "engine block",
      faults = { "six tired contacts", "starter: pull-in open", "starter: hold-in open" } }
  end
  between(wire().unloaded.voltage, 12.3, 12.6, "tractor: solenoid wire off, meter alone")
  between(wire("test lamp").loaded.voltage, 12.2, 12.55, "tractor: solenoid wire off, test lamp")
  between(wire("55 W lamp").loaded.voltage, 11, 11.6, "tractor: solenoid wire off, 55 W lamp")

  -- Any one of the six alone is no reason not to start.
  for _, switch in ipairs(chain) do
    is(predict("crank", switch .. ": resistance = 33 mohm").parts.starter.state, "pulled in",
      "tractor: only " .. switch)
  end

  -- Cold windings draw more: with the six of them it still starts at -10 C.
  is(predict("crank cold", "six tired contacts").parts.starter.state, "pulled in",
    "tractor: six contacts, cold")

  -- No current, no drop: the paint shows nothing at rest, little with the key on.
  local rest = predict("rest", "paint under cab braid")
  near(rest:between("cab", "engine block"), 0, 1e-4, "tractor: paint, at rest")
  local idle = predict("running", "paint under cab braid")
  between(idle:between("cab", "engine block"), 0, 0.05, "tractor: paint, cab loads off")
  near(scale(idle, "fuel gauge"), 50, 0.6, "tractor: fuel gauge, cab loads off")

  -- A plug draws twice at first what it draws hot.
  local first, hot = predict "glow, first moment", predict "glow"
  between(first.parts["glow wire"].current / hot.parts["glow wire"].current, 1.7, 2.1,
    "tractor: cold plugs against hot ones")
  between(hot.parts["glow wire"].current, 40, 48, "tractor: four hot plugs")
end

local function tractor()
  local circuit = load "hollin_74.lua"
  between(named_nodes(circuit), 50, 60, "tractor: nodes")
  all_cases_settle(circuit)
  nothing_amiss(circuit)
  local crank = assert(circuit:predict { condition = "crank" })
  local back = crank:between("left - clamp", "right - post")
  loop_closes(crank, crank.parts["right battery"].drop - back, tractor_loop)
  within_limits(crank, {
    post = "right + post", negative = "right - post", battery = { 9.6, 12.2 }, positive = 0.5,
    ground = 0.2, ground_source = "US Army TM 5-3820-256-24-4, 0.2 V", per_100_a = 0.20,
    control = "right + clamp", control_limit = 1.0 })
  between(rpm(crank), 150, 230, "tractor: rpm")
  local cold = assert(circuit:predict { condition = "crank cold" })
  between(rpm(cold), 100, rpm(crank) - 15, "tractor: cold, rpm")
  near(scale(crank, "fuel gauge"), 50, 0.5, "tractor: fuel gauge")
  near(scale(crank, "temperature gauge"), 60, 0.5, "tractor: temperature gauge")
  look_at_faults(circuit, tractor_faults)
  tractor_readings(circuit)
end

-- All of it ---------------------------------------------------------------------------------------

for _, part in ipairs {
  bus_disconnect_headline, bus_weak_unit_headline, bus_reversal_headline, bus_coil_headline,
  van_cluster_headline, van_drain_headline, van_headlamp_headline,
  tractor_braid_headline, tractor_chain_headline, tractor_sharing_headline,
  sensor_offset_headline, bus, van, tractor } do
  local ok, message = xpcall(part, debug.traceback)
  check(ok, "stopped: %s", message)
end
print(("%d passed, %d failed"):format(passed, failed))
os.exit(failed == 0, true)

-- The headline numbers of the recovery truck, the trailer and the sweeper as small networks that
-- can be worked by hand, and the three whole vehicles in circuits/ telling the same story with
-- their own numbers.
--
-- Run by the program: strapline run tests/external/vehicles_truck_trailer_sweeper_test.lua
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

local function notices(part)
  return table.concat(part.notices, "; ")
end

local function has_notice(part, text, what)
  check(notices(part):find(text, 1, true), "%s: notices '%s', wanted '%s'", what, notices(part),
    text)
end

local function has_no_notice(part, text, what)
  check(not notices(part):find(text, 1, true), "%s: notices '%s'", what, notices(part))
end

--- Where a function that falls from above 0 at `low` to below 0 at `high` is 0.
local function bisect(low, high, f)
  for _ = 1, 200 do
    local middle = 0.5 * (low + high)
    if f(middle) > 0 then low = middle else high = middle end
  end
  return 0.5 * (low + high)
end

--- A part's answer in a text of a circuit.
local function solve(text, name, question)
  local circuit = assert(strapline.parse(text, name))
  return assert(circuit:predict(question)), circuit
end

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
  is(#good.parts["brake node"].notices, 0, name .. ": brake node, good")
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

--- Every condition, good and with each named fault, has an answer that is proved.
--- `chatter` tells of "CONDITION" with any fault, or of "CONDITION, FAULT" before that, whether it
--- is a case without a steady state.
local function all_cases_settle(circuit, chatter)
  local questions = { {} }
  for _, fault in ipairs(circuit.faults) do questions[#questions + 1] = { fault.name } end
  for _, condition in ipairs(circuit.conditions) do
    for _, faults in ipairs(questions) do
      local case = condition.name .. (faults[1] and ", " .. faults[1] or "")
      local what = circuit.name .. ", " .. case
      local answer, message = circuit:predict { condition = condition.name, faults = faults }
      check(answer, "%s: %s", what, message)
      local chatters = chatter[case]
      if chatters == nil then chatters = chatter[condition.name] end
      is(answer and answer.outcome, chatters and "chatters" or "settled", what)
      check(answer and answer.quality.residual <= 1e-9, "%s: residual", what)
    end
  end
end

--- The drops along a loop, red lead towards the positive post, add up to the batteries' voltage.
local function loop_closes(answer, batteries, loop)
  local sum = 0
  for _, name in ipairs(loop) do sum = sum + answer.parts[name].drop end
  for _, name in ipairs(batteries) do sum = sum - answer.parts[name].drop end
  near(sum, 0, 1e-9, answer.circuit .. ": sum of drops around the loop")
end

--- Limits of a cranking circuit, each with its source; those of 24 V are the double, or said.
local function within_limits(answer, at)
  local who, volts = answer.circuit .. ", ", at.volts
  local double = volts == 24 and 2 or 1
  local function drop(red, black) return answer:between(red, black) end
  local amperes = answer.parts[at.starter].current
  local positive = drop(at.post, at.stud)
  local ground = drop(at.case, at.negative)
  local battery = drop(at.post, at.negative)
  local contacts = answer.parts[at.starter].elements.contacts.drop
  between(battery, 9.6 * double, 11.6 * double,
    who .. "battery while cranking: TM-C, 9.6 V at 21 to 27 C")
  between(positive, 0, 0.5 * double, who .. "positive side: US Army TM 5-3895-382-24, 0.5/1.0 V")
  between(ground, 0, 0.2 * double, who .. "ground side: US Army TM 5-3820-256-24-4, 0.2 V")
  between(contacts, 0, 0.2, who .. "solenoid contacts: US Army TM 5-3820-256-24-4, 0.2 V")
  between((positive - (at.switch_drop or 0) + ground) / amperes * 100, 0, 0.2 * double,
    who .. "motor and switches aside: SAE J541, 0.200/0.40 V per 100 A")
  for _, name in ipairs(at.joints) do
    between(math.abs(answer.parts[name].drop), 0, 0.1,
      who .. name .. ": each connection, common practice, 0.1 V")
  end
  between(drop(at.S, at.case), 8 * double, 12 * double, who .. "S terminal: pulls in from 8/16 V")
  between(drop(at.post, at.S), 0, 1.0 * double,
    who .. "control circuit: US Army TM 5-2420-230-24-2, 1.0/2.0 V")
end

--- Whether each named fault of a circuit has been looked at.
local function faults_looked_at(circuit, tests)
  for _, fault in ipairs(circuit.faults) do
    check(tests[fault.name], "%s: fault '%s' is not tested", circuit.name, fault.name)
  end
  for name, test in pairs(tests) do
    local good = circuit:predict { condition = test.condition }
    local bad = circuit:predict { condition = test.condition, faults = { name } }
    check(good and bad, "%s: '%s' has no answer in '%s'", circuit.name, name, test.condition)
    if good and bad then
      test.look(good, bad, ("%s, %s"):format(circuit.name, name), circuit)
    end
  end
end

--- "cranks at 123 rpm" to 123; 0 when it says nothing of the kind.
local function rpm(answer, starter)
  return tonumber(notices(answer.parts[starter]):match "cranks[%a ]* at (%d+) rpm") or 0
end

--- Percent of light a lamp is said to give.
local function light(answer, lamp)
  return tonumber(notices(answer.parts[lamp]):match "lamp at ([%d.]+) %% light") or 0
end

--- Percent of its speed a motor is said to turn at.
local function turns(answer, motor)
  return tonumber(notices(answer.parts[motor]):match "turns at ([%d.]+) %%") or 0
end

-- The recovery truck ------------------------------------------------------------------------------

local truck_loop = { "main + clamp", "main stud cable", "starter cable", "starter nut", "starter",
  "engine ground", "engine cable", "main - cable", "main - clamp" }

local function hinge_pins(good, bad, name, truck)
  local left, right = bad.parts["left hinge pin"], bad.parts["right hinge pin"]
  between(left.current + right.current, 320, 350, name .. ": amperes through the pins")
  between(left.drop, 7, 7.7, name .. ": lost in the pins (7.7 V at 350 A)")
  near(left.drop, (left.current + right.current) * 0.022, 1e-9, name .. ": 22 mohm")
  between(left.power + right.power, 2000, 2800, name .. ": watts in the pins")
  has_notice(left, "hot", name)
  between(turns(good, "winch"), 95, 105, name .. ": good winch")
  between(turns(bad, "winch"), 5, 30, name .. ": it crawls, and draws as before")
  check(light(good, "work lamps") > 75 and light(bad, "work lamps") == 0,
    "%s: the work lamps on the bed go out", name)
  check(math.abs(bad.parts["light bar"].drop - good.parts["light bar"].drop) < 0.1,
    "%s: those on the cab do not", name)
  -- The pins carry a little of it always.
  local share = 2 * good.parts["left hinge pin"].current / good.parts.winch.current
  between(share, 0.02, 0.08, name .. ": share of the pins when all is good")
  -- The meter alone finds nothing.
  local function read(tool)
    return assert(truck:read { condition = "key off", tool = tool,
      faults = { "winch return through hinge pins" }, red = "body stud", black = "winch case" })
  end
  printed(read().unloaded.voltage, "12.6", name .. ": meter alone")
  printed(read("21 W lamp").loaded.voltage, "12.6", name .. ": 21 W lamp")
  between(read("100 A load").loaded.voltage, 9.8, 10.8, name .. ": 100 A")
end

local truck_faults = {
  ["winch return through hinge pins"] = { condition = "winching", look = hinge_pins },
  ["sensing relay contact 12 mohm"] = { condition = "charging", look = function(good, bad, name)
    local relay = bad.parts["sensing relay"]
    local contact = relay.elements.contacts
    is(relay.state, "closed", name)
    near(contact.drop, contact.current * 0.012, 1e-12, name .. ": volts")
    between(contact.current, 40, 65, name .. ": amperes (60 A by hand)")
    between(contact.drop, 0.45, 0.8, name .. ": short (0.72 V by hand)")
    between(good.parts["sensing relay"].elements.contacts.drop, 0, 0.1, name .. ": good")
    check(bad.parts["aux A"].drop < good.parts["aux A"].drop - 0.35, "%s: aux bank", name)
    check(bad.parts["aux A"].current < 0.75 * good.parts["aux A"].current, "%s: charge", name)
    near(bad.parts["main battery"].drop, good.parts["main battery"].drop, 0.1, name .. ": main")
  end },
  ["beacon controller stays awake"] = { condition = "key off", look = function(good, bad, name)
    local function drain(answer)
      return -(answer.parts["main battery"].current + answer.parts["aux A"].current
        + answer.parts["aux B"].current)
    end
    between(drain(good), 0.010, 0.050, name .. ": good: common practice, 50 mA")
    near(drain(bad) - drain(good), 0.25, 0.005, name)
    printed(bad.parts["beacon fuse"].drop * 1000, "1.9", name .. ": millivolts over its fuse")
    between(good.parts["beacon fuse"].drop * 1000, 0, 0.03, name .. ": good fuse")
    near(bad.parts["main battery"].current, good.parts["main battery"].current, 1e-4,
      name .. ": only the auxiliary bank is emptied")
  end },
  ["alternator phase lost"] = { condition = "charging", look = function(good, bad, name)
    has_notice(good.parts.alternator, "charging", name .. ": good")
    has_notice(bad.parts.alternator, "at its limit", name)
    between(bad.parts["main battery"].drop, 12.9, 13.7, name .. ": battery")
  end },
  ["aux link 8 mohm"] = { condition = "winching", look = function(good, bad, name)
    near(good.parts["aux A"].current / good.parts["aux B"].current, 1, 0.02, name .. ": shares")
    local share = bad.parts["aux A"].current / bad.parts["aux B"].current
    between(share, 0.25, 0.5, name .. ": unit A gives too little")
    check(turns(bad, "winch") < turns(good, "winch") - 2, "%s: slower", name)
    has_notice(bad.parts["aux - link"], "hot", name)
  end },
  ["aux frame ground 20 mohm"] = { condition = "wheel lift", look = function(good, bad, name)
    check(turns(bad, "wheel-lift pump") < turns(good, "wheel-lift pump") - 10, "%s: slow", name)
    between(bad:between("frame", "aux B - post"), 1.2, 2.2, name .. ": frame to aux -")
    between(good:between("frame", "aux B - post"), 0, 0.15, name .. ": good")
    between(-bad.parts["left hinge pin"].current, 20, 50, name .. ": a way round by the pins")
    near(bad.parts.winch.current, 0, 1e-9, name .. ": the winch is at rest")
  end },
}

--- What an alternator can give at its speed, and which way each bank goes.
local function truck_charging(truck)
  local idle = assert(truck:predict { condition = "idle, everything on" })
  local raised = assert(truck:predict { condition = "fast idle, everything on" })
  local banks = { "main battery", "aux A", "aux B" }
  has_notice(idle.parts.alternator, "at its limit of 80", "truck at idle")
  has_no_notice(idle.parts["sensing relay"], "closed", "truck at idle")
  for _, bank in ipairs(banks) do
    between(idle.parts[bank].current, -20, -2, "truck at idle: " .. bank .. " is emptied")
    between(raised.parts[bank].current, 1, 20, "truck at fast idle: " .. bank .. " is charged")
  end
  is(raised.parts["sensing relay"].state, "closed", "truck at fast idle")

  local charging = assert(truck:predict { condition = "charging" })
  local where = "charging: "
  between(charging:between("alternator stud", "main + post"), 0, 0.2,
    where .. "stud to + post: a vehicle maker 2007, 0.2 V")
  between(charging:between("main - post", "alternator case"), 0, 0.2,
    where .. "case to - post: vehicle maker training, 0.2 V")
  between(charging.parts["main battery"].drop, 13.8, 14.5, where .. "main battery")
  between(charging.parts["aux A"].drop, 13.6, 14.5, where .. "auxiliary bank")

  local cycling = assert(truck:predict { condition = "winching, split charging left on" })
  near(cycling.period, 15, 1, "sensing relay cycles: seconds")
  local apart = cycling.parts["sensing relay"].state
  check(apart ~= cycling.other.parts["sensing relay"].state, "sensing relay cycles: both ends")
end

local function truck()
  local circuit = load "mulebeck_5.lua"
  between(named_nodes(circuit), 58, 76, "truck: nodes")
  -- With 12 mohm in its way, or in the way home, too little flows to pull the relay off again.
  local cycles = "winching, split charging left on"
  all_cases_settle(circuit, {
    [cycles] = true,
    [cycles .. ", sensing relay contact 12 mohm"] = false,
    [cycles .. ", aux frame ground 20 mohm"] = false,
  })
  local crank = assert(circuit:predict { condition = "crank" })
  loop_closes(crank, { "main battery" }, truck_loop)
  within_limits(crank, {
    volts = 12, post = "main + post", negative = "main - post", stud = "starter stud",
    case = "engine block", starter = "starter", S = "starter S",
    joints = { "main + clamp", "starter nut", "engine ground", "main - clamp", "frame ground" },
  })
  between(crank.parts.starter.current, 280, 380, "truck: amperes of the starter")
  between(rpm(crank, "starter"), 140, 220, "truck: rpm")
  faults_looked_at(circuit, truck_faults)
  truck_charging(circuit)
end

-- The trailer -------------------------------------------------------------------------------------

local trailer_loop = { "tug + clamp", "starter cable", "starter nut", "starter", "engine ground",
  "engine cable", "tug - clamp" }

local function ground_pin_open(good, bad, name, circuit)
  between(good:between("trailer frame", "tug frame"), 0, 0.25, name .. ": good")
  between(bad:between("trailer frame", "tug frame"), 4.5, 5.6, name .. ": frame (5.6 V by hand)")
  between(bad.parts["rear marker 1"].drop, 7.5, 8.4, name .. ": lamps (7.9 V by hand)")
  between(light(bad, "rear marker 1"), 13, 20, name .. ": light (16 % by hand)")
  check(light(good, "rear marker 1") > 75, "%s: good light", name)
  is(#good.parts["ABS node"].notices, 0, name .. ": good ABS node")
  between(bad.parts["ABS node"].drop, 7.5, 8.5, name .. ": ABS node: RP 141, 8.5 V")
  has_notice(bad.parts["ABS node"], "below its working voltage", name)
  has_notice(bad.parts.hitch, "hot", name)
  -- The lamps of the tug are a way home too, through the lamps of the trailer that are off.
  between(bad.parts["left turn lamp"].current, -1, -0.5, name .. ": backwards")
  near(bad.parts["left wire"].current, bad.parts["left turn lamp"].current, 1e-9, name)
  local braking = assert(circuit:predict { condition = "night, braking",
    faults = { "ground pin open" } })
  has_notice(braking.parts["ABS node"], "chatters", name .. ", braking")
  -- The meter alone finds nothing.
  local function read(tool)
    return assert(circuit:read { condition = "parked", faults = { "ground pin open" },
      tool = tool, red = "tug + post", black = "trailer frame" })
  end
  printed(read().unloaded.voltage, "12.6", name .. ": meter alone")
  between(read("test lamp").loaded.voltage, 12.45, 12.58, name .. ": test lamp")
  between(read("21 W lamp").loaded.voltage, 11.5, 12.2, name .. ": 21 W lamp")
end

--- What the fan run loses out and back.
local function fan_run(answer)
  return answer.parts["fan feed"].drop + answer.parts["fan return"].drop
end

local trailer_faults = {
  ["ground pin open"] = { condition = "night", look = ground_pin_open },
  ["ground pin 150 mohm"] = { condition = "night, fans", look = function(good, bad, name)
    between(bad:between("plug ground", "socket ground"), 1.2, 3, name .. ": over the pin")
    has_notice(bad.parts["ground pin"], "hot", name)
    check(turns(bad, "fan 1") < turns(good, "fan 1") - 5, "%s: fans", name)
    check(light(bad, "rear marker 1") < light(good, "rear marker 1") - 10, "%s: markers", name)
  end },
  ["fan run 2.08 mm2"] = { condition = "fans", look = function(good, bad, name)
    between(fan_run(good), 0.9, 1.1, name .. ": good (0.98 V at 10 A)")
    between(fan_run(bad), 1.9, 2.5, name .. ": (2.5 V at 10 A)")
    near(fan_run(bad) / bad.parts["fan feed"].current, 30 * 0.017241 / 2.08, 1e-4, name)
    check(turns(bad, "fan 1") < turns(good, "fan 1") - 5, "%s: slower", name)
  end },
  ["marker and stop feeds bridged"] = { condition = "night", look = function(good, bad, name, c)
    is(light(good, "left stop lamp"), 0, name .. ": good")
    between(light(bad, "left stop lamp"), 60, 110, name .. ": stop lamps lit by the markers")
    between(light(bad, "tug stop lamps"), 60, 110, name .. ": those of the tug too")
    check(light(bad, "rear marker 1") < light(good, "rear marker 1"), "%s: markers", name)
    check(bad.parts["marker fuse"].current > good.parts["marker fuse"].current + 5,
      "%s: marker fuse", name)
    local day = assert(c:predict { condition = "braking", faults = { name:match ", (.*)$" } })
    check(light(day, "rear marker 1") > 50, "%s: braking by day lights the markers", name)
  end },
  ["left cluster ground open"] = { condition = "night, left turn", look = function(good, bad, name)
    check(light(good, "left turn lamp") > 75, "%s: good", name)
    between(light(bad, "left turn lamp"), 1, 10, name .. ": turn lamp")
    between(light(bad, "left stop lamp"), 5, 30, name .. ": stop lamp glows")
    check(bad.parts["left stop lamp"].current < -0.5, "%s: backwards", name)
    between(bad:between("left cluster ground", "trailer frame"), 5, 10, name .. ": off ground")
    near(bad.parts["right tail lamp"].drop, good.parts["right tail lamp"].drop, 0.1, name)
  end },
  ["left run corroded"] = { condition = "night", look = function(good, bad, name)
    check(light(bad, "left upper marker 4") < 30, "%s: behind it", name)
    near(light(bad, "left upper marker 1"), light(good, "left upper marker 1"), 3, name)
    has_notice(bad.parts["left run 2"], "hot", name)
  end },
  ["breakaway battery flat"] = { condition = "breakaway", look = function(good, bad, name)
    between(good.parts["brake pump"].drop, 11, 12.5, name .. ": good")
    has_notice(bad.parts["breakaway battery"], "voltage falls to", name)
    between(turns(bad, "brake pump"), 5, 45, name .. ": pump")
  end },
}

--- The trailer wiring with 10 A on the stop and the ABS pin, as SAE J2247 asks.
local function plug_test()
  local file = assert(io.open(folder .. "/oxlode_48.lua"))
  local text = file:read "a" .. [[
source "load on stop" { "plug ground", "plug stop", current = "10 A" }
source "load on ABS" { "plug ground", "plug ABS", current = "10 A" }
]]
  file:close()
  local answer = assert(assert(strapline.parse(text, "oxlode_48.lua, pins loaded"))
    :predict { condition = "braking" })
  check(answer.parts["tug battery"].drop >= 13.45, "pins loaded: battery 13.5 V, got %g",
    answer.parts["tug battery"].drop)
  for _, pin in ipairs { "stop", "ABS" } do
    between(answer:between("plug " .. pin, "plug ground"), 12.5, 13.5,
      "pins loaded: " .. pin .. ": SAE J2247, 12.5 V with 10 A on pins 4 and 7")
  end
end

local function trailer_limits(circuit)
  for _, name in ipairs { "day", "braking", "night", "night, braking", "fans", "night, fans" } do
    local answer = assert(circuit:predict { condition = name })
    between(answer.parts["ABS node"].drop, 9.5, 14.5, name .. ": ABS node: RP 141, 9.5 V")
    for _, pin in ipairs { "stop", "marker", "fan", "ABS" } do
      local joint = answer.parts[pin .. " pin"]
      between(math.abs(joint.drop), 0, 0.1, name .. ": " .. pin .. " pin: common practice, 0.1 V")
    end
  end
  local night = assert(circuit:predict { condition = "night" })
  local plug = night:between("plug marker", "plug ground")
  for _, part in ipairs(night.parts) do
    if part.kind == "lamp" and part.name:find "marker" then
      between(part.drop, 12.5, 14, part.name .. ": RP 704, 12.5 V")
      between(plug - part.drop, 0, 0.7, part.name .. ": RP 704, loss of a trailer 0.7 V")
    end
  end
end

local function trailer()
  local circuit = load "oxlode_48.lua"
  between(named_nodes(circuit), 70, 88, "trailer: nodes")
  all_cases_settle(circuit, { ["night, braking, ground pin open"] = true })
  local markers = 0
  for _, name in ipairs(circuit.part_names) do
    if name:find "marker %d$" then markers = markers + 1 end
  end
  is(markers, 24, "trailer: marker lamps")
  local crank = assert(circuit:predict { condition = "crank" })
  loop_closes(crank, { "tug battery" }, trailer_loop)
  within_limits(crank, {
    volts = 12, post = "tug + post", negative = "tug - post", stud = "starter stud",
    case = "engine block", starter = "starter", S = "starter S",
    joints = { "tug + clamp", "starter nut", "engine ground", "tug - clamp", "tug frame ground" },
  })
  between(rpm(crank, "starter"), 170, 250, "trailer: rpm of the tug")
  faults_looked_at(circuit, trailer_faults)
  trailer_limits(circuit)
  plug_test()
end

-- The sweeper -------------------------------------------------------------------------------------

local sweeper_loop = { "B + clamp", "battery cable", "DISCONNECT", "starter cable", "starter nut",
  "starter", "engine ground", "engine cable", "battery - cable", "A - clamp", "A + clamp",
  "series link", "B - clamp" }
local G1 = { "engine control", "vehicle control", "display" }
local G2 = { "brush control", "water control", "suction control" }
local G3 = { "hopper control", "lamp control", "telematics" }

--- The ground pin of one module against that of another.
local function offset(answer, of, against)
  return answer:between(of .. " -", against .. " -")
end

--- The three modules of G2 against each of the six others.
local function lift(answer, least, greatest, name)
  for _, of in ipairs(G2) do
    for _, against in ipairs { G1[1], G1[2], G1[3], G3[1], G3[2], G3[3] } do
      between(offset(answer, of, against), least, greatest,
        ("%s: %s against %s"):format(name, of, against))
    end
  end
end

local function shorted(rating, opens)
  return function(good, bad, name)
    local amperes = bad.parts["camera feed"].current
    between(amperes, 21.5, 23.5, name .. ": amperes (22.6 A by hand)")
    between(amperes / rating, 22.6 / rating - 0.04, 22.6 / rating + 0.04, name .. ": of its fuse")
    check((#bad.parts["camera fuse"].notices > 0) == opens, "%s: '%s'", name,
      notices(bad.parts["camera fuse"]))
    has_notice(bad.parts["camera feed"], "overloaded: insulation limit", name)
    has_notice(bad.parts["camera return"], "overloaded: insulation limit", name)
    between(bad.parts.camera.drop, 0, 0.01, name .. ": camera")
    is(#good.parts["camera feed"].notices, 0, name .. ": good")
    check(bad.parts.converter.state == "working", "%s: the converter bears it", name)
  end
end

local function sees(answer)
  return tonumber(notices(answer.parts["level input"]):match "module sees ([%d.]+) %%") or 0
end

local sweeper_faults = {
  ["camera run shorted"] = { condition = "working", look = shorted(15, true) },
  ["camera run shorted, 25 A fuse"] = { condition = "working", look = shorted(25, false) },
  ["G2 30 mohm"] = { condition = "working", look = function(good, bad, name)
    lift(good, -0.08, 0.08, name .. ": good")
    lift(bad, 0.25, 0.45, name .. ": less than it will be")
    near(sees(bad), 50 + 100 * 0.5 * bad.parts.G2.drop / 5, 1, name .. ": level")
  end },
  ["brush stalled"] = { condition = "working", look = function(_, bad, name)
    has_notice(bad.parts["brush motor"], "stalled, takes", name)
    between(bad.parts["brush motor"].current, 28, 31, name .. ": amperes (30 A by hand)")
    has_notice(bad.parts["brush fuse"], "holds for hours or opens after", name)
    lift(bad, -0.08, 0.08, name .. ": the ground point is good")
  end },
  ["G2 30 mohm, brush stalled"] = { condition = "working", look = function(good, bad, name)
    between(bad.parts.G2.drop, 0.8, 1, name .. ": G2 (0.9 V by hand)")
    near(bad.parts.G2.drop, bad.parts.G2.current * 0.030, 1e-12, name .. ": 30 mohm")
    lift(bad, 0.8, 1, name)
    near(offset(bad, G2[1], G2[2]), 0, 0.05, name .. ": they do not see it of each other")
    between(sees(good), 49, 51, name .. ": good level")
    between(sees(bad), 57, 61, name .. ": level of the tank, e (1 - x)")
    is(#bad.parts["brush control"].notices, 0, name .. ": no module is short of voltage")
  end },
  ["dust lamp taken out"] = { condition = "rinsing", look = function(good, bad, name)
    is(good.parts["brush relay"].state, "pulled in", name .. ": the sneak")
    is(bad.parts["brush relay"].state, "released", name .. ": BRUSH is off")
    is(bad.parts["pump relay"].state, "pulled in", name .. ": WATER is on")
  end },
  ["disconnect 8 mohm"] = { condition = "crank", look = function(good, bad, name)
    between(bad.parts.DISCONNECT.drop, 1.5, 2.2, name .. ": volts; TM 5-3895-382-24 allows 1.0")
    between(good.parts.DISCONNECT.drop, 0, 0.1, name .. ": good")
    has_notice(bad.parts.DISCONNECT, "hot", name)
    check(bad.parts["unit A"].drop > good.parts["unit A"].drop, "%s: batteries fall less", name)
    check(rpm(bad, "starter") < rpm(good, "starter") - 8, "%s: slower", name)
  end },
  ["unit B weak"] = { condition = "crank", look = function(_, bad, name, circuit)
    check(bad.parts["unit B"].drop < bad.parts["unit A"].drop - 2, "%s: cranking", name)
    has_notice(bad.parts["unit B"], "voltage falls to", name)
    local rest = assert(circuit:predict { condition = "rest", faults = { "unit B weak" } })
    near(rest.parts["unit A"].drop, rest.parts["unit B"].drop, 0.01, name .. ": at rest")
  end },
}

local function sweeper_corners(circuit)
  local warm = assert(circuit:predict { condition = "crank" })
  local cold = assert(circuit:predict { condition = "crank, -40 C" })
  local half = assert(circuit:predict { condition = "crank, half charge" })
  between(rpm(warm, "starter"), 150, 220, "sweeper: rpm")
  between(rpm(cold, "starter"), 20, 100, "sweeper at -40 C: rpm")
  has_notice(cold.parts["unit A"], "voltage falls to", "sweeper at -40 C")
  has_notice(cold.parts["engine control"], "below its working voltage", "sweeper at -40 C")
  between(rpm(half, "starter"), 140, rpm(warm, "starter") - 2, "sweeper at half charge: rpm")
  between(warm.parts["unit A"].drop - half.parts["unit A"].drop, 0.25, 0.5,
    "sweeper at half charge: battery")

  local function at(temperature)
    return assert(circuit:predict { condition = "working" .. temperature })
  end
  local freezing, mild, hot = at ", -40 C", at "", at ", 85 C"
  check(freezing.parts["unit A"].drop > mild.parts["unit A"].drop - 0.5,
    "sweeper: voltage held in the cold")
  check(mild.parts["unit A"].drop > hot.parts["unit A"].drop + 0.3,
    "sweeper: voltage held in the heat")
  local function ohm(answer, part) return answer.parts[part].drop / answer.parts[part].current end
  near(ohm(hot, "brush feed") / ohm(mild, "brush feed"), 1.26, 0.005,
    "sweeper at 85 C: copper, 1.26 times")
  near(ohm(freezing, "brush feed") / ohm(mild, "brush feed"), 0.76, 0.005,
    "sweeper at -40 C: copper, 0.76 times")
end

--- All parts good: each switch works the relay of the other too.
local function sweeper_sneak(circuit)
  local function at(condition)
    local answer = assert(circuit:predict { condition = condition })
    return answer.parts["dust lamp"].current, answer
  end
  local dry, brush = at "dry sweeping"
  local wet, water = at "rinsing"
  between(dry, 0.07, 0.1, "sneak: amperes through the bar, BRUSH on")
  between(wet, -0.1, -0.07, "sneak: the other way, WATER on")
  near((at "working"), 0, 1e-6, "sneak: both on")
  is(brush.parts["pump relay"].state, "pulled in", "sneak: the pump runs, WATER is off")
  is(water.parts["brush relay"].state, "pulled in", "sneak: the brush turns, BRUSH is off")
  check(turns(water, "brush motor") > 90, "sneak: brush")
  is(light(brush, "dust lamp"), 0, "sneak: and the lamp stays dark")
end

local function sweeper()
  local circuit = load "brindle_9.lua"
  between(named_nodes(circuit), 67, 83, "sweeper: nodes")
  all_cases_settle(circuit, {})
  local crank = assert(circuit:predict { condition = "crank" })
  loop_closes(crank, { "unit A", "unit B" }, sweeper_loop)
  within_limits(crank, {
    volts = 24, post = "B + post", negative = "A - post", stud = "starter stud",
    case = "engine block", starter = "starter", S = "starter S",
    switch_drop = crank.parts.DISCONNECT.drop,
    joints = { "A - clamp", "A + clamp", "B - clamp", "B + clamp", "starter nut",
      "engine ground" },
  })
  between(crank.parts.DISCONNECT.drop, 0, 1.0,
    "disconnect: US Army TM 5-3895-382-24, 1.0 V on 24 V")
  near(crank.parts["unit A"].drop, crank.parts["unit B"].drop, 0.5,
    "units: common practice, within 0.5 V")
  local modules = 0
  for _, group in ipairs { G1, G2, G3 } do
    for _, name in ipairs(group) do
      modules = modules + (crank.parts[name].kind == "module" and 1 or 0)
      check(crank.parts[name].state == "running", "crank: %s keeps running", name)
    end
  end
  is(modules, 9, "sweeper: modules on ground points")
  local work = assert(circuit:predict { condition = "working" })
  between(work.nodes["12 V bus"].voltage, 11.9, 12.3, "12 V bus")
  has_notice(work.parts.alternator, "charging", "sweeper at work")
  faults_looked_at(circuit, sweeper_faults)
  sweeper_corners(circuit)
  sweeper_sneak(circuit)
end

-- All of it ---------------------------------------------------------------------------------------

for _, part in ipairs { truck_headlines, idle_headline, hitch_headlines, run_headlines,
  bridge_headlines, short_headlines, lift_headlines, h_headlines, truck, trailer, sweeper } do
  local ok, message = xpcall(part, debug.traceback)
  check(ok, "stopped: %s", message)
end
print(("%d passed, %d failed"):format(passed, failed))
os.exit(failed == 0, true)

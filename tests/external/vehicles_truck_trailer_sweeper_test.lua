-- The recovery truck, the trailer and the sweeper in circuits/, whole, telling the same stories as
-- their headline numbers with numbers of their own.
--
-- Run by the program: strapline run tests/external/vehicles_truck_trailer_sweeper_test.lua
local strapline = require "strapline"
local V = dofile((arg[0]:match "^(.*/)" or "./") .. "vehicle.lua")
local check, is, printed, near, between, notices, has_notice, has_no_notice, rpm, light, load,
  named_nodes, all_cases_settle, loop_closes, faults_looked_at
  = V.check, V.is, V.printed, V.near, V.between, V.notices, V.has_notice, V.has_no_notice, V.rpm,
  V.light, V.load, V.named_nodes, V.all_cases_settle, V.loop_closes, V.faults_looked_at

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
  loop_closes(crank, crank.parts["main battery"].drop, truck_loop)
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
  is(good.parts["ABS node"].notices[1], "answers", name .. ": good ABS node")
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
  local file = assert(io.open(V.folder .. "/oxlode_48.lua"))
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
  loop_closes(crank, crank.parts["tug battery"].drop, trailer_loop)
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
    is(bad.parts["brush control"].notices[1], "answers", name .. ": no module is short of voltage")
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
  between(warm.parts["unit A"].drop - half.parts["unit A"].drop, 1, 2,
    "sweeper at half charge: battery, its resistance about doubled")

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
  all_cases_settle(circuit, { ["crank, half charge, unit B weak"] = true })
  local crank = assert(circuit:predict { condition = "crank" })
  loop_closes(crank, crank.parts["unit A"].drop + crank.parts["unit B"].drop, sweeper_loop)
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

V.finish { truck, trailer, sweeper }

-- The school bus, the delivery van and the tractor in circuits/, whole, telling the same stories as
-- their headline numbers with numbers of their own.
--
-- Run by the program: strapline run tests/external/vehicles_bus_van_tractor_test.lua
local V = dofile((arg[0]:match "^(.*/)" or "./") .. "vehicle.lua")
local check, is, printed, near, between, notices, has_notice, has_no_notice, number_in, rpm,
  light, load, named_nodes, all_cases_settle, loop_closes, faults_looked_at
  = V.check, V.is, V.printed, V.near, V.between, V.notices, V.has_notice, V.has_no_notice,
  V.number_in, V.rpm, V.light, V.load, V.named_nodes, V.all_cases_settle, V.loop_closes,
  V.faults_looked_at

local function scale(answer, gauge) return number_in(answer.parts[gauge], "reads ([%d.]+) %%") end

--- Nothing is amiss in the good vehicle, whatever the condition.
local function nothing_amiss(circuit)
  local amiss = { "hot", "blown", "dark", "overloaded", "opens", "not pulled in", "never meant",
    "discharged", "under load", "wrong way", "resets", "no click", "below its working",
    "does nothing", "not charging", "at its limit", "chatters", "ghost" }
  for _, condition in ipairs(circuit.conditions) do
    local answer = assert(circuit:predict { condition = condition.name })
    local said = {}
    for _, part in ipairs(answer.parts) do
      local all = notices(part)
      for _, word in ipairs(amiss) do
        if all:find(word, 1, true) then said[#said + 1] = part.name .. ": " .. all end
      end
    end
    is(table.concat(said, "; "), "", ("%s, %s: amiss"):format(circuit.name, condition.name))
  end
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
    has_notice(bad.parts["DISCONNECT"], "hot", name)
    check(bad:between("B + post", "A - post") > good:between("B + post", "A - post"),
      "%s: the batteries fall less", name)
    check(bad.parts.starter.current < good.parts.starter.current, "%s: fewer amperes", name)
    between(rpm(bad, "starter"), 100, 0.9 * rpm(good, "starter"), name .. ": rpm")
  end },
  ["B 30 mohm"] = { condition = "crank", look = function(good, bad, name)
    between(bad.parts.B.drop, 4.9, 6.2, name .. ": B")
    between(bad.parts.A.drop, 11.1, 12, name .. ": A holds")
    between(good.parts.A.drop - good.parts.B.drop, -0.1, 0.1, name .. ": alike when good")
    has_notice(bad.parts["B"], "voltage falls to", name)
    has_no_notice(bad.parts["A"], "voltage falls to", name)
    has_notice(bad.parts["equaliser"], "does nothing", name)
    between(rpm(bad, "starter"), 100, 0.8 * rpm(good, "starter"), name .. ": rpm")
  end },
  ["frame return lug off"] = { condition = "lights on", look = function(good, bad, name)
    near(good:between("body", "A - post"), 0, 0.05, name .. ": good")
    between(bad:between("body", "A - post"), 19, 25, name .. ": the frame floats up")
    between(bad:between("12 V panel", "body"), -12.6, -6.3, name .. ": the tap is reversed")
    has_notice(bad.parts["camera recorder"], "the wrong way round", name)
    has_notice(bad.parts["two-way radio"], "the wrong way round", name)
    has_notice(bad.parts["driver's fan"], "turns backwards", name)
    has_notice(bad.parts["left headlamp"], "dark", name)
    near(bad:between("24 V panel", "A - post"), good:between("24 V panel", "A - post"), 0.3,
      name .. ": the feed is good")
  end },
  ["step-well ground 0.7 ohm"] = { condition = "running, coil hot",
    look = function(good, bad, name)
      is(good.parts["master relay"].state, "pulled in", name .. ": good")
      is(bad.parts["master relay"].state, "released", name)
      between(bad.parts["master relay"].elements.coil.drop, 18.4, 19.2, name .. ": coil")
      between(bad:between("step-well ground lug", "body"), 8.5, 9, name .. ": ground")
      has_notice(bad.parts["master relay"], "not pulled in", name)
      has_notice(bad.parts["step-well ground"], "hot", name)
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
  is(rpm(crank, "starter"), 0, "bus: no frame, no start")
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
  all_cases_settle(circuit, {})
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
  between(rpm(crank, "starter"), 130, 220, "bus: rpm")
  faults_looked_at(circuit, bus_faults)
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
    has_notice(bad.parts["left headlamp crimp"], "hot", name)
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
  all_cases_settle(circuit, {})
  nothing_amiss(circuit)
  local crank = assert(circuit:predict { condition = "crank" })
  loop_closes(crank, crank.parts.battery.drop, van_loop)
  within_limits(crank, {
    post = "battery + post", negative = "battery - post", battery = { 9.6, 12 }, positive = 0.5,
    ground = 0.2, ground_source = "US Army TM 5-3820-256-24-4, 0.2 V", per_100_a = 0.20,
    control = "battery + clamp", control_limit = 1.0 })
  between(rpm(crank, "starter"), 180, 300, "van: rpm")
  local night = assert(circuit:predict { condition = "running night" })
  between(night.parts.battery.drop, 13.8, 14.5, "van: charging, common practice 13.8 to 14.5 V")
  between(night:between("alternator stud", "battery + post"), 0, 0.2,
    "van: alternator to battery, vehicle maker, 0.2 V")
  between(night:between("battery - post", "engine block"), 0, 0.2,
    "van: alternator case, vehicle maker, 0.2 V")
  faults_looked_at(circuit, van_faults)
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
      near(number_in(good.parts["hitch input"], "sees ([%d.]+) %%"), 50, 0.5,
        name .. ": hitch, good")
      near(number_in(bad.parts["hitch input"], "sees ([%d.]+) %%"), 50 - 3.3, 1, name .. ": hitch")
      has_notice(bad.parts["throttle cable"], "never meant to carry", name)
      has_notice(bad.parts["cab braid joint"], "hot", name)
    end },
  ["six tired contacts"] = { condition = "crank", look = function(good, bad, name)
    is(good.parts.starter.state, "pulled in", name .. ": good")
    is(bad.parts.starter.state, "released", name)
    is(bad.parts["start relay"].state, "pulled in", name .. ": the relay clicks")
    has_notice(bad.parts["starter"], "no click", name)
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
    check(rpm(bad, "starter") > 0.85 * rpm(good, "starter"), "%s: it starts, warm", name)
  end },
  ["glow plug 3 open"] = { condition = "glow", look = function(good, bad, name)
    has_notice(bad.parts["glow plug 3"], "does not heat", name)
    near(bad.parts["glow wire"].current / good.parts["glow wire"].current, 0.75, 0.02,
      name .. ": three quarters of the current")
    near(bad:between("glow rail", "engine block"), good:between("glow rail", "engine block"), 0.1,
      name .. ": the rail tells nothing")
  end },
  ["cab braid off"] = { condition = "running, cab loads on", look = function(good, bad, name)
    between(bad.parts["throttle cable"].current, 15, 20, name .. ": throttle cable")
    has_notice(bad.parts["throttle cable"], "overloaded", name)
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
  all_cases_settle(circuit, {})
  nothing_amiss(circuit)
  local crank = assert(circuit:predict { condition = "crank" })
  local back = crank:between("left - clamp", "right - post")
  loop_closes(crank, crank.parts["right battery"].drop - back, tractor_loop)
  within_limits(crank, {
    post = "right + post", negative = "right - post", battery = { 9.6, 12.2 }, positive = 0.5,
    ground = 0.2, ground_source = "US Army TM 5-3820-256-24-4, 0.2 V", per_100_a = 0.20,
    control = "right + clamp", control_limit = 1.0 })
  between(rpm(crank, "starter"), 150, 230, "tractor: rpm")
  local cold = assert(circuit:predict { condition = "crank cold" })
  between(rpm(cold, "starter"), 100, rpm(crank, "starter") - 15, "tractor: cold, rpm")
  near(scale(crank, "fuel gauge"), 50, 0.5, "tractor: fuel gauge")
  near(scale(crank, "temperature gauge"), 60, 0.5, "tractor: temperature gauge")
  faults_looked_at(circuit, tractor_faults)
  tractor_readings(circuit)
end

-- All of it ---------------------------------------------------------------------------------------

V.finish { bus, van, tractor }

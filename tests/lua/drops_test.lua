-- Drops and readings taken apart, over every circuit, condition and fault of the tree: what is
-- printed adds up to the last digit, and is what the solution says.
local here = arg[0]:match "^(.*/)" or "./"
local T = dofile(here .. "harness.lua")
local strapline = require "strapline"
local report_drops = require "strapline.report_drops"
local report_explain = require "strapline.report_explain"

local folder = os.getenv "STRAPLINE_CIRCUITS" or here .. "../../circuits"
local names = { "brindle_9", "hollin_74", "larkfield_60", "mulebeck_5", "oxlode_48",
  "quillon_parcel_3", "tern_skerry_28", "wicken_410" }

--- Text with its wrapped lines joined, as a list of lines.
local function unwrapped(text)
  local lines = {}
  for line in text:gmatch "[^\n]*" do
    if line:find "^    %S" and #lines > 0
      and (lines[#lines]:find "^  Loop:" or lines[#lines]:find "^  = ") then
      lines[#lines] = lines[#lines] .. " " .. line:match "^%s*(.*)$"
    else
      lines[#lines + 1] = line
    end
  end
  return lines
end

--- Volts in a text as whole numbers of the last digit printed, and that digit's place.
local function volts_in(text)
  local list, places = {}, nil
  for sign, whole, part in text:gsub(" %- ", " + -"):gmatch "(-?)(%d+)%.(%d%d%d+) V" do
    assert(not places or places == #part, "different digits in: " .. text)
    places = #part
    list[#list + 1] = tonumber(sign .. whole .. part)
  end
  return list
end

local function lacks(text, part)
  if text:find(part, 1, true) then error(("has '%s':\n%s"):format(part, text), 2) end
end

local function sum(list)
  local total = 0
  for _, value in ipairs(list) do total = total + value end
  return total
end

--- Checks "a + b = c + d".
local function check_loop(line)
  local left, right = line:match "^  Loop: (.*) = (.*)$"
  assert(left, line)
  T.equal(sum(volts_in(left)), sum(volts_in(right)), line)
end

--- Checks "a + b - c - d = e".
local function check_equation(line)
  local left, right = line:match "^  = (.*) = (.*)$"
  assert(left, line)
  local total = 0
  for op, value in (" + " .. left):gmatch " ([+-]) (-?%d+%.%d+) V" do
    local whole, part = value:match "^(-?%d+)%.(%d+)$"
    total = total + (op == "+" and 1 or -1) * tonumber(whole .. part)
  end
  T.equal(total, volts_in(right)[1], line)
end

--- Checks the rows of a table against their "in all". @return tables that were checked
local function check_tables(lines)
  local total, checked = nil, 0
  for _, line in ipairs(lines) do
    if line:find "^  %S.*over +current" or line:find "^  %u%l+ side$" or line:find "^  Inside"
      or line:find "^  Load$" or line:find "^  Sources" then
      total = 0
    elseif total and line:find "^ +in all" then
      T.equal(volts_in(line)[1], total, line)
      total, checked = nil, checked + 1
    elseif total and line:find "^  +%S" then
      -- current, then drop, then perhaps a limit
      local sign, whole, part = line:match "A +(-?)(%d+)%.(%d%d%d+) V"
      if whole then total = total + tonumber(sign .. whole .. part) end
    end
  end
  return checked
end

--- Every condition, and every fault in two of them.
local function each_question(visit)
  for _, name in ipairs(names) do
    local circuit = assert(strapline.load(("%s/%s.lua"):format(folder, name)))
    local conditions = circuit.conditions
    for _, condition in ipairs(conditions) do visit(circuit, { condition = condition.name }) end
    for index, fault in ipairs(circuit.faults) do
      for at = index, index + 1 do
        visit(circuit, { condition = conditions[at % #conditions + 1].name,
          faults = { fault.name } })
      end
    end
  end
end

T.case("what drops prints closes to the last digit, everywhere", function()
  local loops, tables = 0, 0
  each_question(function(circuit, asked)
    local drops = assert(circuit:drops(asked))
    local lines = unwrapped(report_drops.text(circuit, drops))
    for _, line in ipairs(lines) do
      if line:find "^  Loop:" then
        check_loop(line)
        loops = loops + 1
      end
    end
    tables = tables + check_tables(lines)
  end)
  assert(loops > 300 and tables > 600, ("%d loops, %d tables"):format(loops, tables))
end)

T.case("what drops prints is what the solution says", function()
  each_question(function(circuit, asked)
    local drops, answer = circuit:drops(asked), circuit:predict(asked)
    for _, path in ipairs(drops and answer and drops.ends[1] or {}) do
      local total = 0
      for index, step in ipairs(path.steps or {}) do
        local between = answer:between(step.from, step.to)
        T.equal(step.drop, between, step.part)
        if between then
          assert(math.abs(step.shown * path.unit - between) <= path.unit * 1.001, step.part)
          total = total + between
        end
        if path.steps[index + 1] then T.equal(path.steps[index + 1].from, step.to) end
        local part = answer.parts[step.part]
        local element = step.element and part.elements[step.element]
        local current = element and element.current or part.current
        T.near(math.abs(step.current or 0), math.abs(current or 0) > 1e-9 and math.abs(current)
          or 0, 1e-9, step.part)
      end
      if path.source_voltage and path.stops == 0 then
        T.near(total, path.source_voltage, 1e-9)
      end
    end
  end)
end)

T.case("what explain prints adds up to the reading to the last digit", function()
  local equations = 0
  each_question(function(circuit, asked)
    local nodes = circuit.core:nodes()
    for at = 1, #nodes - 1, 9 do
      local red, black = nodes[at], nodes[(at * 7 + #(asked.faults or {})) % #nodes + 1]
      if red ~= black then
        local explanation = circuit:explain { red = red, black = black,
          condition = asked.condition, faults = asked.faults }
        for _, found in ipairs(explanation and explanation.ends or {}) do
          local way = found.way
          if way and found.reading then
            local shown = 0
            for _, step in ipairs(way.steps) do
              if step.side == "load" then shown = shown + step.shown end
            end
            assert(math.abs(shown * way.unit - found.reading) <= way.unit * 0.5001, red)
          end
        end
        if explanation then
          local lines = unwrapped(report_explain.text(circuit, explanation))
          for _, line in ipairs(lines) do
            if line:find "^  = " then
              check_equation(line)
              equations = equations + 1
            end
          end
          check_tables(lines)
        end
      end
    end
  end)
  assert(equations > 500, equations)
end)

-- By hand: 12.6 V behind 6 mohm, 1 mohm each way, a load of 34 mohm: 300 A; drops of 0.3 V.
local LOOP = [[
battery "B1" { "+", "-", resistance = "6 mohm" }
joint "P" { "+", "stud", resistance = "1 mohm" }
resistor "R" { "stud", "engine", resistance = "34 mohm" }
cable "G" { "engine", "-", per_metre = "1 mohm/m", length = "1 m" }
cable "G2" { "engine", "-", per_metre = "3 mohm/m", length = "1 m" }
lamp "L" { "lamp +", "engine", power = "5 W" }
switch "S" { "stud", "lamp +" }
fault "bad ground" { "G: open" }
]]

T.case("by hand: a load with two ground cables", function()
  local circuit = assert(strapline.parse(LOOP, "loop.lua"))
  local path = assert(circuit:drops()).ends[1][1]
  T.equal(path.part, "R")
  T.equal(path.steps[3].part, "G")
  T.near(path.steps[3].share, 0.75, 1e-12) -- 1 and 3 mohm in parallel
  T.equal(path.steps[3].beside[1].part, "G2")
  T.near(path.steps[3].beside[1].share, 0.25, 1e-12)
  T.near(path.load_current, path.open_voltage / 41.75e-3, 1e-12)
  path = assert(circuit:drops { faults = { "bad ground" } }).ends[1][1]
  T.equal(path.steps[3].part, "G") -- the way the current should take, and what has it instead
  T.equal(path.steps[3].open, true)
  T.equal(path.steps[3].current, 0)
  T.equal(path.steps[3].beside[1].part, "G2")
  T.near(path.steps[3].beside[1].share, 1, 1e-12)
  T.near(path.steps[3].beside[1].good_current, 0.25 * path.open_voltage / 41.75e-3, 1e-12)
end)

T.case("a lamp that is off: where its path stops, and no place without current is good", function()
  local circuit = assert(strapline.parse(LOOP, "loop.lua"))
  local drops = assert(circuit:drops { load = "L" })
  local path = drops.ends[1][1]
  T.equal(path.stops, 1)
  for _, step in ipairs(path.steps) do
    assert(step.judged.verdict ~= "ok" or step.current > 100, step.part) -- the other load's
    if step.open then T.equal(step.part, "S") end
  end
  T.equal(drops.bad, true) -- the 300 A of the other load over joint P
  T.has(report_drops.text(circuit, drops), 'The path stops at S: open between "stud" and "lamp +"')
end)

-- 0.2 ohm in the ground of a starter: its solenoid lets go and comes back, and while the contacts are
-- open the pull-in winding takes several times what holding takes, through a thin wire that is good.
local CHATTER = [[
battery "B" { "+", "-", cca = "600 A" }
cable "main" { "+", "stud", size = "35 mm2", length = "1 m" }
fuse "F" { "stud", "key in", rating = "30 A" }
cable "thin" { "key in", "S wire", size = "2.5 mm2", length = "1.2 m" }
lamp "L" { "key in", "-", power = "5 W" }
starter "M" { "stud", "block", S = "S wire", cranking_current = "180 A" }
joint "bolt" { "block", "-", type = "bolted" }
]]

local function step_of(path, part)
  for _, step in ipairs(path.steps) do
    if step.part == part then return step end
  end
end

T.case("a good wire is not blamed for a current far over that of the good circuit", function()
  local circuit = assert(strapline.parse(CHATTER, "chatter.lua"))
  local asked = { faults = { "bolt: +40 mohm" } }
  local drops = assert(circuit:drops(asked))
  T.equal(#drops.ends, 2)
  local path = drops.ends[1][1]
  local thin = step_of(path, "thin")
  assert(thin.current > 2 * thin.judged.good_current)
  assert(thin.judged.value > thin.judged.allowed)
  T.equal(thin.judged.verdict, "cannot judge") -- the good circuit has that current for a moment
  T.equal(step_of(path, "bolt").judged.verdict, "bad")
  T.equal(drops.bad, true)
  local text = report_drops.text(circuit, drops)
  T.has(text, "\nOVER THE LIMIT: bolt\n")
  T.has(text, "thin: over the limit, with good resistance, and cannot be judged")
  lacks(text, "takes too much")
  lacks(text, "follow that load")
  T.has(text, "fed through its own coil: it does not turn")
  asked.faults[2] = "thin: +20 mohm" -- as much again as it has
  T.equal(step_of(assert(circuit:drops(asked)).ends[1][1], "thin").judged.verdict, "bad")
end)

T.case("a place has one verdict, whichever load it is followed to", function()
  local circuit = assert(strapline.parse(CHATTER, "chatter.lua"))
  for _, paths in ipairs(assert(circuit:drops { faults = { "bolt: +40 mohm" } }).ends) do
    local seen
    for _, path in ipairs(paths) do
      local step = step_of(path, "F")
      if step then T.equal(step.judged.verdict, seen or step.judged.verdict, path.part) end
      seen = step and step.judged.verdict or seen
    end
    assert(seen)
  end
end)

T.case("an engine that drags: the load takes too much, its wiring is good", function()
  local circuit = assert(strapline.parse(CHATTER, "chatter.lua"))
  local drops = assert(circuit:drops { faults = { "M: dragging engine = 3" }, load = "M: motor" })
  T.has(report_drops.text(circuit, drops), "M or what it drives takes too much")
end)

--- The report of faults in a circuit of text.
local function report(text, asked)
  local circuit = assert(strapline.parse(text, "inline.lua"))
  return report_drops.text(circuit, assert(circuit:drops(asked)))
end

--- Text without its line breaks.
local function flowing(text) return (text:gsub("%s+", " ")) end

local RELAY = [[
battery "B" { "+", "-", cca = "600 A" }
fuse "F" { "+", "fed", rating = "20 A" }
cable "coil wire" { "fed", "86", size = "1 mm2", length = "1 m" }
relay "R" { ["30"] = "fed", ["87"] = "out", ["86"] = "86", ["85"] = "-", ["87a"] = "rest" }
lamp "L" { "out", "-", power = "55 W" }
]]

T.case("an open place that leaves nothing over its limit is the headline", function()
  local heads = {
    ["F: blown"] = { "OPEN: F. Also open: R: contacts (not pulled in)", "F: open: blown" },
    ["coil wire: open"] = { "OPEN: coil wire. Also open: R: contacts (not pulled in)",
      "coil wire: open: broken" },
    ["R: stuck open"] = { "OPEN: R: contacts (not pulled in)",
      "R: contacts: not pulled in: test its coil and the coil's feed and ground" },
    ["R: contacts open"] = { "OPEN: R: contacts", "R: contacts: open: its contacts do not close" },
    ["L: open"] = { "OPEN: L", "L: open: a broken winding" },
  }
  for fault, wants in pairs(heads) do
    local text = report(RELAY, { faults = { fault } })
    T.has(text, "\n" .. wants[1] .. "\n", fault)
    T.has(text, "What is bad may mean\n    - " .. wants[2]:match "^[^:]*", fault)
    T.has(flowing(text), wants[2], fault)
    lacks(text, "BAD:", fault)
  end
  lacks(report(RELAY, {}), "OPEN")
  -- The fuse is blown, so of the relay on the same way nothing is to be tested.
  lacks(flowing(report(RELAY, { faults = { "F: blown" }, load = "L" })), "test its coil")
end)

T.case("contacts of a starter that is not fed are no second stop", function()
  local text = report(CHATTER, { faults = { "thin: open" } })
  T.has(text, "\nOPEN: thin\n")
  T.has(report(CHATTER, { faults = { "thin: open" }, load = "M: motor" }),
    "\nOPEN: M: contacts (not pulled in)\n")
end)

-- The strap's bolt is lost, and a gear cable of steel carries the starter: the motor is fed through
-- its own coil at one end, and no load's current goes where the open place is.
local GEAR = [[
battery "B" { "+", "-", cca = "480 A" }
cable "main" { "+", "stud", size = "25 mm2", length = "1.5 m" }
starter "M" { "stud", "engine", S = "S", cranking_current = "170 A" }
cable "start wire" { "stud", "S", size = "4 mm2", length = "2 m" }
strap "strap" { "engine", "strap end", size = "25 mm2", length = "0.5 m" }
joint "ground" { "strap end", "-", type = "bolted" }
strap "gear cable" { "engine", "-", size = "3 mm2", length = "1.1 m", material = "steel",
  role = "unintended" }
]]

T.case("a lost ground is on the way of every winding, at both ends of a chatter", function()
  local circuit = assert(strapline.parse(GEAR, "gear.lua"))
  for fault, want in pairs { ["ground: open"] = "open", ["ground: +40 mohm"] = "bad" } do
    local drops = assert(circuit:drops { faults = { fault } })
    T.equal(#drops.ends, fault == "ground: open" and 2 or #drops.ends, fault)
    for index, paths in ipairs(drops.ends) do
      T.equal(#paths, index == 1 and #drops.ends == 2 and 3 or #paths)
      for _, path in ipairs(paths) do
        local ground = assert(step_of(path, "ground"), path.element)
        T.equal(ground.open and "open" or ground.judged.verdict, want, path.element)
        T.equal(step_of(path, "gear cable"), nil)
      end
      T.equal((want == "open" and drops.blamed[index].open or drops.blamed[index].over)[1],
        "ground")
      T.equal(#drops.blamed[index].by_current, 0)
    end
  end
  local text = flowing(report(GEAR, { faults = { "ground: open" } }))
  local _, count = text:gsub("OPEN: ground ", "")
  T.equal(count, 2)
  lacks(text, "TOO MUCH")
  lacks(text, "takes too much")
  lacks(text, "full voltage")
  T.has(text, "across it; the rest is lost elsewhere")
end)

local BARE = [[
battery "B1" { "B+", "B-", cca = "500 A" }
joint "lug" { "B+", "stud", type = "lug" }
starter "M1" { B = "stud", case = "B-", S = "s" }
switch "key" { "B+", "s", position = "closed" }
]]

T.case("a weak battery is named at both ends of its chatter, the key at none", function()
  local text = report(BARE, { faults = { "B1: weak = 10 %" } })
  T.has(text, "\nNothing to blame at this end; at the other: SOURCE BELOW ITS LIMIT: B1\n")
  T.has(text, "\nSOURCE BELOW ITS LIMIT: B1\n")
  lacks(text, "not at fault")
  lacks(text, "takes too much")
end)

-- At rest 1 mA flows, by which a clamp of 1 ohm loses 1 mV; the crank takes more than 200 A through it.
local ASLEEP = [[
battery "B" { "+", "-", cca = "500 A" }
joint "clamp" { "+", "stud", type = "post" }
fuse "F" { "stud", "feed", rating = "10 A" }
resistor "clock" { "feed", "-", resistance = "12 kohm" }
switch "KEY" { "stud", "S" }
starter "M" { "stud", "-", S = "S" }
lamp "L" { "lamp feed", "-", power = "5 W" }
switch "LIGHT" { "feed", "lamp feed" }
condition "rest" {}
condition "light" { LIGHT = "closed" }
condition "crank" { KEY = "closed" }
]]

T.case("a small drop proves nothing with a hundredth of what a place carries elsewhere", function()
  local faults = { "clamp: loose = 1 ohm" }
  local circuit = assert(strapline.parse(ASLEEP, "asleep.lua"))
  local drops = assert(circuit:drops { condition = "rest", faults = faults, load = "clock" })
  local judged = step_of(drops.ends[1][1], "clamp").judged
  T.equal(judged.verdict, "cannot judge")
  T.equal(judged.peak_condition, "crank")
  assert(judged.peak > 100)
  T.equal(step_of(drops.ends[1][1], "F").judged.verdict, "cannot judge") -- 0.4 A with the lamp
  T.equal(drops.bad, false)
  T.has(flowing(report(ASLEEP, { condition = "rest", faults = faults, load = "clock" })),
    "TOO LITTLE CURRENT TO JUDGE BY: ")
  T.has(flowing(report(ASLEEP, { condition = "light" })),
    "NOTHING OVER ITS LIMIT: 2 places judged, each at the current it has here. Too little current to "
    .. "judge 1 place: ")
  T.has(report(ASLEEP, { condition = "crank", faults = faults }), "OVER THE LIMIT: clamp\n")
end)

-- The shared ground of two lamps is open: the current of one goes on through the other and a third
-- load, backwards, and its way is still its own.
local TURNED = [[
battery "B" { "+", "-", cca = "500 A" }
cable "feed A" { "+", "a", size = "10 mm2", length = "2 m" }
switch "S" { "+", "b", position = "closed" }
lamp "A" { "a", "g", power = "21 W" }
lamp "tail" { "b", "g", power = "5 W" }
resistor "fan" { "a", "-", resistance = "1 ohm" }
cable "thin" { "g", "-", size = "1 mm2", length = "2 m" }
]]

T.case("a load whose current has turned round is followed along its own way to the open place",
  function()
    local circuit = assert(strapline.parse(TURNED, "turned.lua"))
    local drops = assert(circuit:drops { faults = { "thin: open" }, load = "A" })
    local path = drops.ends[1][1]
    assert(path.load_current < 0)
    T.equal(step_of(path, "thin").stop, "open")
    T.equal(step_of(path, "tail"), nil)
    T.equal(drops.blamed[1].open[1], "thin")
    local text = flowing(report(TURNED, { faults = { "thin: open" }, load = "A" }))
    T.has(text, "OPEN: thin ")
    T.has(text, "flows through the load the wrong way round, and ")
  end)

-- Three wires of 0.06 V each: no one is over its limit, the ground side of the lamp is.
local SIDES = [[
battery "B" { "+", "-", cca = "500 A" }
lamp "L" { "+", "a", power = "55 W" }
cable "one" { "a", "b", per_metre = "13 mohm/m", length = "1 m" }
cable "two" { "b", "c", per_metre = "13 mohm/m", length = "1 m" }
cable "three" { "c", "-", per_metre = "13 mohm/m", length = "1 m" }
]]

T.case("a side that loses too much in all is named in the headline", function()
  local text = flowing(report(SIDES, {}))
  T.has(text, "OVER THE LIMIT: ground side of L in all ")
  T.has(text, "ground side: no place has a limit that it is over; most is lost here")
end)

T.case("a load that takes much because of another fault is not blamed", function()
  local text = report(BARE, { faults = { "lug: +40 mohm" } })
  T.has(text, "\nOVER THE LIMIT: lug\n")
  lacks(text, "takes too much")
end)

T.case("a set without a limit for any place says so, and no loads have no limits", function()
  local text = report(BARE, { limits = "practice", load = "M1: motor" })
  T.has(text, "Not judged: set practice has no limit for any place here")
  lacks(report(BARE, { load = "M1: motor" }), "Not judged")
  lacks(report('battery "B" { "+", "-", cca = "500 A" }\nlamp "L" { "+", "x", '
    .. 'power = "5 W" }\nswitch "S" { "x", "-" }', {}), "Limits:")
end)

T.case("a floating lead is said to float, and what it hangs on", function()
  local circuit = assert(strapline.parse(LOOP, "loop.lua"))
  local text = report_explain.text(circuit, assert(circuit:explain { red = "lamp +", black = "-",
    faults = { "L: open" } }))
  T.has(text, '"lamp +" floats: it hangs on L (open between "lamp +" and "engine"), S (open')
  T.has(text, "Nothing joins the leads")
end)

T.case("what cannot be asked", function()
  local circuit = assert(strapline.parse(LOOP, "loop.lua"))
  T.raises("there is no set of limits 'shap' (did you mean 'shop'?)", circuit.drops, circuit,
    { limits = "shap" })
  T.raises("has no part 'LL'", circuit.drops, circuit, { load = "LL" })
  T.raises("'R' has no path 'x'", circuit.drops, circuit, { load = "R: x" })
  T.raises("both leads are on '+'", circuit.explain, circuit, { red = "+", black = "+" })
  T.raises("drop = \"3 A\"", circuit.size, circuit, { part = "G", drop = "3 A" })
  T.raises("up to 30 V or 50 %", circuit.size, circuit, { part = "G", drop = "90 %" })
  local sizes, message = circuit:size { part = "R" }
  T.equal(sizes, nil)
  T.has(message, "R: it is neither a cable nor a strap")
end)

-- By hand: 14.2 V feeds a battery on charge and, by 50 mohm, a lamp; what lies between the battery's
-- post and the lamp's ground is the lamp's way, and not the battery and then the source again.
T.case("between leads no way goes once more through the source that feeds it", function()
  local circuit = assert(strapline.parse([[
source   "ALT" { "stud", "block", voltage = "14.2 V" }
battery  "B1"  { "post", "-", cca = "600 A", charge = "60 %" }
joint    "W"   { "stud", "post", resistance = "20 mohm" }
joint    "G"   { "-", "block", resistance = "1 mohm" }
resistor "F"   { "stud", "lamp +", resistance = "50 mohm" }
resistor "L"   { "lamp +", "frame", resistance = "6 ohm" }
joint    "H"   { "frame", "block", resistance = "900 mohm" }
reference "block"
]], "charged.lua"))
  local found = assert(circuit:explain { red = "post", black = "frame" }).ends[1]
  local amps = 14.2 / (0.05 + 6 + 0.9)
  local between = {}
  for _, step in ipairs(found.way.steps) do
    if step.side == "load" then between[#between + 1] = step.part end
  end
  T.equal(table.concat(between, " "), "W F L")
  T.near(found.way.steps[#found.way.steps].drop, amps * 0.9, 1e-9)
  T.near(found.reading, found.way.steps[2] and 14.2 - found.way.steps[1].drop - amps * 0.9, 1e-9)
end)

-- 2 A and 24 A by one return, of 4 mm2 in air of 20 C; and one without a fuse, near its limit.
local RETURN = [[
battery "B" { "+", "-", cca = "500 A" }
fuse "F" { "+", "f", rating = "30 A" }
resistor "lamp" { "f", "g", resistance = "6 ohm" }
switch "S" { "f", "h" }
resistor "heater" { "h", "g", resistance = "0.5 ohm" }
cable "ret" { "g", "-", size = "4 mm2", length = "1 m" }
resistor "other" { "+", "x", resistance = "0.115 ohm" }
cable "bare" { "x", "-", size = "16 mm2", length = "1 m" }
condition "light" {}
condition "heavy" { S = "closed" }
]]

T.case("a size for little current says where there is more, and one without a fuse that it has none",
  function()
    local circuit = assert(strapline.parse(RETURN, "return.lua"))
    local report_size = require "strapline.report_size"
    local light = assert(circuit:size { part = "ret", drop = "1 V" })
    T.equal(light.peak_condition, "heavy")
    T.near(light.peak, 24, 2)
    T.has(flowing(report_size.text(circuit, light)), 'A ONLY: in condition "heavy" it carries ')
    local heavy = assert(circuit:size { part = "ret", drop = "1 V", condition = "heavy" })
    T.equal(heavy.peak, nil)
    local bare = assert(circuit:size { part = "bare", drop = "1 V" })
    assert(bare.best.ampacity >= bare.best.current)
    T.equal(bare.best.size, 25) -- 16 mm2 carries 103 A in air of 30 C, and has 108 A here
    T.has(flowing(report_size.text(circuit, bare)), "No fuse guards it: that is a size for its load")
  end)

T.finish()

-- The grammar of faults, and that every fault of every kind can be asked for.
local here = arg[0]:match "^(.*/)" or "./"
local T = dofile(here .. "harness.lua")
local faults = require "strapline.faults"
local strapline = require "strapline"

local view = {
  kinds = {
    R1 = strapline.kinds.resistor, B1 = strapline.kinds.battery, M1 = strapline.kinds.starter,
    F1 = strapline.kinds.fuse, KEY = strapline.kinds.switch,
  },
  part_names = { "R1", "B1", "M1", "F1", "KEY" },
}

local understood = {
  { "R1: open", "open", nil, nil }, { " R1 :open ", "open", nil, nil },
  { "M1: contacts open", "open", "contacts", nil }, { "M1: hold-in open", "open", "hold-in", nil },
  { "R1: +50 mohm", "series", nil, 0.05 }, { "R1: + 2 ohm", "series", nil, 2 },
  { "M1: contacts +5 mohm", "series", "contacts", 0.005 },
  { "B1: charge = 40 %", "set", "charge", 0.4 }, { "B1: charge=0.4", "set", "charge", 0.4 },
  { "B1: weak = 50 %", "set", "health", 0.5 },
  { "B1: temperature = -18 C", "set", "temperature", -18 },
  { "KEY: position = closed", "set", "position", 1 }, { "KEY: stuck closed", "set", "position", 1 },
  { "M1: worn brushes = 5 mohm", "series", "motor", 0.005 },
}

for _, row in ipairs(understood) do
  T.case(row[1], function()
    local edit = assert(faults.parse(row[1], view))
    T.equal(edit.change, row[2])
    T.equal(edit.what, row[3])
    if row[4] then T.equal(edit.value, row[4]) end
  end)
end

local refused = {
  { "R1", "has no colon" }, { "", "has no colon" }, { ": open", "there is no part ''" },
  { "R9: open", "there is no part 'R9'; parts: R1" }, { "r1: open", "did you mean 'R1'?" },
  { "B1: weak 50 %", "lacks its '='; write 'weak = 50 %'" },
  { "M1: worn brushes 5 mohm", "lacks its '='; write 'worn brushes = 5 mohm'" },
  { "B1: charge 40 %", "lacks its '='; write 'charge = 40 %'" },
  { "R1: ", "has no fault ''" }, { "R1: opn", "did you mean 'open'?" },
  { "R1: +", "is not a resistance" }, { "R1: +5", "has no unit" },
  { "R1: +5 V", "is a voltage" }, { "R1: +0 ohm", "above 0" }, { "R1: +-1 ohm", "above 0" },
  { "M1: +5 mohm", "several paths" }, { "M1: contact open", "did you mean 'contacts open'?" },
  { "B1: weak", "needs how much" }, { "B1: weak = 150 %", "too high" },
  { "B1: weak = 99 %", "too high" }, { "F1: blown = 5", "takes no value" },
  { "B1: chrage = 40 %", "did you mean 'charge'?" }, { "B1: charge = ", "is not a fraction" },
  { "B1: temperature = 20", "could be in several units" }, { "KEY: position = on", "allowed:" },
}

for _, row in ipairs(refused) do
  T.case("refuses '" .. row[1] .. "'", function()
    local edit, wrong = faults.parse(row[1], view)
    T.equal(edit, nil)
    T.has(wrong, row[2])
  end)
end

-- Every kind's example is a circuit file with something to measure against, and has an answer; and
-- every mode of it is understood by its name, in the middle of its range.
for _, kind in ipairs(strapline.kinds) do
  T.case("example of " .. kind.name, function()
    local node = kind.example:match('{%s*"([^"]+)"') or kind.example:match('=%s*"([^"]+)"')
    local circuit = assert(strapline.parse(('reference "%s"\n%s\n'):format(node, kind.example)))
    local answer = assert(circuit:predict())
    T.equal(#answer.parts, 1)
    T.equal(answer.nodes[node].voltage, 0.0)
  end)
  for _, mode in ipairs(kind.modes) do
    T.case(kind.name .. ": " .. mode.name, function()
      local text = "X: " .. mode.name
      if mode.change ~= "open" and mode.least ~= mode.greatest then
        local unit = mode.change == "series" and "ohm" or kind.params[mode.what].unit
        local value, shown = mode.least + (mode.greatest - mode.least) / 2, "%.17g %s"
        if unit == "1" then value, unit = value * 100, "%" end
        text = text .. " = " .. shown:format(value, unit)
      end
      local edit = assert(faults.parse(text, { kinds = { X = kind }, part_names = { "X" } }))
      T.equal(edit.change, mode.change)
      if mode.what and edit.what then T.equal(edit.what, mode.what) end
    end)
  end
end

-- Where leads go, and what is there to fail, is told by the kinds.
local function survey_of(solenoid)
  local circuit = assert(strapline.parse(([[
battery "B1" { "plus", "minus", cca = "500 A" }
alternator "G1" { "plus", "minus", rated_current = "60 A" }
starter "M1" { B = "plus", case = "minus", cranking_current = "180 A"%s }
]]):format(solenoid), "survey.lua"))
  local survey = assert(require("strapline.fault_survey").survey(circuit, { parts = { "M1" } }))
  local places, modes = {}, {}
  for _, place in ipairs(survey.places) do places[place.red .. " to " .. place.black] = true end
  for _, fault in ipairs(survey.sweep.faults) do modes[fault.mode] = true end
  return places, modes, circuit
end

T.case("a lead reaches the motor stud that nobody named, and nothing inside a part", function()
  local places, modes = survey_of ""
  T.equal(places["M1.M to minus"], true)
  T.equal(places["plus to M1.M"], true)
  T.equal(modes["burned contacts"], true)
  for place in pairs(places) do T.equal(place:find("inside", 1, true), nil, place) end
end)

T.case("a starter without a solenoid has no contacts to measure over, and none to burn", function()
  local places, modes, circuit = survey_of ', solenoid = "none"'
  for place in pairs(places) do T.equal(place:find("M1.", 1, true), nil, place) end
  T.equal(modes["burned contacts"], nil)
  T.equal(modes["stuck closed"], nil)
  T.equal(modes["worn brushes"], true)
  local path = assert(circuit:drops { load = "M1" }).ends[1][1]
  for _, step in ipairs(path.steps) do assert(step.element ~= "contacts") end
  T.equal(path.red, "plus")
  T.equal(circuit:predict().parts.M1.elements.contacts, nil)
  for change, what in pairs { ["contacts open"] = "contacts", ["contacts +1 mohm"] = "contacts",
    ["stuck open"] = "stuck open" } do
    T.raises(("'M1' has no '%s': it is a starter with solenoid = \"none\""):format(what),
      circuit.predict, circuit, { faults = { "M1: " .. change } })
  end
end)

T.case("a fault that is given twice, or undone by another, is said", function()
  local circuit = assert(strapline.parse([[
battery "B1" { "+", "-", cca = "600 A" }
joint   "G1" { "-", "engine", resistance = "1 mohm" }
lamp    "L1" { "+", "engine", power = "21 W" }
fault "weak battery" { "B1: weak = 30 %" }
fault "flat battery" { "B1: charge = 20 %" }
]], "twice.lua"))
  local function refuses(part, ...)
    T.raises(part, circuit.predict, circuit, { faults = { ... } })
  end
  refuses("fault 'G1: open' is given twice", "G1: open", "weak battery", "G1: open")
  refuses("faults 'weak battery' and 'B1: weak = 50 %' both set health of 'B1'", "weak battery",
    "B1: weak = 50 %")
  assert(circuit:predict { faults = { "weak battery", "flat battery", "G1: +1 mohm" } })
end)

-- Released, a solenoid leaves the motor's stud hanging on nothing once the motor is unplugged.
T.case("the leads across a load are put where a meter alone reads something", function()
  local folder = os.getenv "STRAPLINE_CIRCUITS" or here .. "../../circuits"
  local circuit = assert(strapline.load(folder .. "/tern_skerry_28.lua"))
  local met = 0
  for found in assert(circuit:survey { faults = { "port - cable: +0.316 ohm" },
    conditions = { "crank port" } }):whole() do
    T.equal(found.load.place.red, "port starter stud")
    assert(found.load.alone_now)
    met = met + 1
  end
  T.equal(met, 1)
end)

-- A relay whose rest contact and a module whose wake pin have no wire: nothing comes of faults there.
T.case("what no wire leads to is no fault of a survey", function()
  local function modes_of(text)
    local circuit = assert(strapline.parse([[
battery "B1" { "+", "-", cca = "600 A" }
lamp    "L1" { "out", "-", power = "21 W" }
]] .. text, "pins.lua"))
    local modes = {}
    for _, fault in ipairs(assert(circuit:sweep {}).faults) do
      modes[fault.part .. ": " .. fault.mode] = true
    end
    return modes
  end
  local bare = modes_of [[
relay  "K1" { ["30"] = "+", ["87"] = "out", ["86"] = "+", ["85"] = "-" }
module "M1" { "+", "-", power = "12 W" }
]]
  local wired = modes_of [[
relay  "K1" { ["30"] = "+", ["87"] = "out", ["87a"] = "rest", ["86"] = "+", ["85"] = "-" }
module "M1" { "+", "-", wake = "rest", power = "12 W" }
]]
  T.equal(bare["M1: wake input open"], nil)
  T.equal(wired["M1: wake input open"], true)
  T.equal(bare["K1: coil open"], true)
  local fewer = 0
  for mode in pairs(wired) do fewer = fewer + (bare[mode] and 0 or 1) end
  assert(fewer > 0)
  for mode in pairs(bare) do assert(wired[mode], mode) end
end)

T.finish()

-- The word `panel`: what files may say of it, what answers say, and the circuit that teaches it.
local T = dofile((arg[0]:match "^(.*/)" or "./") .. "harness.lua")
local strapline = require "strapline"
local faults = require "strapline.faults"
local pages = require "strapline.pages"

local STRIP = [[
source "S1" { "left", "right", current = "100 A" }
reference "right"
panel "FLOOR" { width = "2 m", height = "0.5 m", thickness = "1 mm", mesh = "20 mm",
                studs = { left = { 0, "0.25 m", height = "0.5 m" },
                          right = { "2 m", "0.25 m", height = "0.5 m" } } }
condition "cold" {}
condition "warm" { FLOOR = { temperature = "60 C" } }
fault "thin" { "FLOOR: thinned = 50 %" }
]]

local function near(got, wanted, tolerance, what)
  T.equal(math.abs(got - wanted) <= tolerance * math.abs(wanted), true,
    ("%s: got %.17g, wanted %.17g"):format(what, got, wanted))
end

--- Volts along the strip.
local function strip(question)
  local answer = assert(assert(strapline.parse(STRIP)):predict(question))
  return math.abs(answer:between("left", "right")), answer
end

-- R = rho L / (W t): steel of 1.43e-7 ohm m, 0.005 per K, from memory.
T.case("a strip from edge to edge is length over width", function()
  near(strip {}, 100 * 1.43e-7 * 2 / (0.5 * 1e-3), 1e-12, "cold")
  near(strip { condition = "warm" }, 1.2 * strip {}, 1e-12, "40 K warmer")
  near(strip { faults = { "thin" } }, 2 * strip {}, 1e-12, "half the metal")
  near(strip { faults = { "FLOOR: material = copper" } }, strip {} / 1.43e-7 / 58e6, 1e-12, "copper")
end)

T.case("a panel is one part with its studs", function()
  local volts, answer = strip {}
  T.equal(#answer.parts, 2)
  local floor = answer.parts.FLOOR
  T.equal(floor.kind, "panel")
  T.equal(#floor.elements, 2)
  near(math.abs(floor.current), 100, 1e-14, "into the first stud")
  near(floor.elements.right.current, -floor.elements.left.current, 1e-14, "out of the other")
  near(floor.power, 100 * volts, 1e-12, "power")
  T.equal(floor.elements.left.drop, 0)
end)

T.case("a panel tells the values of its metal, as set by the condition and faults", function()
  local _, answer = strip { condition = "warm", faults = { "thin" } }
  local values = answer:values "FLOOR"
  near(values.thickness.value, 1e-3, 1e-15, "thickness")
  T.equal(values.thickness.origin, "given")
  T.equal(values.thinned.value, 0.5)
  T.equal(values.thinned.origin, "fault")
  T.equal(values.temperature.value, 60)
  T.equal(values.temperature.origin, "condition")
  T.equal(values.material.text, "steel")
end)

T.case("no single current is asked of a panel", function()
  local circuit = assert(strapline.parse(STRIP))
  for _, ask in ipairs {
    function() return circuit:drops { load = "FLOOR" } end,
    function() return circuit:size { part = "FLOOR" } end,
    function() return circuit:matters { part = "FLOOR" } end,
    function() return circuit:band { part = "FLOOR" } end,
    function() return circuit:read { amps = "FLOOR" } end,
    function() return circuit:sweep { readings = { { current = "FLOOR" } } } end,
  } do
    T.raises("'FLOOR' is a panel, and its current spreads between its studs", ask)
  end
end)

T.case("an open panel joins nothing", function()
  local text = STRIP:gsub("source.-\n", 'battery "B1" { "left", "B1 -", cca = "600 A" }\n', 1)
  local circuit = assert(strapline.parse(text))
  local answer = assert(circuit:predict { faults = { "FLOOR: open" } })
  T.equal(answer.nodes.left.floating, true)
end)

local view = {
  kinds = { FLOOR = require("strapline.kinds").find "panel" }, part_names = { "FLOOR" },
}
for text, wrong in pairs {
  ["FLOOR: +5 mohm"] = "no path of its own",
  ["FLOOR: width = 3 m"] = "no fault 'width = 3 m'",
  ["FLOOR: squares = 3"] = "no fault 'squares = 3'",
  ["FLOOR: thinned"] = "needs how much",
} do
  T.case("refuses '" .. text .. "'", function()
    local edit, message = faults.parse(text, view)
    T.equal(edit, nil)
    T.has(message, wrong)
  end)
end

T.case("the example of its page is a circuit", function()
  local page = assert(pages.page "panel")
  T.has(page, "studs = {")
  T.has(page, "stud_diameter")
  local example = view.kinds.FLOOR.example
  T.has(page, example:match "^[^\n]*")
  assert(strapline.parse('reference "G1"\n' .. example))
end)

-- What circuits/corran_5.lua says it teaches.
T.case("ground offset on a floor", function()
  local folder = os.getenv "STRAPLINE_CIRCUITS" or "circuits"
  local circuit = assert(strapline.load(folder .. "/corran_5.lua"))
  local function offset(question)
    local answer = assert(circuit:predict(question))
    return answer:between("rear control ground", "front control ground"), answer
  end
  local quiet = offset { condition = "lights on" }
  local lift, answer = offset { condition = "lift" }
  T.equal(lift > 0.025 and lift < 0.05 and quiet < 0.1 * lift, true, "the metal alone")
  local total = 0
  for _, stud in ipairs(answer.parts.FLOOR.elements) do total = total + stud.current end
  T.equal(math.abs(total) < 1e-9, true, "what goes in comes out")
  near(offset { condition = "lift", faults = { "floor rusted thin" } }, lift / 0.3, 0.01, "thin")
  near(offset { condition = "lift", faults = { "lift stud rusty" } }, lift, 0.01, "rusty stud")
  near(offset { condition = "lift, floor at 60 C" }, 1.2 * lift, 0.01, "warm")
  local with = offset { condition = "lift, return cable" }
  T.equal(with < 0.75 * lift and with > 0.5 * lift, true, "return cable")
end)

T.finish()

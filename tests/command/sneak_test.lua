-- strapline sneak and strapline offsets; figures by hand, and of the sweeper with its planted H.
local P = dofile((arg[0]:match "^(.*/)" or "./") .. "program.lua")
local J = dofile((arg[0]:match "^(.*/)" or "./") .. "json_reader.lua")
local T = P.T

-- One switch closed, 12 V over the bar of 2 ohm and the other load of 4 ohm: 8 V and 2 A. The ground
-- of both is a strap; without it they return by a thin wire.
local branches = [[
source   "E"  { "p", "minus", voltage = "12 V" }
switch   "S1" { "p", "a", resistance = "0 ohm" }
switch   "S2" { "p", "b", resistance = "0 ohm" }
resistor "L1" { "a", "g", resistance = "4 ohm" }
resistor "L2" { "b", "g", resistance = "4 ohm" }
strap    "G"  { "g", "minus", per_metre = "0 mohm/m", length = "1 m" }
reference "minus"
condition "one" { S1 = "closed" }
condition "two" { S2 = "closed" }
]]
local clean = P.file((branches:gsub("0 mohm/m", "0.01 mohm/m")))
local planted = P.file((branches:gsub("0 mohm/m", "0.01 mohm/m")
  .. 'resistor "bar" { "a", "b", resistance = "2 ohm" }\n'))

T.case("a clean circuit is silent", function()
  local out = P.good("sneak", clean)
  T.has(out, "No sneak path found")
  T.equal(#J.read(P.good("sneak", clean, "--format", "json")), 0)
end)

T.case("an H is told with the load it goes through", function()
  local out = P.good("sneak", planted)
  T.has(out, 'L2: 8.000 V and 2.000 A through "bar" [one]')
  T.has(out, "Current turns round (1)")
  local list = J.read(P.good("sneak", planted, "--format", "json"))
  local found = 0
  for _, sneak in ipairs(list) do
    if sneak.type == "through" and sneak.part == "L2" then
      T.near(sneak.volts, 8, 1e-4)
      T.equal(sneak.through, "bar")
      found = found + 1
    end
  end
  T.equal(found, 1)
  T.has(P.good("sneak", planted, "--format", "csv"), "\nthrough,L2,body,one,")
end)

-- By hand: 12 V over tail 4, stop 2 and high stop 6 ohm in series: 1 A, 6 V.
T.case("a lost shared ground feeds a lamp through two others", function()
  local file = P.file [[
source   "E"     { "p", "minus", voltage = "12 V" }
switch   "brake" { "p", "b", resistance = "0 ohm" }
resistor "tail"  { "p", "lug", resistance = "4 ohm" }
resistor "stop"  { "b", "lug", resistance = "2 ohm" }
resistor "high stop" { "b", "minus", resistance = "6 ohm" }
joint    "screw" { "lug", "wire", resistance = "1 mohm" }
cable    "wire"  { "wire", "minus", per_metre = "1 mohm/m", length = "1 m" }
reference "minus"
]]
  local out = P.good("sneak", file)
  T.has(out, "No sneak path found with all parts good\n")
  T.has(out, "a load is fed through another (1)\n  with screw or wire open: high stop is fed through "
    .. '"tail" and "stop": 6.000 V and 1.000 A\n      [rest] | stop is fed through "tail" and '
    .. '"high stop": 2.000 V and 1.000 A [rest]\n')
  local rows = J.read(P.good("sneak", file, "--format", "json"))
  T.equal(#rows, 4)
  T.equal(rows[2].type, "fed when lost")
  T.equal(rows[2].lost .. ", " .. rows[2].part .. ", " .. rows[2].through .. ", " .. rows[2].also,
    "screw, high stop, tail, stop")
  T.has(P.good("sneak", file, "--format", "csv"), ",stop,wire\n")
  os.remove(file)
end)

-- 30 A of a motor return by a thin wire beside the strap, when the strap is off.
T.case("what a lost ground heats", function()
  local file = P.file [[
battery "B" { "p", "minus", cca = "500 A" }
switch  "S" { "p", "m", position = "closed" }
resistor "motor" { "m", "engine", resistance = "0.3 ohm" }
cable   "thick" { "engine", "minus", size = "16 mm2", length = "1 m" }
cable   "thin"  { "engine", "minus", size = "0.5 mm2", length = "1 m" }
]]
  local out = P.good("sneak", file)
  T.has(out, "When one conductor is lost, others overheat (1)\n  thick: open [rest]: thin: overloaded")
  os.remove(file)
end)

T.case("the H of the sweeper", function()
  local folder = os.getenv "STRAPLINE_CIRCUITS" or "circuits"
  local text = io.open(folder .. "/brindle_9.lua"):read "a"
  local at = text:find('condition "rest"', 1, true) -- one condition is enough
  local file = P.file(text:sub(1, at - 1) .. 'condition "rinsing" (working { WATER = "closed" })\n')
  local out = P.good("sneak", file)
  T.has(out, "brush relay, coil: ")
  T.has(out, 'through "dust lamp" [rinsing];')
  os.remove(file)
end)

-- 10 A through 20 mohm under one module: 0.2 V; the other stands on the frame itself.
local grounds = P.file [[
source   "E"  { "p", "frame", voltage = "12 V" }
resistor "load" { "p", "g1", resistance = "1.18 ohm" }
joint    "G1" { "g1", "frame", resistance = "20 mohm" }
module   "one" { "p", "g1", power = "1 mW" }
module   "two" { "p", "frame", power = "1 mW" }
reference "frame"
fault "off" { "load: open" }
]]

T.case("grounds that stand apart", function()
  local out = P.good("offsets", grounds)
  T.has(out, "Above 0.1 V (1)\n  200.0 mV g1 (one) against frame (two) [rest]")
  local list = J.read(P.good("offsets", grounds, "--format", "json"))
  T.equal(#list, 1)
  T.near(list[1].volts, 0.2, 1e-4)
  T.has(P.good("offsets", grounds, "--fault", "off"), "Above 0.1 V (0)")
  T.has(P.good("offsets", grounds, "--node", "g1", "--node", "p"), "p against g1")
end)

T.case("a limit given decides the exit code", function()
  local code = P.run("offsets", grounds, "--limit", "0.19")
  T.equal(code, 1)
  T.equal((P.run("offsets", grounds, "--limit", "0.21 V")), 0)
  T.equal((P.run("offsets", grounds, "--limit", "0.19", "--format", "csv")), 1)
  P.bad("above 0 V", "offsets", grounds, "--limit", "0")
  P.bad("has no node", "offsets", grounds, "--node", "nowhere")
  P.bad("has no condition", "offsets", grounds, "--condition", "crank")
  P.bad("there is no fault 'of'", "offsets", grounds, "--fault", "of")
end)

-- Demo of the sweeper: ground point G2 at 30 mohm and the brush stalled at about 30 A: 0.9 V.
T.case("the ground point of the sweeper lifts three modules 0.9 V", function()
  local folder = os.getenv "STRAPLINE_CIRCUITS" or "circuits"
  local list = J.read(P.good("offsets", folder .. "/brindle_9.lua", "--condition", "working",
    "--fault", "G2 30 mohm, brush stalled", "--format", "json"))
  local lifted = {}
  for _, pair in ipairs(list) do
    if pair.black == "hopper control -" and pair.volts > 0.8 and pair.volts < 1.0 then
      lifted[#lifted + 1] = pair.red
    end
  end
  table.sort(lifted)
  T.equal(table.concat(lifted, "; "),
    "G2 lug; brush control -; suction control -; water control -")
end)

for _, file in ipairs { clean, planted, grounds } do os.remove(file) end
T.finish()

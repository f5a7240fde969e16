-- Circuit files: what they may say, the closed environment, and faults told by line.
local T = dofile((arg[0]:match "^(.*/)" or "./") .. "harness.lua")
local strapline = require "strapline"

local BATTERY = 'battery "B1" { "B1 +", "B1 -", cca = "600 A" }\n'

local function refused(text, ...)
  local circuit, message = strapline.parse(text, "bad.lua")
  T.equal(circuit, nil)
  for _, part in ipairs { ... } do T.has(message, part) end
  return message
end

T.case("the fixed forms", function()
  local circuit = assert(strapline.parse([[
    source "E1" { "a", "0", voltage = "12 V" }
    source "J1" { "b", "0", current = "2 A" }
    resistor "R1" { "a", "b", resistance = "4.7 ohm" }
    resistor "R2" { "b", "0", resistance = 4.7 }
    reference "0"
    condition "crank" {}
  ]]))
  local answer = assert(circuit:predict())
  -- By superposition: 12/2 + 2 * 4.7/2.
  T.near(answer.nodes.b.voltage, 10.7, 1e-12)
  T.equal(answer.condition, "crank")
  T.equal(answer.reference, "0")
end)

T.case("a file that names no condition has one called rest", function()
  local circuit = assert(strapline.parse(BATTERY))
  T.equal(#circuit.conditions, 1)
  T.equal(circuit.conditions[1].name, "rest")
  T.equal(circuit.conditions.rest.temperature, 20)
end)

T.case("without a reference the negative post of the first battery is it", function()
  local circuit = assert(strapline.parse(BATTERY
    .. 'battery "B2" { "B2 +", "B2 -", cca = "600 A" }'))
  T.equal(assert(circuit:predict()).reference, "B1 -")
end)

T.case("name of the circuit: given, or from the file", function()
  T.equal(assert(strapline.parse('circuit "Wicken 410"\n' .. BATTERY, "x.lua")).name, "Wicken 410")
  T.equal(assert(strapline.parse(BATTERY, "circuits/wicken.lua")).name, "wicken")
end)

T.case("terminals by name, optional ones become nodes of the part", function()
  local circuit = assert(strapline.parse(BATTERY
    .. 'starter "M1" { B = "B1 +", case = "B1 -" }'))
  local answer = assert(circuit:predict())
  assert(answer.nodes["M1.S"] and answer.nodes["M1.M"])
end)

T.case("loops, functions, locals and text are at hand", function()
  local circuit = assert(strapline.parse(BATTERY .. [[
    local function lamp_at(place) lamp("L " .. place) { "B1 +", "B1 -", power = "5 W" } end
    for _, place in ipairs { "left", "right" } do lamp_at(place:upper()) end
    for key, watts in pairs { b = 21, a = 5 } do
      lamp(string.format("L %s", key)) { "B1 +", "B1 -", power = watts }
    end
  ]]))
  T.equal(table.concat(circuit.part_names, ","), "B1,L LEFT,L RIGHT,L a,L b")
end)

T.case("all faults of a file at once, sorted by line", function()
  local message = refused(BATTERY .. [[
resistor "R1" { "a", "b", resistence = "5 ohm" }
resitor "R2" { "a", "b", resistance = "5 ohm" }
resistor "R3" { "a", "a", resistance = "5 V" }
]])
  T.equal(message, table.concat({
    [[bad.lua:2: resistor "R1": unknown field 'resistence' (did you mean 'resistance'?)]],
    [[bad.lua:3: unknown word 'resitor' (did you mean 'resistor'?)]],
    [[bad.lua:4: resistor "R3": both ends of its body, a and b, are on node "a"; ]]
      .. [[give two different nodes]],
    [[bad.lua:4: resistor "R3": resistance = "5 V" is a voltage; a resistance is wanted, ]]
      .. [[in ohm, mohm (thousandth), kohm, Mohm (million), such as "10 mohm"]],
  }, "\n"))
end)

T.case("an error of Lua is told with the faults before it", function()
  refused(BATTERY .. 'lamp "L1" {}\nlocal t\nt.x = 1\n', "bad.lua:2: lamp", "bad.lua:4: attempt")
end)

T.case("nothing outside can be reached", function()
  for _, word in ipairs { "io", "os", "require", "load", "dofile", "debug", "_G", "setmetatable",
    "getmetatable", "rawset", "pcall", "xpcall", "coroutine", "collectgarbage", "print", "next" } do
    refused(BATTERY .. ("local x = %s\n"):format(word), ("bad.lua:2: '%s' is not for"):format(word))
  end
end)

T.case("string methods are restricted while a file runs, and whole afterwards", function()
  for _, call in ipairs { '("x"):rep(1e9)', '("x"):gsub("x", "y")', '("x"):find("x")',
    '("x"):dump()', 'string.gsub("x", "x", "y")', '("x"):rep(10000000)' } do
    refused(BATTERY .. ("local x = %s\n"):format(call), "bad.lua:2: ")
  end
  T.equal(("abc"):find("b"), 2)
end)

T.case("a file cannot change what the next one sees", function()
  assert(strapline.parse(BATTERY .. "string.upper = nil math.pi = 3 table.insert = nil\n"))
  assert(strapline.parse(BATTERY .. 'assert(("x"):upper() == "X" and math.pi > 3.1)\n'
    .. "assert(table.insert)\n"))
end)

T.case("no addresses, which change from run to run, can be seen", function()
  assert(strapline.parse(BATTERY .. [[
    assert(tostring({}) == "table" and tostring(print) ~= nil or true)
    assert(string.format("%s", {}) == "table")
  ]]) == nil or true)
  refused(BATTERY .. 'local x = string.format("%p", {})\n', "bad.lua:2:")
end)

T.case("a file that never ends, in several ways", function()
  for _, loop in ipairs { "while true do end", "for i = 1, 1e18 do end",
    "local function f() return f() end f()",
    'local t = {} while true do t[1] = ("x"):rep(1000) end' } do
    refused(BATTERY .. loop, "bad.lua:2: the file does not come to an end")
  end
  refused(BATTERY .. "local function f() return 1 + f() end f()", "calls itself")
end)

T.case("a file that grows without end", function()
  for _, loop in ipairs { 'local s = "x" while true do s = s .. s end',
    "local t = {} for i = 1, 1e18 do t[i] = { i } end" } do
    refused(BATTERY .. loop, "bad.lua:2: the file needs more than")
  end
end)

T.case("what Lua cannot read is told with what was most likely meant, and nothing else", function()
  refused(BATTERY .. 'lamp "L1" { lamp in, "B1 -", power = "5 W" }', "bad.lua:2: ",
    'a node is text in quotes')
  refused(BATTERY .. 'lamp "L1" { "a", "B1 -", power = 5 W }', "a value with a unit is text")
  refused(BATTERY .. 'lamp "L1" { "a", "B1 -", power = = "5 W" }', "a circuit file is Lua text")
end)

T.case("compiled Lua is not read", function()
  refused(string.dump(function() end), "bad.lua:1: this is compiled Lua")
end)

T.case("a byte order mark and a first line with # are passed over", function()
  assert(strapline.parse("\xEF\xBB\xBF" .. BATTERY))
  assert(strapline.parse("#!/usr/bin/env strapline\n" .. BATTERY))
end)

T.case("empty text", function()
  refused("", "bad.lua:1: the file has no parts")
  refused("-- nothing\n", "bad.lua:1: the file has no parts")
end)

T.case("files that cannot be read", function()
  local circuit, message = strapline.load("no such file.lua")
  T.equal(circuit, nil)
  T.has(message, "no such file.lua")
  circuit, message = strapline.load("/")
  T.equal(circuit, nil)
  T.has(message, "/")
end)

T.case("wrong use raises", function()
  T.raises("takes the path", strapline.load)
  T.raises("takes the text", strapline.parse, 5)
end)

T.case("a file cannot load another while it runs", function()
  local core = strapline.core
  local circuit, message
  local function inside() circuit, message = strapline.parse(BATTERY) end
  T.equal(core.fenced(inside, "=x", 1e6, 1, 1e7), true)
  T.equal(circuit, nil)
  T.has(message, "cannot be loaded while another one is")
end)

T.finish()

-- The module in C: descriptions, wrong use, limits, and what happens when memory runs out.
local T = dofile((arg[0]:match "^(.*/)" or "./") .. "harness.lua")
local core = require("strapline").core

local function loop()
  local circuit = assert(core.circuit())
  assert(circuit:add("source", "E1", { positive = "a", negative = "0" }, { voltage = 12 }))
  assert(circuit:add("resistor", "R1", { a = "a", b = "b" }, { resistance = 2 }))
  assert(circuit:add("lamp", "L1", { a = "b", b = "0" }, { power = 21 }))
  assert(circuit:set_reference("0"))
  return circuit
end

T.case("descriptions are whole", function()
  local names = core.kind_names()
  assert(#names >= 14)
  for _, name in ipairs(names) do
    local kind = core.kind(name)
    T.equal(kind.name, name)
    assert(#kind.terminals > 0 and #kind.elements > 0 and kind.example ~= "" and kind.doc ~= "")
    for _, list in ipairs { "terminals", "params", "elements", "modes", "notices" } do
      for _, entry in ipairs(kind[list]) do T.equal(kind[list][entry.name], entry) end
    end
    for _, element in ipairs(kind.elements) do
      assert(kind.terminals[element.from] and kind.terminals[element.to])
    end
    for _, duty in ipairs { "start_param", "position_param" } do
      if kind[duty] then assert(kind.params[kind[duty]].choices) end
    end
  end
  T.equal(core.kind("gizmo"), nil)
end)

T.case("what the library refuses comes back as nil, message, code", function()
  local circuit = loop()
  local ok, message, code = circuit:add("resistor", "R1", { a = "a", b = "b" }, { resistance = 1 })
  T.equal(ok, nil)
  T.has(message, "R1")
  T.equal(code, "SL_E_NAME")
  code = select(3, circuit:add("resistor", "R2", { a = "a", b = "a" }, { resistance = 1 }))
  T.equal(code, "SL_E_ARG")
  code = select(3, circuit:add("resistor", "R2", { a = "a", b = "b" }, { resistance = -1 }))
  T.equal(code, "SL_E_VALUE")
  code = select(3, circuit:set_temperature(900))
  T.equal(code, "SL_E_VALUE")
end)

T.case("wrong use raises", function()
  local circuit = loop()
  local case = assert(circuit:case())
  T.raises("unknown kind", circuit.add, circuit, "gizmo", "X", {}, {})
  T.raises("table expected", circuit.add, circuit, "resistor", "X")
  T.raises("number expected", circuit.add, circuit, "resistor", "X", {}, { resistance = "x" })
  T.raises("no node 'x'", circuit.set_reference, circuit, "x")
  T.raises("no condition 'x'", circuit.case, circuit, "x")
  T.raises("no part 'x'", case.edit, case, "x", "open")
  T.raises("no element 'x'", case.edit, case, "R1", "open", "x")
  T.raises("no field 'x'", case.edit, case, "R1", "set", "x", 1)
  T.raises("invalid option", case.edit, case, "R1", "break")
  T.raises("number expected", case.edit, case, "R1", "series", "body")
  T.raises("no node 'x'", case.between, case, "a", "x")
  T.raises("1 or 2", case.view, case, 3)
  T.raises("strapline.case expected", case.solve, circuit)
  T.raises("strapline.circuit expected", circuit.case, case)
  case:close()
  T.raises("the case is closed", case.solve, case)
  circuit:close()
  T.raises("the circuit is closed", circuit.nodes, circuit)
  circuit:close()
  case:close()
end)

T.case("values, where they come from, and what a case uses", function()
  local circuit = loop()
  local value, origin = circuit:part_value("L1", "current")
  T.equal(value, 1.75)
  T.equal(origin, "worked out")
  T.equal(select(2, circuit:part_value("L1", "power")), "given")
  T.equal(select(2, circuit:part_value("L1", "voltage")), "default")
  T.equal(circuit:part_node("L1", 1), "b")
  T.equal(table.concat(circuit:nodes(), " "), "a 0 b")
  T.equal(table.concat(circuit:parts(), " "), "E1 R1 L1")
  T.equal(table.concat(circuit:conditions(), " "), "rest")
  local case = assert(circuit:case())
  assert(case:edit("R1", "set", "resistance", 5))
  assert(case:solve())
  T.equal(case:value("R1", "resistance"), 5)
  case:clear()
  assert(case:solve())
  T.equal(case:value("R1", "resistance"), 2)
end)

T.case("a case outlives the closing of its circuit", function()
  local circuit = loop()
  local case = assert(circuit:case())
  circuit:close()
  assert(case:solve())
  T.near(case:between("a", "0"), 12, 1e-12)
end)

T.case("closing by scope", function()
  local kept
  do
    local circuit <close> = loop()
    local case <close> = assert(circuit:case())
    assert(case:solve())
    kept = case
  end
  T.raises("closed", kept.solve, kept)
end)

T.case("the collector at every step", function()
  collectgarbage("setpause", 0)
  collectgarbage("setstepmul", 1000)
  for _ = 1, 20 do
    local case = assert(loop():case())
    assert(case:solve())
    case:answer()
  end
  collectgarbage("setpause", 200)
  collectgarbage("setstepmul", 100)
end)

T.case("the fence stops, tells why, and leaves everything as it was", function()
  local ok, reason = core.fenced(function() while true do end end, "=x", 1e6, 10, 1e6)
  T.equal(ok, false)
  T.equal(reason, "instructions")
  ok, reason = core.fenced(function()
    local list = {}
    while true do table.insert(list, {}) end
  end, "=x", 1e9, 10, 1e5)
  T.equal(ok, false)
  T.equal(reason, "memory")
  ok, reason = core.fenced(function() while true do end end, "=x", 1e15, 0.05, 1e6)
  T.equal(ok, false)
  T.equal(reason, "time")
  local _, kind, message = core.fenced(function() error("why", 0) end, "=x", 1e6, 1, 1e6)
  T.equal(kind, "error")
  T.equal(message, "why")
  T.equal(core.fenced(function() end, "=x", 1e6, 1, 1e6), true)
  T.equal(debug.gethook(), nil)
end)

-- Memory for the whole way from circuit to answer, a little more each time, until it is enough.
T.case("running out of memory anywhere leaks nothing and breaks nothing", function()
  local stopped, room, enough = 0, 256, false
  while not enough do
    local answer
    local ok, reason, message = core.fenced(function()
      local circuit <close> = assert(core.circuit())
      assert(circuit:add("source", "E1", { positive = "a", negative = "0" }, { voltage = 12 }))
      assert(circuit:add("resistor", "R1", { a = "a", b = "b" }, { resistance = 2 }))
      assert(circuit:add("lamp", "L1", { a = "b", b = "0" }, { power = 21 }))
      assert(circuit:set_reference("0"))
      assert(circuit:add_condition("on"))
      assert(circuit:edit("on", "R1", "set", "resistance", 1))
      local case <close> = assert(circuit:case("on"))
      assert(case:edit("L1", "series", nil, 1))
      assert(case:attach("meter", "(meter)", { red = "a", black = "b" }, {}))
      assert(case:solve())
      answer = case:answer()
      assert(case:path("L1", nil, "shop")) -- where memory ends, the case is closed before the path
    end, "=x", 1e9, 60, room)
    if ok then
      enough = true
      assert(answer.nodes.b.voltage > 0)
    else
      stopped = stopped + 1
      assert(reason == "memory" or tostring(message):find("out of memory", 1, true), message)
    end
    room = room + 256
    collectgarbage()
  end
  assert(stopped > 20, "stopped only " .. stopped .. " times")
end)

local function sized(text, question)
  return assert(assert(require("strapline").parse(text)):size(question))
end

-- A fault of a panel is one of all its parts: with three studs these are three.
T.case("a fault of a panel thins all of it, for sizing too", function()
  local text = [[
source "E" { "plus", "right", voltage = "12 V" }
cable  "C" { "plus", "feed", size = "2.5 mm2", length = "2 m" }
lamp   "L" { "feed", "left", power = "55 W" }
reference "right"
panel "FLOOR" { width = "2 m", height = "0.5 m", thickness = "1 mm", mesh = "20 mm",
                studs = { left = { 0, "0.25 m", height = "0.5 m" },
                          middle = { "1 m", "0.25 m", diameter = "60 mm" },
                          right = { "2 m", "0.25 m", height = "0.5 m" } } }
]]
  local faults = { "FLOOR: thinned = 99 %", "FLOOR: temperature = 60 C" }
  for n = 1, 2 do
    local fault = { faults[n] }
    local size = sized(text, { part = "C", drop = "3 %", faults = fault })
    local answer = assert(assert(require("strapline").parse(text)):predict { faults = fault })
    T.near(size.present.current, math.abs(answer.parts.C.current), 1e-12, fault[1])
  end
end)

--- A loop of two resistors, and a band of what its current may be.
local function two_in_series()
  local circuit = core.circuit()
  assert(circuit:add("source", "E", { positive = "p", negative = "0" }, { voltage = 12 }))
  assert(circuit:add("resistor", "R1", { a = "p", b = "m" }, { resistance = 2 }))
  assert(circuit:add("resistor", "R2", { a = "m", b = "0" }, { resistance = 4 }))
  assert(circuit:set_reference("0"))
  assert(circuit:set_spread(nil, "R1", "resistance", 0.1, 0.1, true))
  local case = assert(circuit:case())
  return circuit, assert(case:solve()) and case
end

T.case("a draw goes on while progress returns anything but false", function()
  local _, case = two_in_series()
  local band = assert(case:band({ part = "R2" }, false))
  local drawn = assert(band:draw({ samples = 1000 }, function(done) return done end))
  T.equal(drawn.samples, 1000)
  local thrown = {}
  local ok, got = pcall(band.draw, band, { samples = 1000 }, function() error(thrown) end)
  T.equal(ok, false)
  T.equal(got, thrown)
end)

T.case("a shape of samples that there is not is refused", function()
  local _, case = two_in_series()
  local band = assert(case:band({ part = "R2" }, false))
  T.raises("invalid option 'normall'", band.draw, band, { shape = "normall" })
end)

T.case("a sweep runs to its end, however many cases are asked for", function()
  local circuit = two_in_series()
  local sweep = assert(circuit:sweep())
  assert(sweep:modes("R1", 3))
  assert(sweep:reading("current", "R1"))
  local all = sweep:count()
  T.equal(#assert(sweep:run(2, math.maxinteger, 2)), all - 1)
end)

T.finish()

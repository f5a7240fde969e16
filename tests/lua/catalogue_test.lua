-- Parts in small circuits, each by hand: jump pack, thermal gauge, polarity, speed of the engine.
local T = dofile((arg[0]:match "^(.*/)" or "./") .. "harness.lua")
local strapline = require "strapline"

local function circuit_of(text)
  return assert(strapline.parse(text, "catalogue.lua"))
end

local function noticed(answer, part)
  return table.concat(answer.parts[part].notices, "; ")
end

-- E 10 V behind 50 mohm (an all but flat battery), load 0.1 ohm, pack 13.2 V behind 10 mohm.
local jump = [[
source "E" { "e", "0", voltage = "10 V" }
resistor "R" { "e", "+", resistance = "50 mohm" }
resistor "M" { "+", "0", resistance = "100 mohm" }
jump_pack "JP" { "+", "0", clamps = "off" }
condition "without" {}
condition "with" { JP = "on" }
condition "small pack" { JP = { clamps = "on", current_limit = "50 A" } }
reference "0"
]]

T.case("a jump pack helps a flat battery up to its limit", function()
  local circuit = circuit_of(jump)
  T.near(assert(circuit:predict { condition = "without" }).nodes["+"].voltage, 10 * 2 / 3, 1e-12)
  local with = assert(circuit:predict { condition = "with" })
  -- (10 / 0.05 + 13.2 / 0.01) / (1 / 0.05 + 1 / 0.1 + 1 / 0.01)
  T.near(with.nodes["+"].voltage, 1520 / 130, 1e-5)
  T.has(noticed(with, "JP"), "helps with 150.8 A")
  local small = assert(circuit:predict { condition = "small pack" })
  -- 50 A more than alone into 1/30 ohm, and 0.1 % for each of the 4.4 V it has fallen
  T.near(small.nodes["+"].voltage, (200 + 50) / 30, 1e-3)
  T.has(noticed(small, "JP"), "gives all it can: 50.")
end)

T.case("a jump pack takes nothing back, and clamped the wrong way round says so", function()
  local circuit = circuit_of([[
    battery "B1" { "+", "-", cca = "600 A" }
    jump_pack "JP" { "+", "-", voltage = "12 V" }
    jump_pack "BAD" { "-", "+", current_limit = "200 A", clamps = "off" }
    condition "right" {}
    condition "wrong" { BAD = "on" }
  ]])
  local right = assert(circuit:predict())
  T.near(right.nodes["+"].voltage, 12.64, 1e-3)
  T.equal(noticed(right, "JP"), "")
  T.has(noticed(assert(circuit:predict { condition = "wrong" }), "BAD"),
    "clamped the wrong way round: 204.")
  local cautions = require "strapline.cautions"
  T.has(table.concat(cautions.lines(circuit, right, "predict"), " "), "Jump starting")
end)

T.case("a thermal gauge reads high when its stabiliser has lost its ground", function()
  local circuit = circuit_of([[
    converter "STAB" { "+", "0", "feed", output_voltage = "10 V", cut_out = "10.5 V",
                       recovery = "11 V", current_limit = "2 A", starts = "working" }
    source "E" { "+", "0", voltage = "12 V" }
    switch "LOST" { "+", "feed", position = "open" }
    bimetal_gauge "FUEL" { "feed", "tank" }
    sender "TANK" { "tank", "0", travel = "50 %" }
    condition "good" {}
    condition "stabiliser without ground" { LOST = "closed" }
    reference "0"
  ]])
  T.equal(noticed(assert(circuit:predict()), "FUEL"), "reads 50 % of its scale")
  -- (240 - (10 x 201.5 / 12 - 65)) / 207
  T.equal(noticed(assert(circuit:predict { condition = "stabiliser without ground" }), "FUEL"),
    "reads 66 % of its scale")
end)

-- 24 V with a tap, chassis return open: loads of 1.26 ohm each leave the 12 V side with -6.3 V.
T.case("parts of the 12 V side of a 24 V set with an open return are told their polarity", function()
  local circuit = circuit_of([[
    battery "A" { "mid", "0", resistance = "0.1 mohm", charge = "90 %" }
    battery "B" { "24 +", "mid", resistance = "0.1 mohm", charge = "90 %" }
    resistor "R24" { "24 +", "chassis", resistance = "1.26 ohm" }
    resistor "R12" { "mid", "chassis", resistance = "1.26 ohm" }
    strap "RETURN" { "chassis", "0", size = "50 mm2", length = "0.3 m" }
    module "ECU" { "mid", "chassis", power = "1 W" }
    led_lamp "LED" { "mid", "chassis", power = "1 W" }
  ]])
  local good = assert(circuit:predict())
  T.equal(noticed(good, "ECU"), "answers")
  T.has(noticed(good, "LED"), "% light")
  local open = assert(circuit:predict { faults = { "RETURN: open" } })
  T.has(noticed(open, "ECU"), "its supply is the wrong way round")
  T.has(noticed(open, "LED"), "lamp dark, the wrong way round: -6.")
end)

-- 240 ohm read empty and 33 ohm full: a share of the scale is that share of 207 ohm.
T.case("a gauge is read to a tenth of a percent, and less is none", function()
  for share, shown in pairs { [0] = "0", [0.00099] = "0", [0.00101] = "0.1", [-0.00099] = "0",
    [0.25] = "25" } do
    local answer = assert(circuit_of(([[
      source "E" { "+", "0", voltage = "12 V" }
      gauge "FUEL" { "+", "tank", "0" }
      resistor "TANK" { "tank", "0", resistance = %.17g }
      reference "0"
    ]]):format(240 - 207 * share)):predict())
    T.equal(noticed(answer, "FUEL"), ("reads %s %% of its scale"):format(shown))
  end
end)

T.case("a sensor input that is fed by the key reads nothing with the key off", function()
  local text = [[
    source "E" { "+", "0", voltage = "%s V" }
    switch "KEY" { "+", "feed" }
    sensor_input "A1" { "5 V", "signal", "0", "feed", position = "by wire" }
    sensor "TPS" { "5 V", "signal", "0", output = "50 %%" }
    condition "off" {}
    condition "on" { KEY = "closed" }
    condition "bench" { A1 = "on" }
    condition "asleep" { KEY = "closed", A1 = "off" }
    reference "0"
  ]]
  local circuit = circuit_of(text:format "12")
  local function predicted(condition, faults)
    return assert(circuit:predict { condition = condition, faults = faults })
  end
  local off, on = predicted "off", predicted "on"
  T.equal(noticed(off, "A1"), "")
  T.equal(off.parts.A1.state, "without supply")
  T.near(off.nodes["5 V"].voltage, 0, 1e-9)
  T.has(noticed(on, "A1"), "50 %")
  T.near(on.parts.KEY.current, 12 / 2400, 1e-5)
  T.has(noticed(predicted "bench", "A1"), "50 %")
  T.equal(noticed(predicted "asleep", "A1"), "")
  T.equal(noticed(predicted("on", { "A1: supply input open" }), "A1"), "")
  -- 6 V keep it working
  circuit = circuit_of(text:format "6.01")
  T.has(noticed(predicted "on", "A1"), "50 %")
  circuit = circuit_of(text:format "5.99")
  T.equal(noticed(predicted "on", "A1"), "")
end)

T.case("a drain is told in days", function()
  local answer = assert(circuit_of([[
    battery "B1" { "+", "-", cca = "600 A", capacity = 60, resistance = "1 mohm", charge = "100 %",
                   temperature = "26.7 C" }
    source "LOAD" { "-", "+", current = "0.41 A" }
  ]]):predict())
  T.equal(noticed(answer, "B1"), "at this drain all flat in about 6.1 days, from the charge it has")
end)

T.case("the speed of the engine is one word for all that turn with it", function()
  local circuit = circuit_of([[
    battery "B1" { "+", "-", cca = "600 A", charge = "70 %" }
    alternator "PORT" { "+", "-" }
    alternator "STARBOARD" { "+", "-", speed = "1200 rpm" }
    resistor "LOAD" { "+", "-", resistance = "0.1 ohm" }
    condition "rest" {}
    condition "port alone" { engine_speed = "1500 rpm", STARBOARD = { speed = "0 rpm" } }
    condition "both" { engine_speed = "1500 rpm" }
  ]])
  local function speeds(condition)
    local answer = assert(circuit:predict { condition = condition })
    return answer:values("PORT").speed.value, answer:values("STARBOARD").speed.value, answer
  end
  local port, starboard = speeds "rest"
  T.equal(port, 0.0)
  T.equal(starboard, 1200.0)
  port, starboard = speeds "port alone"
  T.equal(port, 1500.0)
  T.equal(starboard, 0.0)
  local _, _, both = speeds "both"
  T.equal(both:values("STARBOARD").speed.value, 1500.0)
  T.has(noticed(both, "PORT"), "at its limit of")
end)

T.case("samples of reference pages are values that can be given, and no quantity's own example", function()
  local values = require "strapline.values"
  for _, kind in ipairs(strapline.kinds) do
    local at = {}
    for _, block in ipairs(assert(require("strapline.pages").blocks(kind.name))) do
      local name, written = block[2]:match '^([%a_]+) = "?(.-)"?$'
      local param = block[1] == "entry" and name and kind.params[name]
      if param then
        at[name] = written
        local number = param.quantity == "number" and tonumber(written) or written
        local value, wrong = values.check(param, number)
        assert(value, ("%s: %s: %s"):format(kind.name, block[2], wrong))
      end
    end
    for _, param in ipairs(kind.params) do assert(at[param.name], kind.name .. ": " .. param.name) end
    if kind.name == "battery" then
      T.equal(at.capacity, "70 Ah")
      T.equal(at.resistance, "5.36 mohm") -- 600 A at 95 % and 20 C
    elseif kind.name == "starter" then
      T.equal(at.stall_current, "780 A") -- of the 180 A in its example, vehicle maker service data
    end
  end
end)

-- One list says which fields a question takes, to the question itself and to its readers.
T.case("every field of every question is told, can be written, and is taken", function()
  local calls, circuit = require "strapline.calls", circuit_of(jump)
  local page = assert(require("strapline.pages").page "lua")
  for _, call in ipairs(calls.list) do
    T.has(page, "circuit:" .. call.name .. " { ... }")
    T.raises("unknown field 'nonsense'", circuit[call.name], circuit, { nonsense = 1 })
    for _, field in ipairs(call.fields) do
      T.has(page, "\n  " .. field[2] .. "\n")
      local asked = assert(load("return { " .. field[2] .. " }"))()
      assert(asked[field[1]] ~= nil, field[2])
      if field[4] == "ohms" then asked.ohms = true end
      local _, message = pcall(circuit[call.name], circuit, asked)
      assert(not tostring(message):find "unknown field", call.name .. ": " .. field[1])
    end
  end
  for _, name in ipairs { "predict", "read", "load_test", "drops", "explain", "size", "matters", "band",
    "sweep" } do assert(calls.list[name], name) end
  T.raises("unknown field 'tool'", circuit.read, circuit, { ohms = true, tool = "test lamp" })
end)

T.finish()

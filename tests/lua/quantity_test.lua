-- Quantities as people write them, and numbers as a meter shows them.
local T = dofile((arg[0]:match "^(.*/)" or "./") .. "harness.lua")
local format = require "strapline.format"
local quantity = require "strapline.quantity"
local strapline = require "strapline"

-- Text, quantity, exactly the number it is.
local exact = {
  { "4.7 ohm", "resistance", 4.7 }, { "10 mohm", "resistance", 0.010 },
  { "10 Mohm", "resistance", 1e7 }, { "3 uohm", "resistance", 3e-6 },
  { "1.2 kohm", "resistance", 1200 }, { "4.7ohm", "resistance", 4.7 },
  { "10 mΩ", "resistance", 0.010 }, { "1e3 mohm", "resistance", 1 },
  { "2.5e-3 kohm", "resistance", 2.5 }, { " 7 mohm ", "resistance", 0.007 },
  { ".5 ohm", "resistance", 0.5 }, { "+5 ohm", "resistance", 5 }, { "5. ohm", "resistance", 5 },
  { "12 V", "voltage", 12 }, { "-12 V", "voltage", -12 }, { "300 mV", "voltage", 0.3 },
  { "10 A", "current", 10 }, { "100 mA", "current", 0.1 }, { "1.2 kA", "current", 1200 },
  { "21 watts", "power", 21 }, { "5 Amps", "current", 5 }, { "12 volts", "voltage", 12 },
  { "2 ohms", "resistance", 2 }, { "3 metres", "length", 3 }, { "35 sq mm", "conductor size", 35 },
  { "21 W", "power", 21 }, { "1.4 kW", "power", 1400 },
  { "1.4 m", "length", 1.4 }, { "50 mm", "length", 0.05 }, { "30 cm", "length", 0.3 },
  { "35 mm2", "conductor size", 35 }, { "2.5 mm²", "conductor size", 2.5 },
  { "-18 C", "temperature", -18 }, { "20 °C", "temperature", 20 },
  { "32 F", "temperature", 0 }, { "80 %", "fraction", 0.8 }, { "0.8", "fraction", 0.8 },
  { "250 rpm", "speed of rotation", 250 },
  { "20 ms", "time", 0.02 }, { "2 min", "time", 120 }, { "3 N m", "torque", 3 },
  { "3 Nm", "torque", 3 }, { "8.29 mohm/m", "resistance per length", 8.29e-3 },
  { "95 Ah", "battery capacity", 95 },
  { "8.29 ohm/km", "resistance per length", 8.29e-3 }, { "3", "number", 3 },
}

-- Text, quantity, about the number it is.
local about = {
  { "5 ft", "length", 1.524 }, { "12 in", "length", 0.3048 },
  { "0 F", "temperature", -160 / 9 }, { "300 K", "temperature", 26.85 },
  { "1 lb ft", "torque", 1.3558179483314 }, { "1 ohm/ft", "resistance per length", 1 / 0.3048 },
  -- Gauges by hand: 36 AWG is 0.127 mm across, 0.0126677 mm2; 4/0 AWG is 0.46 in, 107.219 mm2.
  { "36 AWG", "conductor size", math.pi / 4 * 0.127 ^ 2 },
  { "4/0 AWG", "conductor size", math.pi / 4 * (0.46 * 25.4) ^ 2 },
  { "1/0 AWG", "conductor size", math.pi / 4 * (0.127 * 92 ^ (36 / 39)) ^ 2 },
  { "2/0 AWG", "conductor size", math.pi / 4 * (0.127 * 92 ^ (37 / 39)) ^ 2 },
  { "0 AWG", "conductor size", math.pi / 4 * (0.127 * 92 ^ (36 / 39)) ^ 2 },
  { "4 AWG", "conductor size", 21.1506 }, { "18AWG", "conductor size", 0.8230468 },
  { "4/0", "conductor size", 107.219 },
  { "AWG 4/0", "conductor size", 107.219 }, { "0000 AWG", "conductor size", 107.219 },
  { "00 AWG", "conductor size", math.pi / 4 * (0.127 * 92 ^ (37 / 39)) ^ 2 },
  { "2/0 awg", "conductor size", math.pi / 4 * (0.127 * 92 ^ (37 / 39)) ^ 2 },
  { "4 gauge", "conductor size", 21.1506 }, { "4 ga", "conductor size", 21.1506 },
  { "3 feet", "length", 0.9144 }, { "1 foot", "length", 0.3048 }, { "12 inches", "length", 0.3048 },
}

-- What is written, quantity, text of the complaint.
local refused = {
  { "5 V", "resistance", "is a voltage; a resistance is wanted" },
  { "5 mm2", "length", "is a conductor size; a length is wanted" },
  { "6 AWG", "length", "is a conductor size; a length is wanted" },
  { "10 Mhom", "resistance", "did you mean 'Mohm'?" },
  { "4,7 ohm", "resistance", "decimal comma" }, { "4.7", "resistance", "has no unit" },
  { "ohm", "resistance", "is not a resistance" }, { "", "resistance", "is not a resistance" },
  { "0x10 ohm", "resistance", "unknown unit 'x10 ohm'" },
  { "1e999 ohm", "resistance", "too large" }, { "nan ohm", "resistance", "is not a resistance" },
  { "01 AWG", "conductor size", "is not a gauge" }, { "00000 AWG", "conductor size", "4/0 to 40" },
  { "6 gauge", "length", "is a conductor size" }, { "21 watts", "length", "is a power" },
  { "4/0", "length", "unknown unit" }, { "5/0", "conductor size", "4/0 to 40" },
  { "6", "conductor size", "has no unit" }, { "3 feets", "length", "unknown unit 'feets'" },
  { "5/0 AWG", "conductor size", "4/0 to 40" },
  { "41 AWG", "conductor size", "4/0 to 40" }, { "-2 AWG", "conductor size", "is not a gauge" },
  { "3 V", "number", "has a unit" }, { true, "resistance", "is not a resistance" },
  { {}, "resistance", "is not a resistance" }, { 0 / 0, "resistance", "is not a number" },
  { 1 / 0, "resistance", "too large" }, { "5 ohm 3", "resistance", "unknown unit" },
}

for _, row in ipairs(exact) do
  T.case(row[1], function() T.equal(assert(quantity.parse(row[1], row[2], true)), row[3]) end)
end

for _, row in ipairs(about) do
  T.case(row[1], function() T.near(assert(quantity.parse(row[1], row[2])), row[3], 2e-5) end)
end

for _, row in ipairs(refused) do
  T.case("refuses " .. tostring(row[1]), function()
    local value, wrong = quantity.parse(row[1], row[2], true)
    T.equal(value, nil)
    T.has(wrong, row[3])
  end)
end

T.case("a number alone stands only where it is unambiguous", function()
  T.equal(quantity.parse(4.7, "resistance", true), 4.7)
  T.equal(quantity.parse(4, "resistance", true), 4.0)
  local value, wrong = quantity.parse(35, "conductor size", false)
  T.equal(value, nil)
  T.has(wrong, 'write text with its unit, such as "35 mm2"')
end)

T.case("choices", function()
  T.equal(quantity.parse_choice("closed", { "open", "closed" }), 1.0)
  local value, wrong = quantity.parse_choice("close", { "open", "closed" })
  T.equal(value, nil)
  T.has(wrong, "did you mean 'closed'?")
end)

T.case("every quantity of every kind has units, an example and a format", function()
  for _, kind in ipairs(strapline.kinds) do
    for _, param in ipairs(kind.params) do
      if not param.choices then
        local _, example = quantity.units_of(param.quantity)
        assert(quantity.parse(example, param.quantity, param.bare))
        assert(format.text(1, param.quantity))
      end
    end
    for _, notice in ipairs(kind.notices) do assert(format.text(1, notice.quantity)) end
  end
end)

T.case("the held unit of the library is the one these values are in", function()
  for _, kind in ipairs(strapline.kinds) do
    for _, param in ipairs(kind.params) do
      if param.unit ~= "" and param.unit ~= "1" then
        T.equal(quantity.parse("7 " .. param.unit, param.quantity), 7.0, param.unit)
      end
    end
  end
end)

local shown = {
  { 12.6, "voltage", "12.60 V" }, { 0.3, "voltage", "300.0 mV" },
  { -0.0123, "voltage", "-12.30 mV" },
  { 0.99999, "voltage", "1.000 V" }, { 9.9999, "voltage", "10.00 V" }, { 0, "voltage", "0 V" },
  { 1e-15, "voltage", "0 V" }, { 3e-5, "voltage", "30.00 uV" }, { 1234, "voltage", "1234.0 V" },
  { 166.66, "current", "166.7 A" }, { 1250, "current", "1.250 kA" },
  { 1.26e-6, "current", "1.260 uA" },
  { 1e-12, "current", "0 A" }, { 21, "power", "21.00 W" }, { 1400, "power", "1.400 kW" },
  { 0.05, "resistance", "50.00 mohm" }, { 1e7, "resistance", "10.00 Mohm" },
  { 0.5, "fraction", "50 %" }, { 1.234, "fraction", "123 %" }, { 0.013, "fraction", "1.3 %" },
  { 0.02, "time", "20 ms" }, { 0.7625, "time", "0.762 s" }, { 90, "time", "90 s" },
  { 1000, "time", "16.7 min" }, { 3600, "time", "1 h" }, { 5400, "time", "1.5 h" },
  { 172800, "time", "2 days" }, { 526834, "time", "6.1 days" }, { 1e8, "time", "1160 days" },
  { 0, "time", "0 s" }, { 2e-6, "time", "2 us" }, { -3, "time", "-3 s" },
  { 0.0009, "length", "0.9 mm" }, { 0.35, "length", "0.35 m" }, { 1.6, "length", "1.6 m" },
  { 0, "length", "0 m" },
  { 219.6, "speed of rotation", "220 rpm" }, { -18, "temperature", "-18 C" },
}

for _, row in ipairs(shown) do
  T.case("shows " .. row[3], function() T.equal(format.text(row[1], row[2]), row[3]) end)
end

T.case("a time to melt has two digits: the model has no more", function()
  for _, row in ipairs { { 3.487, "3.5 s" }, { 0.7625, "0.76 s" }, { 31.5 * 3600, "32 h" },
    { 97.3 * 86400, "97 days" }, { 0.0123, "12 ms" }, { 3599, "1 h" } } do
    T.equal(format.estimate(row[1], "time"), row[2])
  end
  T.equal(format.estimate(12.345, "voltage"), "12.35 V")
  local melts = { notices = { melts = { text = "melts in @", quantity = "time" } } }
  T.equal(require("strapline.notices").text(melts, { name = "melts", value = 3.487 }),
    "melts in 3.5 s")
end)

T.case("a unit wrong in its capitals alone: every known one of that spelling is told", function()
  local _, wrong = quantity.parse("5 mOhm", "resistance", true)
  T.has(wrong, "write 'Mohm' or 'mohm'")
  _, wrong = quantity.parse("5 v", "voltage", true)
  T.has(wrong, "write 'V'")
end)

-- Text, quantity, value, below, above, whether a share.
local spreads = {
  { "2 mohm +-20 %", "resistance", 0.002, 0.2, 0.2, true },
  { "2 mohm ±20%", "resistance", 0.002, 0.2, 0.2, true },
  { "2 mohm +/- 0.5 mohm", "resistance", 0.002, 0.0005, 0.0005, false },
  { "2 mohm +50 -20 %", "resistance", 0.002, 0.2, 0.5, true },
  { "2 mohm +1 mohm -0.5 mohm", "resistance", 0.002, 0.0005, 0.001, false },
  { "+-20 %", "resistance", nil, 0.2, 0.2, true },
  { "80 % +-10 %", "fraction", 0.8, 0.1, 0.1, false },
  { "20 C +-15 C", "temperature", 20, 15, 15, false },
  { "20 C ±9 F", "temperature", 20, 5, 5, false },
  { "-18 C +-3 K", "temperature", -18, 3, 3, false },
  { "6 AWG +-3 %", "conductor size", math.pi / 4 * (0.127 * 92 ^ (30 / 39)) ^ 2, 0.03, 0.03, true },
  { "1e-3 ohm +-1e-4 ohm", "resistance", 0.001, 0.0001, 0.0001, false },
}

for _, row in ipairs(spreads) do
  T.case(row[1], function()
    local value, spread, wrong = quantity.parse_spread(row[1], row[2], true)
    T.equal(wrong, nil)
    if row[3] then T.near(value, row[3], 1e-14) else T.equal(value, nil) end
    T.near(spread.down, row[4], 1e-12)
    T.near(spread.up, row[5], 1e-12)
    T.equal(spread.relative, row[6])
  end)
end

T.case("no spread, and a sign that is none", function()
  local value, spread = quantity.parse_spread("+5 ohm", "resistance", true)
  T.equal(value, 5.0)
  T.equal(spread, nil)
  T.equal(quantity.parse_spread(3, "resistance", true), 3.0)
  T.equal(quantity.has_spread "1e-3 ohm", false)
  T.equal(quantity.has_spread "-5 V", false)
end)

T.case("articles, and lists of words that have commas of their own", function()
  T.equal(require "strapline.article" "alternator", "an alternator")
  T.equal(require "strapline.article" "fuse", "a fuse")
  local nearest = require "strapline.nearest"
  T.equal(nearest.hint_or_list("x", { "rest", "crank" }, "conditions"), "; conditions: rest, crank")
  T.equal(nearest.hint_or_list("x", { "rest", "crank, -40 C" }, "conditions"),
    "; conditions: rest; crank, -40 C")
end)

T.finish()

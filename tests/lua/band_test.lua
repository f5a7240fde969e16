-- What matters to a reading, and bands of it, from Lua.
local T = dofile((arg[0]:match "^(.*/)" or "./") .. "harness.lua")
local strapline = require "strapline"

local text = [[
source   "E"  { "top", "0", voltage = "12 V ± 2 %" }
resistor "R1" { "top", "mid", resistance = "2 ohm +-10 %" }
resistor "R2" { "mid", "0", resistance = "1 ohm +50 -20 %" }
joint    "J"  { "0", "frame", resistance = "+-0 %" }
reference "0"
temperature "20 C +-15 C"
condition "plain" {}
condition "other" { R2 = { resistance = "2 ohm +0.5 ohm -0.1 ohm" }, temperature = "0 C" }
fault "fixed" { "R2: resistance = 3 ohm" }
]]

local circuit = assert(strapline.parse(text, "divider.lua"))
local leads = { red = "mid", black = "0" }

local function ask(more)
  local asked = { red = leads.red, black = leads.black }
  for key, value in pairs(more or {}) do asked[key] = value end
  return asked
end

-- By hand: 12 R2 / (R1 + R2), at the corners.
T.case("the worst of a divider", function()
  local band = assert(circuit:band(ask()))
  T.near(band.reading, 4, 1e-12)
  T.near(band.low, 11.76 * 0.8 / 3.0, 1e-12)
  T.near(band.high, 12.24 * 1.5 / 3.3, 1e-12)
  T.equal(#band.varied, 4)
  T.equal(band.varied[1].part, "R2")
  T.equal(band.exceeded, false)
end)

T.case("spreads of a condition, and of its temperature", function()
  local band = assert(circuit:band(ask { condition = "other" }))
  T.near(band.low, 11.76 * 1.9 / 4.1, 1e-12)
  T.near(band.high, 12.24 * 2.5 / 4.3, 1e-12)
  for _, row in ipairs(band.varied) do
    if not row.part then
      T.equal(row.low, -15.0)
      T.equal(row.high, 15.0)
    end
  end
end)

T.case("what a fault sets is exact", function()
  local band = assert(circuit:band(ask { faults = { "fixed" } }))
  T.near(band.low, 11.76 * 3 / 5.2, 1e-12)
end)

-- By hand: slopes 1/3, -4/3 and 8/3 V per unit.
T.case("root sum square", function()
  local band = assert(circuit:band(ask { method = "rss" }))
  T.near(band.high, 4 + math.sqrt(0.08 ^ 2 + (0.2 * 4 / 3) ^ 2 + (0.5 * 8 / 3) ^ 2), 1e-8)
  T.near(band.low, 4 - math.sqrt(0.08 ^ 2 + (0.2 * 4 / 3) ^ 2 + (0.2 * 8 / 3) ^ 2), 1e-8)
end)

T.case("samples: the same on any number of threads, within the worst, and stopped", function()
  local function draw(more)
    local asked = ask { method = "monte-carlo", samples = 3000, seed = 9, limit = "5 V" }
    for key, value in pairs(more or {}) do asked[key] = value end
    return assert(circuit:band(asked))
  end
  local one, two = draw(), draw { threads = 2 }
  T.equal(one.drawn.mean, two.drawn.mean)
  T.equal(one.drawn.failed, two.drawn.failed)
  T.equal(one.exceeded, true)
  local worst = assert(circuit:band(ask()))
  T.equal(one.drawn.least >= worst.low and one.drawn.greatest <= worst.high, true)
  local calls = 0
  local stopped = draw { samples = 100000, progress = function() calls = calls + 1 return false end }
  T.equal(calls, 1)
  T.equal(stopped.drawn.samples, 256)
  T.raises("enough", draw, { progress = function() error("enough") end })
  T.equal(draw({ shape = "normal" }).drawn.deviation < one.drawn.deviation, true)
end)

T.case("limits have a margin", function()
  local band = assert(circuit:band(ask { limit = "5.6 V", least = "3 V" }))
  T.near(band.margin, 5.6 - 12.24 * 1.5 / 3.3, 1e-10)
  T.equal(band.exceeded, false)
  band = assert(circuit:band(ask { limit = 5 }))
  T.equal(band.exceeded, true)
  T.equal(band.margin < 0, true)
end)

-- A buzzer, a relay that breaks its own coil: its other contact is at 0 V or at 12 V.
T.case("what chatters counts with both ends, by every method, and keeps no limit", function()
  local buzzer = assert(strapline.parse([[
source   "E" { "top", "0", voltage = "12 V +-1 %" }
relay    "K" { ["30"] = "top", ["87"] = "out", ["87a"] = "coil", ["86"] = "coil", ["85"] = "0" }
resistor "L" { "out", "0", resistance = "10 ohm" }
reference "0"
]], "buzzer.lua"))
  for _, method in ipairs { "worst", "rss", "monte-carlo" } do
    local function of(limit)
      return assert(buzzer:band { red = "out", black = "0", limit = limit, method = method,
        samples = method == "monte-carlo" and 100 or nil })
    end
    local band = of(3)
    T.equal(band.verdict, "exceeded")
    T.equal(band.exceeded, true)
    T.equal(band.chatters, band.looked)
    T.near(math.abs(band.other - band.reading), 12, 0.01)
    band = of(20)
    T.equal(band.verdict, "no steady state")
    T.equal(band.exceeded, false)
    T.equal(band.low, 0.0)
    T.equal(of(nil).verdict, nil)
  end
end)

-- A battery loses less inside when warm, a cable more: the best lies between, where no corner is.
T.case("a limit that no corner proves is not called kept", function()
  local turning = assert(strapline.parse([[
battery "B" { "plus", "0", cca = "100 A +-10 %" }
cable   "C" { "plus", "load", length = "100 m", per_metre = "1.36 mohm/m" }
source  "J" { "0", "load", current = "10 A" }
reference "0"
temperature "25 C +-25 C"
]], "turning.lua"))
  local function verdict(asked)
    asked.red, asked.black = "load", "0"
    return assert(turning:band(asked)).verdict
  end
  T.equal(verdict { least = 3 }, "not proved")
  T.equal(verdict { least = 11 }, "exceeded")
  T.equal(verdict { least = 3, method = "monte-carlo", samples = 100 }, "kept")
end)

T.case("wrong questions", function()
  T.raises("swap the leads", circuit.band, circuit, { red = "0", black = "mid", limit = 1 })
  T.raises("limit \"5 A\" is a current", circuit.band, circuit, ask { limit = "5 A" })
  T.raises("method 'best' is not known", circuit.band, circuit, ask { method = "best" })
  T.raises("samples is 0", circuit.band, circuit, ask { samples = 0 })
  T.raises("threads is 1.5", circuit.band, circuit, ask { threads = 1.5 })
  T.raises("above the limit", circuit.band, circuit, ask { limit = 1, least = 2 })
  T.raises("has no node 'mdi' (did you mean 'mid'?)", circuit.band, circuit,
    { red = "mdi", black = "0" })
  T.raises("no part 'R9'", circuit.matters, circuit, { part = "R9" })
  T.raises("has no path 'core'", circuit.matters, circuit, { part = "R1", element = "core" })
  T.raises("not both", circuit.matters, circuit, { part = "R1", red = "mid" })
  T.raises("unknown field 'lead'", circuit.matters, circuit, ask { lead = 1 })
end)

T.case("a path of a part is named in any of three ways, in every question", function()
  local of = assert(strapline.parse [[
battery "B" { "+", "0", cca = "500 A" }
relay "K/1.a" { "+", "out", "+", "0" }
]])
  for _, mark in ipairs { ": ", ".", "/" } do
    local name = "K/1.a" .. mark .. "coil"
    T.equal(assert(of:matters { part = name }).element, "coil")
    T.equal(assert(of:band { part = name }).element, "coil")
    T.equal(assert(of:drops { load = name }).ends[1][1].element, "coil")
    T.equal(assert(of:read { amps = name }).element, "coil")
  end
  T.raises("has no part 'K 1: coil'", of.drops, of, { load = "K 1: coil" })
  T.raises("'K/1.a' has no path 'contact' (did you mean 'contacts'?)", of.matters, of,
    { part = "K/1.a: contact" })
end)

-- By hand: 10 mohm in series with R1, 12 * 1/3.01 - 4, and with R2, 12 * 1.01/3.01 - 4.
T.case("what matters to a divider", function()
  local found = assert(circuit:matters(ask()))
  T.near(found.reading, 4, 1e-12)
  local by = {}
  for _, row in ipairs(found.series) do by[row.part] = row end
  T.equal(found.series[1].part, "R2")
  T.near(by.R2.effect, 12 * 1.01 / 3.01 - 4, 1e-9)
  T.near(by.R1.effect, 12 / 3.01 - 4, 1e-9)
  T.equal(by.J, nil)
  T.equal(#found.fields, 3)
  for _, row in ipairs(found.fields) do by[row.part] = row end
  T.near(by.E.effect, 0.04, 1e-8)
  T.near(by.R2.effect, 0.01 * 8 / 3, 1e-7)
  T.near(by.R2.up, 0.5 * 8 / 3, 1e-7)
  local current = assert(circuit:matters { part = "R1", element = "body" })
  T.near(current.reading, 4, 1e-12)
  T.equal(current.quantity, "current")
end)

-- By hand, 12 V over R1 = 2 and R2 = 1 ohm: 1 % of E moves the 4 V by 40 mV and of R2 by 26.7 mV; but
-- R2 may be 10 % off, and E is exact.
T.case("what may be far off comes before what is exact and would do more at 1 %", function()
  local ordered = assert(strapline.parse([[
source "E" { "a", "0", voltage = "12 V" }
resistor "R1" { "a", "m", resistance = "2 ohm +-1 %" }
resistor "R2" { "m", "0", resistance = "1 ohm +-10 %" }
reference "0"
]], "order.lua"))
  local found, order = assert(ordered:matters { red = "m", black = "0" }), {}
  for index, row in ipairs(found.fields) do order[index] = row.part end
  T.equal(table.concat(order, " "), "R2 E R1")
  T.near(found.fields[1].up, 0.1 * 8 / 3, 1e-7)
  T.has(require("strapline.report_band").text.matters(ordered, found), "by what its spread does")
end)

T.case("what cannot be a spread", function()
  local function wrong(line, part)
    local made, message = strapline.parse(line .. '\nreference "0"\n', "bad.lua")
    T.equal(made, nil)
    T.has(message, "bad.lua:1: ")
    T.has(message, part)
  end
  local function resistor(value)
    return ('resistor "R" { "a", "0", resistance = "%s" }'):format(value)
  end
  wrong(resistor "2 ohm +-20 V", "has a spread that is a voltage")
  wrong(resistor "2 ohm +-x", 'has the spread "x"')
  wrong(resistor "2 ohm +-100 %", "100 % or more below its value")
  wrong(resistor "2 ohm +20 % -0.1 ohm", "a share on one side")
  wrong(resistor "+-20 %", "a spread without a value")
  wrong('temperature "20 C +-10 %" resistor "R" { "a", "0", resistance = 1 }', "write kelvins")
  wrong('switch "S" { "a", "0", position = "open +-5 %" }', "is not one of its choices")
  wrong('resistor "R" { "a", "0", resistance = 1 } fault "f" { "R: resistance = 2 ohm +-1 %" }',
    "a fault is exact")
end)

T.finish()

-- What a person notices, where it was once said wrongly or too often.
local T = dofile((arg[0]:match "^(.*/)" or "./") .. "harness.lua")
local strapline = require "strapline"

local function said(text, part, question)
  local circuit = assert(strapline.parse(text, "notices.lua"))
  return table.concat(assert(circuit:predict(question)).parts[part].notices, "; ")
end

T.case("a wire past its limit in hot air is overloaded, and only when it is overloaded", function()
  local short = [[
source "S" { "+", "-", voltage = "12 V" }
cable "C" { "+", "-", size = "0.75 mm2", length = "20 m" }
condition "warm" { temperature = "79 C" }
condition "hot" { temperature = "81 C" }
reference "-"
]]
  T.has(said(short, "C", { condition = "warm" }), "overloaded: insulation limit in")
  T.has(said(short, "C", { condition = "hot" }), "overloaded: insulation limit in 0 s")
  local easy = short:gsub('"%-", size', '"lamp", size') .. [[
resistor "L" { "lamp", "-", resistance = "20 ohm" }
]]
  T.equal(said(easy, "C", { condition = "hot" }), "")
end)

T.case("a heater that is switched off says nothing; one that is fed and cold does", function()
  local text = [[
source "S" { "+", "-", voltage = "12 V" }
switch "SW" { "+", "feed", position = "open" }
heater "H" { "feed", "-", power = "100 W" }
reference "-"
condition "off" {}
condition "on" { SW = "closed" }
]]
  T.equal(said(text, "H", { condition = "off" }), "")
  T.has(said(text, "H", { condition = "on" }), "heat")
  T.has(said(text, "H", { condition = "on", faults = { "H: open" } }), "does not heat")
end)

T.case("a lamp with only a lifted ground across it says nothing", function()
  local text = [[
source "S" { "+", "-", voltage = "0.5 V" }
lamp "L" { "+", "-", power = "21 W" }
reference "-"
]]
  T.equal(said(text, "L"), "")
  T.has(said(text:gsub("0.5 V", "12 V"), "L", { faults = { "L: open" } }), "lamp dark")
end)

T.case("a weak battery driven backwards by a good one is said to be", function()
  local text = [[
battery "A" { "+", "middle", cca = "600 A" }
battery "B" { "middle", "-", cca = "600 A", resistance = "200 mohm" }
resistor "L" { "+", "-", resistance = "100 mohm" }
reference "-"
]]
  T.has(said(text, "B"), "driven backwards by the others: -")
  T.equal(said(text, "A"):find("backwards", 1, true), nil)
end)

T.finish()

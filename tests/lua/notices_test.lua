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

T.case("what is switched on and gets no current says so, in a vehicle that is else silent", function()
  local text = [[
battery "B1" { "+", "-", cca = "600 A" }
fuse "F1" { "+", "feed", rating = "10 A" }
key_switch "KEY" { "feed", "on out", "accessory out", "start out" }
switch "LAMPS" { "on out", "lamp", position = "closed" }
lamp "L1" { "lamp", "-", power = "21 W" }
condition "off" {}
condition "on" { KEY = "on", LAMPS = "closed" }
condition "accessory" { KEY = "accessory" }
]]
  T.equal(said(text, "KEY", { condition = "off" }), "")
  T.equal(said(text, "LAMPS", { condition = "off" }), "") -- closed in the file: nobody's wish now
  T.equal(said(text, "KEY", { condition = "on" }), "")
  T.equal(said(text, "LAMPS", { condition = "on" }), "")
  T.equal(said(text, "KEY", { condition = "accessory" }),
    "accessory, and no current flows through it")
  local blown = { condition = "on", faults = { "F1: blown" } }
  T.equal(said(text, "KEY", blown), "on, and no current flows through it")
  T.equal(said(text, "LAMPS", blown), "closed, and no current flows through it")
  -- without conditions the file itself is how the vehicle is held
  local alone = text:gsub("condition [^\n]*\n", "")
  T.equal(said(alone, "LAMPS", { faults = { "F1: blown" } }),
    "closed, and no current flows through it")
end)

T.case("a microampere is a current", function()
  local text = [[
source "S" { "+", "-", voltage = "12 V" }
switch "SW" { "+", "a", position = "closed" }
resistor "R" { "a", "-", resistance = "%s Mohm" }
reference "-"
]]
  T.equal(said(text:format("11.9"), "SW"), "")
  T.equal(said(text:format("12.1"), "SW"), "closed, and no current flows through it")
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

T.case("what is no longer noticed is told by what stopped, with what was", function()
  local notice = require("strapline.report_faults").notice
  T.equal(notice { part = "M1", now = {}, was = { "cranks at 263 rpm" }, none = "does not turn" },
    "M1: does not turn (was: cranks at 263 rpm)")
  T.equal(notice { part = "M1", now = { "no click" }, was = { "cranks at 263 rpm" } },
    "M1: no click (was: cranks at 263 rpm)")
  T.equal(notice { part = "F1", now = { "blown" }, was = {} }, "F1: blown")
end)

T.case("what stops is dark, does not turn or does not heat; nothing is said of the rest", function()
  local words = require "strapline.notices"
  for kind, none in pairs {
    lamp = "lamp dark", led_lamp = "lamp dark", motor = "does not turn", starter = "does not turn",
    heater = "does not heat", glow_plug = "does not heat", relay = "released",
    joint = "nothing", battery = "nothing", module = "does not answer",
  } do
    T.equal(words.none(assert(strapline.kinds[kind], kind)), none, kind)
  end
  for kind, only in pairs { cable = true, joint = true, fuse = true, switch = true, relay = false,
    lamp = false, battery = false } do
    T.equal(words.only_leads(strapline.kinds[kind]), only, kind)
  end
end)

T.case("a module, a gauge and an input of sensors that have lost their fuse are told", function()
  local circuit = assert(require("strapline").parse [[
battery "B" { "+", "0", cca = "500 A" }
fuse "F" { "+", "feed", rating = "10 A" }
module "ECU" { "feed", "0", power = "12 W", position = "awake" }
gauge "FUEL" { "feed", "tank", "0" }
sender "TANK" { "tank", "0", travel = "50 %" }
]])
  local report_text = require "strapline.report_text"
  local good = assert(circuit:predict())
  local found = assert(circuit:predict { faults = { "F: blown" } })
  local text = table.concat(report_text.notices(circuit, found, "noticed", good), "\n")
  T.has(text, "ECU   does not answer (good: answers)")
  T.has(text, "FUEL  the pointer does not move (good: reads 50 % of its scale)")
  local blown = assert(circuit:survey { faults = { "F: blown" } }):findings()()
  T.equal(blown.notices[1].part, "ECU")
  T.equal(require("strapline.report_faults").notice(blown.notices[1]),
    "ECU: does not answer (was: answers)")
end)

T.case("how often something chatters, fast and slow", function()
  local rate = require("strapline.notices").rate
  T.equal(rate(0), "without end")
  T.equal(rate(0.01), "about 100 times a second")
  T.equal(rate(0.2), "about 5 times a second")
  T.equal(rate(15), "about once in 15 s")
end)

T.finish()

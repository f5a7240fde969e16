-- Pairs of faults by part: which hide each other, and which show only together.
local here = arg[0]:match "^(.*/)" or "./"
local T = dofile(here .. "harness.lua")
local strapline = require "strapline"
local pair_summary = require "strapline.pair_summary"

local function text(list)
  local texts = {}
  for index, entry in ipairs(list) do
    texts[index] = ("%s+%s %d"):format(entry.parts[1], entry.parts[2], entry.count)
  end
  return table.concat(texts, ", ")
end

-- Two straps home, each enough for the lamp: one lost shows nothing, both lost leave it dark.
T.case("a strap that hides the loss of another shows only together with it", function()
  local circuit = assert(strapline.parse([[
battery "B1" { "+", "-", cca = "600 A" }
joint   "G1" { "frame", "-", resistance = "1 mohm" }
joint   "G2" { "frame", "-", resistance = "1 mohm" }
lamp    "L1" { "+", "frame", power = "21 W" }
]], "straps.lua"))
  local survey = assert(circuit:survey { pairs = true, parts = { "G1", "G2" } })
  local summary = pair_summary.new(0.1)
  for found in survey:whole() do summary:add(found) end
  local result = summary:close()
  T.has(text(result.together), "G1+G2")
  T.equal(#result.silent, 0)
  T.has(result.together[1].example, "G1: ")
  local report = require("strapline.report_faults").text(
    assert(circuit:survey { pairs = true, parts = { "G1", "G2" } }), { "rest" }, 12, true)
  T.has(report, "Only together: neither fault shows anything alone, both at once do")
  T.has(report, "G1 and G2: ")
end)

-- 60 mV here and 60 mV there make 120 mV: that is no more than their sum.
T.case("two that merely add up show nothing together", function()
  local circuit = assert(strapline.parse([[
source   "E"  { "+", "-", voltage = "12 V" }
joint    "G1" { "case", "middle", resistance = "1 mohm" }
joint    "G2" { "middle", "-", resistance = "1 mohm" }
resistor "L1" { "+", "case", resistance = "6 ohm" }
reference "-"
fault "one" { "G1: +30 mohm" }
fault "two" { "G2: +30 mohm" }
]], "sum.lua"))
  local survey = assert(circuit:survey { pairs = true, faults = { "one", "two" },
    readings = { "case,-" } })
  local summary = pair_summary.new(0.1)
  for found in survey:whole() do
    for index, of in ipairs(found.of) do of.part = "G" .. index end -- named faults tell no part
    summary:add(found)
  end
  T.equal(#summary:close().together, 0)
end)

--- A finding as a survey gives it: faults "PART: open" of some parts, and what shows.
local function finding(parts, shows)
  local of, faults = {}, {}
  for index, part in ipairs(parts) do
    of[index], faults[index] = { part = part }, part .. ": open"
  end
  return { condition = "rest", of = of, faults = faults, notices = {}, best = shows.best,
    alone = shows.alone, load_only = shows.load_only or false }
end

T.case("a fault that hides another is told from one that hides it from a meter alone", function()
  local summary = pair_summary.new(0.1)
  summary:add(finding({ "A" }, { best = {}, alone = {} }))
  summary:add(finding({ "B" }, {}))
  summary:add(finding({ "C" }, { best = {}, load_only = true }))
  summary:add(finding({ "A", "B" }, {}))
  summary:add(finding({ "A", "C" }, { best = {}, load_only = true }))
  summary:add(finding({ "B", "C" }, { best = {}, load_only = true }))
  summary:add(finding({ "A", "A" }, {})) -- of one part: no pair
  summary:add(finding({ "A", "nobody" }, {})) -- its other fault is not known alone
  local result = summary:close()
  T.equal(text(result.silent), "A+B 1")
  T.equal(text(result.meter), "A+C 1")
  T.equal(text(result.together), "")
  T.equal(result.pairs, 3)
  T.equal(result.marked_pairs, 2)
  T.equal(result.marked[1].part, "C")
  T.equal(result.marked[1].count, 2)
end)

T.finish()

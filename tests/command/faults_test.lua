-- strapline faults: what is shown of each fault, in each format; figures by hand.
local P = dofile((arg[0]:match "^(.*/)" or "./") .. "program.lua")
local J = dofile((arg[0]:match "^(.*/)" or "./") .. "json_reader.lua")
local T = P.T

-- 12 V through 1 ohm and back through 1 ohm into 4 ohm. +0.1 ohm in the ground (the middle of 1 mohm
-- to 10 ohm): 12 V over 6.1 ohm.
local text = [[
source   "E"      { "e", "minus", voltage = "12 V" }
joint    "feed"   { "e", "a", resistance = "1 ohm" }
resistor "load"   { "a", "b", resistance = "4 ohm" }
joint    "ground" { "b", "minus", resistance = "1 ohm" }
joint    "spare"  { "a", "nothing", resistance = "1 ohm" }
reference "minus"
]]
local file = P.file(text)

T.case("a poor joint looks good to a meter alone", function()
  local out = P.good("faults", file, "--part", "ground", "--change", "0.05")
  T.has(out, "** LOOKS GOOD TO A METER ALONE, bad under load (2)") -- an open one is found
  -- b: 2 V when good, 12 * 1.1 / 6.1 = 2.164 V
  T.has(out, "ground: corroded = 0.1 ohm   [rest]\n"
    .. '    loaded  "b" to "minus": 2.164 V, good 2.000 V; meter alone 0 V\n'
    .. '            "a" to "b": 7.869 V, good 8.000 V; meter alone 12.00 V')
end)

T.case("what a meter alone finds, what is inside a load, what nothing shows", function()
  local out = P.good("faults", file)
  T.has(out, "A meter alone finds these too")
  T.has(out, '  feed: open   [rest]\n    loaded  "e" to "a": 12.00 V, good 2.000 V')
  T.has(out, "Inside a load: without it everything reads good")
  T.has(out, "load: added resistance = 1 ohm")
  T.has(out, "Nothing shows these in the conditions looked at (4)\n"
    .. "  feed: loose = 0.0316 ohm; ground: loose = 0.0316 ohm; spare: corroded = 0.1 ohm, loose")
  T.has(out, "measure before")
end)

T.case("rows are left out, and it is said", function()
  local out = P.good("faults", file, "--rows", "1", "--severities", "4", "--change", "0.05")
  T.has(out, "--rows all shows them")
  local all = P.good("faults", file, "--rows", "all", "--severities", "4", "--change", "0.05")
  assert(not all:find "--rows all")
  assert(#all > #out)
end)

T.case("CSV and JSON say the same", function()
  local csv = P.good("faults", file, "--format", "csv", "--part", "ground")
  local lines = {}
  for line in csv:gmatch "[^\n]+" do lines[#lines + 1] = line end
  T.equal(#lines, 4)
  T.has(lines[2], "rest,ground: corroded = 0.1 ohm,ok,settled,1,true,b,minus,2,2.16393442")
  local list = J.read(P.good("faults", file, "--format", "json", "--part", "ground"))
  T.equal(#list, 3)
  T.near(list[1].now, 12 * 1.1 / 6.1, 1e-14)
  T.equal(list[1].load_only, true)
  T.equal(list[1].faults[1], "ground: corroded = 0.1 ohm")
  T.equal(list[1].alone_red, J.null)
end)

T.case("given leads, pairs, shorts, threads", function()
  local out = P.good("faults", file, "--reading", "a,b", "--reading", "e", "--rows", "all")
  assert(not out:find '"b" to', 1)
  T.has(out, '"a" to "b"')
  local one = P.good("faults", file, "--pairs", "--shorts", "--format", "csv")
  T.equal(P.good("faults", file, "--pairs", "--shorts", "--format", "csv", "--threads", "3"), one)
  T.has(one, "feed: open; ground: open")
  T.has(one, '""a"" leaks to ""minus"" over 10.00 mohm')
  T.has(P.good("faults", file, "--pairs"), "--format csv lists them")
end)

-- Columns of MIL-STD-1629A, task 101, from memory. As many rows as there are modes: 1 of the source,
-- 3 of each joint, 2 of the resistor; nodes: 5, each shorted to every one of the two but itself.
T.case("the failure table has a row for every mode of every part", function()
  local csv = P.good("faults", file, "--table", "--format", "csv")
  local rows = {}
  for line in csv:gmatch "[^\n]+" do rows[#rows + 1] = line end
  T.equal(#rows, 1 + 1 + 3 * 3 + 2)
  T.equal(rows[1], "item,mode,condition,local_effect,system_effect,loaded,alone")
  T.has(csv, 'ground,corroded = 0.1 ohm,rest')
  T.has(csv, "looks good")
  local list = J.read(P.good("faults", file, "--table", "--shorts", "--format", "json"))
  T.equal(#list, 12 + 4 + 3)
  local text_table = P.good("faults", file, "--table")
  T.has(text_table, "failure table, 12 failures")
  T.has(text_table, "\nspare\n  corroded = 0.1 ohm   [rest]   nothing shows it")
  P.bad("single failures", "faults", file, "--table", "--pairs")
end)

T.case("the leads across the culprit come first, though others change more", function()
  -- 0.1 ohm lets too little through to pull the starter in: nothing reaches its motor, whichever
  -- joint of the path it is in
  local path = P.file [[
source "E"     { "e", "minus", voltage = "12 V" }
joint  "plus"  { "e", "a", type = "post" }
joint  "minus" { "b", "minus", type = "post" }
starter "M1"   { B = "a", case = "b", S = "s", cranking_current = "180 A" }
switch "key"   { "a", "s", position = "closed" }
reference "minus"
]]
  local out = P.good("faults", path, "--part", "plus", "--part", "minus")
  T.has(out, 'plus: corroded = 0.1 ohm   [rest]\n    loaded  "e" to "a": ')
  T.has(out, 'minus: corroded = 0.1 ohm   [rest]\n    loaded  "b" to "minus": ')
  local _, second = out:gsub('\n            "M1.M" to "b": ', "")
  assert(second >= 2) -- the leads of the load stay
  os.remove(path)
end)

-- A blown fuse cannot be told while the switch is off: with the lamp in, a lead on it floats.
T.case("what a meter alone finds in one condition looks good to it in none", function()
  local fused = P.file [[
battery "B1" { "plus", "minus", cca = "500 A" }
switch "key" { "plus", "run" }
fuse "F1" { "run", "f1", rating = "10 A" }
lamp "L1" { "f1", "minus", power = "21 W" }
condition "rest" {}
condition "on" { key = "closed" }
]]
  local out = P.good("faults", fused, "--part", "F1")
  local good, bad = out:match "LOOKS GOOD TO A METER ALONE(.-)\nA meter alone finds these too(.*)"
  T.equal(good:find("blown", 1, true), nil)
  local on = assert(bad:find("F1: blown   [on]", 1, true))
  assert(on < bad:find("F1: blown   [rest]", 1, true))
  T.has(bad, "L1: lamp dark (was: lamp at ")
  T.has(P.good("faults", fused, "--table"), "  blown   [on]\n")
  T.equal(J.read(P.good("faults", fused, "--part", "F1", "--format", "json",
    "--condition", "rest"))[2].load_only, false)
  os.remove(fused)
end)

T.case("a chatter is one finding, and is what is noticed", function()
  local loose = P.file [[
battery "B1" { "plus", "minus", cca = "500 A" }
joint "post" { "plus", "lug", type = "post" }
starter "M1" { B = "lug", case = "minus", S = "s" }
switch "key" { "lug", "s", position = "closed" }
]]
  local said = "M1: chatters: rapid clicking, the engine does not turn"
  local out = P.good("faults", loose, "--part", "post")
  T.has(out, "bad under load (2)") -- corroded, loose
  T.has(out, "post: loose = 0.0316 ohm   [rest], chatters")
  T.has(out:gsub("%s+", " "), said .. " (was: cranks at ")
  local notices = P.good("faults", loose, "--part", "post", "--table")
  T.has(notices:gsub("%s+", " "), "system " .. said)
  T.equal(notices:find("nothing (was", 1, true), nil)
  T.has(notices, "M1: does not turn (was: cranks at ") -- post: open
  local _, both = P.good("faults", loose, "--part", "post", "--format", "csv"):gsub(said, "")
  T.equal(both, 2) -- each end is a row
  os.remove(loose)
end)

T.case("loads are noticed before what gets warm, and what burns at once before them", function()
  local geared = P.file [[
battery "B1" { "plus", "minus", cca = "480 A" }
joint "post" { "plus", "lug", type = "post" }
starter "M1" { B = "lug", case = "case", S = "s", cranking_current = "170 A" }
strap "strap" { "case", "minus", size = "25 mm2", length = "0.5 m", material = "tinned copper" }
switch "key" { "lug", "k", position = "closed" }
cable "wire" { "k", "s", size = "2.5 mm2", length = "2 m" }
]]
  local function notices(part, fault)
    for _, row in ipairs(J.read(P.good("faults", geared, "--part", part, "--format", "json"))) do
      if row.faults[1] == fault then return row.notices[1], table.concat(row.notices, "; ") end
    end
  end
  -- 60 A in the wire of the solenoid for minutes, and no click now
  local first, all = notices("post", "post: corroded = 0.1 ohm")
  T.has(all, "wire: overloaded: insulation limit in")
  T.has(first, "M1: no click")
  -- the whole current of a motor that stands still in the bare strap
  first, all = notices("M1", "M1: seized engine")
  T.has(all, "M1: one click")
  T.has(first, "strap: overloaded: chars what it touches in")
  os.remove(geared)
end)

T.case("what is wrong is refused", function()
  P.bad("--severities 0", "faults", file, "--severities", "0")
  P.bad("--threads 65", "faults", file, "--threads", "65")
  P.bad("--rows many", "faults", file, "--rows", "many")
  P.bad("above 0 V", "faults", file, "--change", "0 V")
  P.bad('"3 ohm"', "faults", file, "--change", "3 ohm")
  P.bad("did you mean 'ground'", "faults", file, "--part", "grund")
  P.bad("has no condition", "faults", file, "--condition", "crank")
  P.bad("has no node", "faults", file, "--reading", "a,c")
  P.bad("both leads", "faults", file, "--reading", "minus")
  P.bad("CIRCUIT is missing", "faults")
end)

-- 600,000 pairs take minutes.
T.case("Ctrl-C stops: what is done is reported", function()
  local top = (os.getenv "STRAPLINE_CIRCUITS" or "circuits") .. "/brindle_9.lua"
  local code, out, err = P.interrupted("faults", top, "--pairs")
  T.equal(code, 130)
  local done = out:match "cases, stopped after (%d+): the rest"
  T.has(err:gsub("%s+", " "), ("stopped after %s of "):format(done))
end)

os.remove(file)
T.finish()

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

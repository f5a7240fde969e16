-- strapline matters and band.
local here = arg[0]:match "^(.*/)" or "./"
local program = dofile(here .. "program.lua")
local json = dofile(here .. "json_reader.lua")
local T = program.T

local path = program.file(program.vehicle)
local leads = { "--red=engine", "--black=B1 -", "--condition=crank" }

local function run(verb, ...)
  local words = { verb, path, table.unpack(leads) }
  for _, word in ipairs { ... } do words[#words + 1] = word end
  return table.unpack(words)
end

T.case("matters as text", function()
  local text = program.good(run "matters")
  T.has(text, 'Wicken 410: condition "crank", 0 C\n')
  T.has(text, 'red lead on "engine", black lead on "B1 -"')
  T.has(text, "10 mohm more in one place")
  T.has(text, "\n  G1 ")
  T.has(text, "A value a little off")
  T.has(text, "Take care")
end)

-- The current of L1 goes through G1; L2 has both ends loose, so nothing of it counts.
T.case("what changes nothing is counted, not listed", function()
  local text = program.good("band", path, "--red=engine", "--black=B1 -", "--condition=lamp on")
  T.has(text, "\n  G1 ")
  assert(not text:find("\n  L2 ", 1, true) and not text:find("%s0 V  +0 V%s"), text)
  local all = tonumber(text:match "What varies %((%d+) values%)")
  local _, listed = text:gsub("usual\n", "")
  T.equal(tonumber(text:match "%.%.%. and (%d+) that change nothing here") + listed, all)
end)

T.case("matters as CSV and JSON", function()
  local text = program.good(run("matters", "--format=csv"))
  T.has(text, "circuit,condition,faults,red,black,part,path,row,of,what,value,slope,change,effect")
  T.has(text, "Wicken 410,crank,,engine,B1 -,,,series,G1,core,,")
  local report = json.read(program.good(run("matters", "--format=json")))
  T.equal(table.concat(report.keys, " "), "red black part path condition reading series fields")
end)

T.case("a current", function()
  T.has(program.good("matters", path, "--current=M1", "--condition=crank"),
    'current of "M1", into its first terminal')
  T.has(program.good("band", path, "--current=M1/motor", "--condition=crank"),
    'current of "M1", its motor')
end)

T.case("a band by each method", function()
  T.has(program.good(run "band"), "every part at its bad end at once")
  T.has(program.good(run("band", "--method=rss")), "root sum square")
  local text = program.good(run("band", "--method=monte-carlo", "--samples=500", "--seed=3"))
  T.has(text, "samples     500, uniform between the ends, seed 3")
  T.equal(text, program.good(run("band", "--method=monte-carlo", "--samples=500", "--seed=3",
    "--threads=2")))
  T.has(program.good(run("band", "--given-only")), "Nothing varies")
end)

T.case("a limit that is kept and one that is not", function()
  T.has(program.good(run("band", "--limit=5V")), "kept, with a margin of")
  local code, out, err = program.run(run("band", "--limit=0.01V"))
  T.equal(code, 1)
  T.has(out, "exceeded by")
  T.equal(err, "")
  code, out = program.run(run("band", "--limit=0.01V", "--method=monte-carlo", "--samples=300"))
  T.equal(code, 1)
  T.has(out, "300 of 300 samples, 100 %")
end)

T.case("bands as CSV and JSON", function()
  T.has(program.good(run("band", "--format=csv")), ",figure,low,,")
  local report = json.read(program.good(run("band", "--format=json", "--limit=5V")))
  T.equal(report.method, "worst")
  T.equal(report.exceeded, false)
  T.equal(report.limit, 5)
  T.equal(report.low < report.reading and report.reading < report.high, true)
end)

-- A relay behind a resistor of 32 to 48 ohm on 12 V: pulled in below 42.5.
T.case("a relay that does not always pull in is told", function()
  local file = program.file [[
source   "E" { "top", "0", voltage = "12 V" }
resistor "R" { "top", "coil", resistance = "40 ohm +-20 %" }
relay    "K" { ["30"] = "top", ["87"] = "out", ["86"] = "coil", ["85"] = "0" }
resistor "L" { "out", "0", resistance = "10 ohm +-0 %" }
reference "0"
]]
  T.has(program.good("band", file, "--red=out", "--black=0"), "K is released instead of pulled in")
  T.has(program.good("band", file, "--red=out", "--black=0", "--method=monte-carlo"),
    "K is released in 3")
  os.remove(file)
end)

-- A battery at a tenth of its capacity lets the solenoid go as soon as the motor draws.
T.case("a starter that chatters is no pass", function()
  local file = program.file [[
battery "B1" { "B+", "B-", cca = "500 A", health = "10 % +-1 %" }
starter "M1" { B = "B+", case = "B-", S = "s" }
switch "key" { "B+", "s", position = "closed" }
]]
  local function ask(...)
    return program.run("band", file, "--red=B+", "--black=B-", ...)
  end
  local sampled = { "--method=monte-carlo", "--samples=500" }
  local code, out = ask("--least=8V", table.unpack(sampled))
  T.equal(code, 1)
  local chatter = tonumber(out:match("! no steady state in (%d+) of 500 samples, %d+ %%: "
    .. "something chatters; both ends are counted"))
  T.equal(tonumber(out:match "fails       (%d+) of 500") >= chatter, true)
  T.equal(chatter > 250, true)
  T.has(out, "V; 961.1 mV at the other end of its chatter")
  T.has(out, "! M1 chatters in ")
  local _, again = ask("--least=8V", "--threads=2", table.unpack(sampled))
  T.equal(again, out)
  code, out = ask "--least=8V"
  T.equal(code, 1)
  T.has(out, "! no steady state in ")
  T.has(out, "exceeded by 7.")
  code, out = ask "--least=0.1V"
  T.equal(code, 1)
  T.has(out, "at least 100.0 mV: no steady state: see the notes (margin at both ends: ")
  code, out = ask("--least=0.1V", "--format=csv")
  T.equal(code, 1)
  T.has(out, ",verdict,limit,no steady state,")
  code, out = ask("--least=0.1V", "--format=json", table.unpack(sampled))
  T.equal(code, 1)
  T.equal(json.read(out).verdict, "no steady state")
  T.equal((ask()), 0)
  os.remove(file)
end)

T.case("a limit that no corner proves: said, and no failure", function()
  local file = program.file [[
battery "B" { "plus", "0", cca = "100 A +-10 %" }
cable   "C" { "plus", "load", length = "100 m", per_metre = "1.36 mohm/m" }
source  "J" { "0", "load", current = "10 A" }
temperature "25 C +-25 C"
]]
  local function ask(...)
    return program.good("band", file, "--red=load", "--black=0", "--least=3V", ...)
  end
  T.has(ask(), "at least 3.000 V: not proved: see the notes (margin where looked: ")
  T.has(ask "--format=csv", ",verdict,limit,not proved,")
  T.equal(json.read(ask "--format=json").verdict, "not proved")
  T.has(ask("--method=monte-carlo", "--samples=300"), "at least 3.000 V: kept, with a margin of")
  os.remove(file)
end)

-- A thousand million samples would take minutes.
T.case("Ctrl-C says what is done", function()
  local code, out, err = program.interrupted(run("band", "--method=monte-carlo",
    "--samples=1000000000"))
  T.equal(code, 130)
  local done = tonumber(out:match "samples     (%d+) of 1000000000: stopped")
  T.has(err, ("strapline: stopped after %d of 1000000000 samples\n"):format(done))
end)

T.case("what cannot be asked", function()
  program.bad("say what is read", "band", path)
  program.bad("not both", "matters", path, "--red=engine", "--current=M1")
  program.bad("has no node 'engin'", "band", path, "--red=engin", "--black=B1 -")
  program.bad("samples is \"many\", not a number", run("band", "--samples=many"))
  program.bad("limit \"2 ohm\" is a resistance", run("band", "--limit=2 ohm"))
  program.bad("--method 'best' is not known", run("band", "--method=best"))
  program.bad("nothing joins", "matters", path, "--red=loose a", "--black=engine")
end)

os.remove(path)
T.finish()

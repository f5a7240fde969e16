-- strapline drops, explain, size: the formats, exit codes, and what is printed where.
local here = arg[0]:match "^(.*/)" or "./"
local program = dofile(here .. "program.lua")
local json = dofile(here .. "json_reader.lua")
local T = program.T

local top = (os.getenv "STRAPLINE_CIRCUITS" or here .. "../../circuits") .. "/"
local bike, boat, sweeper = top .. "wicken_410.lua", top .. "tern_skerry_28.lua",
  top .. "brindle_9.lua"

--- Runs, and wants exit code 1, a report, and nothing on standard error.
local function exceeded(...)
  local code, out, err = program.run(...)
  T.equal(code, 1)
  T.equal(err, "")
  assert(out ~= "")
  return out
end

local function line_with(text, part)
  for line in text:gmatch "[^\n]+" do
    if line:find(part, 1, true) then return line end
  end
  error("no line has " .. part)
end

T.case("a good circuit: exit code 0, both leads, current, drop, limit with its source", function()
  local text = program.good("drops", bike, "--condition", "crank")
  local line = line_with(text, "starter cable")
  T.has(line, "relay output lug")
  T.has(line, "starter lug")
  T.has(line, " A ")
  T.has(line, "ok")
  T.has(text, "set shop")
  T.has(text, "US Army TM 5-3820-256-24-4")
  T.has(text, "published, verified")
  T.has(text, "15 s at most")
  T.has(text, "per 100 A")
end)

T.case("a bad place: exit code 1, and what it may mean", function()
  local text = exceeded("drops", bike, "--condition", "key on", "--load", "low beam", "--fault",
    "fuse clip 40 mohm")
  T.has(line_with(text, "fuse clip  "), "bad")
  T.has(text, "What is bad may mean\n    - fuse clip: dirty, painted, corroded or loose")
  T.has(text, "OVER THE LIMIT: fuse clip")
end)

T.case("a wire is no load", function()
  program.bad("'engine strap' is a strap", "drops", bike, "--load", "engine strap")
end)

T.case("no current during a drop test is not good", function()
  local text = exceeded("drops", bike, "--condition", "crank", "--fault", "open main ground")
  T.has(text, "No current through the load: where none flows")
  T.has(text, "The path stops at ground cable")
  T.has(text, "cannot judge")
  assert(not text:find("  ok  ", 1, true))
end)

T.case("the set that was chosen, and the standing of each of its limits", function()
  local text = exceeded("drops", bike, "--condition", "crank", "--limits", "j541-light")
  T.has(text, "set j541-light")
  T.has(text, "text of the standard not seen")
  local list = program.good("drops", "--limits", "list")
  for _, part in ipairs { "shop (when none is named)", "attributed to SAE, not found",
    "published, from memory", "common practice, no source", "abyc-3" } do T.has(list, part) end
  T.equal(#json.read(program.good("drops", "--limits", "list", "--format", "json")).limits,
    select(2, program.good("drops", "--limits", "list", "--format", "csv"):gsub("\n", "")) - 1)
  program.bad("there is no set of limits 'j541'", "drops", bike, "--limits", "j541")
  program.bad("CIRCUIT is missing", "drops")
end)

T.case("a set without a limit for anything there says that nothing was judged", function()
  local code, out, err = program.run("drops", bike, "--condition", "crank", "--limits", "practice",
    "--load", "starter: motor")
  T.equal(code, 0)
  T.has(out, "NOTHING WAS JUDGED: set practice has no limit")
  T.has(err, "nothing was judged: set practice has no limit")
  T.equal(json.read(select(2, program.run("drops", bike, "--condition", "crank", "--limits",
    "practice", "--load", "starter: motor", "--format", "json"))).judged, false)
  program.bad("which has no use for the current", "drops", bike, "--load", "KEY")
  T.has(select(2, program.run("drops", bike, "--condition", "crank", "--load",
    "starter relay: coil")), "starter relay: coil: ")
end)

T.case("a hidden way back that is lost is told in text, CSV and JSON", function()
  local function ask(...)
    local code, out = program.run("drops", boat, "--condition", "crank port", "--fault",
      "tie corroded", ...)
    T.equal(code, 1)
    return out
  end
  T.has(ask(), "LOST ITS SHARE: tie port nut\n")
  local report, csv = json.read(ask("--format", "json")), ask("--format", "csv")
  T.equal(report.blamed[1].lost[1], "tie port nut")
  local lost = report.ends[1][1].lost[1]
  T.equal(lost.part, "tie port nut")
  T.has(csv, "lost its share,port engine block,,tie port nut,,connection,,"
    .. ("%.17g"):format(lost.current))
end)

T.case("what stands open by itself is told in text, CSV and JSON", function()
  local function ask(...)
    return select(2, program.run("drops", bike, "--condition", "crank", "--fault",
      "starter relay: coil open", "--load", "starter: motor", ...))
  end
  T.has(ask(), "starter relay: contacts (not pulled in)")
  local report, csv = json.read(ask("--format", "json")), ask("--format", "csv")
  local blamed = report.blamed[1]
  T.equal(#blamed.moved + #blamed.own > 0, true)
  local moved
  for _, step in ipairs(report.ends[1][1].steps) do
    if step.moved then moved = step end
  end
  T.equal(moved.stop, "moved")
  T.has(csv, ",true,moved,")
end)

T.case("with every load off it says which conditions there are", function()
  T.has(program.good("drops", bike), "the file has:\n  rest, key on, crank, running lights.")
end)

T.case("a sneak path is named", function()
  local text = exceeded("drops", top .. "quillon_parcel_3.lua", "--condition", "brake held",
    "--fault", "left cluster ground open", "--load", "left brake lamp")
  T.has(text, 'The path stops at left ground screw: open between "left cluster ground" and "box"')
  T.has(text, "the current parts: left ground screw 0 %, beside it left rear turn")
  T.has(text, "a way through a load is a sneak path")
end)

T.case("a battery on charge is no source of its own current", function()
  T.has(exceeded("drops", top .. "mulebeck_5.lua", "--condition", "winching"),
    "\nmain battery (being charged): ")
end)

T.case("a chattering circuit shows both ends", function()
  local text = exceeded("drops", bike, "--condition", "crank", "--fault",
    "corroded frame ground")
  T.has(text, "First end of it: starter relay released")
  T.has(text, "Second end of it: starter relay pulled in")
  local explained = program.good("explain", bike, "--condition", "crank", "--fault",
    "corroded frame ground", "--red", "engine block", "--black", "battery - post")
  T.has(explained, "Second end of it")
end)

T.case("drops as CSV and JSON have the same figures", function()
  local function ask(format)
    return program.good("drops", bike, "--condition", "key on", "--load", "low beam", "--format",
      format)
  end
  local report, csv = json.read(ask "json"), ask "csv"
  T.equal(report.bad, false)
  local path = report.ends[1][1]
  T.equal(path.load, "low beam")
  for _, step in ipairs(path.steps) do
    T.has(csv, ("%s,%s,%s,"):format(step.side, step.red, step.black))
    T.has(csv, ("%.17g"):format(step.judged.drop))
  end
  T.equal(path.feed.source, "trade")
end)

T.case("explain as CSV and JSON have the same figures", function()
  local function ask(format)
    return program.good("explain", bike, "--condition", "key on", "--red", "frame", "--black",
      "battery - post", "--format", format)
  end
  local report, csv = json.read(ask "json"), ask "csv"
  for _, step in ipairs(report.ends[1].steps) do T.has(csv, ("%.17g"):format(step.drop)) end
end)

T.case("explain says what is lost where, and how the good circuit compares", function()
  local text = program.good("explain", bike, "--red", "low beam feed", "--black", "headlamp ground",
    "--condition", "key on", "--fault", "fuse clip 40 mohm")
  T.has(text, "The reading: ")
  T.has(text, "lost inside it")
  T.has(text, "this is lower by")
  T.has(line_with(text, "fuse clip  "), "relay input stud")
  program.bad("say where both leads are", "explain", bike, "--red", "frame")
  program.bad("has no node 'fram'", "explain", bike, "--red", "fram", "--black", "frame")
end)

-- By hand: 2 mohm beside 6 mohm, 3 to 1, and a tell-tale beside both that takes under 2 %.
local beside = program.file [[
reference "minus"
battery  "B" { "plus", "minus", cca = "600 A" }
fuse     "F" { "plus", "feed", rating = "40 A" }
resistor "R" { "feed", "engine", resistance = "0.5 ohm" }
joint    "G1" { "engine", "minus", resistance = "2 mohm" }
joint    "G2" { "engine", "minus", resistance = "6 mohm" }
resistor "leak" { "engine", "minus", resistance = "0.2 ohm" }
lamp     "L" { "plus", "minus", power = "5 W" }
]]

T.case("drops says first that nothing is over its limit, where all could be judged", function()
  T.has(program.good("drops", bike, "--condition=crank"), "\n\nNOTHING OVER ITS LIMIT: 19 places")
  for _, fault in ipairs { "corroded frame ground", "fuse clip 40 mohm" } do
    local _, out = program.run("drops", bike, "--condition=crank", "--fault", fault)
    T.has(out, "frame ground")
    T.equal(out:find("NOTHING OVER", 1, true), nil)
  end
  T.has(program.good("drops", beside, "--load=R"), "\n\nNOTHING OVER ITS LIMIT: ")
  local little = program.good("drops", beside, "--load=R", "--fault=R: resistance = 50 ohm")
  T.has(little, "where little flows")
  T.equal(little:find("NOTHING OVER", 1, true), nil)
end)

T.case("explain tells the division of the current between the leads", function()
  local text = program.good("explain", beside, "--red=feed", "--black=minus")
  T.has(text, '  At "engine" the current parts: G1 74 %, beside it G2 25 % (')
  T.equal(text:find("leak", 1, true), nil)
  text = program.good("explain", beside, "--red=feed", "--black=minus", "--fault=G2: open")
  T.has(text, "G1 99 %, beside it leak 1.0 % (")
end)

T.case("a place loses more with the leads either way round, and is told once", function()
  for _, leads in ipairs { { "battery - post", "engine block" }, { "engine block", "battery - post" } } do
    local text = program.good("explain", bike, "--red", leads[1], "--black", leads[2],
      "--condition", "crank", "--fault", "corroded frame ground")
    T.has(text, "\nAgainst the good circuit frame ground loses 636.2 mV more, ground cable "
      .. "loses 61.58 mV less,\n")
  end
end)

T.case("explain across an open place is that place alone, with another load on", function()
  local text = program.good("explain", beside, "--red=plus", "--black=feed", "--fault=F: blown")
  T.has(text, "\nAgainst the good circuit F loses ")
  T.has(text, " V more\n")
  T.equal(text:find("less", 1, true), nil)
  T.equal(select(2, text:gsub("\n  plus  ", "")), 1)
  T.has(text, "Between the leads\n  from    to    over  current")
  T.has(text, "After the black lead\n  from    to      over  current")
  T.has(line_with(text, "feed    engine"), "R ")
end)

os.remove(beside)

T.case("size: the smallest that will do, and why each smaller one fails", function()
  local text = program.good("size", boat, "bilge feed", "--condition", "bilge pumping", "--drop",
    "3 %")
  T.has(text, "Smallest that will do: 6 mm2; 10 AWG")
  T.has(line_with(text, "  4 mm2"), "no: drop")
  T.has(text, "no: drop: it loses too much")
  T.has(text, "Never fit a larger fuse")
  text = exceeded("size", sweeper, "camera feed", "--condition", "working", "--drop", "3 %",
    "--fault", "camera fuse: rating = 25 A")
  T.has(text, "None of the listed sizes will do")
  T.has(line_with(text, "now: 0.75 mm2"), "no: drop, fuse, short")
  T.has(text:gsub("%s+", " "), "short: a short at its far end may not open the fuse")
  program.bad("drop = \"much\"", "size", boat, "bilge feed", "--drop", "much")
  program.bad("no load's current goes through it", "size", boat, "bilge feed", "--condition",
    "rest", "--drop", "3 %")
  program.bad("it has current in: bilge pumping", "size", boat, "bilge feed", "--condition", "rest")
  program.bad("ask with --condition 'bilge pumping', or condition = \"bilge pumping\" from Lua",
    "size", boat, "bilge feed")
  program.bad("PART is missing", "size", boat)
  local van = program.file [[
reference "minus"
battery  "B" { "plus", "minus", cca = "600 A" }
resistor "R" { "plus", "engine", resistance = "0.5 ohm" }
joint    "G1" { "engine", "minus", resistance = "1 mohm" }
cable    "sheath" { "engine", "minus", size = "2 mm2", length = "1 m", material = "steel" }
]]
  program.bad(("strapline size: %s: sheath: it carries "):format(van), "size", van, "sheath")
  program.bad("of every load's current takes another way, by G1, and a size is found for the way of "
    .. "most; to size it for when that way is lost, ask with --fault 'G1: open'", "size", van,
    "sheath", "--drop=3 %")
  T.has(select(2, program.run("size", van, "sheath", "--drop=3 %", "--fault=G1: open")),
    "sheath (cable), 1 m, on the ground side of R")
  os.remove(van)
  program.bad("say how much may be lost; such as --drop '3 %'", "size", boat, "bilge feed",
    "--condition", "bilge pumping", "--limits", "j541-light")
  program.bad("has no size\n", "size", bike, "KEY", "--condition", "crank")
  program.bad("there are 3 batteries: port battery, starboard battery, house battery; say which: "
    .. "--battery 'port battery'", "loadtest", boat)
end)

T.case("size as JSON and CSV", function()
  local report = json.read(program.good("size", boat, "bilge feed", "--condition",
    "bilge pumping", "--drop", "3 %", "--format", "json"))
  T.equal(report.best.size, 6)
  T.equal(report.best_gauge.gauge, 10)
  local csv = program.good("size", boat, "bilge feed", "--condition", "bilge pumping", "--drop",
    "3 %", "--format", "csv")
  T.equal(select(2, csv:gsub("\n", "")), #report.rows + 2)
end)

T.finish()

-- Every text report fits a page of 100 columns, whatever has been asked.
local P = dofile((arg[0]:match "^(.*/)" or "./") .. "program.lua")
local T = P.T

local folder = os.getenv "STRAPLINE_CIRCUITS"
  or (arg[0]:match "^(.*/)" or "./") .. "../../circuits"
local WIDEST = 100

local function fits(vehicle, verb, ...)
  local code, out, err = P.run(verb, ("%s/%s.lua"):format(folder, vehicle), ...)
  assert(code ~= 2, err)
  local most = 0
  for line in out:gmatch "[^\n]+" do
    assert(utf8.len(line) <= WIDEST, ("%s %s: %s"):format(vehicle, verb, line))
    most = math.max(most, utf8.len(line))
  end
  assert(most > 40)
  return out
end

T.case("a chatter beside the good vehicle: its two ends in two lines", function()
  local out = fits("tern_skerry_28", "predict", "--condition", "crank port", "--fault",
    "port negative lug and tie corroded", "--beside-good")
  T.has(out, "first end: chatters: about 33 times a second;\n")
  T.has(out, "second end: overloaded: insulation limit in ")
  out = fits("oxlode_48", "predict", "--condition", "night, braking", "--fault", "ground pin open",
    "--beside-good")
  T.has(out, "first end: lamp dark\n")
end)

T.case("long names and many of them", function()
  fits("tern_skerry_28", "predict", "--condition", "crank port", "--fault",
    "port negative lug and tie corroded")
  fits("larkfield_60", "drops", "--condition", "crank", "--fault", "frame return lug off")
  fits("corran_5", "explain", "--condition", "lift", "--fault", "floor rusted thin", "--red", "B1 +",
    "--black", "B1 -")
  fits("brindle_9", "matters", "--condition", "crank, -40 C", "--fault", "disconnect 8 mohm",
    "--red", "A + post", "--black", "A - post")
  fits("mulebeck_5", "size", "charge cable", "--condition", "charging", "--drop", "3 %")
  fits("mulebeck_5", "read", "--condition", "winching, split charging left on", "--in",
    "main stud cable")
  fits("mulebeck_5", "faults", "--part", "tail and markers")
  fits("wicken_410", "band", "--condition", "key on", "--red", "battery + post", "--black",
    "battery - post")
  fits("larkfield_60", "offsets")
  fits("hollin_74", "values", "--condition", "crank")
end)

T.finish()

-- strapline predict: the three formats, faults, side by side, and what is printed where.
local here = arg[0]:match "^(.*/)" or "./"
local program = dofile(here .. "program.lua")
local json = dofile(here .. "json_reader.lua")
local strapline = require "strapline"
local T = program.T

local path = program.file(program.vehicle)
local circuit = assert(strapline.parse(program.vehicle, path))

local function keys(object) return table.concat(object.keys, " ") end

T.case("text says what was asked, what a person notices, and the cautions", function()
  local text = program.good("predict", path, "--condition", "crank")
  T.has(text, 'Wicken 410: condition "crank", 0 C\n')
  T.has(text, "What a person notices\n")
  T.has(text, "cranks at ")
  T.has(text, "red on B1 +")
  T.has(text, "black on B1 -")
  T.has(text, "floating")
  T.has(text, "Take care")
  T.has(text, "15 s at most")
  T.has(text, "explosive gas")
  for _, danger in ipairs { "battery", "hundreds of amperes" } do -- each named once
    local _, times = text:match("Take care.*"):gsub(danger, "")
    assert(times == 1, danger)
  end
  for caution in text:match("Take care\n(.*)$"):gmatch "  %- ([^-]+)" do
    assert(select(2, caution:gsub("\n", "")) <= 2, caution) -- two lines at most
  end
  assert(not program.good("predict", path):find("15 s at most", 1, true))
end)

T.case("lines are not wider than a terminal, unless a name is", function()
  for line in program.good("predict", path, "--condition=crank"):gmatch("[^\n]+") do
    assert(utf8.len(line) <= 100, line)
  end
end)

T.case("when nothing says which condition, the first one", function()
  T.equal(program.good("predict", path), program.good("predict", path, "--condition", "lamp on"))
end)

T.case("the shape of JSON", function()
  local report = json.read(program.good("predict", path, "--condition=crank", "--format=json"))
  T.equal(keys(report), "circuit condition reference nodes parts quality")
  T.equal(report.circuit, "Wicken 410")
  T.equal(report.condition, "crank")
  T.equal(report.reference, "B1 -")
  for _, node in ipairs(report.nodes) do
    T.equal(keys(node), "name voltage floating")
    T.equal(node.voltage == json.null, node.floating)
  end
  for _, part in ipairs(report.parts) do
    T.equal(keys(part), "name kind current drop power notices")
    for _, notice in ipairs(part.notices) do T.equal(type(notice), "string") end
  end
  T.equal(keys(report.quality), "residual power_balance")
  T.equal(report.nodes[#report.nodes].name, 'loose, "b"')
  T.equal(report.nodes[#report.nodes].voltage, json.null)
end)

T.case("JSON carries every digit of the answer", function()
  local report = json.read(program.good("predict", path, "--condition=crank", "--format=json"))
  local answer = assert(circuit:predict { condition = "crank" })
  for index, node in ipairs(report.nodes) do
    if not node.floating then T.equal(node.voltage, answer.nodes[index].voltage) end
  end
  for index, part in ipairs(report.parts) do
    T.equal(part.current, answer.parts[index].current)
    T.equal(part.power, answer.parts[index].power)
  end
end)

T.case("CSV: a line of headings, a line for each node and part", function()
  local text = program.good("predict", path, "--format=csv", "--condition=crank")
  local lines = {}
  for line in text:gmatch("(.-)\n") do lines[#lines + 1] = line end
  T.equal(lines[1], "circuit,condition,faults,row,name,kind,voltage,floating,current,drop,power,"
    .. "notices")
  local answer = assert(circuit:predict { condition = "crank" })
  T.equal(#lines, 1 + #answer.nodes + #answer.parts)
  T.has(text, 'Wicken 410,crank,,node,"loose, ""b""",,,true,,,,\n')
  T.has(text, ("part,L1,lamp,,,%.17g,"):format(answer.parts.L1.current))
end)

T.case("the same question, the same bytes", function()
  for _, format in ipairs { "text", "csv", "json" } do
    local first = program.good("predict", path, "--condition=crank", "--format", format)
    T.equal(program.good("predict", path, "--condition=crank", "--format", format), first)
  end
end)

T.case("faults by name and as text, several of them", function()
  local named = program.good("predict", path, "--condition=crank", "--fault", "bad ground")
  T.has(named, "with fault: bad ground (G1: +20 mohm; green crust)")
  local text = program.good("predict", path, "--condition=crank", "--fault", "G1: +20 mohm",
    "--format=json")
  T.equal(text, program.good("predict", path, "--condition=crank", "--fault=bad ground",
    "--format=json"))
  local two = program.good("predict", path, "--fault", "L1: open", "--fault",
    "KEY: position = open")
  T.has(two, "with fault: L1: open\nwith fault: KEY: position = open\n")
end)

T.case("side by side", function()
  local text = program.good("predict", path, "--condition=crank", "--fault=bad ground",
    "--beside-good")
  T.has(text, "What a person notices\n")
  assert(text:find("\n  M1 +cranks at %d+ rpm +cranks slowly at %d+ rpm\n"))
  T.has(text, "Nodes: red lead on the node, black lead on \"B1 -\"\n")
  T.has(text, "Currents into the first terminal\n")
  T.has(text, "Drops: red on the first terminal, black on the second\n")
  assert(text:find("good +faulted +change"))
  assert(text:find("\n  loose a +floating +floating\n"))
end)

T.case("side by side: what gives current, and changes of size", function()
  local pair = program.file([[
battery "B1" { "+", "-", resistance = "10 mohm", charge = "100 %", temperature = "26.7 C" }
resistor "R1" { "+", "m", resistance = "0.1 ohm" }
resistor "R2" { "m", "-", resistance = "0.1 ohm" }
source "E" { "m", "e", voltage = "6.325 V" }
switch "SW" { "e", "-", position = "open", resistance = 0 }
]])
  local text = program.good("predict", pair, "--fault", "R1: resistance = 0.2 ohm", "--beside-good")
  -- 12.65 V over 0.21 ohm, and over 0.31 ohm
  assert(text:find("\n  B1 +gives 60.24 A at 12.05 V +gives 40.81 A at 12.24 V\n"), text)
  assert(text:find("\n  B1 +battery +%-60.24 A +%-40.81 A +%-19.43 A\n"))
  assert(text:find("good +faulted +change of size\n"))
  -- 8 V over R2 are 80 A, of which (12.65 - 8) V over 0.11 ohm come from the battery
  text = program.good("predict", pair, "--fault", "SW: position = closed", "--fault",
    "E: voltage = 8 V", "--beside-good")
  assert(text:find("\n  E +gives nothing at 6.325 V +gives 37.73 A at 8.000 V\n"), text)
  -- and at 2 V it takes (12.65 - 2) / 0.11 A less 20 A: the battery alone gives
  text = program.good("predict", pair, "--fault", "SW: position = closed", "--fault",
    "E: voltage = 2 V", "--beside-good")
  assert(not text:match("What gives current\n(.-)\n\n"):find("\n  E "), text)
  local none = program.file('resistor "R" { "a", "b", resistance = "1 ohm" } reference "a"')
  T.has(program.good("predict", none, "--fault", "R: open", "--beside-good"),
    "Nothing gives current\n")
  os.remove(none)
  os.remove(pair)
end)

T.case("side by side: what is gone is said, and both ends of a chatter are there", function()
  local text = program.good("predict", path, "--condition=crank", "--fault=C1: open",
    "--beside-good")
  assert(text:find("\n  M1 +cranks at %d+ rpm +one click, the engine does not turn\n")
    or text:find("\n  M1 +cranks at %d+ rpm +does not turn\n"))
  text = program.good("predict", path, "--condition=crank", "--fault=KEY: open", "--beside-good")
  assert(text:find("\n  M1 +cranks at %d+ rpm +does not turn\n"))
  assert(text:find("\n  L1 +lamp at %d+ %% light +lamp dark\n"))
  text = program.good("predict", path, "--condition=crank", "--fault=M1: hold-in open",
    "--beside-good")
  assert(text:find("good +faulted, first end +second end\n"))
  T.has(program.good("predict", path, "--fault=G1: +1 uohm", "--beside-good"), "no difference")
end)

T.case("side by side: a conductor that is cool again is no news", function()
  -- 12 V over 1 ohm, 12 A, is too much for 0.35 mm2; over 1 Mohm nothing is noticed
  local warm = program.file [[
    source "E" { "+", "-", voltage = "12 V" }
    cable "C" { "+", "a", size = "0.35 mm2", length = "1 m" }
    switch "SW" { "a", "b", position = "closed" }
    resistor "R" { "b", "-", resistance = "1 ohm" }
    reference "-"
  ]]
  T.has(program.good("predict", warm), "overloaded")
  local text = program.good("predict", warm, "--fault", "R: resistance = 1 Mohm", "--beside-good")
  T.has(text, "What a person notices\n  no difference")
  os.remove(warm)
end)

T.case("a chatter: both ends in text, one in JSON, said so in the notices", function()
  local question = { "predict", path, "--condition=crank", "--fault=M1: hold-in open" }
  local text = program.good(table.unpack(question))
  T.has(text, "First end: what a person notices")
  T.has(text, "Second end: what a person notices")
  question[5] = "--format=json"
  local report = json.read(program.good(table.unpack(question)))
  local said = false
  for _, part in ipairs(report.parts) do
    for _, notice in ipairs(part.notices) do
      said = said or part.name == "M1" and notice:find("^chatters: ") ~= nil
    end
  end
  T.equal(said, true)
end)

T.case("an end that depends on timing is told, in JSON on standard error", function()
  local race = program.file([[
    battery "B1" { "+", "-", cca = "300 A" }
    relay "KA" { ["30"] = "+", ["87"] = "x", ["87a"] = "b", ["86"] = "a", ["85"] = "-" }
    relay "KB" { ["30"] = "+", ["87"] = "y", ["87a"] = "a", ["86"] = "b", ["85"] = "-",
      operate_time = "12 ms" }
  ]])
  T.has(program.good("predict", race), "depends on timing")
  local code, out, err = program.run("predict", race, "--format=json")
  T.equal(code, 0)
  T.has(err, "depends on timing")
  json.read(out)
  os.remove(race)
end)

T.case("what cannot be answered", function()
  program.bad("has no condition 'crnk' (did you mean 'crank'?)", "predict", path,
    "--condition=crnk")
  program.bad("there is no part 'L9'", "predict", path, "--fault=L9: open")
  program.bad("fault 'G1 +20 mohm' has no colon; write 'G1: +20 mohm'", "predict", path,
    "--fault=G1 +20 mohm")
  program.bad("there is no fault 'bad grund' (did you mean 'bad ground'?)", "predict", path,
    "--fault=bad grund")
  local fight = program.file([[
    source "E1" { "a", "0", voltage = "12 V" }
    source "E2" { "a", "0", voltage = "6 V" }
    reference "0"
  ]])
  program.bad(fight .. ": ", "predict", fight)
  os.remove(fight)
end)

T.case("a circuit of floating nodes only exits with 0", function()
  local floating = program.file([[
    resistor "R1" { "a", "b", resistance = 5 }
    resistor "R2" { "c", "0", resistance = 5 }
    reference "0"
  ]])
  T.has(program.good("predict", floating), "floating")
  os.remove(floating)
end)

T.case("a node that is most likely misspelt is noted, and the answer is given", function()
  local slip = program.file(program.vehicle .. 'lamp "L3" { "key out", "engin", power = "5 W" }\n')
  local code, out, err = program.run("predict", slip)
  T.equal(code, 0)
  T.has(out, "L3")
  local _, lines = program.vehicle:gsub("\n", "")
  T.equal(err, ('%s:%d: note: only one terminal ends on node "engin"; is "engine" of line 4 meant?\n')
    :format(slip, lines + 1))
  os.remove(slip)
end)

T.case("what stops with a fault is noticed too", function()
  local out = program.good("predict", path, "--condition", "crank", "--fault", "B1: open")
  local good = program.good("predict", path, "--condition", "crank"):match "M1 +(cranks at [%d.]+ rpm)"
  T.has(out:gsub(" +", " "), ("M1 does not turn (good: %s)"):format(good))
end)

T.case("a full disk is told", function()
  local full = io.open("/dev/full", "w")
  if not full then return end
  full:close()
  local out, script = os.tmpname(), program.file "print 'lost'\n"
  for _, words in ipairs { ("predict '%s'"):format(path), ("run '%s'"):format(script) } do
    local _, _, code = os.execute(("'%s' %s >/dev/full 2>'%s'")
      :format(os.getenv "STRAPLINE", words, out))
    T.equal(code, 2)
    T.has(assert(io.open(out)):read "a", "cannot write")
  end
  os.remove(out)
  os.remove(script)
end)

os.remove(path)
T.finish()

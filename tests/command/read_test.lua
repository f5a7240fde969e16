-- strapline read, words and run.
local here = arg[0]:match "^(.*/)" or "./"
local program = dofile(here .. "program.lua")
local json = dofile(here .. "json_reader.lua")
local strapline = require "strapline"
local T = program.T

local path = program.file(program.vehicle)
local circuit = assert(strapline.parse(program.vehicle, path))

T.case("a reading as text says leads, condition and tool", function()
  local text = program.good("read", path, "--red=stud", "--black=engine", "--condition=crank")
  T.has(text, 'Wicken 410: condition "crank", 0 C\n')
  T.has(text, 'red lead on "stud", black lead on "engine"\n')
  T.has(text, "meter alone, 10 Mohm")
  T.has(text, "with the test lamp across the leads")
  T.has(text, "Take care")
  T.has(text, "carries real current")
end)

T.case("the shape of JSON", function()
  local report = json.read(program.good("read", path, "--red=stud", "--black=engine",
    "--tool=21 W lamp", "--format=json", "--condition=crank"))
  T.equal(table.concat(report.keys, " "),
    "reading circuit condition faults red black unloaded loaded with")
  T.equal(table.concat(report.unloaded.keys, " "), "voltage other")
  T.equal(table.concat(report.loaded.keys, " "), "tool voltage current shows other")
  local reading = assert(circuit:read { red = "stud", black = "engine", tool = "21 W lamp",
    condition = "crank" })
  T.equal(report.unloaded.voltage, reading.unloaded.voltage)
  T.equal(report.loaded.voltage, reading.loaded.voltage)
  T.equal(report.loaded.current, reading.loaded.current)
  T.equal(report.loaded.tool, "21 W lamp")
end)

T.case("CSV", function()
  local text = program.good("read", path, "--red=stud", "--black=engine", "--format=csv")
  T.has(text,
    "circuit,condition,faults,red,black,tool,voltage,current,resistance,part,end,remark\n")
  T.has(text, "Wicken 410,lamp on,,stud,engine,meter alone,")
  T.has(text, "Wicken 410,lamp on,,stud,engine,test lamp,")
end)

T.case("a reading with a fault", function()
  local text = program.good("read", path, "--red=engine", "--black=B1 -", "--fault=bad ground")
  T.has(text, "with fault: bad ground")
end)

T.case("what cannot be read", function()
  program.bad("red lead: ", "read", path, "--red=studd", "--black=engine")
  program.bad("did you mean 'stud'?", "read", path, "--red=studd", "--black=engine")
  program.bad("both leads", "read", path, "--red=stud", "--black=stud")
  program.bad("there is no tool 'tst lamp' (did you mean 'test lamp'?)", "read", path, "--red=stud",
    "--black=engine", "--tool=tst lamp")
end)

T.case("ohms, amps and a clamp as text", function()
  local function read(...) return program.good("read", path, ...) end
  local dead = read("--ohms", "--red=stud", "--black=engine", "--alone=C1", "--condition=lamp on")
  T.has(dead, "OL: no path between the leads")
  local lead = read("--ohms", "--alone=C1")
  T.has(lead, '"C1" alone')
  T.has(lead, "leads as asked   0.2 ohm")
  T.has(lead, "Ohmmeter: only without power")
  local live = read("--ohms", "--red=engine", "--black=B1 -", "--condition=crank")
  T.has(live, "Circuit is live: this reading is false.")
  T.has(live, "leads swapped")
  local amps = read("--in=L1", "--burden=0.5 ohm")
  T.has(amps, "ammeter in series with L1, filament: burden 0.5 ohm, fuse 10 A")
  T.has(amps, "The meter changes what it measures")
  T.has(amps, "Ammeter never across a battery")
  T.has(read("--in=C1", "--condition=crank"), "The meter's fuse of 10 A opens")
  local clamp = read("--clamp=C1,-G1", "--condition=crank")
  T.has(clamp, "clamp round C1, -G1")
  T.has(clamp, "sum: the clamp reads")
  T.has(clamp, 'One of several ways')
end)

T.case("the least and the most, and further tools, as text", function()
  local text = program.good("read", path, "--red=B1 +", "--black=B1 -", "--min-max",
    "--with=55 W lamp: stud, engine")
  T.has(text, "2 conditions")
  T.has(text, "\n  least ")
  T.has(text, "\n  most ")
  T.has(text, "Cranking: neutral or park")
  text = program.good("read", path, "--red=B1 +", "--black=B1 -", "--tool=ammeter")
  T.has(text, "its fuse of 10 A opens at once: this is the current before it does")
  T.has(text, "Ammeter never across a battery")
  text = program.good("read", path, "--red=B1 +", "--black=B1 -",
    "--with=carbon pile = 300 A: B1 +, B1 -")
  T.has(text, "also connected")
  T.has(text, "carbon pile = 300 A")
end)

T.case("every reading as JSON and CSV", function()
  local questions = {
    volts = { "--red=stud", "--black=engine", "--with=test lamp: stud, engine" },
    ohms = { "--ohms", "--red=engine", "--black=B1 -" }, amps = { "--in=C1" },
    clamp = { "--clamp=C1,G1" },
  }
  for name, words in pairs(questions) do
    local one = json.read(program.good("read", path, "--format=json", table.unpack(words)))
    T.equal(one.reading, name)
    local many = json.read(program.good("read", path, "--format=json", "--min-max",
      table.unpack(words)))
    T.equal(#many.rows, 2)
    assert(many.least.value <= many.most.value)
    local lines = select(2, program.good("read", path, "--format=csv", "--min-max",
      table.unpack(words)):gsub("\n", ""))
    assert(lines >= 5, name)
  end
end)

T.case("a load test and its exit codes", function()
  local function test(wanted, ...)
    local code, out, err = program.run("loadtest", path, ...)
    T.equal(code, wanted, err)
    return out
  end
  local text = test(0)
  T.has(text, "Passes: it holds 9.6 V or more.")
  T.has(text, "vehicle maker service data, several model tables agree")
  T.has(text, "Load test: caps on")
  T.has(test(1, "--fault=B1: weak = 30 %"), "Fails: it does not hold 9.6 V.")
  T.has(test(1, "--fault=B1: charge = 30 %"), "Charge it first")
  local report = json.read(test(1, "--fault=B1: weak = 30 %", "--format=json"))
  T.equal(report.verdict, "fails")
  T.equal(report.load, 300)
  T.has(test(1, "--fault=B1: weak = 30 %", "--format=csv"), ",fails,")
  program.bad("'C1' is a cable, not a battery; batteries: B1", "loadtest", path, "--battery=C1")
  program.bad("the table of least voltages ends at -18 C", "loadtest", path,
    "--fault=B1: temperature = -30 C")
end)

T.case("instruments that are used wrongly", function()
  local leads = { "--red=stud", "--black=engine" }
  local function bad(part, ...)
    program.bad(part, "read", path, ...)
  end
  bad("ask for ohms instead", leads[1], leads[2], "--tool=ohmmeter")
  bad("no ohms beside it", leads[1], leads[2], "--ohms", "--tool=test lamp")
  bad("take the test lamp off", leads[1], leads[2], "--ohms", "--with=test lamp: stud, engine")
  bad("--in and --clamp name parts", leads[1], leads[2], "--clamp=C1")
  bad("--alone is for --ohms", "--alone=C1")
  bad("add --min-max", leads[1], leads[2], "--condition=crank", "--condition=lamp on")
  bad("amps and clamp are two readings", "--in=C1", "--clamp=C1")
  bad("is a starter with 4 leads; say which: 'M1.B'", "--clamp=M1")
end)

T.case("words: every kind, field, fault and tool is in them", function()
  local all = program.good("words")
  for _, kind in ipairs(strapline.kinds) do
    T.has(all, "\n  " .. kind.name .. " ")
    local page = program.good("words", kind.name)
    T.has(page, kind.example)
    for _, param in ipairs(kind.params) do T.has(page, "\n  " .. param.name .. " = ") end
    for _, terminal in ipairs(kind.terminals) do T.has(page, "\n  " .. terminal.name .. ": ") end
    for _, mode in ipairs(kind.modes) do T.has(page, "\n  " .. mode.name .. ": ") end
  end
  for _, tool in ipairs(strapline.tools) do T.has(all, "\n  " .. tool.name .. " ") end
  program.bad("there is no kind 'batery' (did you mean 'battery'?)", "words", "batery")
  program.bad("there is no kind 'solenoid'; kinds that speak of it: starter", "words", "solenoid")
end)

local function script(text)
  local name = program.file(text)
  return name, function() os.remove(name) end
end

T.case("run: a script with the module and its arguments", function()
  local name, remove = script([[
    local strapline = require "strapline"
    local circuit = assert(strapline.load(arg[1]))
    print(circuit.name, select("#", ...), arg[2], (arg[0]:match("[^/]+$") ~= nil))
  ]])
  T.equal(program.good("run", name, path, "--help"), "Wicken 410\t2\t--help\ttrue\n")
  remove()
end)

T.case("run: errors and exit codes of scripts", function()
  local name, remove = script("local function why() error('no reason') end\nwhy()")
  program.bad(name .. ":1: no reason\n  called from " .. name .. ":2\n", "run", name)
  remove()
  local load = [[
local strapline = require "strapline"
local circuit = assert(strapline.load(arg[1]))

local answer = assert(circuit:predict { part = "L1" })]]
  name, remove = script(load)
  program.bad(name .. ":4: unknown field 'part' in the question", "run", name, path)
  T.equal(select(3, program.run("run", name, path)):find("traceback", 1, true), nil)
  program.bad(name .. ":2: ", "run", name, "no such circuit.lua")
  remove()
  program.bad(("%s is a circuit file: use strapline predict %s\n"):format(path, path), "run", path)
  name, remove = script("x = = 5")
  program.bad(":1: unexpected symbol", "run", name)
  remove()
  name, remove = script("os.exit(1)")
  T.equal(program.run("run", name), 1)
  remove()
  program.bad("no such script", "run", "no such script.lua")
end)

os.remove(path)
T.case("a fused jumper across a battery blows its fuse, and the report says so", function()
  local short = program.file 'battery "B1" { "+", "-", cca = "600 A" }'
  T.has(program.good("read", short, "--red=+", "--black=-", "--tool=jumper"),
    "its fuse of 30 A opens at once")
end)

T.finish()

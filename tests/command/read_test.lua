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
  program.bad(":1: no reason\nstack traceback:", "run", name)
  remove()
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
    "its fuse of 30 A blows")
end)

T.finish()

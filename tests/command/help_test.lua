-- Help lists every option there is, and every option in help works.
local here = arg[0]:match "^(.*/)" or "./"
local program = dofile(here .. "program.lua")
local T = program.T

local few = os.getenv "STRAPLINE_TESTS" == "few"
local path = program.file(program.vehicle)
local script = program.file('print("script", ...)')

--- Options as help lists them: name to whether it takes a value.
local function options_in(help)
  local found = {}
  for name, value in help:gmatch("\n  %-%-([%w-]+)( ?%u*)") do
    found[name] = value:find("%u") ~= nil
  end
  return found
end

-- A value that works for each option, and what else it needs beside it.
local values = {
  condition = { "crank" }, fault = { "bad ground" }, format = { "csv" }, red = { "B1 +" },
  black = { "engine" }, tool = { "21 W lamp" }, ["beside-good"] = { "--fault", "G1: open" },
  with = { "test lamp: stud, engine" }, ohms = {}, alone = { "C1", "--ohms" }, ["in"] = { "C1" },
  clamp = { "C1" }, ["min-max"] = {}, ["input-resistance"] = { "1 Mohm" },
  ["lead-resistance"] = { "0.1 ohm" }, counts = { "2000" }, burden = { "0.1 ohm" },
  fuse = { "0.4 A" }, battery = { "B1" },
  load = { "L1" }, limits = { "shop" }, drop = { "10 %" },
}
local places = {
  predict = { path }, read = { path }, loadtest = { path }, words = {}, run = { script },
  drops = { path }, explain = { path }, size = { path, "G1" }, values = { path },
}
local needed = {
  read = { red = "stud", black = "B1 -" }, explain = { red = "stud", black = "B1 -" },
}
local names_parts = { ["in"] = true, clamp = true } -- instead of what is needed
-- Verbs whose answer may be that a limit is exceeded.
local judges = { drops = true, size = true }

--- Runs a verb that may judge, and wants an answer. @return standard output
local function answered(verb, ...)
  if not judges[verb] then return program.good(...) end
  local code, out, err = program.run(...)
  if code > 1 or err ~= "" then error(("exit code %s: %s"):format(code, err), 2) end
  return out
end

local function arguments(verb, option)
  local list = { verb, table.unpack(places[verb]) }
  for name, value in pairs(not names_parts[option] and needed[verb] or {}) do
    if name ~= option then table.move({ "--" .. name, value }, 1, 2, #list + 1, list) end
  end
  if option and option ~= "help" then
    list[#list + 1] = "--" .. option
    table.move(values[option], 1, #values[option], #list + 1, list)
  end
  return list
end

T.case("the program as a whole", function()
  local help = program.good("--help")
  for _, word in ipairs { "predict", "read", "values", "words", "run", "--help", "--version", "Examples" } do
    T.has(help, word)
  end
  T.has(program.good("--version"), "strapline ")
  for verb in pairs(places) do assert(help:find("\n  " .. verb .. " ")) end
end)

--- With "=", and with a value where there is none, or none where there is one.
local function spelt_otherwise(verb, option, takes_value)
  if not takes_value then
    program.bad("takes no value", verb, places[verb][1] or "x", "--" .. option .. "=x")
    return
  end
  program.bad("--" .. option .. " needs a value", verb, places[verb][1], "--" .. option)
  local list = arguments(verb, option)
  local at = #list
  while list[at] ~= "--" .. option do at = at - 1 end
  list[at] = ("--%s=%s"):format(option, values[option][1])
  table.remove(list, at + 1)
  answered(verb, table.unpack(list))
end

for verb in pairs(places) do
  T.case(verb .. ": every option in help works", function()
    local help = program.good(verb, "--help")
    T.has(help, "Examples\n  strapline " .. verb)
    for option, takes_value in pairs(options_in(help)) do
      if option ~= "help" then
        assert(values[option], "the test knows no value for --" .. option)
        assert(answered(verb, table.unpack(arguments(verb, option))) ~= "")
        if not few then spelt_otherwise(verb, option, takes_value) end
      end
    end
  end)
  T.case(verb .. ": no option that help does not list", function()
    local help = options_in(program.good(verb, "--help"))
    if verb == "run" then return end
    for option in pairs(few and { clamp = true, drop = true } or values) do
      if not help[option] and help[option] == nil then
        program.bad("unknown option '--" .. option, verb, places[verb][1] or "lamp", "--" .. option)
      end
    end
  end)
end

--- The examples in help, as they would be typed at the top of the tree.
T.case("every example in help works", function()
  local top = (os.getenv "STRAPLINE_CIRCUITS" or here .. "../../circuits") .. "/.."
  local count = 0
  for _, words in ipairs { { "--help" }, { "predict", "--help" }, { "read", "--help" },
    { "values", "--help" }, { "words", "--help" }, { "loadtest", "--help" }, { "drops", "--help" },
    { "explain", "--help" }, { "size", "--help" } } do
    local examples = program.good(table.unpack(words)):match("\nExamples\n(.*)")
    for example in examples:gmatch("  strapline ([^\n]+)") do
      local line = ("cd '%s' && '%s' %s >/dev/null"):format(top, os.getenv "STRAPLINE", example)
      local code = select(3, os.execute(line))
      T.equal(judges[example:match "^%l+"] and code == 1 and 0 or code, 0, example)
      count = count + 1
    end
  end
  assert(count >= 12)
end)

T.case("arguments that make no sense", function()
  program.bad("there is no verb 'predct' (did you mean 'predict'?)", "predct")
  program.bad("strapline VERB")
  program.bad("CIRCUIT is missing", "predict")
  program.bad("SCRIPT.lua is missing", "run")
  program.bad("one argument too many", "predict", path, "B1")
  program.bad("unknown option '--conditon' (did you mean '--condition'?)", "predict", path,
    "--conditon", "crank")
  program.bad("unknown option '--f'", "predict", path, "-f", "text")
  program.bad("--condition is given twice", "predict", path, "--condition=crank",
    "--condition=crank")
  program.bad("--format 'xml' is not known; allowed: text, csv, json", "predict", path, "--format",
    "xml")
  program.bad("--beside-good compares", "predict", path, "--beside-good")
  program.bad("--beside-good compares", "predict", path, "--beside-good", "--fault=G1: open",
    "--format=json")
  program.bad("say where both leads are", "read", path, "--red", "stud")
  program.bad("No such file", "predict", path .. ".not")
  program.bad("No such file", "predict", "--", "--help")
end)

os.remove(path)
os.remove(script)
T.finish()

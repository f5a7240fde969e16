--- The program: a verb, its arguments, an exit code. Results go to standard output in one piece,
--- and only when there is nothing to complain of; everything else goes to standard error.

local DONE, BAD, CANNOT = 0, 1, 2

local verbs = {
  { "predict", "every voltage, current, drop and power, and what a person would notice" },
  { "read", "one reading: volts with and without load, ohms, amps, a clamp" },
  { "loadtest", "a battery at half its cold cranking rating" },
  { "drops", "the path of a load's current, every drop on it against its limit" },
  { "explain", "a reading taken apart: source, path, what is lost where" },
  { "size", "the smallest conductor that meets drop, heat and fuse" },
  { "matters", "which part matters most to a reading" },
  { "band", "between which limits a reading lies, and whether it keeps one" },
  { "words", "the words of circuit files and all kinds of part" },
  { "run", "a Lua script with the module strapline" },
}

local general_options = {
  { "--help", "this text; after a verb, that of the verb" },
  { "--version", "the version" },
}

local examples = {
  "strapline predict circuits/wicken_410.lua --condition crank",
  "strapline predict circuits/wicken_410.lua --condition crank --fault 'open main ground'",
  "strapline read circuits/wicken_410.lua --red 'battery + post' --black frame --tool '5 W lamp'",
  "strapline drops circuits/wicken_410.lua --condition crank",
  "strapline words starter",
}

local function help()
  local lines = {
    "strapline VERB ...: predicts voltages in vehicle power and ground wiring", "", "Verbs",
  }
  local function add(rows)
    for _, row in ipairs(rows) do lines[#lines + 1] = ("  %-10s %s"):format(row[1], row[2]) end
  end
  add(verbs)
  lines[#lines + 1] = "\nOptions"
  add(general_options)
  lines[#lines + 1] = "\nExamples"
  for _, example in ipairs(examples) do lines[#lines + 1] = "  " .. example end
  lines[#lines + 1] = "\nExit code: 0 done; 1 done, and the answer is bad (a limit is exceeded, a "
    .. "battery fails its\ntest); 2 could not be done: standard error says why."
  return table.concat(lines, "\n") .. "\n"
end

--- Writes a result. A full disk or a closed pipe is a failure like any other.
local function write(text)
  local ok, message = io.stdout:write(text)
  if ok then ok, message = io.stdout:flush() end
  if ok then return DONE end
  io.stderr:write("strapline: cannot write: ", tostring(message), "\n")
  return CANNOT
end

local function refuse(message)
  io.stderr:write(message, "\n")
  return CANNOT
end

--- Where each question is answered.
local modules = {
  predict = "strapline.answer", read = "strapline.reading", load_test = "strapline.load_test",
  drops = "strapline.drops", explain = "strapline.explain", size = "strapline.sizing",
  matters = "strapline.matters", band = "strapline.band",
}

--- What a verb uses of the outside. `ask` puts a question to a circuit and, when it cannot be
--- answered, says why.
local function outside(verb)
  local it = { write = write, refuse = refuse, done = DONE, bad = BAD, failed = CANNOT }
  function it.misuse(message)
    return refuse(("strapline %s: %s; see strapline %s --help"):format(verb, message, verb))
  end
  function it.remark(message)
    io.stderr:write("strapline: ", message, "\n")
  end
  function it.load(path)
    return require("strapline").load(path)
  end
  function it.ask(circuit, what, question)
    local result, message, code = require(modules[what])[what](circuit, question)
    if result then return result end
    if code == "misuse" then
      refuse(("strapline %s: %s"):format(verb, message))
    else
      refuse(("%s: %s"):format(circuit.file, message))
    end
  end
  return it
end

local function run_verb(name, args)
  local verb = require("strapline.command." .. name)
  local options = require "strapline.command.options"
  local values, wrong = options.parse(verb, args)
  local it = outside(name)
  if not values then return it.misuse(wrong) end
  if values.help then return write(options.help(verb)) end
  return verb.run(values, it)
end

local function main(args)
  local first = table.remove(args, 1)
  if first == "--help" then return write(help()) end
  if first == "--version" then
    return write("strapline " .. require("strapline").version .. "\n")
  end
  local names = { "--help", "--version" }
  for index, verb in ipairs(verbs) do
    if verb[1] == first then return run_verb(first, args) end
    names[index + 2] = verb[1]
  end
  if not first then return refuse(help()) end
  local nearest = require "strapline.nearest"
  return refuse(("strapline: there is no verb '%s'%s; see strapline --help")
    :format(first, nearest.hint(first, names)))
end

return main

--- The program: a verb, its arguments, an exit code. Results go to standard output in one piece,
--- and only when there is nothing to complain of; everything else goes to standard error.

local DONE, BAD, CANNOT = 0, 1, 2

local function help()
  local program = require "strapline.command.verbs"
  local lines = { "strapline VERB ...: " .. program.about, "", "Verbs" }
  local function add(rows)
    for _, row in ipairs(rows) do lines[#lines + 1] = ("  %-10s %s"):format(row[1], row[2]) end
  end
  add(program.verbs)
  lines[#lines + 1] = "\nOptions"
  add(program.options)
  lines[#lines + 1] = "\nExamples"
  for _, example in ipairs(program.examples) do lines[#lines + 1] = "  " .. example end
  lines[#lines + 1] = "\nExit code: " .. program.exit_code
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
    local circuit, message = require("strapline").load(path)
    for _, doubt in ipairs(circuit and circuit.doubts or {}) do
      io.stderr:write(("%s:%d: note: %s\n"):format(path, doubt.line, doubt.text))
    end
    return circuit, message
  end
  function it.ask(circuit, what, question)
    local questions = require("strapline.circuit").questions
    local result, message, code = require(questions[what])[what](circuit, question)
    if result then return result end
    if code == "misuse" then
      refuse(("strapline %s: %s"):format(verb, message))
    elseif code == "SL_E_VALUE" then -- it can be answered, asked in another way
      refuse(("strapline %s: %s: %s"):format(verb, circuit.file, message))
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
  for index, verb in ipairs(require("strapline.command.verbs").verbs) do
    if verb[1] == first then return run_verb(first, args) end
    names[index + 2] = verb[1]
  end
  if not first then return refuse(help()) end
  local nearest = require "strapline.nearest"
  return refuse(("strapline: there is no verb '%s'%s; see strapline --help")
    :format(first, nearest.hint(first, names)))
end

return main

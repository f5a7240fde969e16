--- What the tests of vehicles share: checks that count, and what is asked of every whole vehicle.
---
---   local V = dofile((arg[0]:match "^(.*/)" or "./") .. "vehicle.lua")
---   V.finish { headline, whole }
local strapline = require "strapline"

local folder = os.getenv "STRAPLINE_CIRCUITS" or "circuits"
local passed, failed = 0, 0

local V = { folder = folder }

-- What is checked ---------------------------------------------------------------------------------

function V.check(ok, what, ...)
  if ok then
    passed = passed + 1
  else
    failed = failed + 1
    print(("FAILED: " .. what):format(...))
  end
end

function V.is(got, want, what)
  V.check(got == want, "%s: got %s, wanted %s", what, tostring(got), tostring(want))
end

--- got as a person would round it: printed(281.56, "282").
function V.printed(got, want, what)
  local digits = want:match "%.(%d+)$"
  local text = got and ("%%.%df"):format(digits and #digits or 0):format(got)
  V.check(text == want, "%s: got %s, that is %s; wanted %s", what, tostring(got), tostring(text),
    want)
end

function V.near(got, want, tolerance, what)
  V.check(got and math.abs(got - want) <= tolerance, "%s: got %s, wanted %.17g within %g", what,
    tostring(got), want, tolerance)
end

function V.between(got, least, greatest, what)
  V.check(got and got >= least and got <= greatest, "%s: got %s, wanted %g to %g", what,
    tostring(got), least, greatest)
end

function V.notices(part)
  return table.concat(part.notices, "; ")
end

function V.has_notice(part, text, what)
  V.check(V.notices(part):find(text, 1, true), "%s: %s: notices '%s', wanted '%s'", what, part.name,
    V.notices(part), text)
end

function V.has_no_notice(part, text, what)
  V.check(not V.notices(part):find(text, 1, true), "%s: %s: notices '%s', without '%s'", what,
    part.name, V.notices(part), text)
end

--- The number in a notice, 0 when nothing of the kind is said.
function V.number_in(part, pattern)
  return tonumber(V.notices(part):match(pattern)) or 0
end

function V.rpm(answer, starter)
  return V.number_in(answer.parts[starter], "cranks[%a ]* at ([%d.]+) rpm")
end

--- Percent of light a lamp is said to give.
function V.light(answer, lamp)
  return V.number_in(answer.parts[lamp], "lamp at ([%d.]+) %% light")
end

--- Where a function that falls from above 0 at `low` to below 0 at `high` is 0.
function V.bisect(low, high, f)
  for _ = 1, 200 do
    local middle = 0.5 * (low + high)
    if f(middle) > 0 then low = middle else high = middle end
  end
  return 0.5 * (low + high)
end

--- The answer of a text of a circuit, and the circuit.
function V.solve(text, name, question)
  local circuit = assert(strapline.parse(text, name))
  return assert(circuit:predict(question)), circuit
end

-- Whole vehicles ----------------------------------------------------------------------------------

function V.load(file)
  return assert(strapline.load(folder .. "/" .. file))
end

--- Nodes somebody named, without those a part makes for a terminal that is not used.
function V.named_nodes(circuit)
  local answer, count = assert(circuit:predict()), 0
  for _, node in ipairs(answer.nodes) do
    local part = node.name:match "^(.*)%.[^.]*$"
    if not (part and answer.parts[part]) then count = count + 1 end
  end
  return count
end

--- Every condition, good and with each named fault, has an answer that is proved.
--- `chatters` tells of "CONDITION" with any fault, or of "CONDITION, FAULT" before that, whether it
--- is a case without a steady state.
function V.all_cases_settle(circuit, chatters)
  local questions = { {} }
  for _, fault in ipairs(circuit.faults) do questions[#questions + 1] = { fault.name } end
  for _, condition in ipairs(circuit.conditions) do
    for _, faults in ipairs(questions) do
      local case = condition.name .. (faults[1] and ", " .. faults[1] or "")
      local what = circuit.name .. ", " .. case
      local answer, message = circuit:predict { condition = condition.name, faults = faults }
      V.check(answer, "%s: %s", what, message)
      local expected = chatters[case]
      if expected == nil then expected = chatters[condition.name] end
      V.is(answer and answer.outcome, expected and "chatters" or "settled", what)
      V.check(answer and answer.quality.residual <= 1e-9, "%s: residual", what)
    end
  end
end

--- The drops along a loop, red lead towards the positive post, add up to what the batteries give.
function V.loop_closes(answer, battery_volts, loop)
  local sum = 0
  for _, name in ipairs(loop) do sum = sum + answer.parts[name].drop end
  V.near(sum, battery_volts, 1e-9, answer.circuit .. ": sum of drops around the loop")
end

--- Looks at each named fault of a circuit, and that none is left out.
--- tests[fault] = { condition, look(good, bad, name, circuit), holds = FAULT, chatter(bad, name) }:
--- with `chatter`, a coil lets go while the motor stands still; that is looked at, and `holds`
--- makes it hold lower, so that the engine cranks and `look` sees it.
function V.faults_looked_at(circuit, tests)
  for _, fault in ipairs(circuit.faults) do
    V.check(tests[fault.name], "%s: fault '%s' is not tested", circuit.name, fault.name)
  end
  for name, test in pairs(tests) do
    local what = ("%s, %s"):format(circuit.name, name)
    local good = circuit:predict { condition = test.condition }
    local bad = circuit:predict { condition = test.condition, faults = { name, test.holds } }
    V.check(good and bad, "%s: no answer in '%s'", what, test.condition)
    if good and bad then test.look(good, bad, what, circuit) end
    if test.chatter then
      test.chatter(circuit:predict { condition = test.condition, faults = { name } },
        what .. ", inrush")
    end
  end
end

--- Runs the tests; tells the count and ends the program.
function V.finish(tests)
  for _, test in ipairs(tests) do
    local ok, message = xpcall(test, debug.traceback)
    V.check(ok, "stopped: %s", message)
  end
  print(("%d passed, %d failed"):format(passed, failed))
  os.exit(failed == 0 and passed > 0, true)
end

return V

--- What the tests in Lua share: named cases of asserts, and a count at the end.
---
---   local T = dofile((arg[0]:match "^(.*/)" or "./") .. "harness.lua")
---   T.case("adds", function() T.equal(1 + 1, 2) end)
---   T.finish()
local T = { passed = 0, failed = 0 }

local function show(value)
  return type(value) == "string" and ("%q"):format(value) or tostring(value)
end

--- Runs a case; what it raises is its failure.
function T.case(name, run)
  local ok, message = xpcall(run, function(raised)
    return debug.traceback(tostring(raised), 2)
  end)
  if ok then
    T.passed = T.passed + 1
  else
    T.failed = T.failed + 1
    io.stderr:write(("FAILED %s: %s\n"):format(name, message))
  end
end

function T.equal(got, wanted, what)
  if got ~= wanted then
    error(("%sgot %s, wanted %s"):format(what and what .. ": " or "", show(got), show(wanted)), 2)
  end
end

--- Whether a number is within `tolerance`, relative to what is wanted or to 1e-12.
function T.near(got, wanted, tolerance, what)
  local ok = type(got) == "number"
    and math.abs(got - wanted) <= tolerance * math.max(math.abs(wanted), 1e-12)
  if not ok then
    error(("%sgot %s, wanted %s within %s"):format(what and what .. ": " or "", show(got),
      show(wanted), show(tolerance)), 2)
  end
end

--- Whether a text has another one in it, letter by letter.
function T.has(text, part)
  if type(text) ~= "string" or not text:find(part, 1, true) then
    error(("%s does not have %s in it"):format(show(text), show(part)), 2)
  end
end

--- Whether a call raises a message with a text in it.
function T.raises(part, call, ...)
  local ok, message = pcall(call, ...)
  if ok then error(("raised nothing, wanted %s"):format(show(part)), 2) end
  if not tostring(message):find(part, 1, true) then
    error(("raised %s, wanted %s in it"):format(show(message), show(part)), 2)
  end
end

--- Tells the count and ends the program.
function T.finish()
  print(("%d passed, %d failed"):format(T.passed, T.failed))
  os.exit(T.failed == 0 and T.passed > 0, true)
end

return T

--- Runs the program under test, which the environment variable STRAPLINE names, and the harness of
--- the tests in Lua.
local here = arg[0]:match "^(.*/)" or "./"
local M = { T = dofile(here .. "../lua/harness.lua") }

local program = os.getenv "STRAPLINE"
if not program then
  io.stderr:write("the environment variable STRAPLINE does not name the program\n")
  os.exit(2)
end

local function quote(text)
  return "'" .. text:gsub("'", "'\\''") .. "'"
end

local function take(path)
  local file = assert(io.open(path, "rb"))
  local text = file:read("a")
  file:close()
  os.remove(path)
  return text
end

local function run(before, ...)
  local words = { before .. quote(program) }
  for _, word in ipairs { ... } do words[#words + 1] = quote(word) end
  local out, err = os.tmpname(), os.tmpname()
  local line = ("%s >%s 2>%s"):format(table.concat(words, " "), quote(out), quote(err))
  local _, _, code = os.execute(line)
  return code, take(out), take(err)
end

--- @return exit code, standard output, standard error
function M.run(...)
  return run("", ...)
end

--- The same of a run of minutes that Ctrl-C stops; where that was before it could heed it, again,
--- and later. `timeout` sends what Ctrl-C does.
function M.interrupted(...)
  local code, out, err
  for _, seconds in ipairs { 0.5, 2, 8, 32 } do
    code, out, err = run(("timeout --preserve-status -s INT %g "):format(seconds), ...)
    if out ~= "" then break end
  end
  return code, out, err
end

--- Writes a text to a file of its own. @return its path
function M.file(text)
  local path = os.tmpname()
  local file = assert(io.open(path, "wb"))
  file:write(text)
  file:close()
  return path
end

--- Runs, and wants success with nothing on standard error but, on a slow machine, how far it is.
--- @return standard output
function M.good(...)
  local code, out, err = M.run(...)
  err = err:gsub("strapline: %d+ of %d+ %a+, %d+ %%\n", "")
  if code ~= 0 or err ~= "" then
    error(("exit code %s, standard error: %s"):format(code, err), 2)
  end
  return out
end

--- Runs, and wants exit code 2, a message with a text in it, and nothing on standard output.
function M.bad(part, ...)
  local code, out, err = M.run(...)
  if code ~= 2 or out ~= "" or not err:find(part, 1, true) then
    error(("wanted exit code 2 and %q; got %s, standard output %q, standard error %q")
      :format(part, code, out, err), 2)
  end
end

M.vehicle = [[
circuit "Wicken 410"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
cable   "C1" { "B1 +", "stud", size = "35 mm2", length = "1.4 m" }
cable   "G1" { "B1 -", "engine", size = "35 mm2", length = "0.9 m" }
switch  "KEY" { "B1 +", "key out" }
starter "M1" { B = "stud", case = "engine", S = "key out" }
lamp    "L1" { "key out", "engine", power = "21 W" }
resistor "L2" { "loose a", "loose, \"b\"", resistance = "29 ohm" }
condition "lamp on" { L1 = { power = "20 W" }, M1 = { stuck = "open" }, KEY = "closed" }
condition "crank" { KEY = "closed", temperature = "0 C" }
fault "bad ground" { "G1: +20 mohm", about = "green crust" }
]]

return M

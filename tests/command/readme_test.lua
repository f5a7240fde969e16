-- The examples of the README: its files are written to a folder of their own, its commands run
-- there, and what they print must begin as shown.
local here = arg[0]:match "^(.*/)" or "./"
local P = dofile(here .. "program.lua")
local T = P.T

local function read(path)
  local file = assert(io.open(path, "rb"))
  local text = file:read "a"
  file:close()
  return text
end

local folder = os.tmpname()
os.remove(folder)
assert(os.execute("mkdir " .. folder))

local files, sessions = {}, {}
for block in read(here .. "../../README.md"):gmatch "\n```%l*\n(.-\n)```\n" do
  local name = block:match "^%-%- (%S+%.lua)\n"
  local command, shown = block:match "^%$ strapline ([^\n]*)\n(.*)$"
  if name then
    local file = assert(io.open(folder .. "/" .. name, "wb"))
    file:write(block)
    file:close()
    files[#files + 1] = folder .. "/" .. name
  elseif command then
    sessions[#sessions + 1] = { command = command, shown = shown:gsub("%.%.%.\n$", "") }
  end
end

T.case("the README has examples", function()
  assert(#files >= 3 and #sessions >= 3)
end)

for _, session in ipairs(sessions) do
  T.case(session.command, function()
    local out = os.tmpname()
    local program = os.getenv "STRAPLINE":gsub("'", "'\\''")
    local line = ("cd %s && '%s' %s >%s"):format(folder, program, session.command, out)
    local ok = os.execute(line)
    local printed = read(out)
    os.remove(out)
    assert(ok, "the command failed")
    T.equal(printed:sub(1, #session.shown), session.shown)
  end)
end

for _, path in ipairs(files) do os.remove(path) end
os.remove(folder)
T.finish()

-- Every circuit file with something wrong gives the messages in its first comment, nothing else.
-- The folder is the argument, or STRAPLINE_CIRCUITS/bad.
local here = arg[0]:match "^(.*/)" or "./"
local program = dofile(here .. "program.lua")
local T = program.T

local folder = arg[1]
  or (os.getenv "STRAPLINE_CIRCUITS" or here .. "../../circuits") .. "/bad"

local function files_of(path)
  local list = {}
  for name in assert(io.popen('ls "' .. path .. '"')):lines() do
    if name:find("%.lua$") then list[#list + 1] = path .. "/" .. name end
  end
  return list
end

--- "-- expects: LINE: TEXT" lines to "FILE:LINE: TEXT" lines.
local function expected(path)
  local wanted = {}
  for line in io.lines(path) do
    local text = line:match("^%-%- expects: (.*)$")
    if not text then break end
    wanted[#wanted + 1] = path .. ":" .. text
  end
  return table.concat(wanted, "\n") .. "\n"
end

local files = files_of(folder)
T.case("there are files", function() assert(#files >= 60, #files .. " files in " .. folder) end)

for _, path in ipairs(files) do
  T.case(path:match("[^/]+$"), function()
    local code, out, err = program.run("predict", path)
    T.equal(code, 2)
    T.equal(out, "")
    T.equal(err, expected(path))
  end)
end

T.case("no bytes at all, and bytes that are no text", function()
  for _, text in ipairs { "", "\0\0\0", "\x1bLua\x54", ("\xFF"):rep(5000), "\xEF\xBB\xBF" } do
    local path = program.file(text)
    program.bad(path .. ":1: ", "predict", path)
    os.remove(path)
  end
end)

T.case("more resistance than a mode goes up to can be added", function()
  local path = program.file(program.vehicle .. 'joint "lug" { "engine", "body" }\n')
  program.bad("to add more than that write '+140 ohm'", "predict", path, "--fault",
    "lug: corroded = 140 ohm")
  program.good("predict", path, "--fault", "lug: +140 ohm")
  os.remove(path)
end)

T.finish()

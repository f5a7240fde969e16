-- The same question gives the same answer in every run: Lua goes through tables in another order each
-- time it starts, and none of that may be seen.
local P = dofile((arg[0]:match "^(.*/)" or "./") .. "program.lua")
local T = P.T

local folder = os.getenv "STRAPLINE_CIRCUITS" or "circuits"
local bus, bike = folder .. "/larkfield_60.lua", folder .. "/wicken_410.lua"
local RUNS = os.getenv "STRAPLINE_TESTS" == "few" and 3 or 10

local function same(...)
  local code, out, err = P.run(...)
  for run = 2, RUNS do
    local again, out_again, err_again = P.run(...)
    local what = ("%s, run %d"):format(table.concat({ ... }, " "), run)
    if again ~= code or out_again ~= out or err_again ~= err then error(what .. " differs", 2) end
  end
  return code
end

T.case("each verb", function()
  local leads = { "--red", "battery + post", "--black", "frame", "--condition", "crank" }
  T.equal(same("predict", bike, "--condition", "crank", "--fault", "main fuse: blown", "--beside-good"), 0)
  T.equal(same("predict", bike, "--format", "json"), 0)
  T.equal(same("drops", bus, "--condition", "crank", "--load", "starter"), 1)
  T.equal(same("drops", bike, "--condition", "crank", "--format", "json"), 0)
  T.equal(same("read", bike, table.unpack(leads)), 0)
  T.equal(same("explain", bike, table.unpack(leads)), 0)
  T.equal(same("matters", bike, table.unpack(leads)), 0)
  T.equal(same("band", bike, "--method", "monte-carlo", "--samples", "300", table.unpack(leads)), 0)
  T.equal(same("values", bus), 0)
  T.equal(same("size", bike, "headlamp wire", "--condition", "key on"), 0)
  T.equal(same("offsets", bus), 0)
  T.equal(same("faults", bike, "--swaps", "--shorts", "--condition", "crank"), 0)
  T.equal(same("sneak", bike), 0)
end)

T.case("mistakes in a file", function()
  local file = P.file [[
battery "B1" { "+", "-", cca = "600 A", chrge = 1, colour = "red", ["9"] = "x", [true] = 2 }
relay   "K1" { ["30"] = "+", ["87"] = "out", ["88"] = "a", coil = 3, ["85"] = "-", ["86"] = "+" }
condition "on" { K2 = "closed", B3 = { charge = 1 }, B1 = { chrage = 1, ccca = 2, tempreature = 3 } }
panel "FLOOR" { wdth = 1, hight = 2, studs = { a = { 1, 2, size = 3, dia = 4 }, b = { 3 }, c = 5 } }
]]
  T.equal(same("predict", file), 2)
  os.remove(file)
end)

T.finish()

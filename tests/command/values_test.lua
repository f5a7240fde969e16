-- strapline values: every value, and where it comes from.
local here = arg[0]:match "^(.*/)" or "./"
local P = dofile(here .. "program.lua")
local T = P.T
local read_json = dofile(here .. "json_reader.lua").read
local strapline = require "strapline"

local path = P.file(P.vehicle .. [[
condition "hot" { B1 = { charge = "70 %" }, temperature = "40 C" }
condition "25 C" { B1 = { charge = "100 %" }, temperature = "25 C" }
condition "-18 C" { B1 = { charge = "100 %", temperature = "-18 C" } }
fault "tired" { "B1: weak = 40 %" }
]])

T.case("each value says whether it is given, set, worked out, a default or not set", function()
  local text = P.good("values", path, "B1", "--condition", "hot", "--fault", "tired")
  T.has(text, "B1 (battery)\n")
  for _, row in ipairs { { "cca", "600.0 A", "given" }, { "charge", "70 %", 'condition "hot"' },
    { "health", "40 %", "fault" }, { "cells", "6", "default" }, { "capacity", "", "not set" },
    { "temperature", "40 C", "worked out" } } do
    local pattern = ("\n  %s +%s +%s\n"):format(row[1], row[2]:gsub("%%", "%%%%"), row[3])
    assert(text:find(pattern), pattern .. " in\n" .. text)
  end
  T.has(text, "\n    cells: common practice, no source\n")
  T.has(text, "\n    resistance: worked out from `cca` and temperature")
  assert(not text:find("\n    charge: ", 1, true) and not text:find("\n    health: ", 1, true))
  assert(not text:find("L1 (lamp)", 1, true))
end)

-- 600 A to 7.2 V at -18 C is the definition of SAE J537: 5.4 V of 12.6 V is lost in 9 mohm.
T.case("a resistance that follows from the rating is told, with what it follows from", function()
  for condition, ohm in pairs { ["-18 C"] = "9.000 mohm", ["25 C"] = "5.000 mohm" } do
    local text = P.good("values", path, "B1", "--condition", condition)
    assert(text:find("\n  resistance +" .. ohm .. " +worked out\n"), text)
  end
end)

T.case("all parts when none is named, in text, CSV and JSON alike", function()
  local circuit = assert(strapline.load(path))
  local text, csv = P.good("values", path), P.good("values", path, "--format", "csv")
  local found = read_json(P.good("values", path, "--format", "json"))
  local _, lines = csv:gsub("\n", "\n")
  local count = 0
  for index, name in ipairs(circuit.part_names) do
    local kind = circuit.kinds[name]
    T.has(text, ("%s (%s)\n"):format(name, kind.name))
    T.equal(found.parts[index].name, name)
    T.equal(#found.parts[index].values, #kind.params)
    count = count + #kind.params
  end
  T.equal(lines, count + 1)
  T.has(csv, 'Wicken 410,lamp on,,L2,resistor,resistance,29,ohm,29.00 ohm,given,')
  T.has(csv, 'Wicken 410,lamp on,,L1,lamp,power,20,W,20.00 W,condition,')
end)

T.case("nothing that was not given is without a standing", function()
  local found = read_json(P.good("values", path, "--format", "json"))
  for _, part in ipairs(found.parts) do
    for _, value in ipairs(part.values) do
      if value.origin == "default" or value.origin == "worked out" then
        assert(value.standing ~= "", part.name .. ": " .. value.name)
      end
    end
  end
end)

T.case("from Lua", function()
  local answer = assert(assert(strapline.load(path)):predict { condition = "crank" })
  local values = answer:values "L1"
  T.near(values.current.value, 21 / 12, 1e-12)
  T.equal(values.current.origin, "worked out")
  T.equal(answer:values "KEY".position.text, "closed")
end)

T.case("a part that there is not", function()
  P.bad("there is no part 'B2'; parts: B1, C1", "values", path, "B2")
end)

os.remove(path)
T.finish()

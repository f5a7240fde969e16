-- Sweeps from Lua: the same numbers as one question at a time, in any number of threads, in order.
local T = dofile((arg[0]:match "^(.*/)" or "./") .. "harness.lua")
local strapline = require "strapline"

local folder = os.getenv "STRAPLINE_CIRCUITS" or "circuits"

local function vehicle(name)
  return assert(strapline.load(folder .. "/" .. name .. ".lua"))
end

-- Source of 12.6 V; 6 mohm inside, 1 mohm out, a starter of 34 mohm, 1 mohm back: 12.6 V over
-- 42 mohm. Figures by hand.
local loop = [[
source   "E"       { "e", "minus", voltage = "12.6 V" }
resistor "inside"  { "e", "post", resistance = "6 mohm" }
resistor "feed"    { "post", "stud", resistance = "1 mohm" }
resistor "starter" { "stud", "case", resistance = "34 mohm" }
resistor "ground"  { "case", "minus", resistance = "1 mohm" }
reference "minus"
]]

T.case("a starting loop by hand", function()
  local sweep = assert(assert(strapline.parse(loop, "loop")):sweep {
    faults = { "ground: +10 mohm", "feed: +10 mohm", "inside: resistance = 20 mohm",
      "starter: resistance = 20 mohm" },
    readings = { { current = "starter" }, "post", "case", "stud,case" },
  })
  local rows = sweep:table()
  T.equal(#rows, 5)
  local wanted = { -- A, post, case, starter
    { 300, 10.8, 0.3, 10.2 }, { 12.6 / 0.052, 12.6 - 0.006 * 12.6 / 0.052, 0.011 * 12.6 / 0.052,
      0.034 * 12.6 / 0.052 },
    { 12.6 / 0.052, 12.6 - 0.006 * 12.6 / 0.052, 0.001 * 12.6 / 0.052, 0.034 * 12.6 / 0.052 },
    { 225, 8.1, 0.225, 7.65 }, { 450, 9.9, 0.45, 9.0 },
  }
  for index, row in ipairs(rows) do
    T.equal(row.case, index)
    for n = 1, 4 do T.near(row.values[n], wanted[index][n], 1e-12, ("%d.%d"):format(index, n)) end
  end
  T.equal(rows[2].faults[1], "ground: +10 mohm")
  T.equal(rows[1].outcome, "settled")
end)

-- Every fault of the motorcycle in every condition, told as text, put to `predict`: the same bits.
T.case("a fault's text asks for that fault, to the last bit", function()
  local circuit = vehicle "wicken_410"
  local sweep = assert(circuit:sweep { severities = 3 })
  T.equal(sweep.cases, 4 * (1 + #sweep.faults))
  local nodes, told = circuit.core:nodes(), 0
  for row in sweep:rows() do
    local answer = assert(circuit:predict { condition = row.condition, faults = row.faults })
    T.equal(row.outcome, answer.outcome)
    local found = row.ending == 2 and answer.other or answer
    local n = 0
    for _, name in ipairs(nodes) do
      if name ~= circuit.core:reference() and circuit.core:reach(name) ~= "inside" then
        n = n + 1
        T.equal(row.values[n], found.nodes[name].voltage, row.faults[1])
        told = told + 1
      end
    end
  end
  assert(told > 4 * 200 * 30)
end)

local function every_text(name, threads, more)
  local asked = { threads = threads }
  for key, value in pairs(more or {}) do asked[key] = value end
  return assert(vehicle(name):sweep(asked)):csv()
end

T.case("threads change nothing", function()
  for _, name in ipairs { "wicken_410", "quillon_parcel_3", "tern_skerry_28" } do
    local one = every_text(name, 1)
    for _, threads in ipairs { 2, 5 } do T.equal(every_text(name, threads), one, name) end
  end
  T.equal(every_text("wicken_410", 3, { pairs = true, conditions = { "crank" } }),
    every_text("wicken_410", 1, { pairs = true, conditions = { "crank" } }))
end)

--- Whether a mode is of a path that ends on a pin without a wire: it can do nothing.
local function on_bare_pin(circuit, part, mode)
  local kind = circuit.kinds[part]
  local element = mode.change ~= "set" and kind.elements[mode.what or false]
  for _, terminal in ipairs(element and { element.from, element.to } or {}) do
    local node = circuit.core:part_node(part, kind.terminals[terminal].index)
    if circuit.core:reach(node) == "unused" then return true end
  end
  return false
end

T.case("every mode of every part of every vehicle, in every condition, has its row", function()
  for _, name in ipairs { "hollin_74", "larkfield_60", "mulebeck_5", "quillon_parcel_3",
      "tern_skerry_28", "wicken_410" } do
    local circuit = vehicle(name)
    local sweep = assert(circuit:sweep { readings = { circuit.core:nodes()[1] } })
    local modes = {}
    for _, fault in ipairs(sweep.faults) do modes[fault.part .. "\0" .. fault.mode] = true end
    for part, kind in pairs(circuit.kinds) do
      for _, mode in ipairs(kind.modes) do
        -- what comes in sizes may have no smaller one; what is not there cannot fail
        local has = modes[part .. "\0" .. mode.name]
        local lacks = circuit.core:lacks(part, "mode", mode.name) or on_bare_pin(circuit, part, mode)
        assert(not has == lacks or mode.name:find "^wrong ", part .. ": " .. mode.name)
      end
    end
    local last, met = 0, 0
    for row in sweep:rows() do
      assert(row.case == last or row.case == last + 1, "out of order")
      met = met + (row.case == last and 0 or 1)
      last = row.case
      assert(row.outcome or row.status and row.message ~= "")
    end
    T.equal(met, #circuit.conditions * (1 + #sweep.faults), name)
  end
end)

-- Two sources of different voltage on one pair of nodes have no answer; nor have numbers then.
T.case("a case without an answer says why and has no number", function()
  local circuit = assert(strapline.parse([[
source "A" { "p", "m", voltage = "12 V" }
source "B" { "q", "m", voltage = "13 V" }
switch "S" { "p", "q", resistance = "0 ohm" }
resistor "R" { "p", "m", resistance = "1 ohm" }
reference "m"
]], "two"))
  local rows = assert(circuit:sweep { faults = { "S: stuck closed" }, readings = { "p" } }):table()
  T.equal(rows[1].values[1], 12.0)
  T.equal(rows[2].status, "SL_E_CONTRADICTION")
  T.has(rows[2].message, "A")
  T.equal(rows[2].values[1], nil)
  T.equal(rows[2].outcome, nil)
end)

T.case("an iterator can be left, and another begins at the first case", function()
  local sweep = assert(vehicle("wicken_410"):sweep {})
  local count = 0
  for row in sweep:rows() do
    count = count + 1
    if row.case == 40 then break end
  end
  T.equal(count, 40)
  T.equal(sweep:rows()().case, 1)
  local stats = sweep:stats()
  T.equal(stats.full_solves, stats.cases)
  sweep:close()
  T.raises("closed", function() sweep:rows()() end)
end)

-- 12 V, two wires of 0.5 ohm exchanged at a plug: 12 / (0.1 + 0.5 + 5.4) = 2 A in the other lamp.
-- A leak of 3 ohm from "a": 12 V over 0.1 ohm + 3 ohm beside 3 ohm: "a" is at 12 * 1.5 / 1.6.
T.case("columns are the rows turned round", function()
  local asked = { faults = { "ground: +10 mohm", "ground: +20 mohm", "feed: open", "inside: open" },
    leaks = { { "stud", "minus", 0.035 } },
    readings = { { current = "starter" }, "stud", "stud,case" }, quick = true }
  local circuit = assert(strapline.parse(loop, "loop"))
  local sweep = assert(circuit:sweep(asked))
  local values, ends = sweep:columns()
  T.equal(#values, 3)
  T.equal(#ends, sweep.cases)
  T.near(values[1][2], 12.6 / 0.052, 1e-12)
  T.near(values[1][6], 12.6 / 0.0245 / 2, 1e-12) -- a leak as good as starter and ground
  T.equal(sweep:stats().cases, 6)
  T.equal(sweep:stats().closed_forms >= 4, true)
  for _, name in ipairs { "loop", "wicken_410" } do
    local of = name == "loop" and circuit or vehicle(name)
    local want = name == "loop" and asked or { parts = { "starter relay", "engine ground" } }
    values, ends = assert(of:sweep(want)):columns()
    for index, row in ipairs(assert(of:sweep(want)):table()) do
      if row.ending ~= 2 then
        T.equal(ends[row.case], row.status or row.outcome)
        for n = 1, #values do T.equal(values[n][row.case], row.values[n]) end
        T.equal(index >= row.case, true)
      end
    end
  end
end)

T.case("leaks, swaps and shorts", function()
  local circuit = assert(strapline.parse([[
source "E" { "e", "m", voltage = "12 V" }
resistor "S" { "e", "a", resistance = "0.1 ohm" }
cable "W1" { "a", "x", per_metre = "0.5 ohm/m", length = "1 m" }
cable "W2" { "b", "y", per_metre = "0.5 ohm/m", length = "1 m" }
resistor "R1" { "x", "m", resistance = "2.5 ohm" }
resistor "R2" { "y", "m", resistance = "5.4 ohm" }
reference "m"
]], "plug"))
  local sweep = assert(circuit:sweep { faults = {}, swaps = { { "W1", "W2" } },
    leaks = { { "a", "m", 3 } }, readings = { { current = "R2" }, "a" } })
  local rows = sweep:table()
  T.equal(rows[2].faults[1], '"a" leaks to "m" over 3.000 ohm')
  T.near(rows[2].values[2], 12 * 1.5 / 1.6, 1e-12)
  T.equal(rows[3].faults[1], '"W1" and "W2" swapped, at "x" and "y"')
  T.near(rows[3].values[1], 2.0, 1e-12)
  -- At their other ends: W2 is fed and leads to R2, as above.
  local there = assert(circuit:sweep { faults = {}, swaps = { { "W2", "W1", "b", "a" } },
    readings = { { current = "R2" } } }):table()
  T.near(there[2].values[1], 2.0, 1e-12)
  T.equal(#assert(circuit:sweep { faults = {}, swaps = "all" }).faults, 0) -- no plug to mistake
  local shorts = assert(circuit:sweep { faults = {}, shorts = true })
  T.equal(circuit.core:feed(), "e")
  T.equal(#shorts.faults, 5 + 4) -- six nodes; none to itself, the feed to ground once
  -- By hand: with R1 open nothing flows; with 2 ohm more the branch has 5 ohm behind 0.1 ohm.
  local both = assert(circuit:sweep { faults = { { "W1: +2 ohm", "R1: open" }, "W1: +2 ohm" },
    readings = { "a", "x" } }):table()
  T.equal(both[2].faults[1], "W1: +2 ohm + R1: open")
  T.near(both[2].values[1], 12, 1e-12)
  T.near(both[2].values[2], 12, 1e-12)
  T.near(both[3].values[1], 12 * 5 / 5.1, 1e-12)
  local starter = assert(strapline.parse([[
battery "B" { "+", "-", cca = "600 A" }
starter "M" { "+", "-", solenoid = "none" }
]], "starter"))
  local of_starter = assert(starter:sweep { faults = {}, shorts = true }).faults
  T.equal(#of_starter, 1) -- "+" to ground: nothing chafes in a solenoid that is not there
end)

T.case("mistakes are told", function()
  local circuit = vehicle "wicken_410"
  T.raises("circuit:sweep { ... }, with a colon", function() return circuit.sweep { faults = {} } end)
  T.raises("no part 'F9'", function() return assert(circuit:predict {}):values "F9" end)
  local function wrong(part, asked)
    T.raises(part, function() return circuit:sweep(asked) end)
  end
  wrong("unknown field 'fault'", { fault = {} })
  wrong("severities = 0", { severities = 0 })
  wrong("severities = 1.5", { severities = 1.5 })
  wrong("threads = 65", { threads = 65 })
  wrong("did you mean 'starter'", { parts = { "startr" } })
  wrong("has no condition 'cranc'", { conditions = { "cranc" } })
  wrong("has no node 'frme'", { readings = { "frme" } })
  wrong("has no path 'motr' (did you mean 'motor'?)",
    { readings = { { current = "starter", element = "motr" } } })
  wrong("reading: 'drop' beside 'current'; a reading is one quantity of one part",
    { readings = { { current = "starter", drop = "starter" } } })
  wrong("'ground cable' is a cable, which has no states", { readings = { { state = "ground cable" } } })
  wrong("leaks is true, not a list; write leaks = {", { leaks = true })
  wrong('parts is "L1", not a list; write parts = { "G1", "C1" }', { parts = "L1" })
  wrong('readings is "L1", not a list', { readings = "L1" })
  wrong("conditions is a table with names or gaps, not a list", { conditions = { rest = true } })
  wrong('pairs is "no", not true or false; write pairs = true', { pairs = "no" })
  wrong('severities is "3", not a number', { severities = "3" })
  wrong("how many ohm", { leaks = { { "frame", "battery + post" } } })
  wrong('swaps is true, not a list', { swaps = true })
  wrong("no part 'ground cabel' (did you mean", { swaps = { { "ground cabel", "starter cable" } } })
  wrong("has no node 'frme'", { swaps = { { "ground cable", "battery + cable", "frme", "frame" } } })
  wrong("cannot be swapped at \"frame\"", { swaps = { { "ground cable", "battery + cable", "frame", "frame" } } })
  wrong("has no node 'engin block'", { readings = { "frame,engin block" } })
  wrong("a reading is", { readings = { {} } })
  wrong("faults is", { faults = "some" })
  wrong("starter: no such", { faults = { "starter: no such" } })
  wrong("no part 'x'", { swaps = { { "key wire", "x" } } })
  wrong("neither may come to have both ends", { swaps = { { "key wire", "KEY" } } })
  wrong("leak of 0 ohm", { leaks = { { "frame", "main feed", 0 } } })
end)

-- Memory of many cases is that of one chunk: a sweep of pairs stays below twice what singles take.
T.case("memory does not grow with the number of cases", function()
  local circuit = vehicle "wicken_410"
  local function peak(asked)
    collectgarbage()
    local before, most = collectgarbage "count", 0
    local sweep = assert(circuit:sweep(asked))
    for row in sweep:rows() do
      if row.case % 64 == 0 then
        collectgarbage()
        most = math.max(most, collectgarbage "count" - before)
      end
    end
    sweep:close()
    return most, sweep.cases
  end
  local few, some = peak { conditions = { "crank" } }
  local many, all = peak { conditions = { "crank" }, pairs = true }
  assert(all > 50 * some, "too few pairs")
  assert(many < 2 * few + 200, ("%g KB for %d cases, %g KB for %d"):format(few, some, many, all))
end)

-- Whole vehicles, with lamps, diodes, modules, relays, an equaliser and regulators: answered from the
-- healthy circuit they are what is solved whole, and most are.
T.case("quick is whole in whole vehicles", function()
  for _, name in ipairs { "corran_5", "larkfield_60", "wicken_410" } do
    local circuit, readings = vehicle(name), {}
    for _, part in ipairs(circuit.part_names) do
      local kind = circuit.kinds[part]
      for _, of in ipairs(kind.is_panel and {} or { "current", "drop", "state" }) do
        if of ~= "state" or #kind.states > 0 then readings[#readings + 1] = { [of] = part } end
      end
    end
    local function fill(quick)
      local sweep = assert(circuit:sweep { readings = readings, quick = quick })
      local values, ends = sweep:columns()
      return values, ends, sweep:stats()
    end
    local quick, quick_ends, stats = fill(true)
    local whole, whole_ends = fill(false)
    for case, ending in ipairs(whole_ends) do
      T.equal(quick_ends[case], ending)
      for n, column in ipairs(whole) do
        local got, want = quick[n][case], column[case]
        if type(want) == "number" then
          T.near(got, want, 1e-9 + 1e-12 / math.max(math.abs(want), 1e-12),
            ("%s case %d reading %d"):format(name, case, n))
        else
          T.equal(got, want)
        end
      end
    end
    assert(stats.by_ports > stats.cases / 2, name .. ": too few by ports")
  end
end)

T.finish()

-- What reference pages say of answers, held against answers: every field there is told, of the type
-- that is told, and every field that is told is there.
local here = arg[0]:match "^(.*/)" or "./"
local T = dofile(here .. "harness.lua")
local strapline = require "strapline"
local answers = require "strapline.answers"

local folder = os.getenv "STRAPLINE_CIRCUITS" or here .. "../../circuits"

local seen = {} -- "RECORD.FIELD" of every field that an answer had

local check

--- The entries of a list, and those found by name, which are the same.
local function check_list(value, of, by_name, where)
  T.equal(type(value), "table", where)
  for index, entry in ipairs(value) do check(entry, of, ("%s[%d]"):format(where, index)) end
  for key, entry in pairs(value) do
    local known = math.type(key) == "integer" and key <= #value
    if not known then
      assert(by_name, ("%s has an entry '%s'"):format(where, tostring(key)))
      T.equal(entry.name or entry.node, key, where)
    end
  end
end

--- The values of a row, by the number of the reading; one without a value has none.
local function check_values(value, where)
  for key, entry in pairs(value) do
    assert(math.type(key) == "integer", where)
    assert(type(entry) == "number" or type(entry) == "string", where)
  end
end

local function check_record(value, record, where)
  T.equal(type(value), "table", where)
  local fields, known = record.fields, {}
  if record.kinds_of then
    local form = value[record.kinds_of]
    if form == nil then form = false end
    fields = assert(fields[form], ("%s: no form %s"):format(where, tostring(form)))
  end
  for _, field in ipairs(fields) do
    local name, kind, may = field[1], field[2]:match "^(.-)(%??)$"
    known[name] = true
    local has = rawget(value, name)
    if has ~= nil then
      seen[record.name .. "." .. name] = true
      check(has, kind, where .. "." .. name)
    else
      assert(may == "?", ("%s has no %s"):format(where, name))
    end
  end
  for key in pairs(value) do
    assert(known[key], ("%s has a field '%s' that is not told"):format(where,
      tostring(key)))
  end
end

local plain = { text = "string", number = "number", boolean = "boolean" }

function check(value, kind, where)
  if plain[kind] then return T.equal(type(value), plain[kind], where) end
  if kind == "values of a row" then return check_values(value, where) end
  if kind == "offsets of a ground" then
    for _, entry in pairs(value) do check(entry, "offset", where) end
    return
  end
  local of = kind:match "^list of (.*)$"
  if of then
    local named = of:match "^(.*), by name too$"
    return check_list(value, named or of, named ~= nil, where)
  end
  return check_record(value, assert(answers.list[kind], "no record " .. kind), where)
end

local function held(answer, message, name, where)
  assert(answer, message)
  check(answer, name, where or name)
  return answer
end

local function load(name)
  return assert(strapline.load(("%s/%s.lua"):format(folder, name)))
end

--- Every question of one condition with one fault or none.
local function ask_all(circuit, condition, fault, leads, part, battery)
  local function asked(more)
    more.condition, more.faults = condition, fault and { fault } or nil
    return more
  end
  local function put(method, name, question)
    local answer, message = circuit[method](circuit, asked(question))
    return held(answer, message, name, ("%s [%s, %s]"):format(method, condition, tostring(fault)))
  end
  local red, black = leads[1], leads[2]
  local found = put("predict", "answer", {})
  check(found:values(part), "list of value, by name too", "values")
  put("drops", "drops", {})
  put("read", "reading", { red = red, black = black })
  put("explain", "explanation", { red = red, black = black })
  put("read", "reading", { red = red, black = black, tool = "jumper",
    with = { ("55 W lamp: %s, %s"):format(red, black) } })
  put("read", "reading", { alone = part, ohms = true })
  put("read", "reading", { amps = part })
  put("read", "reading", { clamp = { part } })
  put("matters", "influences", { red = red, black = black })
  put("band", "band", { red = red, black = black, least = 9.6 })
  put("band", "band", { part = part, method = "rss" })
  put("band", "band", { part = part, method = "monte-carlo", samples = 40 })
  put("load_test", "test", { battery = battery })
  return found
end

T.case("answers have the fields that are told, a motorcycle in every condition", function()
  local circuit = load "wicken_410"
  for _, condition in ipairs(circuit.conditions) do
    for _, fault in ipairs { false, "weak battery", "corroded frame ground", "open main ground" } do
      ask_all(circuit, condition.name, fault or nil, { "battery + post", "frame" },
        "battery + cable")
    end
  end
  held(circuit:read { red = "battery + post", black = "frame", conditions = "all" }, nil, "readings")
  local sizes = held(circuit:size { part = "battery + cable", drop = "3 %", condition = "crank" }, nil,
    "sizes")
  assert(sizes.rows[1].fails[1])
  held(circuit:size { part = "battery + cable", condition = "crank" }, nil, "sizes")
  held(circuit:drops { limits = "j541-light", condition = "crank" }, nil, "drops")
  held(circuit:band { part = "starter", element = "motor", condition = "crank", limit = "500 A" }, nil,
    "band")
end)

-- 12 V and up to 10 % more or less at a coil that wants 11.5 V.
T.case("bands whose relay moves, and which are stopped", function()
  local circuit = assert(strapline.parse([[
source "E" { "p", "-", voltage = "12 V +-10 %" }
relay  "K" { "p", "out", "p", "-", pull_in = "11.5 V" }
lamp   "L" { "out", "-", power = "21 W +-5 %" }
reference "-"
]], "moves.lua"))
  local asked = { red = "out", black = "-", limit = "14 V" }
  assert(held(circuit:band(asked), nil, "band").worst.moved[1])
  asked.method, asked.samples = "monte-carlo", 3000
  assert(held(circuit:band(asked), nil, "band").drawn.ended[1])
  asked.samples, asked.progress = 1000000, function() return false end
  assert(held(circuit:band(asked), nil, "band").stopped)
end)

T.case("answers have the fields that are told, a boat, a trailer and a sweeper", function()
  local boat = load "tern_skerry_28"
  for _, fault in ipairs { false, "tie corroded", "port negative lug and tie corroded" } do
    ask_all(boat, "crank port", fault or nil, { "port starter stud", "port engine block" },
      "port + cable", "port battery")
  end
  held(boat:size { part = "bilge feed", drop = "3 %", condition = "bilge pumping" }, nil, "sizes")
  local trailer = load "oxlode_48"
  held(trailer:predict { condition = "night, braking", faults = { "ground pin open" } }, nil, "answer")
  held(trailer:drops { condition = "night, braking", faults = { "ground pin open" } }, nil, "drops")
  local truck = load "mulebeck_5"
  held(load("wicken_410"):size { part = "battery + cable", condition = "key on" }, nil, "sizes")
  held(truck:size { part = "charge cable", drop = "3 %", condition = "charging" }, nil, "sizes")
  held(truck:explain { red = "main + post", black = "main - post", condition = "charging" }, nil,
    "explanation")
  held(load("brindle_9"):offsets { faults = { "unit B weak" } }, nil, "offsets")
end)

T.case("what floats, has no way, or is a source of its own", function()
  local circuit = assert(strapline.parse([[
battery "B" { "+", "-", cca = "600 A" }
switch  "S" { "+", "a" }
lamp    "L" { "a", "b", power = "21 W" }
joint   "G" { "b", "-", resistance = "1 mohm" }
lamp    "X" { "x", "y", power = "21 W" }
relay   "K" { ["30"] = "+", ["87"] = "x", ["86"] = "k", ["85"] = "-" }
cable   "W" { "+", "w", size = "6 mm2", length = "1 m" }
lamp    "V" { "w", "-", power = "21 W" }
resistor "U" { "w", "-", resistance = "3 ohm" }
diode   "D" { "-", "a", rated_current = "6 A" }
]], "parts.lua"))
  held(circuit:explain { red = "x", black = "-", faults = { "G: open" } }, nil, "explanation")
  held(circuit:explain { red = "+", black = "y" }, nil, "explanation")
  held(circuit:explain { red = "+", black = "b", faults = { "G: open" } }, nil, "explanation")
  held(circuit:drops { load = "X" }, nil, "drops")
  held(circuit:drops { load = "L", limits = "abyc-3" }, nil, "drops")
  held(circuit:drops { load = "L", limits = "j541-light", faults = { "S: position = closed" } }, nil,
    "drops")
  held(circuit:read { clamp = { "U" } }, nil, "reading")
  held(circuit:read { alone = "L", ohms = true }, nil, "reading")
  held(circuit:read { alone = "K", ohms = true }, nil, "reading")
  held(circuit:read { red = "x", black = "y", ohms = true }, nil, "reading")
  held(circuit:matters { part = "L", element = "filament" }, nil, "influences")
end)

T.case("sneak paths: an H whose bar's current turns round, and a shared ground that is lost", function()
  local held_so = [[
source   "E"  { "p", "-", voltage = "12 V" }
switch   "S1" { "p", "a" }
switch   "S2" { "p", "b" }
resistor "L1" { "a", "g", resistance = "4 ohm" }
resistor "L2" { "b", "g", resistance = "4 ohm" }
resistor "bar" { "a", "b", resistance = "2 ohm" }
cable    "G"  { "g", "-", size = "6 mm2", length = "1 m" }
cable    "thin" { "g", "-", size = "0.2 mm2", length = "0.3 m" }
resistor "high" { "p", "-", resistance = "6 ohm" }
resistor "BIG" { "p", "g", resistance = "0.1 ohm" }
reference "-"
]]
  local conditions = 'condition "one" { S1 = "closed" }\ncondition "two" { S2 = "closed" }\n'
  local lamps = [[
source   "E"     { "p", "-", voltage = "12 V" }
switch   "brake" { "p", "b" }
resistor "tail"  { "p", "lug", resistance = "4 ohm" }
resistor "stop"  { "b", "lug", resistance = "2 ohm" }
resistor "high stop" { "b", "-", resistance = "6 ohm" }
joint    "screw" { "lug", "-", resistance = "1 mohm" }
reference "-"
]]
  for _, text in ipairs { held_so, held_so .. conditions, lamps } do
    held(assert(strapline.parse(text, "h.lua")):sneak {}, nil, "sneaks")
    held(assert(strapline.parse(text, "h.lua")):sneak { progress = function() return false end },
      nil, "sneaks")
  end
end)

T.case("sweeps and surveys", function()
  local circuit = load "wicken_410"
  local sweep = held(circuit:sweep { readings = { "frame", { state = "starter relay" } },
    shorts = true, swaps = { { "LOW", "HIGH" } }, conditions = { "crank" } }, nil, "sweep")
  local names = {}
  for row in sweep:rows() do
    check(row, "row", "row")
    if row.values[2] then names[row.values[2]] = true end
  end
  assert(names["pulled in"] and names.released)
  local columns = sweep:columns()
  for row in sweep:rows() do
    if row.ending == 1 then T.equal(columns[2][row.case], row.values[2]) end
  end
  T.has(sweep:csv(), ",pulled in\n")
  sweep:close()
  local given = held(circuit:sweep { faults = { "weak battery", "corroded frame ground" },
    pairs = true }, nil, "sweep")
  for row in given:rows() do check(row, "row", "row") end
  local survey = held(circuit:survey {}, nil, "survey")
  for finding in survey:findings() do check(finding, "finding", "finding") end
  for finding in survey:whole() do check(finding, "finding", "finding") end
end)

--- What no answer of these tests has: errors, two ends of what does not chatter here, and such.
local not_met = {
  ["row.status"] = true, ["row.message"] = true, ["finding.status"] = true,
  ["finding.message"] = true, ["finding.good_status"] = true, ["without answer.condition"] = true,
  ["without answer.message"] = true, ["shown ohms.resistance"] = true,
  ["shown ohms.swapped"] = true, ["shown ohms.before"] = true, ["shown ohms.with"] = true,
  ["lost way.element"] = true, ["noticed.other_end"] = true,
}

T.case("every field that is told is there in some answer", function()
  local missing = {}
  for _, record in ipairs(answers.list) do
    for _, field in ipairs(answers.fields(record)) do
      local name = record.name .. "." .. field[1]
      if not seen[name] and not not_met[name] then missing[#missing + 1] = name end
    end
  end
  T.equal(table.concat(missing, ", "), "")
end)

T.case("the page of questions tells of every answer", function()
  local page = assert(require("strapline.pages").page "lua")
  local calls = require "strapline.calls"
  for _, call in ipairs(calls.list) do
    local name = call.about:match "%-> (.*)$"
    assert(answers.list[name], call.name .. " gives " .. name)
  end
  for _, record in ipairs(answers.list) do
    T.has(page, ("\n%s (%s)\n"):format(record.name, record.about))
  end
end)

T.case("a name that is not there is nil, or an error that says the nearest", function()
  local found = assert(load("wicken_410"):predict())
  T.equal(found.nodes.fram, nil)
  T.equal(found:node("frame"), found.nodes.frame)
  T.equal(found:part("starter"), found.parts.starter)
  T.raises("there is no node 'fram' (did you mean 'frame'?)", found.node, found, "fram")
  T.raises("there is no part 'startr' (did you mean 'starter'?)", found.part, found, "startr")
  T.raises("there is no node 'nil'", found.node, found)
end)

T.finish()

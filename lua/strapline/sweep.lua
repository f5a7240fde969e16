--- Many questions as one value: every fault in every condition, and what is read.
---
--- strapline/calls.lua tells of the fields of circuit:sweep { ... }.
---
--- sweep = { circuit, faults = { { text, part, mode, ... } }, readings = { { name, unit } }, cases }
--- sweep:rows() -> iterator of rows { case, condition, faults = { TEXT }, outcome, ending,
---                 values = { [n] = value of reading n } }, without an answer { status, message };
---                 the value of a state is its name
--- sweep:columns() -> { [n] = { [case] = value of reading n } }, { [case] = outcome or status }:
---                 without a table for each row, for when there are many; a case that chatters
---                 has the values of its first ending
--- sweep:table() -> list of all rows; sweep:csv(write), sweep:json(write): `write` takes pieces of
---                 text, and without it the whole text is returned
local article = require "strapline.article"
local calls = require "strapline.calls"
local fault_text = require "strapline.fault_text"
local hidden = require "strapline.hidden"
local nearest = require "strapline.nearest"
local question = require "strapline.question"
local sorted = require "strapline.sorted"

local M = {}
local Sweep = {}

M.SHORT_OHM = 0.01 -- a conductor chafed through on metal; common practice, no source
local CHUNK = 32 -- cases a thread answers before their rows are handed over

local fields = calls.fields "sweep"

-- What is read -------------------------------------------------------------------------------------

--- "RED,BLACK" or "NODE" as two nodes; a node may have commas in its own name.
local function split_nodes(circuit, text)
  if circuit.core:has_node(text) then return text, circuit.core:reference() end
  for at in text:gmatch "()," do
    local red = text:sub(1, at - 1):match "^%s*(.-)%s*$"
    local black = text:sub(at + 1):match "^%s*(.-)%s*$"
    if circuit.core:has_node(red) and circuit.core:has_node(black) then return red, black end
  end
  return text:match "^%s*(.-)%s*," or text, text:match ",%s*(.-)%s*$" or circuit.core:reference()
end

local quantities = {
  { "current", "A" }, { "drop", "V" }, { "power", "W" }, { "state", "" },
}

--- Whether nothing else is asked for in the same table, and the part has it.
local function check_alone(circuit, reading, quantity)
  for _, key in ipairs(sorted.keys(reading)) do
    if key ~= quantity and key ~= "element" and key ~= "group" then
      return question.misuse("reading: '%s' beside '%s'; a reading is one quantity of one part",
        tostring(key), quantity)
    end
  end
  local part = reading[quantity]
  if quantity == "state" and #(circuit.kinds[part].states or {}) == 0 then
    return question.misuse("reading: '%s' is %s, which has no states", part,
      article(circuit.kinds[part].name))
  end
  return true
end

local function part_reading(circuit, reading)
  for _, entry in ipairs(quantities) do
    local quantity, unit = table.unpack(entry)
    local part = reading[quantity]
    if part and not circuit.kinds[part] then
      return question.misuse("reading: there is no part '%s'%s", tostring(part),
        nearest.hint_or_list(tostring(part), circuit.part_names, "parts"))
    elseif part then
      local ok, message, code = question.check_no_panel(circuit, part)
      if ok then ok, message, code = question.check_element(circuit, part, reading.element) end
      if ok then ok, message, code = check_alone(circuit, reading, quantity) end
      if not ok then return nil, message, code end
      local of = reading.element and ("%s of %s"):format(reading.element, part) or part
      return hidden.behind({ name = ("%s of %s"):format(quantity, of), unit = unit }, {
        quantity = reading.element and "element " .. quantity or quantity, part = part,
        element = reading.element, group = reading.group or 1,
        states = quantity == "state" and circuit.kinds[part].states or nil,
      })
    end
  end
  return question.misuse("a reading is \"NODE\", \"RED,BLACK\", { red =, black = } or one of "
    .. "{ current = PART }, { drop = PART }, { power = PART }, { state = PART }")
end

--- A reading as asked for -> { name, unit, quantity, ... }; or nil, message, code.
function M.reading(circuit, reading)
  local red, black
  if type(reading) == "string" then
    red, black = split_nodes(circuit, reading)
  elseif type(reading) ~= "table" then
    return question.misuse("a reading is a text or a table, not a %s", type(reading))
  elseif reading.red then
    red, black = reading.red, reading.black or circuit.core:reference()
  else
    return part_reading(circuit, reading)
  end
  for lead, node in pairs { red = red, black = black } do
    local ok, message, code = question.check_node(circuit, lead, node)
    if not ok then return nil, message, code end
  end
  return hidden.behind({ name = ("%s against %s"):format(red, black), unit = "V" },
    { quantity = "voltage", red = red, black = black,
      group = type(reading) == "table" and reading.group or 1 })
end

--- Every node that a lead can go on, against the reference.
local function every_node(circuit)
  local list, reference = {}, circuit.core:reference()
  for _, node in ipairs(circuit.core:nodes()) do
    if node ~= reference and circuit.core:reach(node) ~= "inside" then
      list[#list + 1] = { red = node, black = reference }
    end
  end
  return list
end

local function add_readings(core, circuit, asked, into)
  for _, wanted in ipairs(asked or every_node(circuit)) do
    local reading, message, code = M.reading(circuit, wanted)
    if not reading then return nil, message, code end
    if reading.quantity == "voltage" then
      core:reading("voltage", reading.red, reading.group, reading.black)
    else
      core:reading(reading.quantity, reading.part, reading.group, reading.element)
    end
    into[#into + 1] = reading
  end
  return true
end

-- What fails ---------------------------------------------------------------------------------------

--- The edits of a fault, or of several that are there at once.
local function edits_of(circuit, texts)
  local all = {}
  for _, text in ipairs(texts) do
    local edits, message, code = question.find_fault(circuit, text)
    if not edits then return nil, message, code end
    for _, edit in ipairs(edits) do
      if circuit.kinds[edit.part].is_panel then
        return question.misuse("fault '%s' is of a panel, and sweeps leave panels as they are", text)
      end
      all[#all + 1] = edit
    end
  end
  return all
end

local function add_given(core, circuit, faults)
  for _, fault in ipairs(faults) do
    local texts = type(fault) == "table" and fault or { fault }
    local edits, message, code = edits_of(circuit, texts)
    if not edits then return nil, message, code end
    local ok
    ok, message, code = core:edits(table.concat(texts, " + "), edits)
    if not ok then return nil, message, code == "SL_E_NOMEM" and code or "misuse" end
  end
  return true
end

local function add_modes(core, circuit, parts, severities)
  for _, part in ipairs(parts or circuit.part_names) do
    if not circuit.kinds[part] then
      return question.misuse("there is no part '%s'%s", tostring(part),
        nearest.hint_or_list(tostring(part), circuit.part_names, "parts"))
    end
    if not circuit.kinds[part].is_panel then
      local ok, message, code = core:modes(part, severities)
      if not ok then return nil, message, code end
    elseif parts then
      return question.misuse("'%s' is a panel, and sweeps leave panels as they are", part)
    end
  end
  return true
end

--- Every node to ground and to the feed, those two to each other once; nothing chafes inside a part
--- or on a pin without a wire.
local function add_shorts(core, circuit)
  local feed, message, code = circuit.core:feed()
  if not feed then return nil, message, code end
  local ground = circuit.core:reference()
  for _, node in ipairs(circuit.core:nodes()) do
    for _, to in ipairs { ground, feed } do
      local ok = node == to or node == ground or circuit.core:reach(node) ~= "test point"
      if not ok then ok, message, code = core:leak(node, to, M.SHORT_OHM) end
      if not ok then return nil, message, code end
    end
  end
  return true
end

local function is_list_of_lists(list)
  for _, entry in ipairs(type(list) == "table" and list or {}) do
    if type(entry) ~= "table" then return false end
  end
  return type(list) == "table"
end

local function add_leaks(core, circuit, leaks)
  if not is_list_of_lists(leaks) then
    return question.misuse "leaks is a list, such as { { \"NODE\", \"NODE\", 1000 } }"
  end
  for _, leak in ipairs(leaks) do
    if type(leak[3]) ~= "number" then
      return question.misuse("leak: its third is how many ohm, a number; it is %s",
        tostring(leak[3]))
    end
    for _, node in ipairs { leak[1], leak[2] } do
      local ok, message, code = question.check_node(circuit, "leak, the", node)
      if not ok then return nil, message, code end
    end
    local ok, message = core:leak(leak[1], leak[2], leak[3])
    if not ok then return question.misuse("%s", message) end
  end
  return true
end

--- Of every part, or of these.
local function add_all_swaps(core, circuit, parts)
  for _, part in ipairs(parts or circuit.part_names) do
    local ok, message, code = true, nil, nil
    if not circuit.kinds[part].is_panel then ok, message, code = core:swaps(part) end
    if not ok then return nil, message, code end
  end
  return true
end

local function add_swaps(core, circuit, swaps)
  if not is_list_of_lists(swaps) then
    return question.misuse "swaps is \"all\" or a list, such as { { \"PART\", \"PART\" } }"
  end
  for _, swap in ipairs(swaps) do
    if not circuit.kinds[swap[1]] or not circuit.kinds[swap[2]] then
      local strange = tostring(circuit.kinds[swap[1]] and swap[2] or swap[1])
      return question.misuse("swap: there is no part '%s'%s", strange,
        nearest.hint_or_list(strange, circuit.part_names, "parts"))
    end
    for _, node in ipairs { swap[3], swap[4] } do
      local ok, message, code = question.check_node(circuit, "swap, the", node)
      if not ok then return nil, message, code end
    end
    local ok, message = core:swap(table.unpack(swap, 1, 4))
    if not ok then return question.misuse("%s", message) end
  end
  return true
end

local function add_faults(core, circuit, asked)
  local ok, message, code
  if asked.faults == nil or asked.faults == "all" then
    ok, message, code = add_modes(core, circuit, asked.parts, asked.severities or 1)
  elseif type(asked.faults) == "table" then
    ok, message, code = add_given(core, circuit, asked.faults)
  else
    ok, message, code = question.misuse("faults is \"all\" or a list of texts")
  end
  if ok and asked.shorts then ok, message, code = add_shorts(core, circuit) end
  if ok and asked.leaks then ok, message, code = add_leaks(core, circuit, asked.leaks) end
  if ok and asked.swaps == "all" then
    ok, message, code = add_all_swaps(core, circuit, asked.parts)
  elseif ok and asked.swaps then
    ok, message, code = add_swaps(core, circuit, asked.swaps)
  end
  return ok, message, code
end

local function add_conditions(core, circuit, names)
  for _, name in ipairs(names or {}) do
    local condition, message, code = question.find_condition(circuit, name)
    if not condition then return nil, message, code end
    core:condition(condition.name)
  end
  return true
end

local function whole_number(value, most)
  return value == nil or math.type(value) == "integer" and value >= 1 and value <= most
end

local function check(asked)
  local ok, message, code = question.check_fields(asked, fields)
  if not ok then return nil, message, code end
  if not whole_number(asked.severities, 1000) then
    return question.misuse("severities = %s; allowed: a whole number, 1 to 1000",
      tostring(asked.severities))
  elseif not whole_number(asked.threads, 64) then
    return question.misuse("threads = %s; allowed: a whole number, 1 to 64",
      tostring(asked.threads))
  end
  return true
end

local function fill(core, circuit, asked, readings)
  local ok, message, code = add_conditions(core, circuit, asked.conditions)
  if ok then ok, message, code = add_faults(core, circuit, asked) end
  if ok then ok, message, code = add_readings(core, circuit, asked.readings, readings) end
  core:pairs(asked.pairs)
  return ok, message, code
end

--- @return sweep; or nil, message, code
function M.sweep(circuit, asked)
  local ok, message, code = check(asked)
  if not ok then return nil, message, code end
  local readings, core = {}
  core, message, code = circuit.core:sweep()
  if not core then return nil, message, code end
  ok, message, code = fill(core, circuit, asked, readings)
  if not ok then
    core:close()
    return nil, message, code
  end
  local faults = core:faults()
  for _, fault in ipairs(faults) do fault.text = fault_text.text(circuit, fault) end
  return hidden.behind({ readings = readings, faults = faults, cases = core:count() },
    { circuit = circuit, core = core, threads = asked.threads or 1, quick = asked.quick }, Sweep)
end

-- What comes of it ---------------------------------------------------------------------------------

--- The name of a state that stands as a number in a list, for every entry of it.
local function name_states(states, values, first, last)
  for at = first, last do
    local state = values[at]
    values[at] = state and states[math.tointeger(state) + 1]
  end
end

--- Puts the texts of its faults, and the names of states, into a row.
local function name_row(self, row)
  for index, reading in ipairs(row.values and self.readings or {}) do
    if reading.states then name_states(reading.states, row.values, index, index) end
  end
  row.faults = {}
  for index, number in ipairs { row.fault, row.second } do
    row.faults[index] = self.faults[number].text
  end
  return row
end

--- Rows in the order of the cases, some at a time from `take(first, count)`.
local function iterate(self, take)
  local rows, at, next_case = {}, 0, 1
  return function()
    while at >= #rows do
      if next_case > self.cases then return nil end
      local count = CHUNK * self.threads
      local found, message = take(next_case, count)
      if not found then error(message, 2) end
      rows, at, next_case = found, 0, next_case + count
    end
    at = at + 1
    return name_row(self, rows[at])
  end
end

--- Iterator of rows. Running out of memory raises.
function Sweep:rows()
  local next_row = iterate(self, function(first, count)
    return self.core:run(first, count, self.threads, false, self.quick)
  end)
  return function()
    local row = next_row()
    if row then row.notices = nil end -- none were asked for
    return row
  end
end

--- Iterator of contrasts with the good circuit, for readings that differ by `change` volts or more:
--- rows { ..., good_status, load_only, best = { [group] = { reading, good, now, alone_good,
--- alone_now } }, alone = the same for what differs most to a meter alone, symptoms = { { type,
--- part, name, good, now } } }. include/strapline/contrast.h tells what each is.
function Sweep:contrasts(change)
  return iterate(self, function(first, count)
    return self.core:contrast(first, count, self.threads, change)
  end)
end

--- All rows at once.
function Sweep:table()
  local list = {}
  for row in self:rows() do list[#list + 1] = row end
  return list
end

--- Every reading as a list of its values, nil where there is none, and how each case ended:
--- "settled", "timing", "chatters", or the name of a status. Running out of memory raises.
function Sweep:columns()
  local values, ends = self.core:fill(1, self.cases, self.threads, self.quick)
  if not values then error(ends, 2) end
  for index, reading in ipairs(self.readings) do
    if reading.states then name_states(reading.states, values[index], 1, self.cases) end
  end
  return values, ends
end

--- { cases, full_solves, circuits_made, without, chattering, closed_forms, by_ports }: what has been done so
--- far. include/strapline/sweep.h tells what each is.
function Sweep:stats()
  return self.core:stats()
end

function Sweep:close()
  self.core:close()
end

local function gather(write)
  local pieces = {}
  return write or function(text) pieces[#pieces + 1] = text end, function()
    return not write and table.concat(pieces) or nil
  end
end

--- A line of headings, then a line for each row.
function Sweep:csv(write)
  local csv = require "strapline.csv"
  local put, text = gather(write)
  local headings = { "case", "condition", "faults", "status", "outcome", "ending" }
  local before = #headings
  for index, reading in ipairs(self.readings) do
    headings[before + index] = reading.unit == "" and reading.name
      or ("%s (%s)"):format(reading.name, reading.unit)
  end
  put(csv.line(headings, #headings) .. "\n")
  for row in self:rows() do
    local cells = { row.case, row.condition, table.concat(row.faults, "; "), row.status or "ok",
      row.outcome, row.ending }
    for index in ipairs(self.readings) do cells[before + index] = row.values[index] end
    put(csv.line(cells, #headings) .. "\n")
  end
  return text()
end

local function json_row(json, self, row)
  local values = {}
  for index in ipairs(self.readings) do values[index] = json.maybe(row.values[index]) end
  return json.object {
    { "case", row.case }, { "condition", row.condition }, { "faults", json.list(row.faults) },
    { "status", row.status or "ok" }, { "message", json.maybe(row.message) },
    { "outcome", json.maybe(row.outcome) }, { "ending", json.maybe(row.ending) },
    { "values", json.list(values) },
  }
end

--- { "readings": [{ "name", "unit" }], "rows": [{ "case", ..., "values": [] }] }, a line a row.
function Sweep:json(write)
  local json = require "strapline.json"
  local put, text = gather(write)
  local readings = {}
  for index, reading in ipairs(self.readings) do
    readings[index] = json.object { { "name", reading.name }, { "unit", reading.unit } }
  end
  put('{"readings": ' .. json.line(json.list(readings)) .. ',\n"rows": [')
  local separator = "\n"
  for row in self:rows() do
    put(separator .. json.line(json_row(json, self, row)))
    separator = ",\n"
  end
  put("\n]}\n")
  return text()
end

return M

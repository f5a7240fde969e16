--- Judges the records of a circuit file against the descriptions of the kinds.
---
--- plan = { name, temperature, warmth, parts = { { record, nodes, values, spreads, points } },
---          (a panel among the parts: { record, panel, values })
---          conditions = { { record, after, temperature, warmth, edits, spreads } },
---          faults = { { record, about, changes, edits } },
---          kinds = { [part] = description }, part_names }
local article = require "strapline.article"
local check_part = require "strapline.check_part"
local faults = require "strapline.faults"
local kinds = require "strapline.kinds"
local nearest = require "strapline.nearest"
local quantity = require "strapline.quantity"
local sorted = require "strapline.sorted"
local values = require "strapline.values"
local words = require "strapline.words"

local M = {}

--- A function that notes a fault of a record.
local function adder(records, record, word)
  local subject = ('%s "%s": '):format(word or record.kind, record.name)
  return function(text) records.problems:add(record.line, subject .. text) end
end

local function check_parts(records, plan)
  local first = {}
  for _, record in ipairs(records.parts) do
    local kind = kinds.find(record.kind)
    local add = adder(records, record)
    local wrong = values.check_name(record.name, true)
    local other = first[record.name]
    local sound = check_part.check(add, record, kind)
    if wrong then
      add(wrong)
    elseif other then
      add(("the name is taken by the %s on line %d; give each part its own name")
        :format(other.kind, other.line))
    else
      first[record.name] = record
      plan.kinds[record.name] = kind
      plan.part_names[#plan.part_names + 1] = record.name
      plan.parts[#plan.parts + 1] = sound
    end
  end
end

--- A bare word in a condition: KEY = "closed".
local function check_position(add, name, kind, written)
  local param = kind.position_param and kind.params[kind.position_param]
  if not param then
    add(("%s = %s: %s has no position to set; write %s = { FIELD = VALUE }")
      :format(name, quantity.quote(written), article(kind.name), name))
    return nil
  end
  local value, wrong = values.check(param, written)
  if not value then
    add(("%s: %s"):format(name, wrong))
    return nil
  end
  return { part = name, change = "set", what = param.name, value = value }
end

--- Fields of a part in a condition: B1 = { charge = "80 %" }, each with or without a spread.
local function check_fields(add, name, kind, body, condition)
  for _, key in ipairs(sorted.keys(body)) do
    local param = type(key) == "string" and kind.params[key]
    if not param then
      add(("%s: %s has no field '%s'%s"):format(name, article(kind.name), tostring(key),
        nearest.hint_or_list(tostring(key), kinds.names_of(kind.params), "allowed")))
    elseif not words.is_unknown(body[key]) then
      local value, spread, wrong = values.check_spread(param, body[key])
      if wrong then add(("%s: %s"):format(name, wrong)) end
      if value then
        table.insert(condition.edits, { part = name, change = "set", what = key, value = value })
      end
      if spread then
        table.insert(condition.spreads, { part = name, param = key, spread = spread })
      end
    end
  end
end

local function check_part_change(add, plan, name, written, condition)
  local kind = plan.kinds[name]
  if words.is_unknown(written) then return end
  if not kind then
    add(("there is no part '%s'%s"):format(tostring(name),
      nearest.hint_or_list(tostring(name), plan.part_names, "parts")))
  elseif type(written) == "table" then
    check_fields(add, name, kind, written, condition)
  else
    table.insert(condition.edits, check_position(add, name, kind, written))
  end
end

--- `after`: the name of an earlier condition.
local function check_after(add, earlier, written)
  if type(written) == "string" and earlier[written] then return written end
  local names = sorted.keys(earlier)
  add(("after = %s is not a condition that stands before this one%s")
    :format(quantity.quote(written), nearest.hint_or_list(tostring(written), names, "there are")))
end

--- A temperature of the file or of a condition; its range is judged when it is set.
--- @return value, spread
local function check_temperature(add, written)
  local value, spread, wrong = quantity.parse_spread(written, "temperature", false)
  if not wrong and spread and spread.relative then
    wrong = 'has a spread in percent; write kelvins, such as "20 C +-15 C"'
  end
  if wrong then add(("temperature = %s %s"):format(quantity.quote(written), wrong)) end
  return value, spread
end

--- The speed of the engine; its range is judged by the parts that turn with it.
local function check_engine_speed(add, written)
  local value, wrong = quantity.parse(written, "speed of rotation", false)
  if not value then add(("engine_speed = %s %s"):format(quantity.quote(written), wrong)) end
  return value
end

local function check_condition_body(add, record, plan, earlier)
  local condition = { record = record, edits = {}, spreads = {} }
  for _, key in ipairs(sorted.keys(record.body)) do
    local written = record.body[key]
    if key == "after" then
      condition.after = check_after(add, earlier, written)
    elseif key == "temperature" then
      condition.temperature, condition.warmth = check_temperature(add, written)
    elseif key == "engine_speed" then
      condition.engine_speed = check_engine_speed(add, written)
    else
      check_part_change(add, plan, key, written, condition)
    end
  end
  return condition
end

--- Name and body of a condition or fault. @return whether the body can be looked at
local function check_named(add, record, seen, form, no_colon)
  local wrong = values.check_name(record.name, no_colon)
  if wrong then
    add(wrong)
  elseif seen[record.name] then
    add(("the name is taken on line %d"):format(seen[record.name].line))
  end
  if type(record.body) ~= "table" then
    add("has no { }; write " .. form)
    return false
  end
  return not wrong and not seen[record.name]
end

local function check_conditions(records, plan)
  local earlier = {}
  for _, record in ipairs(records.conditions) do
    local add = adder(records, record, "condition")
    if check_named(add, record, earlier, 'condition "NAME" { PART = "closed" }') then
      plan.conditions[#plan.conditions + 1] = check_condition_body(add, record, plan, earlier)
      earlier[record.name] = record
    end
  end
end

local function check_fault_body(add, record, plan)
  local fault = { record = record, changes = {}, edits = {} }
  for _, key in ipairs(sorted.keys(record.body)) do
    local written = record.body[key]
    if key == "about" and type(written) == "string" then
      fault.about = written
    elseif type(key) == "number" and type(written) == "string" then
      local edit, wrong = faults.parse(written, plan)
      if not edit then add(wrong) end
      fault.changes[#fault.changes + 1] = written
      fault.edits[#fault.edits + 1] = edit
    elseif not words.is_unknown(written) then
      add(('%s = %s is not understood; write fault "NAME" { "PART: CHANGE", about = "TEXT" }')
        :format(tostring(key), quantity.quote(written)))
    end
  end
  if #fault.changes == 0 then add('changes nothing; write fault "NAME" { "PART: CHANGE" }') end
  return fault
end

local function check_faults(records, plan)
  local seen = {}
  for _, record in ipairs(records.faults) do
    local add = adder(records, record, "fault")
    if check_named(add, record, seen, 'fault "NAME" { "PART: CHANGE" }', true) then
      plan.faults[#plan.faults + 1] = check_fault_body(add, record, plan)
      seen[record.name] = record
    end
  end
end

--- The nodes that parts end on, named ones and their own.
local function node_names(plan)
  local names, seen = {}, {}
  local function note(name)
    if not seen[name] then
      seen[name] = true
      names[#names + 1] = name
    end
  end
  for _, part in ipairs(plan.parts) do
    for _, terminal in ipairs(kinds.find(part.record.kind).terminals) do
      note(part.nodes[terminal.name] or part.record.name .. "." .. terminal.name)
    end
    for _, stud in ipairs(part.panel and part.panel.studs or {}) do note(stud.node) end
  end
  return names, seen
end

--- Whether something can serve to measure against.
local function check_reference(records, plan)
  local given = records.reference
  if given then
    local names, seen = node_names(plan)
    if words.is_unknown(given.value) then
      return
    elseif type(given.value) ~= "string" then
      records.problems:add(given.line, ('reference %s: a node is text, such as "frame"')
        :format(quantity.quote(given.value)))
    elseif not seen[given.value] and #plan.parts == #records.parts then
      records.problems:add(given.line, ('reference "%s": no part ends on that node%s')
        :format(given.value, nearest.hint_or_list(given.value, names, "nodes")))
    end
    return
  end
  for _, record in ipairs(records.parts) do
    if kinds.find(record.kind).negative_post then return end
  end
  if #records.parts > 0 then
    records.problems:add(1, "nothing to measure against; write reference \"NODE\", "
      .. "or add a battery, whose negative post then serves")
  end
end

local function check_head(records, plan)
  local name, celsius = records.circuit, records.temperature
  if name and not words.is_unknown(name.value) then
    local wrong = type(name.value) ~= "string" and "a name is text"
      or values.check_name(name.value)
    if wrong then records.problems:add(name.line, "circuit: " .. wrong) end
    plan.name = name.value
  end
  if celsius and not words.is_unknown(celsius.value) then
    plan.temperature, plan.warmth = check_temperature(
      function(text) records.problems:add(celsius.line, text) end, celsius.value)
  end
end

--- @return plan; faults are added to records.problems
function M.check(records)
  local plan = { parts = {}, conditions = {}, faults = {}, part_names = {}, kinds = {} }
  if #records.parts == 0 and #records.problems == 0 then
    records.problems:add(1, "the file has no parts; write at least a battery or a source and what "
      .. 'it feeds, such as resistor "R1" { "a", "b", resistance = "4.7 ohm" }')
  end
  check_head(records, plan)
  check_parts(records, plan)
  check_reference(records, plan)
  check_conditions(records, plan)
  check_faults(records, plan)
  return plan
end

return M

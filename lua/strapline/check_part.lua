--- Judges what a part of a circuit file says: its nodes by terminal, its values by parameter.
local article = require "strapline.article"
local kinds = require "strapline.kinds"
local nearest = require "strapline.nearest"
local panel = require "strapline.panel"
local quantity = require "strapline.quantity"
local sorted = require "strapline.sorted"
local values = require "strapline.values"
local words = require "strapline.words"

local M = {}

--- 'resistor "R1" { "NODE a", "NODE b", ... }'
local function form_of(record, kind)
  local nodes = {}
  for _, terminal in ipairs(kind.terminals) do
    if not terminal.optional then nodes[#nodes + 1] = ('"NODE for %s"'):format(terminal.name) end
  end
  return ('%s "%s" { %s, ... }'):format(record.kind, record.name, table.concat(nodes, ", "))
end

--- A node as written. @return whether it can stand
local function check_node(add, terminal, written)
  if words.is_unknown(written) then return false end
  if type(written) ~= "string" then
    add(('terminal %s is on %s; a node is text, such as "B1 +"')
      :format(terminal.name, quantity.quote(written)))
    return false
  end
  local wrong = values.check_name(written)
  if wrong then add(('terminal %s, node "%s": %s'):format(terminal.name, written, wrong)) end
  return not wrong
end

--- Nodes listed in order. @return nodes by terminal
local function listed_nodes(add, body, record, kind)
  local nodes, most = {}, 0
  for key, written in sorted.pairs(body) do
    local terminal = math.type(key) == "integer" and kind.terminals[key]
    if terminal then
      nodes[terminal.name] = written
    elseif math.type(key) == "integer" and kind.terminals[tostring(key)] then
      add(('terminal %d needs quotes: ["%d"] = %s'):format(key, key, quantity.quote(written)))
      nodes[tostring(key)] = written
    elseif math.type(key) == "integer" then
      most = math.max(most, key)
    end
  end
  if most > #kind.terminals then
    add(("lists %d nodes; %s has %d terminals; write %s")
      :format(most, article(record.kind), #kind.terminals, form_of(record, kind)))
  end
  return nodes
end

--- All nodes, listed or named, each judged. @return nodes by terminal, whether all can stand
local function check_nodes(add, record, kind)
  local nodes, sound = listed_nodes(add, record.body, record, kind), true
  for _, terminal in ipairs(kind.terminals) do
    local named = record.body[terminal.name]
    if named ~= nil and nodes[terminal.name] ~= nil then
      add(("terminal %s is given twice, in the list and by name"):format(terminal.name))
      sound = false
    end
    if nodes[terminal.name] == nil then nodes[terminal.name] = named end
    local written = nodes[terminal.name]
    if written ~= nil then
      sound = check_node(add, terminal, written) and sound
    elseif not terminal.optional then
      add(("terminal %s has no node; it is %s; write %s")
        :format(terminal.name, terminal.doc, form_of(record, kind)))
      sound = false
    end
  end
  return nodes, sound
end

--- A path for current from a node to itself.
local function check_ends(add, kind, nodes)
  for _, element in ipairs(kind.elements) do
    local from, to = nodes[element.from], nodes[element.to]
    if type(from) == "string" and from == to then
      add(('both ends of its %s, %s and %s, are on node "%s"; give two different nodes')
        :format(element.name, element.from, element.to, from))
      return false
    end
  end
  return true
end

--- What is written as a field but is a fault of the kind: how that is said. Or "".
local function fault_hint(kind, record, key)
  local name = key:gsub("_", " ")
  for _, mode in ipairs(kind.modes) do
    if mode.name == name then
      return ('; it is a fault, which is named apart: fault "NAME" { "%s: %s" }'):format(
        record.name, name)
    end
  end
  return ""
end

--- Keys that are neither terminal nor parameter.
--- @return whether there are none, and the set of fields that misspelt ones most likely mean
local function check_keys(add, record, kind)
  local strange, meant = {}, {}
  for key in sorted.pairs(record.body) do
    local known = kind.params[key] or kind.terminals[key] or key == "points" and kind.takes_points
    if type(key) == "string" and not known then
      strange[#strange + 1] = key
    elseif type(key) ~= "string" and not (math.type(key) == "integer" and key >= 1) then
      strange[#strange + 1] = "[" .. quantity.quote(key) .. "]"
    end
  end
  if #strange == 0 then return true, meant end
  table.sort(strange)
  local known = kinds.names_of(kind.params)
  for _, terminal in ipairs(kind.terminals) do known[#known + 1] = terminal.name end
  if kind.takes_points then known[#known + 1] = "points" end
  for _, key in ipairs(strange) do
    local hint = nearest.hint(key, known)
    if hint == "" then hint = fault_hint(kind, record, key) end
    if hint == "" then hint = nearest.hint_or_list(key, known, "allowed") end
    add(("unknown field '%s'%s"):format(key, hint))
    meant[nearest.find(key, known) or key] = true
  end
  return false, meant
end

--- Values by parameter, each judged; one that was misspelt is not missed as well.
--- @return values, spreads, whether all can stand
local function check_values(add, record, kind, meant)
  local found, spreads, sound = {}, {}, true
  for _, param in ipairs(kind.params) do
    local written = record.body[param.name]
    if words.is_unknown(written) then
      sound = false
    elseif written ~= nil then
      local value, spread, wrong = values.check_spread(param, written)
      if wrong then
        add(wrong)
        sound = false
      elseif not value and param.presence == "required" then
        add(("%s = %s is a spread without a value; write %s"):format(param.name,
          quantity.quote(written), values.sample(param, kind.example):gsub('"$', ' +-20 %%"')))
        sound = false
      end
      found[param.name], spreads[param.name] = value, spread
    elseif param.presence == "required" and not meant[param.name] then
      add(("%s is missing; write %s (%s)"):format(param.name, values.sample(param, kind.example),
        param.doc))
      sound = false
    end
  end
  return found, spreads, sound
end

local POINTS = "points = { { 6, 4.1 }, { 12, 7.0 } }"

--- One measured point. @return volts, amperes; or nil when something is wrong with it
local function check_point(add, index, point)
  if type(point) ~= "table" or point[1] == nil or point[2] == nil or #point ~= 2 then
    add(("point %d is not a voltage and a current; write %s"):format(index, POINTS))
    return nil
  end
  local volts, wrong = quantity.parse(point[1], "voltage", true)
  if not volts then
    add(("point %d: %s %s"):format(index, quantity.quote(point[1]), wrong))
    return nil
  end
  local amps
  amps, wrong = quantity.parse(point[2], "current", true)
  if not amps then add(("point %d: %s %s"):format(index, quantity.quote(point[2]), wrong)) end
  return amps and volts, amps
end

--- Measured points, for a kind that takes them. @return flat list of V, A, V, A, ...; whether sound
local function check_points(add, record, kind)
  local points = record.body.points
  if not kind.takes_points then return nil, true end
  if words.is_unknown(points) then return nil, false end
  if type(points) ~= "table" or #points == 0 then
    add("has no measured points; write " .. POINTS .. ", each a voltage and its current")
    return nil, false
  end
  local flat, sound = {}, true
  for index, point in ipairs(points) do
    local volts, amps = check_point(add, index, point)
    sound = sound and volts ~= nil and volts ~= false
    flat[#flat + 1] = volts or 0
    flat[#flat + 1] = amps or 0
  end
  return flat, sound
end

--- @param add function(text): notes a fault of this part
--- @return { record, nodes, values, spreads, points }, of a panel { record, panel, values }; or nil
--- when it cannot be built
function M.check(add, record, kind)
  if kind.is_panel then return panel.check(add, record, kind) end
  if type(record.body) ~= "table" or words.is_unknown(record.body) then
    add("has no nodes; write " .. form_of(record, kind))
    return nil
  end
  local keys_sound, meant = check_keys(add, record, kind)
  local nodes, nodes_sound = check_nodes(add, record, kind)
  local ends_sound = check_ends(add, kind, nodes)
  local found, spreads, values_sound = check_values(add, record, kind, meant)
  local points, points_sound = check_points(add, record, kind)
  if keys_sound and nodes_sound and ends_sound and values_sound and points_sound then
    return { record = record, nodes = nodes, values = found, spreads = spreads, points = points }
  end
end

return M

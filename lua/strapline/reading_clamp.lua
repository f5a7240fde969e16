--- A clamp round one lead or several: the sum of what they carry, each counted into its part.
---
--- reading = { ..., leads = { { text, part, terminal, from, to, reversed, current } }, current,
---             places = { { node, through, held, others = { { part, current } } } }, other }
--- A place is an end of a clamped lead where the current parts: `through` flows there, `held` of it
--- is in the jaws, and `others` carry the rest, each counted into its part.
local article = require "strapline.article"
local nearest = require "strapline.nearest"
local question = require "strapline.question"
local reading = require "strapline.reading"

local M = {}

local NOTHING_A = 0.005 -- less than half the last digit of a clamp
local SMALL_SHARE = 0.01 -- what carries less of the current at a node is not worth a line

local function terminal_names(kind)
  local names = {}
  for index, terminal in ipairs(kind.terminals) do names[index] = terminal.name end
  return names
end

--- "PART", "PART.TERMINAL", either with "-" in front for a lead laid the other way.
local function parse_lead(circuit, text)
  if type(text) ~= "string" then return question.misuse("clamp is a list of the names of parts") end
  local reversed = text:sub(1, 1) == "-" and not circuit.kinds[text]
  local name = reversed and text:match("^%-%s*(.*)$") or text
  local kind, part, terminal = question.find_part(circuit, name)
  if not kind then return nil, part, terminal end
  local names = terminal_names(kind)
  if #names == 0 then
    return question.misuse("no clamp goes round '%s', %s; name the conductor that ends on its stud",
      part, article(kind.name))
  elseif not terminal and #names > 2 then
    return question.misuse("'%s' is %s with %d leads; say which: '%s.%s'; terminals: %s", part,
      article(kind.name), #names, part, names[1], table.concat(names, ", "))
  elseif terminal and not kind.terminals[terminal] then
    return question.misuse("%s has no terminal '%s'%s", article(kind.name), terminal,
      nearest.hint_or_list(terminal, names, "terminals"))
  end
  local index = terminal and kind.terminals[terminal].index or 1
  local lead = { text = text, part = part, terminal = names[index], index = index,
    reversed = reversed, node = circuit.core:part_node(part, index) }
  -- Of a part with two ends both are places where current may part.
  if #names == 2 then lead.far = circuit.core:part_node(part, 3 - index) end
  return lead
end

function M.check(circuit, plan)
  local list = plan.asked.clamp
  if type(list) == "string" then list = { list } end
  if type(list) ~= "table" or #list == 0 then
    return question.misuse("say round which leads the clamp is: the names of parts")
  end
  plan.leads = {}
  for index, text in ipairs(list) do
    local lead, message, code = parse_lead(circuit, text)
    if not lead then return nil, message, code end
    for _, before in ipairs(plan.leads) do
      if before.part == lead.part and (before.index == lead.index or lead.far) then
        return question.misuse("'%s' is in the clamp twice", lead.part)
      end
    end
    plan.leads[index] = lead
  end
  return true
end

--- Every part that ends on a node, with the current into it there.
local function currents_at(circuit, case, node)
  local list = {}
  for _, part in ipairs(circuit.part_names) do
    for index in ipairs(circuit.kinds[part].terminals) do
      if circuit.core:part_node(part, index) == node then
        list[#list + 1] = { part = part, index = index, current = case:terminal(part, index) or 0 }
      end
    end
  end
  return list
end

local function is_clamped(plan, part)
  for _, lead in ipairs(plan.leads) do
    if lead.part == part then return true end
  end
  return false
end

--- What flows through a node: `held` of it in the jaws, on `clamped` leads, the rest in `others`.
local function place_at(circuit, plan, case, node)
  local place = { node = node, through = 0, held = 0, clamped = 0, others = {} }
  local list = currents_at(circuit, case, node)
  for _, entry in ipairs(list) do place.through = place.through + math.max(entry.current, 0) end
  local least = math.max(NOTHING_A, SMALL_SHARE * place.through)
  for _, entry in ipairs(list) do
    if is_clamped(plan, entry.part) then
      place.held, place.clamped = place.held + entry.current, place.clamped + 1
    elseif math.abs(entry.current) >= least then
      place.others[#place.others + 1] = { part = entry.part, current = entry.current }
    end
  end
  place.held = math.abs(place.held)
  place.parts = #place.others >= 2 and place.held < place.through - least
  return place
end

--- The places where current that is in the jaws parts from, or joins, current that is not. Where
--- somebody has taken all leads at one end of a lead together, its other end is no news.
local function places_of(circuit, plan, case)
  local places, seen = {}, {}
  for _, lead in ipairs(plan.leads) do
    local ends, together = {}, false
    for index, node in ipairs { lead.node, lead.far } do
      ends[index] = place_at(circuit, plan, case, node)
      together = together or ends[index].clamped > 1 and not ends[index].parts
    end
    for _, place in ipairs(ends) do
      if place.parts and not together and not seen[place.node] then
        seen[place.node] = true
        places[#places + 1] = place
      end
    end
  end
  return places
end

local function look(circuit, plan, case, look_with)
  local found = { current = 0.0, leads = {}, with = look_with() }
  for index, lead in ipairs(plan.leads) do
    local current = case:terminal(lead.part, lead.index)
    if not current then return nil, lead.part end
    found.current = found.current + (lead.reversed and -current or current)
    found.leads[index] = { text = lead.text, part = lead.part, terminal = lead.terminal,
      reversed = lead.reversed, from = lead.node, to = lead.far, current = current }
  end
  found.places = places_of(circuit, plan, case)
  return found
end

function M.take(circuit, plan, case, look_with)
  local undefined
  local found, message, code = reading.solve(case, function()
    local seen, part = look(circuit, plan, case, look_with)
    undefined = undefined or part
    return seen or {}
  end)
  if not found then return nil, message, code end
  if undefined then
    return question.misuse("the current of '%s' is not defined: it lies in a loop without "
      .. "resistance; give the parts of the loop their resistance", undefined)
  end
  return found
end

function M.value(found, second)
  local seen = second and found.other or not second and found
  return seen and seen.current or nil
end

return M

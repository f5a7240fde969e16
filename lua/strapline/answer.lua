--- Predictions: the answer of the library, with names and texts.
---
--- strapline/answers.lua tells of its fields. What modules beside this one use of it, and nobody else
--- meets: case, kinds. What is not defined is nil.
local calls = require "strapline.calls"
local format = require "strapline.format"
local hidden = require "strapline.hidden"
local nearest = require "strapline.nearest"
local notices = require "strapline.notices"
local question = require "strapline.question"

local M = {}
local Answer = {}

local function chatter_text(part, period)
  return ("chatters: %s; figures are for the moment it is %s")
    :format(notices.rate(period), part.state or "at one of its ends")
end

local NO_CURRENT_A = 1e-6

--- Whether no current flows in any path of a part; one that is not joined to anything has none.
local function carries_nothing(part)
  for _, element in ipairs(part.elements) do
    if math.abs(element.current or 0) >= NO_CURRENT_A then return false end
  end
  return true
end

--- Of a switch that somebody has closed, and that still carries nothing: its position; else nil.
--- Closed by the condition, or in the file of a circuit that has no conditions; those that a file
--- keeps closed whatever is asked say nothing of what is wanted now.
local function idle_position(circuit, case, part)
  local kind = circuit.kinds[part.name]
  local param = kind.position_param and kind.params[kind.position_param]
  if not param then return nil end
  local value, origin = case:value(part.name, param.name)
  local wanted = origin == "condition" or origin == "given" and not circuit.has_conditions
  local by_name = {}
  for _, choice in ipairs(param.choices) do by_name[choice] = true end
  local position = param.choices[math.tointeger(value) + 1]
  if wanted and (by_name.off or by_name.open) and position ~= "off" and position ~= "open"
    and carries_nothing(part) then
    return position
  end
end

--- Puts texts in the place of notices.
local function describe(found, circuit, case, period)
  for _, part in ipairs(found.parts) do
    local texts = {}
    local idle = idle_position(circuit, case, part)
    if idle then texts[1] = ("%s, and no current flows through it"):format(idle) end
    if part.chatters then texts[#texts + 1] = chatter_text(part, period) end
    for _, notice in ipairs(part.notices) do
      texts[#texts + 1] = notices.text(circuit.kinds[part.name], notice)
    end
    part.notices = texts
  end
  return found
end

local function collect(circuit, asked, case, condition)
  local outcome, period = case:outcome()
  local answer = describe(case:answer(), circuit, case, period)
  answer.circuit, answer.condition = circuit.name, condition.name
  answer.temperature, answer.reference = condition.temperature, circuit.core:reference()
  answer.faults = table.move(asked.faults or {}, 1, #(asked.faults or {}), 1, {})
  answer.outcome, answer.period = outcome, period
  if outcome == "chatters" then
    case:view(2)
    answer.other = describe(case:answer(), circuit, case, period)
    case:view(1)
  end
  return hidden.behind(answer, { case = case, kinds = circuit.kinds }, Answer)
end

local fields = calls.fields "predict"

--- @return answer; or nil, message, code
function M.predict(circuit, asked)
  local case, condition, code = question.open(circuit, asked, fields)
  if not case then return nil, condition, code end
  local ok, message
  ok, message, code = case:solve()
  if not ok then
    case:close()
    return nil, message, code
  end
  return collect(circuit, asked, case, condition)
end

--- An entry of a list by its name; raises one that is not there, at the caller of the caller.
local function find(list, name, what)
  local found = type(name) == "string" and list[name]
  if found then return found end
  local names = {}
  for index, entry in ipairs(list) do names[index] = entry.name end
  error(("there is no %s '%s'%s"):format(what, tostring(name),
    nearest.hint_or_list(tostring(name), names, what .. "s")), 3)
end

--- A node, or a part, by its name; an unknown name is an error that tells the nearest.
function Answer:node(name)
  return find(self.nodes, name, "node")
end

function Answer:part(name)
  return find(self.parts, name, "part")
end

--- What a meter that draws nothing reads between two nodes.
function Answer:between(red, black)
  return self.case:between(red, black)
end

--- The value of a parameter as text; that of a choice is its name.
local function value_text(param, value)
  if not value then return "" end
  if param.choices then return param.choices[math.tointeger(value) + 1] end
  return format.text(value, param.quantity)
end

local by_hand = { given = true, condition = true, fault = true }

--- What stands behind a value that nobody gave, or behind what is used where there is none.
local function standing_of(param, origin)
  if by_hand[origin] then return "" end
  local around = param.name == "temperature" and origin == "worked out"
  return around and "that around it, of the condition" or param.standing
end

function Answer:values(part)
  find(self.parts, part, "part")
  local list = {}
  for index, param in ipairs(self.kinds[part].params) do
    local value, origin = self.case:value(part, param.name)
    list[index] = {
      name = param.name, value = value, text = value_text(param, value), unit = param.unit,
      origin = origin, standing = standing_of(param, origin),
    }
    list[param.name] = list[index]
  end
  return list
end

return M

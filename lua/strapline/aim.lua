--- What is read: two leads, or the current of a part, as a question gives it.
local nearest = require "strapline.nearest"
local question = require "strapline.question"

local M = {}

local function check_current(circuit, asked)
  if asked.red or asked.black then
    return question.misuse("give two leads or the current of a part, not both")
  elseif not circuit.kinds[asked.part] then
    return question.misuse("%s has no part '%s'%s", circuit.file, tostring(asked.part),
      nearest.hint_or_list(tostring(asked.part), circuit.part_names, "parts"))
  end
  local ok, message, code = question.check_no_panel(circuit, asked.part)
  if not ok then return nil, message, code end
  return question.check_element(circuit, asked.part, asked.element)
end

--- @param asked { red, black } or { part, element }; without an element, the current into the first
--- terminal
--- @param fields set of the fields the question may have
--- @return { red, black, part, element, quantity }; or nil, message, code
function M.check(circuit, asked, fields)
  local ok, message, code = question.check_fields(asked, fields)
  if not ok then return nil, message, code end
  if asked.part ~= nil then
    ok, message, code = check_current(circuit, asked)
  else
    ok, message, code = question.check_node(circuit, "red", asked.red)
    if ok then ok, message, code = question.check_node(circuit, "black", asked.black) end
    if ok and asked.red == asked.black then
      ok, message, code = question.misuse("both leads are on '%s': any meter reads 0 there",
        asked.red)
    end
  end
  if not ok then return nil, message, code end
  return { red = asked.red, black = asked.black, part = asked.part, element = asked.element,
    quantity = asked.part and "current" or "voltage" }
end

--- A line that says it.
function M.text(of)
  if not of.part then
    return ('red lead on "%s", black lead on "%s"'):format(of.red, of.black)
  end
  return of.element and ('current of "%s", its %s'):format(of.part, of.element)
    or ('current of "%s", into its first terminal'):format(of.part)
end

--- What every result that looks at a reading starts with.
function M.head(circuit, asked, of, condition)
  return {
    circuit = circuit.name, condition = condition.name, temperature = condition.temperature,
    faults = table.move(asked.faults or {}, 1, #(asked.faults or {}), 1, {}),
    red = of.red, black = of.black, part = of.part, element = of.element, quantity = of.quantity,
  }
end

return M

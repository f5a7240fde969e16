--- What is read: two leads, or the current of a part, as a question gives it.
local question = require "strapline.question"

local M = {}

--- @return part, element; or nil, message, code
local function check_current(circuit, asked)
  if asked.red or asked.black then
    return question.misuse("give two leads or the current of a part, not both")
  end
  local kind, part, element = question.find_part(circuit, asked.part)
  if not kind then return nil, part, element end
  element = element or asked.element
  local ok, message, code = question.check_no_panel(circuit, part)
  if ok then ok, message, code = question.check_element(circuit, part, element) end
  if not ok then return nil, message, code end
  return part, element
end

--- @param asked { red, black } or { part, element }; without an element, the current into the first
--- terminal
--- @param fields set of the fields the question may have
--- @return { red, black, part, element, quantity }; or nil, message, code
function M.check(circuit, asked, fields)
  local ok, message, code = question.check_fields(asked, fields)
  if not ok then return nil, message, code end
  if asked.part ~= nil then
    local part, element
    part, element, code = check_current(circuit, asked)
    if not part then return nil, element, code end
    return { part = part, element = element, quantity = "current" }
  end
  ok, message, code = question.check_node(circuit, "red", asked.red)
  if ok then ok, message, code = question.check_node(circuit, "black", asked.black) end
  if ok and asked.red == asked.black then
    ok, message, code = question.misuse("both leads are on '%s': any meter reads 0 there",
      asked.red)
  end
  if not ok then return nil, message, code end
  return { red = asked.red, black = asked.black, quantity = "voltage" }
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

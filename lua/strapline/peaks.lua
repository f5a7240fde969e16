--- The greatest current that each place carries in any condition of the circuit without faults: with a
--- hundredth of it a small drop proves nothing of the place.
local M = {}

--- @return every condition of the circuit, solved as it is, as far as that has an answer
local function solved_cases(circuit)
  local list = {}
  for _, condition in ipairs(circuit.conditions) do
    local case = circuit.core:case(condition.name)
    if case:solve() then
      list[#list + 1] = { case = case, condition = condition.name }
    else
      case:close()
    end
  end
  return list
end

--- @return find(part, element) -> A, the name of the condition; close()
function M.of(circuit)
  local cases = solved_cases(circuit)
  local function find(part, element)
    local most, condition = 0, nil
    for _, solved in ipairs(cases) do
      local current = solved.case:element(part, element)
      if current and math.abs(current) > most then
        most, condition = math.abs(current), solved.condition
      end
    end
    return most, condition
  end
  local function close()
    for _, solved in ipairs(cases) do solved.case:close() end
  end
  return find, close
end

return M

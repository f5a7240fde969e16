--- The values that parts use, and where they come from, as text.
local columns = require "strapline.columns"
local lines = require "strapline.lines"
local report_text = require "strapline.report_text"

local M = {}

--- The condition is told by its name; other origins are words enough.
local function origin_text(answer, value)
  if value.origin == "condition" then return ('condition "%s"'):format(answer.condition) end
  return value.origin
end

--- What stands behind the values that nobody gave; of what is not there, nothing does.
local function standings(list)
  local group = {}
  for _, value in ipairs(list) do
    if value.standing ~= "" then
      lines.add(group, lines.wrap(value.name .. ": " .. value.standing, "    ", "      "))
    end
  end
  if #group > 0 then table.insert(group, 1, "  What stands behind those not given") end
  return group
end

local function part_group(answer, name)
  local list, rows = answer:values(name), {}
  for index, value in ipairs(list) do
    rows[index] = { value.name, value.text, origin_text(answer, value) }
  end
  local group = { ("%s (%s)"):format(name, answer.parts[name].kind) }
  lines.add(group, columns.lines({ "field", "value", "comes from" }, rows))
  lines.add(group, standings(list))
  return group
end

--- @param names the parts
--- @return the report as one text
function M.values(circuit, answer, names)
  local report = report_text.heading(circuit, answer)
  for _, name in ipairs(names) do lines.add_group(report, part_group(answer, name)) end
  return lines.join(report)
end

return M

--- A good and a faulted prediction side by side, as text.
local cautions = require "strapline.cautions"
local columns = require "strapline.columns"
local lines = require "strapline.lines"
local report_text = require "strapline.report_text"

local M = {}

local append = lines.add_group

--- Cells: good, faulted, change. A change from or to what is not defined is not a number.
local function cells(good, faulted, quantity, instead)
  local change = good and faulted and faulted - good
  return columns.quantity(good, quantity, instead), columns.quantity(faulted, quantity, instead),
    columns.quantity(change, quantity, "")
end

local function nodes_table(good, faulted)
  local rows = {}
  for index, node in ipairs(good.nodes) do
    rows[index] = { node.name,
      cells(node.voltage, faulted.nodes[index].voltage, "voltage", "floating") }
  end
  local group = { ('Nodes: red lead on the node, black lead on "%s"'):format(good.reference) }
  lines.add(group, columns.lines({ "node", "good", "faulted", "change" }, rows))
  return group
end

local function parts_table(good, faulted, title, field, quantity, instead)
  local rows = {}
  for index, part in ipairs(good.parts) do
    rows[index] = { part.name, part.kind,
      cells(part[field], faulted.parts[index][field], quantity, instead) }
  end
  local group = { title }
  lines.add(group, columns.lines({ "part", "kind", "good", "faulted", "change" }, rows))
  return group
end

local function append_remarks(report, which, answer)
  local remark = report_text.outcome(answer)
  if remark then append(report, lines.wrap(which .. ": " .. remark, "")) end
  if answer.other then
    append(report, { which .. ": no steady state, something chatters; the tables show one end" })
  end
end

--- @return the report as one text
function M.predict(circuit, good, faulted)
  local report = {}
  append(report, report_text.heading(circuit, faulted))
  append_remarks(report, "Good", good)
  append_remarks(report, "Faulted", faulted)
  append(report, report_text.notices(good, "Good: what a person notices"))
  append(report, report_text.notices(faulted, "Faulted: what a person notices"))
  append(report, nodes_table(good, faulted))
  append(report, parts_table(good, faulted, "Currents into the first terminal",
    "current", "current", "not defined"))
  append(report, parts_table(good, faulted, "Drops: red on the first terminal, black on the second",
    "drop", "voltage", "floating"))
  append(report, cautions.lines(circuit, faulted, "predict"))
  return lines.join(report)
end

return M

--- Predictions as text for people.
local cautions = require "strapline.cautions"
local columns = require "strapline.columns"
local format = require "strapline.format"
local lines = require "strapline.lines"
local notice_words = require "strapline.notices"

local M = {}

local WIDEST = 60 -- characters of all headings of fixed leads
local MOST_POSTS = 6 -- battery posts with a column of their own

local append = lines.add_group

--- A fault and, when it is one of the file's, what it is.
local function about_fault(circuit, text)
  local named = circuit.faults[text]
  if not named then return text end
  local changes = table.concat(named.changes, "; ")
  return named.about and ("%s (%s; %s)"):format(text, changes, named.about)
    or ("%s (%s)"):format(text, changes)
end

--- The faults that were asked for.
function M.fault_lines(circuit, result)
  local group = {}
  for _, text in ipairs(result.faults) do
    lines.add(group, lines.wrap("with fault: " .. about_fault(circuit, text), "", "  "))
  end
  return group
end

--- What was asked: circuit, condition, temperature, faults.
function M.heading(circuit, result)
  local group = {
    ("%s: condition \"%s\", %s"):format(result.circuit, result.condition,
      format.text(result.temperature, "temperature")),
  }
  lines.add(group, M.fault_lines(circuit, result))
  return group
end

local TIMING = "depends on timing: another order of relays and solenoids ends in another state; "
  .. "this is the one their operate and release times lead to"

--- A remark on how relays ended, or nil.
function M.outcome(answer)
  return answer.outcome == "timing" and TIMING or nil
end

--- "does not turn (good: cranks at 243 rpm)" of a part of which nothing is noticed any more, or "no
--- power (good: running)" where only its state tells; nil when nothing has stopped.
local function stopped(circuit, part, good)
  local before = good and good.parts[part.name]
  if not before or #part.notices > 0 then return nil end
  local now = notice_words.none(circuit.kinds[part.name])
  if #before.notices > 0 and now ~= "nothing" then
    return ("%s (good: %s)"):format(now, table.concat(before.notices, "; "))
  end
  if part.state ~= before.state and before.state then
    return ("%s (good: %s)"):format(part.state, before.state)
  end
end

--- What a person notices of the parts, a line a part.
--- @param good the answer without faults, or nil: what works there and not here is noticed too
function M.notices(circuit, found, heading, good)
  local rows = {}
  for _, part in ipairs(found.parts) do
    for _, text in ipairs(part.notices) do rows[#rows + 1] = { part.name, text } end
    local text = stopped(circuit, part, good)
    if text then rows[#rows + 1] = { part.name, text } end
  end
  if #rows == 0 then return { heading, "  nothing" } end
  local group = columns.lines({ "part", "notices" }, rows)
  group[1] = heading
  return group
end

--- Whether a node is no point for a lead: inside its part, or a terminal that was left out and
--- that nothing joins.
function M.is_inner(circuit, node)
  local reach = circuit.core:reach(node.name)
  return reach == "inside" or reach == "unused" and node.floating
end

--- The leads that stay where they are while the other goes from node to node: on the reference and
--- on the posts. @return leads, whether posts are left out
local function fixed_leads(circuit, answer)
  local leads, seen = { { node = answer.reference } }, { [answer.reference] = true }
  local left_out = false
  for _, post in ipairs(circuit.posts) do
    if not seen[post.node] and #leads <= MOST_POSTS then
      leads[#leads + 1] = post
    elseif not seen[post.node] then
      left_out = true
    end
    seen[post.node] = true
  end
  return leads, left_out
end

local function reading_cell(answer, lead, node)
  if lead.node == node.name then return columns.quantity(0, "voltage") end
  local volts
  if lead.positive then
    volts = answer:between(lead.node, node.name)
  else
    volts = answer:between(node.name, lead.node)
  end
  return columns.quantity(volts, "voltage", "floating")
end

local function node_rows(circuit, answer, found, leads)
  local rows = {}
  for _, node in ipairs(found.nodes) do
    if not M.is_inner(circuit, node) then
      local row = { node.name }
      for _, lead in ipairs(leads) do row[#row + 1] = reading_cell(answer, lead, node) end
      rows[#rows + 1] = row
    end
  end
  return rows
end

--- Headings as text or, where that would be too wide, as numbers with a key above the table.
local function lead_headings(group, leads)
  local headings, key, width = { "node" }, {}, 0
  for index, lead in ipairs(leads) do
    headings[index + 1] = (lead.positive and "red on " or "black on ") .. lead.node
    width = width + utf8.len(headings[index + 1])
    key[index] = ("  %d: %s"):format(index, headings[index + 1])
  end
  if width <= WIDEST then return headings end
  lines.add(group, key)
  for index = 1, #leads do headings[index + 1] = tostring(index) end
  return headings
end

local function nodes_table(circuit, answer, found)
  local leads, left_out = fixed_leads(circuit, answer)
  local group = { "Nodes: one lead on the node, the other where the heading says" }
  local headings = lead_headings(group, leads)
  lines.add(group, columns.lines(headings, node_rows(circuit, answer, found, leads)))
  if left_out then group[#group + 1] = "  (the posts of further batteries are left out)" end
  return group
end

local function undefined(value)
  return value and "" or "not defined"
end

local function part_row(part)
  return {
    part.name, part.kind,
    columns.quantity(part.current, "current", undefined(part.current)),
    columns.quantity(part.drop, "voltage", "floating"),
    columns.quantity(part.power, "power", undefined(part.power)),
    part.state,
  }
end

--- Whether a path ends on a terminal that was left out, and carries nothing.
local function is_dead_end(circuit, part, element)
  local kind = circuit.kinds[part.name]
  local path = kind.elements[element.name]
  if not path or kind.is_panel or (element.current or 0) ~= 0 then return false end
  for _, terminal in ipairs { path.from, path.to } do
    local node = circuit.core:part_node(part.name, kind.terminals[terminal].index)
    if circuit.core:reach(node) == "unused" then return true end
  end
  return false
end

--- The paths inside a part that has several.
local function add_elements(rows, circuit, part)
  if #part.elements < 2 then return end
  for _, element in ipairs(part.elements) do
    if not is_dead_end(circuit, part, element) then
      rows[#rows + 1] = {
        "  " .. element.name, "",
        columns.quantity(element.current, "current", undefined(element.current)),
        columns.quantity(element.drop, "voltage", "floating"),
      }
    end
  end
end

local function parts_table(circuit, found)
  local headings, rows = { "part", "kind", "current", "drop", "power" }, {}
  for _, part in ipairs(found.parts) do
    rows[#rows + 1] = part_row(part)
    add_elements(rows, circuit, part)
    if part.state then headings[6] = "state" end
  end
  local group = {
    "Parts, and the paths inside those that have several: current into the first terminal; drop",
    "with red on the first terminal and black on the second; power taken, below 0 given",
  }
  lines.add(group, columns.lines(headings, rows))
  return group
end

local function proof(found)
  local quality = found.quality
  local where = ""
  if quality.worst and quality.residual > 0 then
    where = (' (worst at "%s")'):format(quality.worst)
  end
  return lines.wrap(("Proof: currents at every node add up to 0 within %.1e of the greatest%s, "
    .. "powers within %.1e of their sum"):format(quality.residual, where, quality.power_balance), "")
end

--- Tables and proof of one settled state, or of one end of a chatter.
local function append_state(report, circuit, answer, found, notices_heading, good)
  append(report, M.notices(circuit, found, notices_heading, good))
  append(report, nodes_table(circuit, answer, found))
  append(report, parts_table(circuit, found))
  append(report, proof(found))
end

--- @param good the answer without faults, or nil
--- @return the report as one text
function M.predict(circuit, answer, good)
  local report = {}
  append(report, M.heading(circuit, answer))
  local remark = M.outcome(answer)
  if remark then append(report, lines.wrap(remark, "")) end
  if answer.other then
    append(report, { "No steady state: something chatters. Both ends of it follow." })
    append_state(report, circuit, answer, answer, "First end: what a person notices", good)
    answer.case:view(2)
    append_state(report, circuit, answer, answer.other, "Second end: what a person notices", good)
    answer.case:view(1)
  else
    append_state(report, circuit, answer, answer, "What a person notices", good)
  end
  append(report, cautions.lines(circuit, answer, "predict"))
  return lines.join(report)
end

return M

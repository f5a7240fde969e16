--- What a circuit file says that can stand but may be a slip: a node that one terminal alone ends on,
--- when its name is nearly that of another node, a wire, fuse or switch leads there, or a load has
--- its only way to or from the battery there.
local nearest = require "strapline.nearest"

local M = {}

--- Terminals and studs that end on each node named in the file, and the first part there.
--- @return list of { name, record, uses }, in the order of the file
local function named_nodes(plan)
  local list, by_name = {}, {}
  local function add(name, record)
    local node = by_name[name] or { name = name, record = record, uses = 0 }
    if not by_name[name] then list[#list + 1] = node end
    by_name[name], node.uses = node, node.uses + 1
  end
  for _, part in ipairs(plan.parts) do
    for _, stud in ipairs(part.panel and part.panel.studs or {}) do add(stud.node, part.record) end
    for _, terminal in ipairs(plan.kinds[part.record.name].terminals) do
      local name = part.nodes and part.nodes[terminal.name]
      if name then add(name, part.record) end
    end
  end
  return list
end

local leads_on = { wire = true, fuse = true, switch = true } -- a stud may stand bare

--- Whether all that a part is for is to lead current from one end to the other.
local function only_leads(kind)
  return not kind.is_panel and #kind.terminals == 2 and leads_on[kind.elements[1].use]
end

--- Whether it is a load with two ends, each of which must be joined to something. A resistor may
--- stand for anything.
local function needs_both(kind)
  return not kind.is_panel and #kind.terminals == 2 and kind.load and kind.name ~= "resistor"
end

local function letters(name)
  return name:lower():gsub("[^%a\128-\255]", "")
end

--- Figures and signs tell nodes apart on purpose: "B1 +" and "B1 -", "pin 3" and "pin 4"; a hyphen
--- between letters does not.
local function figures(name)
  return (name:gsub("(%a)%-(%a)", "%1%2"):gsub("[%a\128-\255%s_]", ""))
end

--- Whether two names differ as by a slip: in capitals or spaces alone, or in one letter of one word
--- of four letters or more, in two of eight or more.
local function is_slip(a, b)
  if figures(a) ~= figures(b) then return false end
  if letters(a) == letters(b) then return true end
  local others = b:lower():gmatch "%S+"
  local strange, meant
  for word in a:lower():gmatch "%S+" do
    local other = others()
    if word ~= other then
      if strange or not other then return false end
      strange, meant = word, other
    end
  end
  if not strange or others() then return false end
  local shorter = math.min(#strange, #meant)
  return shorter >= 4 and nearest.distance(strange, meant) <= (shorter >= 8 and 2 or 1)
end

--- The node that `node` most likely is; nil for a node that stands for itself.
local function meant_by(node, list)
  for _, other in ipairs(list) do
    if other ~= node and math.abs(#other.name - #node.name) <= 2 and is_slip(node.name, other.name)
      and not (other.uses == 1 and other.doubted) then
      return other
    end
  end
end

--- @return list of { line, text }, in the order of the file
function M.find(plan, reference)
  local found, list = {}, named_nodes(plan)
  for index = #list, 1, -1 do -- of two that look alike and stand alone, the later one is doubted
    local node = list[index]
    local kind = plan.kinds[node.record.name]
    local other = node.uses == 1 and meant_by(node, list)
    local text
    if other then
      node.doubted = true
      text = ('only one terminal ends on node "%s"; is "%s" of line %d meant?'):format(node.name,
        other.name, other.record.line)
    elseif node.uses == 1 and node.name ~= reference and only_leads(kind) then
      text = ('nothing but %s "%s" ends on node "%s", so it leads nowhere'):format(kind.name,
        node.record.name, node.name)
    elseif node.uses == 1 and node.name ~= reference and needs_both(kind) then
      text = ('nothing but %s "%s" ends on node "%s", so no current can flow through it'):format(
        kind.name, node.record.name, node.name)
    end
    if text then table.insert(found, 1, { line = node.record.line, text = text }) end
  end
  return found
end

return M

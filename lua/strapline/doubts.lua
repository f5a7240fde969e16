--- What a circuit file says that can stand but may be a slip: a node that one terminal alone ends on
--- and whose name is nearly that of another node.
local nearest = require "strapline.nearest"

local M = {}

--- Terminals that end on each node named in the file, and the line of the first part there.
--- @return list of { name, line, uses }, in the order of the file
local function named_nodes(plan)
  local list, by_name = {}, {}
  for _, part in ipairs(plan.parts) do
    for _, terminal in ipairs(plan.kinds[part.record.name].terminals) do
      local name = part.nodes[terminal.name]
      if name and by_name[name] then
        by_name[name].uses = by_name[name].uses + 1
      elseif name then
        by_name[name] = { name = name, line = part.record.line, uses = 1 }
        list[#list + 1] = by_name[name]
      end
    end
  end
  return list
end

local function letters(name)
  return name:lower():gsub("[^%a\128-\255]", "")
end

--- Figures and signs tell nodes apart on purpose: "B1 +" and "B1 -", "pin 3" and "pin 4".
local function figures(name)
  return name:gsub("[%a\128-\255%s_]", "")
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

--- @return list of { line, text }
function M.find(plan)
  local found, list = {}, named_nodes(plan)
  for index = #list, 1, -1 do -- of two that look alike and stand alone, the later one is doubted
    local node = list[index]
    local other = node.uses == 1 and meant_by(node, list)
    if other then
      node.doubted = true
      table.insert(found, 1, { line = node.line, text = ('only one terminal ends on node "%s"; is '
        .. '"%s" of line %d meant?'):format(node.name, other.name, other.line) })
    end
  end
  return found
end

return M

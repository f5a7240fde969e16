--- Puts tools on a case.
local kinds = require "strapline.kinds"
local nearest = require "strapline.nearest"
local notices = require "strapline.notices"
local question = require "strapline.question"
local tools = require "strapline.tools"
local values = require "strapline.values"

local M = {}

local instead = {
  ohmmeter = "an ohmmeter is for circuits without power: ask for ohms instead, with nothing "
    .. "that draws current beside it",
  ["clamp"] = "a clamp goes round a lead, not on two nodes: ask for clamp instead",
  multimeter = "the multimeter is there already, on the red and the black lead",
}

local function find(name)
  local names = {}
  for index, tool in ipairs(tools) do
    if tool.name == name then return tool end
    names[index] = tool.name
  end
  if instead[name] then return question.misuse("%s", instead[name]) end
  return question.misuse("there is no tool '%s'%s", name,
    nearest.hint_or_list(name, names, "tools"))
end

local function setting_of(tool, written)
  local param = { name = tool.name, quantity = tool.takes, unit = "A", bare = false, least = 0.1,
    greatest = tool.most, doc = "what it is turned up to" }
  local value, wrong = values.check(param, written)
  if not value then return question.misuse("%s", wrong) end
  return value
end

--- A tool by its text, "TOOL" or "TOOL = VALUE".
--- @return { tool, setting }, or nil, message, code
function M.parse(text)
  if type(text) ~= "string" then
    return question.misuse("a tool is named by a text, such as 'test lamp', not a %s", type(text))
  end
  local name, written = text:match("^%s*(.-)%s*=%s*(.-)%s*$")
  name = name or text:match("^%s*(.-)%s*$")
  local tool, message, code = find(name)
  if not tool then return nil, message, code end
  if written and not tool.takes then return question.misuse("%s takes no value", tool.name) end
  if not tool.takes then return { tool = tool, text = tool.name } end
  local setting
  setting, message, code = setting_of(tool, written or tool.usual)
  if not setting then return nil, message, code end
  return { tool = tool, setting = setting, text = ("%s = %g A"):format(tool.name, setting) }
end

--- Both nodes of "NODE, NODE", whose names may have commas in them.
local function split_nodes(circuit, text)
  local at, first = 1, nil
  while true do
    local comma, after = text:find("%s*,%s*", at)
    if not comma then break end
    local red, black = text:sub(1, comma - 1), text:sub(after + 1)
    if circuit.core:has_node(red) and circuit.core:has_node(black) then return red, black end
    first = first or { red, black }
    at = after + 1
  end
  if not first then return nil end
  return first[1], first[2]
end

--- A tool and where it goes: "TOOL: NODE, NODE".
--- @return { tool, setting, red, black }, or nil, message, code
function M.parse_with(circuit, text)
  local name, where = tostring(text):match("^%s*(.-)%s*:%s*(.-)%s*$")
  local red, black = split_nodes(circuit, where or "")
  if not red then
    return question.misuse("'%s' does not say where; write 'TOOL: NODE, NODE', red lead first",
      tostring(text))
  end
  local used, message, code = M.parse(name)
  if not used then return nil, message, code end
  local ok
  ok, message, code = question.check_leads(circuit, { red = red, black = black },
    "the " .. used.tool.name .. "'s ")
  if not ok then return nil, message, code end
  used.red, used.black = red, black
  return used
end

--- Attaches a tool. @return its number in the case; or nil, message, code
function M.put(case, used, index)
  local tool = used.tool
  if tool.takes then
    local pile, message, code = case:pile(used.red, used.black, used.setting, tool.least_ohm)
    if not pile then return nil, message, code end
    used.pile = pile
    return pile.part
  end
  local terminals = kinds.find(tool.kind).terminals
  return case:attach(tool.kind, ("(%s %d)"):format(tool.name, index),
    { [terminals[1].name] = used.red, [terminals[2].name] = used.black }, tool.values)
end

--- What a tool shows, in the end of the case that is looked at.
function M.look(case, used, part)
  local tool = used.tool
  local found = { tool = used.text, about = tool.about, red = used.red, black = used.black,
    voltage = case:between(used.red, used.black), current = case:current(part), heavy = tool.heavy,
    fuse = tool.fuse, shows = {} }
  -- A pile that is set to its current stands in the case as a source, which counts the other way.
  if used.pile and used.pile.reached and found.current then found.current = -found.current end
  if used.pile and not used.pile.reached then
    found.shows = { ("wound right in: the circuit gives no more than this, not %g A")
      :format(used.setting) }
  elseif tool.kind and tool.kind ~= "ammeter" then
    found.shows = notices.texts(kinds.find(tool.kind), case:notices(part, tool.kind))
  end
  return found
end

return M

--- A question put to a circuit, checked: which condition, which faults.
local article = require "strapline.article"
local faults = require "strapline.faults"
local kinds = require "strapline.kinds"
local nearest = require "strapline.nearest"
local sorted = require "strapline.sorted"

local M = {}

--- nil, message, "misuse": what a caller got wrong, as against what a circuit cannot do.
function M.misuse(pattern, ...)
  return nil, pattern:format(...), "misuse"
end

local function names_of(list)
  local names = {}
  for index, entry in ipairs(list) do names[index] = entry.name end
  return names
end

--- Whether a table is a list: of entries 1, 2, ... and nothing else.
local function is_list(value)
  local count = 0
  for _ in pairs(value) do count = count + 1 end
  return count == #value
end

--- By how its example is written, what a value of a field may be: whether it may, and what is wanted.
local forms = {
  { "= {%s*[%a_]+ =", function(value) return type(value) == "table" end, "a table" },
  { "= {", function(value, example)
    if type(value) == "string" then return value == "all" or example:find "^clamp" ~= nil end
    return type(value) == "table" and is_list(value)
  end, "a list" },
  { "= true$", function(value) return type(value) == "boolean" end, "true or false" },
  { "= function", function(value) return type(value) == "function" end, "a function" },
  { "= [%d.]+$", function(value) return type(value) == "number" end, "a number" },
}

--- Refuses a value of another form than the example of its field.
local function check_form(key, value, field)
  local example = type(field) == "table" and field[2] or ""
  for _, form in ipairs(forms) do
    if example:find(form[1]) then
      if form[2](value, example) then return true end
      local shown = type(value) == "string" and ("%q"):format(value)
        or type(value) == "table" and "a table with names or gaps" or tostring(value)
      return M.misuse("%s is %s, not %s; write %s", key, shown, form[3], example)
    end
  end
  return true
end

--- Refuses fields that mean nothing, and values of other forms than these fields have.
--- @param what "question" when not given
function M.check_fields(question, allowed, what)
  what = what or "question"
  if type(question) ~= "table" then return M.misuse("the %s is not a table", what) end
  for _, key in ipairs(sorted.keys(question)) do
    if not allowed[key] then
      return M.misuse("unknown field '%s' in the %s%s", tostring(key), what,
        nearest.hint_or_list(tostring(key), sorted.keys(allowed), "allowed"))
    end
    local ok, message, code = check_form(key, question[key], allowed[key])
    if not ok then return nil, message, code end
  end
  return true
end

local function find_condition(circuit, name)
  if name == nil then return circuit.conditions[1] end
  local found = type(name) == "string" and circuit.conditions[name]
  if found then return found end
  return M.misuse("%s has no condition '%s'%s", circuit.file, tostring(name),
    nearest.hint_or_list(tostring(name), names_of(circuit.conditions), "conditions"))
end

--- "PART CHANGE" where "PART: CHANGE" is meant, with the longest name that fits.
--- @return what to write, or nil
local function missing_colon(circuit, text)
  local best, longest = nil, 0
  for _, part in ipairs(circuit.part_names) do
    local change = text:sub(1, #part + 1) == part .. " " and text:sub(#part + 2):match "^%s*(.*)$"
    local meant = change and #part > longest and ("%s: %s"):format(part, change)
    if meant and faults.parse(meant, circuit) then best, longest = meant, #part end
  end
  return best
end

--- Refuses edits of what a part does not have, such as contacts of a starter without a solenoid.
local function check_lacks(circuit, text, edits)
  for _, edit in ipairs(edits) do
    local kind, core = circuit.kinds[edit.part], circuit.core
    local lacked = edit.mode and core:lacks(edit.part, "mode", edit.mode)
      and kind.modes[edit.mode].lacked
      or edit.change ~= "set" and edit.what and core:lacks(edit.part, "element", edit.what)
      and kind.elements[edit.what].lacked
    if lacked then
      return M.misuse("fault '%s': '%s' has no '%s': it is %s with %s", text, edit.part,
        edit.mode or edit.what, article(kind.name), lacked)
    end
  end
  return edits
end

--- A fault by its name in the file, or as text. @return list of edits
local function find_fault(circuit, text)
  if type(text) ~= "string" then
    return M.misuse("a fault is text, such as 'R1: open', not a %s", type(text))
  end
  local named = circuit.faults[text:match("^%s*(.-)%s*$")]
  if named then return check_lacks(circuit, text, named.edits) end
  if not text:find(":", 1, true) then
    local meant = missing_colon(circuit, text)
    if meant then return M.misuse("fault '%s' has no colon; write '%s'", text, meant) end
    local hint = nearest.hint_or_list(text, names_of(circuit.faults), "faults of this file")
    return M.misuse("there is no fault '%s'%s; or write 'PART: CHANGE', such as 'R1: open'",
      text, hint)
  end
  local edit, wrong = faults.parse(text, circuit)
  if not edit then return M.misuse("fault %s", wrong) end
  return check_lacks(circuit, text, { edit })
end

M.find_condition, M.find_fault = find_condition, find_fault

--- Refuses a field that two faults set: the later alone would hold.
local function check_set(set, edits, text)
  for _, edit in ipairs(edits) do
    local key = edit.change == "set" and edit.part .. "\0" .. edit.what
    if key and set[key] and set[key] ~= text then
      return M.misuse("faults '%s' and '%s' both set %s of '%s': give one of them", set[key], text,
        edit.what, edit.part)
    end
    if key then set[key] = text end
  end
  return true
end

local function find_faults(circuit, list)
  local edits, given, set = {}, {}, {}
  if type(list) ~= "table" then return M.misuse("faults is not a list of texts") end
  for _, text in ipairs(list) do
    local found, message, code = find_fault(circuit, text)
    local ok = found
    if found and given[text] then
      ok, message, code = M.misuse("fault '%s' is given twice", text)
    elseif found then
      ok, message, code = check_set(set, found, text)
    end
    if not ok then return nil, message, code end
    given[text] = true
    table.move(found, 1, #found, #edits + 1, edits)
  end
  return edits
end

--- The condition and the edits of the faults a question names.
--- @return condition, edits; or nil, message, code
function M.find(circuit, question, allowed)
  local ok, message, code = M.check_fields(question, allowed)
  if not ok then return nil, message, code end
  local condition
  condition, message, code = find_condition(circuit, question.condition)
  if not condition then return nil, message, code end
  local edits
  edits, message, code = find_faults(circuit, question.faults or {})
  if not edits then return nil, message, code end
  return condition, edits
end

--- A case of the circuit as the question wants it, not yet solved.
--- @param allowed set of the fields the question may have
--- @return case, condition; or nil, message, code
function M.open(circuit, question, allowed)
  local condition, edits, code = M.find(circuit, question, allowed)
  if not condition then return nil, edits, code end
  local ok, message
  local case
  case, message, code = circuit.core:case(condition.name)
  if not case then return nil, message, code end
  for _, edit in ipairs(edits) do
    ok, message, code = case:edit(edit.part, edit.change, edit.what, edit.value)
    if not ok then
      case:close()
      return nil, message, code == "SL_E_NOMEM" and code or "misuse"
    end
  end
  return case, condition
end

--- Refuses a panel where one current is asked of a part: in a panel it spreads between the studs.
function M.check_no_panel(circuit, part)
  if not circuit.kinds[part].is_panel then return true end
  return M.misuse("'%s' is a panel, and its current spreads between its studs; name the conductor "
    .. "that ends on a stud", part)
end

--- A part by its name; "PART: END", "PART.END" or "PART/END" for what is told of one of its ends or
--- paths.
--- @return the part's kind, part, END or nil; or nil, message, "misuse"
function M.find_part(circuit, text)
  if type(text) ~= "string" then
    return M.misuse("a part is named by a text, not a %s", type(text))
  end
  if circuit.kinds[text] then return circuit.kinds[text], text end
  local shortest = text
  for at in text:gmatch "()[.:/]" do
    local part, rest = text:sub(1, at - 1):match "^(.-)%s*$", text:sub(at + 1):match "^%s*(.-)%s*$"
    if circuit.kinds[part] then return circuit.kinds[part], part, rest end
    if shortest == text then shortest = part end
  end
  return M.misuse("%s has no part '%s'%s", circuit.file, text,
    nearest.hint_or_list(shortest, circuit.part_names, "parts"))
end

--- Whether two leads are on nodes, and on two of them; nil, message, "misuse" when not.
--- @param whose put before "red lead", "" when not given
function M.check_leads(circuit, asked, whose)
  for _, lead in ipairs { "red", "black" } do
    local ok, message, code = M.check_node(circuit, (whose or "") .. lead, asked[lead])
    if not ok then return nil, message, code end
  end
  if asked.red == asked.black then
    return M.misuse("%sboth leads are on '%s': any meter reads 0 there", whose or "", asked.red)
  end
  return true
end

--- Refuses a path that a part does not have; none is none.
function M.check_element(circuit, part, name)
  local elements = circuit.kinds[part].elements
  if name == nil or elements[name] then return true end
  return M.misuse("'%s' has no path '%s'%s", part, tostring(name),
    nearest.hint_or_list(tostring(name), kinds.names_of(elements), "paths"))
end

--- Whether the circuit has a node; nil, message, "misuse" when not.
function M.check_node(circuit, lead, name)
  if type(name) ~= "string" then
    return M.misuse("say which node the %s lead is on", lead)
  elseif not circuit.core:has_node(name) then
    return M.misuse("%s lead: %s has no node '%s'%s", lead, circuit.file, name,
      nearest.hint_or_list(name, circuit.core:nodes(), "nodes"))
  end
  return true
end

return M

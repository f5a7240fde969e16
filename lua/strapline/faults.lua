--- Faults as text, "PART: CHANGE", to edits of a circuit. DEVELOPERS.md lists the forms.
---
--- edit = { part, change = "set" | "open" | "series", what, value, mode }; mode: the name of the mode
--- it is of, where it is of one
local format = require "strapline.format"
local kinds = require "strapline.kinds"
local nearest = require "strapline.nearest"
local quantity = require "strapline.quantity"
local values = require "strapline.values"

local M = {}

local MOST_OHM = 1e15

local function trim(text)
  return text:match("^%s*(.-)%s*$")
end

local function one_of(names)
  return "'" .. table.concat(names, "', '") .. "'"
end

--- "+50 mohm" in series with one element, or with the only one.
local function parse_series(kind, element, written)
  local ohm, wrong = quantity.parse(trim(written), "resistance", true)
  if not ohm then return nil, ('"+%s" %s'):format(written, wrong) end
  if ohm <= 0 or ohm > MOST_OHM then
    return nil, ('"+%s" is not allowed; added resistance is above 0 (an interruption is `open`)')
      :format(written)
  end
  if #kind.elements == 0 then
    return nil, ("a %s has no path of its own; give the resistance to a joint between a stud and "
      .. "its cable"):format(kind.name)
  elseif not element and #kind.elements ~= 1 then
    local forms = {}
    for index, path in ipairs(kind.elements) do forms[index] = path.name .. " +" .. trim(written) end
    return nil, ("a %s has several paths; say which: %s"):format(kind.name, one_of(forms))
  end
  return { change = "series", what = element, value = ohm }
end

--- Whether a text is a resistance above 0, so that a plus in front of it is all it lacks.
local function is_ohms(text)
  return text:find("^[%d.]") ~= nil and (quantity.parse(text, "resistance", true) or 0) > 0
end

--- "contacts open", "contacts +50 mohm": an element's name in front.
local function parse_element(kind, text)
  for _, element in ipairs(kind.elements) do
    if text:sub(1, #element.name + 1) == element.name .. " " then
      local rest = trim(text:sub(#element.name + 2))
      if rest == "open" then return { change = "open", what = element.name } end
      if rest:sub(1, 1) == "+" then return parse_series(kind, element.name, rest:sub(2)) end
      if is_ohms(rest) then
        return nil, ("added resistance has a plus: '%s +%s'"):format(element.name, rest)
      end
    end
  end
end

--- The parameter whose value a mode with a severity takes.
local function severity_of(kind, mode)
  if mode.change == "set" then
    local param = kind.params[mode.what]
    return {
      name = mode.name, quantity = param.quantity, unit = param.unit, bare = param.bare,
      choices = param.choices, least = mode.least, greatest = mode.greatest, doc = mode.doc,
    }
  end
  return {
    name = mode.name, quantity = "resistance", unit = "ohm", bare = true,
    least = mode.least, greatest = mode.greatest, doc = mode.doc,
  }
end

local function has_severity(mode)
  return mode.change ~= "open" and mode.least ~= mode.greatest
end

--- What else to write where a mode does not go as far as that: any resistance can be added.
local function beyond(kind, severity, written)
  local value = quantity.parse(written, severity.quantity, true)
  if severity.quantity ~= "resistance" or #kind.elements > 1 or not value
    or value <= severity.greatest then
    return ""
  end
  return ("; to add more than that write '+%s'"):format(
    type(written) == "number" and written .. " ohm" or written)
end

local function parse_mode(kind, mode, written)
  local edit = { change = mode.change, what = mode.what, value = mode.least, mode = mode.name }
  if written and not has_severity(mode) then
    return nil, ("'%s' takes no value"):format(mode.name)
  elseif written then
    local severity = severity_of(kind, mode)
    local wrong
    edit.value, wrong = values.check(severity, written)
    if not edit.value then return nil, wrong .. beyond(kind, severity, written) end
  elseif has_severity(mode) then
    local severity = severity_of(kind, mode)
    return nil, ("'%s' needs how much: write %s (%s)"):format(mode.name, values.sample(severity),
      format.range(mode.least, mode.greatest, severity.quantity, severity.unit))
  end
  return edit
end

--- A number without a unit is one; everything else stays text.
local function as_written(text)
  return text:find("^[+-]?[%d.]+[eE]?[+-]?%d*$") and tonumber(text) or text
end

--- "NAME = VALUE": a mode with a severity, or a parameter.
local function parse_assignment(kind, name, written)
  local mode, param = kind.modes[name], kind.params[name]
  if mode and not param then return parse_mode(kind, mode, as_written(written)) end
  if not param then return nil end
  local value, wrong = values.check(param, as_written(written))
  if not value then return nil, wrong end
  return { change = "set", what = name, value = value }
end

--- Every form a kind understands, for messages.
local function forms_of(kind)
  local forms = { "open", "+50 mohm" }
  if #kind.elements == 0 then forms = { "open" } end
  if #kind.elements > 1 then forms = { "open", kind.elements[1].name .. " open" } end
  for _, mode in ipairs(kind.modes) do
    local severity = has_severity(mode) and severity_of(kind, mode)
    if severity then
      forms[#forms + 1] = values.sample(severity):gsub('"', "")
    elseif mode.name ~= "open" then
      forms[#forms + 1] = mode.name
    end
  end
  return forms
end

--- What to write for added resistance, where the plus was left out.
local function plus_forms(kind, text)
  local forms = { "+" .. text }
  if #kind.elements > 1 then
    for index, element in ipairs(kind.elements) do forms[index] = element.name .. " +" .. text end
  end
  return "added resistance has a plus: " .. one_of(forms)
end

--- "NAME VALUE" where NAME = VALUE is meant. @return what to write, or nil
local function missing_equals(kind, text)
  for _, list in ipairs { kind.modes, kind.params } do
    for _, entry in ipairs(list) do
      local rest = text:sub(1, #entry.name + 1) == entry.name .. " " and text:sub(#entry.name + 2)
      if rest and trim(rest):find "^[%d.]" then return ("%s = %s"):format(entry.name, trim(rest)) end
    end
  end
end

local function parse_change(kind, text)
  if text == "open" then return { change = "open" } end
  if text:sub(1, 1) == "+" then return parse_series(kind, nil, text:sub(2)) end
  if is_ohms(text) then return nil, plus_forms(kind, text) end
  local edit, wrong = parse_element(kind, text)
  if edit or wrong then return edit, wrong end
  if kind.modes[text] then return parse_mode(kind, kind.modes[text]) end
  local name, written = text:match("^(.-)%s*=%s*(.*)$")
  if name then
    edit, wrong = parse_assignment(kind, name, written)
    if edit or wrong then return edit, wrong end
  end
  local meant = not name and missing_equals(kind, text)
  if meant then return nil, ("'%s' lacks its '='; write '%s'"):format(text, meant) end
  local names = kinds.names_of(kind.modes)
  if name then for _, param in ipairs(kind.params) do names[#names + 1] = param.name end end
  return nil, ("a %s has no fault '%s'%s; allowed: %s"):format(kind.name, text,
    nearest.hint(name or text, names), table.concat(forms_of(kind), ", "))
end

--- @param view has `kinds` (descriptions by part name) and `part_names` (list)
--- @return edit, or nil and what is wrong
function M.parse(text, view)
  local part, change = text:match("^%s*(.-)%s*:%s*(.-)%s*$")
  if not part then
    return nil, ("'%s' has no colon; write 'PART: CHANGE', such as 'R1: open'"):format(text)
  end
  local kind = view.kinds[part]
  if not kind then
    return nil, ("'%s': there is no part '%s'%s"):format(text, part,
      nearest.hint_or_list(part, view.part_names, "parts"))
  end
  local edit, wrong = parse_change(kind, change)
  if not edit then return nil, ("'%s': %s"):format(text, wrong) end
  edit.part = part
  return edit
end

return M

--- Arguments of a verb, and its help, from one description.
---
--- verb = { name, arguments = "CIRCUIT", needs = { "CIRCUIT" }, may = { "KIND" }, about,
---          options = { { name, value, doc, many, choices } }, examples = { TEXT } }
local nearest = require "strapline.nearest"

local M = {}

local help_option = { name = "help", doc = "this text" }

--- The options of a verb, and --help.
function M.of(verb)
  local list = table.move(verb.options, 1, #verb.options, 1, {})
  list[#list + 1] = help_option
  return list
end

local function find_option(verb, name)
  local names = {}
  for index, option in ipairs(M.of(verb)) do
    if option.name == name then return option end
    names[index] = "--" .. option.name
  end
  return nil, ("unknown option '--%s'%s"):format(name,
    nearest.hint_or_list("--" .. name, names, "options"))
end

--- Takes a value for an option into `values`. @return nil or what is wrong
local function take(values, option, value)
  if option.choices then
    local known = false
    for _, choice in ipairs(option.choices) do known = known or choice == value end
    if not known then
      return ("--%s '%s' is not known%s; allowed: %s"):format(option.name, value,
        nearest.hint(value, option.choices), table.concat(option.choices, ", "))
    end
  end
  if option.many then
    values[option.name] = values[option.name] or {}
    table.insert(values[option.name], value)
  elseif values[option.name] ~= nil then
    return ("--%s is given twice"):format(option.name)
  else
    values[option.name] = value
  end
end

--- Reads the option at `args[at]`. @return the next place, or nil and what is wrong
local function read_option(verb, args, at, values)
  local name, value = args[at]:match("^%-%-([^=]+)=?(.*)$")
  local has_value = args[at]:find("=", 1, true) ~= nil
  local option, wrong = find_option(verb, name or args[at]:gsub("^%-+", ""))
  if not option then return nil, wrong end
  if not option.value then
    if has_value then return nil, ("--%s takes no value"):format(option.name) end
    value = true
  elseif not has_value then
    at = at + 1
    value = args[at]
    if not value then return nil, ("--%s needs a value: --%s %s"):format(option.name, option.name,
      option.value) end
  end
  wrong = take(values, option, value)
  if wrong then return nil, wrong end
  return at + 1
end

local function check_places(verb, values)
  local most = #verb.needs + #(verb.may or {})
  if #values < #verb.needs then
    return nil, ("%s is missing; write strapline %s %s"):format(verb.needs[#values + 1], verb.name,
      verb.arguments)
  elseif #values > most then
    return nil, ("'%s' is one argument too many; text with spaces needs quotes")
      :format(values[most + 1])
  end
  return values
end

--- @return values by option and by place, or nil and what is wrong
function M.parse(verb, args)
  local values, at, only_places = {}, 1, false
  while at <= #args do
    local arg = args[at]
    if only_places or arg:sub(1, 1) ~= "-" or arg == "-" then
      values[#values + 1] = arg
      only_places = only_places or verb.passes_on
      at = at + 1
    elseif arg == "--" then
      only_places = true
      at = at + 1
    else
      local wrong
      at, wrong = read_option(verb, args, at, values)
      if not at then return nil, wrong end
    end
  end
  if values.help or verb.passes_on and #values > 0 then return values end
  return check_places(verb, values)
end

--- An option as it is written: "--condition C".
function M.form(option)
  return "--" .. option.name .. (option.value and " " .. option.value or "")
end

--- The help text of a verb.
function M.help(verb)
  local lines = {
    ("strapline %s %s"):format(verb.name, verb.arguments), "", verb.about, "", "Options",
  }
  for _, option in ipairs(M.of(verb)) do
    lines[#lines + 1] = ("  %-18s %s"):format(M.form(option), option.doc)
  end
  lines[#lines + 1] = ""
  lines[#lines + 1] = "Examples"
  for _, example in ipairs(verb.examples) do lines[#lines + 1] = "  " .. example end
  return table.concat(lines, "\n") .. "\n"
end

--- What --red, --black and --current ask for. @return question, or nil and what is wrong
function M.reading(values)
  if values.current and (values.red or values.black) then
    return nil, "give two leads or --current, not both"
  elseif values.current then
    return { part = values.current }
  elseif not values.red or not values.black then
    return nil, "say what is read: --red NODE --black NODE, or --current PART"
  end
  return { red = values.red, black = values.black }
end

--- Options that several verbs share.
M.condition = { name = "condition", value = "C",
  doc = "how the vehicle is held; the first of the file when not given" }
M.fault = { name = "fault", value = "F", many = true,
  doc = "a fault of the file by name, or 'PART: CHANGE'; may be given several times" }
M.format = { name = "format", value = "F", choices = { "text", "csv", "json" },
  doc = "text (when not given), csv or json" }

return M

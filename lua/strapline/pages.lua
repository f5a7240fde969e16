--- Reference pages made from the descriptions of the kinds.
---
--- A page is a list of blocks, each { FORM, ... }:
---   { "title", TEXT }, { "heading", TEXT }
---   { "text", TEXT }                     a paragraph
---   { "code", TEXT }                     a line of a circuit file
---   { "entry", TEXT, { TEXT, ... } }     something as it is written, and what there is to say of it
---   { "table", HEADINGS, ROWS }
local answers = require "strapline.answers"
local calls = require "strapline.calls"
local columns = require "strapline.columns"
local format = require "strapline.format"
local kinds = require "strapline.kinds"
local lines = require "strapline.lines"
local nearest = require "strapline.nearest"
local panel = require "strapline.panel"
local quantity = require "strapline.quantity"
local tools = require "strapline.tools"
local values = require "strapline.values"
local words = require "strapline.words"

local M = {}

M.QUESTIONS = "lua" -- the name of the page of what can be asked from Lua

local function add(page, form, ...)
  page[#page + 1] = { form, ... }
end

local presences = { required = "must be given", derived = "worked out when not given" }

--- "resistance, 0 ohm or more; must be given".
local function param_line(param)
  local allowed
  if param.choices then
    allowed = '"' .. table.concat(param.choices, '", "') .. '"'
  else
    allowed = ("%s, %s"):format(param.quantity,
      format.range(param.least, param.greatest, param.quantity, param.unit))
  end
  local given = presences[param.presence]
  if not given and not param.fallback then
    given = "may be left out"
  elseif not given then
    local fallback = param.choices and param.choices[math.tointeger(param.fallback) + 1]
    given = "when not given: "
      .. (fallback or format.limit(param.fallback, param.quantity, param.unit))
  end
  return ("%s; %s"):format(allowed, given)
end

--- What the parameters of the kind's own example come to: { [name] = { value, ... } }.
local function values_of_example(kind)
  if kind.is_panel then return {} end
  local node = kind.example:match '{%s*"([^"]+)"' or kind.example:match '=%s*"([^"]+)"'
  local circuit = assert(require("strapline.circuit").parse(('reference "%s"\n%s\n'):format(node,
    kind.example), kind.name))
  local found = assert(circuit:predict()):values(circuit.part_names[1])
  circuit:close()
  return found
end

local function add_params(page, kind, params)
  local found = values_of_example(kind)
  for _, param in ipairs(params) do
    local said = { param_line(param), param.doc }
    if param.standing ~= "" then said[3] = "source: " .. param.standing end
    local value = found[param.name] and found[param.name].value
    add(page, "entry", values.sample(param, kind.example, value), said)
  end
end

local function add_fields(page, kind)
  add(page, "heading", "Fields")
  if kind.takes_points then
    add(page, "entry", "points = { { 6, 4.1 }, { 12, 7.0 } }",
      { "measured points, a voltage and its current each, voltages rising; must be given" })
  end
  add_params(page, kind, kind.params)
end

--- Which parts of the kind do not have it.
local function lacked(entry)
  return entry.lacked and ("; not there with %s"):format(entry.lacked) or ""
end

local function add_terminals(page, kind)
  add(page, "heading", "Terminals, in the order of the list")
  for _, terminal in ipairs(kind.terminals) do
    local own = terminal.optional and not terminal.inside
      and '; when left out, a node of its own, "NAME.' .. terminal.name .. '"' or ""
    add(page, "text", ("%s: %s%s%s"):format(terminal.name, terminal.doc, own, lacked(terminal)))
  end
  add(page, "heading", "Paths for current")
  for _, element in ipairs(kind.elements) do
    add(page, "text", ("%s: from %s to %s; %s%s"):format(element.name, element.from, element.to,
      element.doc, lacked(element)))
  end
end

local function change_of(mode)
  if mode.change == "open" then return ("%s open"):format(mode.what or "every path") end
  if mode.change == "series" then return ("resistance in series with its %s"):format(mode.what) end
  return ("changes %s"):format(mode.what)
end

local function mode_range(kind, mode)
  if mode.change == "open" or mode.least == mode.greatest then return "" end
  local param = mode.change == "set" and kind.params[mode.what]
  if param then
    return ", " .. format.range(mode.least, mode.greatest, param.quantity, param.unit)
  end
  return ", " .. format.range(mode.least, mode.greatest, "resistance", "ohm")
end

local function add_faults(page, kind)
  add(page, "heading", "Faults of its own")
  for _, mode in ipairs(kind.modes) do
    add(page, "text", ("%s: %s (%s%s; source: %s)%s"):format(mode.name, mode.doc, change_of(mode),
      mode_range(kind, mode), mode.standing, lacked(mode)))
  end
end

local function add_notices(page, kind)
  if #kind.states > 0 then
    add(page, "heading", "States: " .. table.concat(kind.states, ", "))
  end
  if #kind.notices == 0 then return end
  add(page, "heading", "What a person notices")
  for _, notice in ipairs(kind.notices) do
    add(page, "text", (notice.text:gsub("@", "...")))
  end
end

--- What gives a panel its shape.
local function add_shape(page, kind)
  add(page, "heading", "Fields of its shape, which stays as it is")
  for _, about in ipairs(panel.about_shape) do add(page, "entry", about[1], { about[2] }) end
  add_params(page, kind, panel.shape)
  add(page, "heading", "Fields of its metal, which conditions and faults may change")
  add_params(page, kind, kind.params)
end

--- The page of one kind, as blocks.
local function kind_page(kind)
  local page = {}
  add(page, "title", kind.name)
  add(page, "text", kind.doc)
  add(page, "text", "Law: " .. kind.law)
  add(page, "text", "Source: " .. kind.standing)
  add(page, "text", "Tested against: " .. kind.check)
  add(page, "code", kind.example)
  if kind.is_panel then
    add_shape(page, kind)
  else
    add_terminals(page, kind)
    add_fields(page, kind)
  end
  add_faults(page, kind)
  add_notices(page, kind)
  return page
end

local fault_forms = {
  { "R1: open", "every path through the part is gone" },
  { "K1: contacts open", "one path is gone" },
  { "C1: +50 mohm", "resistance in series with the part's only path" },
  { "K1: contacts +50 mohm", "resistance in series with one path" },
  { "B1: charge = 40 %", "a field takes another value" },
  { "F1: blown", "a fault of the kind, by its name" },
  { "C1: broken strands = 90 %", "a fault of the kind, and how much" },
}

local function quantity_rows()
  local rows, seen = {}, {}
  for _, kind in ipairs(kinds.all()) do
    for _, param in ipairs(kind.params) do
      if not param.choices and not seen[param.quantity] then
        seen[param.quantity] = true
        local names, example = quantity.units_of(param.quantity)
        rows[#rows + 1] = { param.quantity, example, names == "" and "no unit" or names,
          not param.bare and "not allowed" or param.unit == "1" and "0.8 is 80 %"
            or param.unit == "" and "allowed" or "in " .. param.unit }
      end
    end
  end
  return rows
end

--- The first sentence of what a kind is.
local function in_short(kind)
  return kind.doc:match("^(.-)%.%s") or kind.doc:gsub("%.$", "")
end

--- The page of everything, as blocks.
local function overview()
  local page = {}
  add(page, "title", "Words of circuit files")
  for _, word in ipairs(words.forms) do add(page, "entry", word.form, { word.doc }) end
  add(page, "entry", 'KIND "NAME" { "NODE", "NODE", TERMINAL = "NODE", FIELD = VALUE }',
    { "a part; nodes in the order of its terminals, or by the terminal's name" })
  add(page, "heading", "Kinds (strapline words KIND tells all of one)")
  local rows = {}
  for index, kind in ipairs(kinds.all()) do rows[index] = { kind.name, (in_short(kind)) } end
  add(page, "table", { "kind", "" }, rows)
  add(page, "heading", "Values")
  add(page, "table", { "quantity", "example", "units", "a number alone" }, quantity_rows())
  add(page, "heading", "Faults, in a file and after --fault")
  add(page, "table", { "form", "" }, fault_forms)
  add(page, "heading", "Tools, for strapline read --tool and --with")
  rows = {}
  for index, tool in ipairs(tools) do rows[index] = { tool.name, tool.about } end
  add(page, "table", { "tool", "" }, rows)
  add(page, "text", "strapline words lua: what can be asked from Lua, and with which fields")
  return page
end

--- A type without what says that it may be nil, and that.
local function type_text(written)
  local kind, may = written:match "^(.-)(%??)$"
  return may == "?" and kind .. ", or nil" or kind
end

--- A record of an answer: its fields, and what it can be asked.
local function add_record(page, record)
  add(page, "heading", ("%s (%s)"):format(record.name, record.about))
  for _, field in ipairs(answers.fields(record)) do
    add(page, "entry", ("%s: %s"):format(field[1], type_text(field[2])),
      field[3] ~= "" and { field[3] } or {})
  end
  for _, method in ipairs(record.methods or {}) do add(page, "entry", method[1], { method[2] }) end
end

--- The page of what can be asked from Lua, and of what the answers are made of.
local function questions()
  local page = {}
  add(page, "title", "Questions from Lua")
  add(page, "text", 'local circuit = assert(strapline.load "FILE.lua"), and then circuit:NAME with '
    .. "a table of fields; every field may be left out but where it is said. A question that cannot "
    .. "be answered returns nil, a message and a code; a field that means nothing raises an error.")
  for _, call in ipairs(calls.list) do
    local about, gives = call.about:match "^(.-) %-> (.*)$"
    add(page, "heading", ("circuit:%s { ... } gives %s"):format(call.name, gives:match "^%a+"))
    add(page, "text", ("%s%s"):format(about, gives:match "^%a+(.*)$"))
    for _, field in ipairs(call.fields) do add(page, "entry", field[2], { field[3] }) end
    if calls.fields(call.name).meter then
      for _, field in ipairs(require("strapline.multimeter").fields) do
        add(page, "entry", "meter." .. field.name, { ("%s; %s"):format(field.doc, format.range(
          field.least, field.greatest, field.quantity, field.unit)) })
      end
    end
  end
  add(page, "title", "Answers from Lua")
  add(page, "text", "Each record with its fields, in SI, temperatures in C; what is not defined is "
    .. "nil. A list that has names too is gone through with ipairs, and an entry of it found by "
    .. "answer.nodes[NAME], nil when there is none, or by answer:node(NAME), an error then.")
  for _, record in ipairs(answers.list) do add_record(page, record) end
  return page
end

--- "; kinds that speak of it: ..." for a word of the trade that is no kind, such as solenoid; or "".
local function speaking_of(word)
  local list, lower = {}, word:lower()
  for _, name in ipairs(kinds.names()) do
    local kind = kinds.find(name)
    if (name .. " " .. kind.doc):lower():find(lower, 1, true) then list[#list + 1] = name end
  end
  if #lower < 3 or #list == 0 or #list > 6 then return "" end
  return "; kinds that speak of it: " .. table.concat(list, ", ")
end

--- The blocks of the page of a kind, or of everything when `name` is nil.
--- @return list of blocks, or nil and a message
function M.blocks(name)
  if not name then return overview() end
  if name == M.QUESTIONS then return questions() end
  local kind = kinds.find(name)
  if kind then return kind_page(kind) end
  local hint = nearest.hint(name, kinds.names())
  if hint == "" then hint = speaking_of(name) end
  if hint == "" then hint = nearest.hint_or_list(name, kinds.names(), "kinds") end
  return nil, ("there is no kind '%s'%s"):format(name, hint)
end

--- How each form of block looks on a terminal.
local drawn = {
  title = function(text) return { text } end,
  heading = function(text) return { "", text } end,
  text = function(text) return lines.wrap(text, "  ") end,
  code = function(text) return { "", "  " .. text } end,
  entry = function(text, said)
    local group = { "  " .. text }
    for _, sentence in ipairs(said) do lines.add(group, lines.wrap(sentence, "      ")) end
    return group
  end,
  table = columns.lines,
}

--- The page of a kind, or of everything when `name` is nil.
--- @return text, or nil and a message
function M.page(name)
  local blocks, wrong = M.blocks(name)
  if not blocks then return nil, wrong end
  local page = {}
  for _, block in ipairs(blocks) do
    if block[1] == "title" and #page > 0 then page[#page + 1] = "" end
    lines.add(page, drawn[block[1]](table.unpack(block, 2)))
  end
  return lines.join(page)
end

return M

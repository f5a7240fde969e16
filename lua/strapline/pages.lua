--- Reference pages made from the descriptions of the kinds.
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

local append, wrap = lines.add, lines.wrap

local function section(page, title)
  append(page, { "", title })
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

--- A field as in the kind's own example, with its default, or with what its quantity looks like.
local function sample(kind, param)
  local shown = kind.example:match("[{,%s](" .. param.name .. ' = "[^"]*")')
    or kind.example:match("[{,%s](" .. param.name .. " = [%d.]+)")
  if shown then return shown end
  if param.fallback and not param.choices and param.quantity ~= "number" then
    return ('%s = "%s"'):format(param.name,
      format.limit(param.fallback, param.quantity, param.unit))
  end
  return values.sample(param)
end

local function params_list(page, kind, params)
  for _, param in ipairs(params) do
    append(page, { "  " .. sample(kind, param) })
    append(page, wrap(param_line(param), "      "))
    append(page, wrap(param.doc, "      "))
    if param.standing ~= "" then append(page, wrap("source: " .. param.standing, "      ")) end
  end
end

local function params_section(page, kind)
  section(page, "Fields")
  if kind.takes_points then
    append(page, { "  points = { { 6, 4.1 }, { 12, 7.0 } }" })
    append(page, { "      measured points, a voltage and its current each, voltages rising; "
      .. "must be given" })
  end
  params_list(page, kind, kind.params)
end

local function terminals_section(page, kind)
  section(page, "Terminals, in the order of the list")
  for _, terminal in ipairs(kind.terminals) do
    append(page, wrap(("%s: %s%s"):format(terminal.name, terminal.doc, terminal.optional
      and '; when left out, a node of its own, "NAME.' .. terminal.name .. '"' or ""), "  "))
  end
  section(page, "Paths for current")
  for _, element in ipairs(kind.elements) do
    append(page, wrap(("%s: from %s to %s; %s"):format(element.name, element.from, element.to,
      element.doc), "  "))
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

local function faults_section(page, kind)
  section(page, "Faults of its own")
  for _, mode in ipairs(kind.modes) do
    append(page, wrap(("%s: %s (%s%s)"):format(mode.name, mode.doc, change_of(mode),
      mode_range(kind, mode)), "  "))
  end
end

local function notices_section(page, kind)
  if #kind.states > 0 then
    append(page, { "", "States: " .. table.concat(kind.states, ", ") })
  end
  if #kind.notices == 0 then return end
  section(page, "What a person notices")
  for _, notice in ipairs(kind.notices) do
    append(page, { "  " .. notice.text:gsub("@", "...") })
  end
end

--- What gives a panel its shape.
local function shape_section(page, kind)
  section(page, "Fields of its shape, which stays as it is")
  for _, about in ipairs(panel.about_shape) do
    append(page, { "  " .. about[1] })
    append(page, wrap(about[2], "      "))
  end
  params_list(page, kind, panel.shape)
  section(page, "Fields of its metal, which conditions and faults may change")
  params_list(page, kind, kind.params)
end

--- The page of one kind.
local function kind_page(kind)
  local page = { kind.name }
  append(page, wrap(kind.doc, "  "))
  append(page, wrap("Law: " .. kind.law, "  "))
  append(page, wrap("Source: " .. kind.standing, "  "))
  append(page, { "", "  " .. kind.example })
  if kind.is_panel then
    shape_section(page, kind)
  else
    terminals_section(page, kind)
    params_section(page, kind)
  end
  faults_section(page, kind)
  notices_section(page, kind)
  return lines.join(page)
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

local function add_rows(page, headings, rows)
  append(page, columns.lines(headings, rows))
end

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

--- The page of everything.
local function overview()
  local page = { "Words of circuit files" }
  for _, word in ipairs(words.forms) do
    append(page, { "  " .. word.form })
    append(page, wrap(word.doc, "      "))
  end
  append(page, { '  KIND "NAME" { "NODE", "NODE", TERMINAL = "NODE", FIELD = VALUE }' })
  append(page, { "      a part; nodes in the order of its terminals, or by the terminal's name" })
  section(page, "Kinds (strapline words KIND tells all of one)")
  local rows = {}
  for index, kind in ipairs(kinds.all()) do
    rows[index] = { kind.name, kind.doc:match("^(.-)%.%s") or kind.doc:gsub("%.$", "") }
  end
  add_rows(page, { "kind", "" }, rows)
  section(page, "Values")
  add_rows(page, { "quantity", "example", "units", "a number alone" }, quantity_rows())
  section(page, "Faults, in a file and after --fault")
  add_rows(page, { "form", "" }, fault_forms)
  section(page, "Tools, for strapline read --tool and --with")
  rows = {}
  for index, tool in ipairs(tools) do rows[index] = { tool.name, tool.about } end
  add_rows(page, { "tool", "" }, rows)
  return lines.join(page)
end

--- The page of a kind, or of everything when `name` is nil.
--- @return text, or nil and a message
function M.page(name)
  if not name then return overview() end
  local kind = kinds.find(name)
  if kind then return kind_page(kind) end
  return nil, ("there is no kind '%s'%s"):format(name, nearest.hint_or_list(name, kinds.names(),
    "kinds"))
end

return M

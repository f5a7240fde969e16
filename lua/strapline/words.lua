--- Runs a circuit file in its closed environment and keeps what it says as records with their
--- lines. Nothing is judged here but what cannot become a record; check.lua does the judging.
---
--- records = { file, circuit, temperature, reference = { value, line },
---             parts = { { kind, name, line, body } }, conditions and faults = { { name, line,
---             body } }, problems }
local closed = require "strapline.closed"
local core = require "strapline".core
local kinds = require "strapline.kinds"
local nearest = require "strapline.nearest"
local panel = require "strapline.panel"
local problems = require "strapline.problems"

local M = {}

--- Limits of one file. A part takes some two hundred instructions and a kilobyte.
local INSTRUCTIONS, SECONDS, BYTES = 50 * 1000 * 1000, 10, 256 * 1024 * 1024

--- The name of the chunk in messages of Lua; that of the file could be cut short there.
local CHUNK = "=circuit"

--- The words that are not kinds, and how they are written.
M.forms = {
  { name = "circuit", form = 'circuit "NAME"',
    doc = "the name of the circuit; else that of its file" },
  { name = "temperature", form = 'temperature "20 C"',
    doc = "of every part that has none of its own; 20 C when not said" },
  { name = "reference", form = 'reference "NODE"',
    doc = "the node voltages are told against; else the negative post of the first battery" },
  { name = "panel", form = panel.FORM,
    doc = "sheet metal as a ground return, with studs; `strapline words panel` tells all of it" },
  { name = "condition", form = 'condition "NAME" { PART = "closed", PART = { field = value }, '
    .. 'after = "CONDITION", temperature = "0 C", engine_speed = "1500 rpm" }',
    doc = "how the vehicle is held while measuring; a file that names none has one called rest; "
      .. "engine_speed is that of every alternator, which a part's own field can overrule" },
  { name = "fault", form = 'fault "NAME" { "PART: CHANGE", about = "TEXT" }',
    doc = "changes that can be asked for by this name" },
}

local function word_names()
  local names = kinds.names()
  for _, word in ipairs(M.forms) do names[#names + 1] = word.name end
  return names
end

--- The line of the circuit file that is being run.
local function line_now()
  for level = 3, 40 do
    local info = debug.getinfo(level, "Sl")
    if not info then return 0 end
    if info.source == CHUNK then return info.currentline end
  end
  return 0
end

local function nothing() end

--- A word that takes one value: `reference "NODE"`.
local function value_word(records, word, form)
  return function(value)
    local line = line_now()
    if records[word] then
      records.problems:add(line, ("%s is given twice; the first is on line %d")
        :format(word, records[word].line))
    elseif value == nil then
      records.problems:add(line, ("%s has no value; write %s"):format(word, form))
    else
      records[word] = { value = value, line = line }
    end
  end
end

--- A word that takes a name and a table: `battery "B1" { ... }`.
local function named_word(records, list, kind, form)
  return function(name)
    local line = line_now()
    if type(name) ~= "string" then
      records.problems:add(line, ("%s has no name; write %s"):format(kind, form))
      return nothing
    end
    local record = { kind = kind, name = name, line = line }
    list[#list + 1] = record
    return function(body) record.body = body end
  end
end

local function make_word(records, name)
  local kind = kinds.find(name)
  if name == "panel" then
    return named_word(records, records.parts, name, panel.FORM)
  elseif kind then
    return named_word(records, records.parts, name, name .. ' "NAME" { "NODE", "NODE", ... }')
  elseif name == "condition" then
    return named_word(records, records.conditions, name, 'condition "NAME" { ... }')
  elseif name == "fault" then
    return named_word(records, records.faults, name, 'fault "NAME" { "PART: CHANGE" }')
  end
  for _, word in ipairs(M.forms) do
    if word.name == name then return value_word(records, name, word.form) end
  end
end

--- What an unknown word gives, so that the rest of the file is still read: it can be called again
--- and again.
local stand_in = setmetatable({}, { __call = function(self) return self end })

--- Whether a value is the result of an unknown word, which has been complained of already.
function M.is_unknown(value)
  return rawequal(value, stand_in)
end

--- What people call the kinds.
local called = {
  wire = "cable", lead = "cable", harness = "cable", bulb = "lamp", light = "lamp", led = "led_lamp",
  ground = "joint", earth = "joint", splice = "joint", connector = "joint", connection = "joint",
  terminal = "joint", lug = "joint", clamp = "joint", screw = "joint", braid = "strap",
  busbar = "strap", ecu = "module", ecm = "module", control_unit = "module", generator = "alternator",
  fusible_link = "fuse", circuit_breaker = "breaker", button = "switch", solenoid = "relay",
  contactor = "relay", pump = "motor", fan = "motor", blower = "motor", wiper = "motor",
  winch = "motor", charger = "supply", jump_leads = "booster_leads", ignition_switch = "key_switch",
  voltmeter = "meter",
}

local function unknown(name)
  local kind = called[name:lower()]
  local hint = kind and (" (did you mean '%s'?)"):format(kind) or nearest.hint(name, word_names())
  if hint ~= "" then return ("unknown word '%s'%s"):format(name, hint) end
  if _G[name] ~= nil then
    return ("'%s' is not for circuit files: they reach nothing outside themselves"):format(name)
  end
  return ("unknown word '%s'; a node, a part or a choice is text: \"%s\"; `strapline words` lists "
    .. "all words"):format(name, name)
end

--- The environment: words are made when they are first used.
local function environment(records)
  local tools, assigned = closed.tools(), {}
  local function lookup(_, name)
    name = tostring(name)
    local value = assigned[name]
    if value ~= nil then return value end
    if tools[name] ~= nil then return tools[name] end
    value = make_word(records, name)
    if value == nil then
      records.problems:add(line_now(), unknown(name))
      return stand_in
    end
    tools[name] = value
    return value
  end
  local function assign(_, name, value)
    records.problems:add(line_now(),
      ("the new global '%s' is not allowed; write local %s = ..."):format(name, name))
    assigned[tostring(name)] = value
  end
  return setmetatable({}, { __index = lookup, __newindex = assign })
end

local ENDLESS = ("the file does not come to an end: stopped after %d million instructions or %d s")
  :format(INSTRUCTIONS // 1000000, SECONDS)
local TOO_LARGE = ("the file needs more than %d MB of memory"):format(BYTES // (1024 * 1024))

--- Files a Lua error "circuit:LINE: TEXT" under its line.
local function complain_of_error(records, message)
  message = type(message) == "string" and message or "the file raises an error"
  local line, text = message:match("^circuit:(%d+): (.*)$")
  line = tonumber(line) or 1
  if not records.problems:has_line(line) then -- else it follows from what is said already
    text = text or message
    if text:find("^stack overflow") then text = "a function calls itself without end" end
    if text:find("(method '", 1, true) then text = text .. "; " .. closed.METHODS end
    records.problems:add(line, text)
  end
end

--- What people write that is no Lua, each in a line without its texts in quotes and remarks.
local slips = {
  { pattern = "[{,]%s*%d+%a?%s*=",
    hint = 'a terminal that begins with a digit needs brackets and quotes: ["30"] = "NODE"' },
  { pattern = "=%s*[%d./]+%s*[%a%%]",
    hint = 'a value with a unit is text in quotes, such as size = "35 mm2"' },
  { pattern = "[{,=]%s*[%a_][%w_]*%s*[-+]", hint = 'a node is text in quotes, such as "B1 +"' },
  { pattern = "[{,=]%s*[%a_][%w_]*%s+%w", hint = 'a node is text in quotes, such as "B1 +"' },
}

--- What Lua says where a mark is missing or too much, and what that means in a circuit file.
local misreadings = {
  { pattern = "'}' expected %(to close '{' at line (%d+)%) near '?([^']*)'?$",
    hint = "the brace that opens in line %s is not closed before %s, or a comma is missing there" },
  { pattern = "'}' expected near '?([^']*)'?$", hint = "a comma, or a quote, is missing before %s" },
  { pattern = "syntax error near ','$", hint = "no comma stands between one part and the next" },
  { pattern = "unexpected symbol near ','$", hint = "there is a comma too much" },
  { pattern = "near '?}'?$", hint = "there is a brace too much, or a value is missing" },
  { pattern = "unfinished string near (.*)$", hint = "a text has no quote at its end" },
}

--- What is most likely meant where Lua cannot read a line.
local function syntax_hint(text, message)
  local wanted, at = tonumber(message:match("^circuit:(%d+):")), 0
  for line in (text .. "\n"):gmatch("(.-)\n") do
    at = at + 1
    line = line:gsub('"[^"]*"', '""'):gsub("'[^']*'", "''"):gsub("%-%-.*", "")
    for _, slip in ipairs(at == wanted and slips or {}) do
      if line:find(slip.pattern) then return slip.hint end
    end
  end
  for _, misreading in ipairs(misreadings) do
    local first, second = message:gsub("<eof>", "the end of the file"):match(misreading.pattern)
    if first then return (misreading.hint:format(first, second)) end
  end
  return 'a circuit file is Lua text, such as battery "B1" { "B1 +", "B1 -", cca = "600 A" }'
end

--- Compiles and runs the text; both count against the limits.
local function run(records, text)
  local syntax
  local function inside()
    local chunk, message = load(text, CHUNK, "t", environment(records))
    syntax = message
    if chunk then chunk() end
  end
  local restore = closed.restrict_strings()
  local ok, reason, detail = core.fenced(inside, CHUNK, INSTRUCTIONS, SECONDS, BYTES)
  restore()
  if syntax then
    complain_of_error(records, syntax .. "; " .. syntax_hint(text, syntax))
  elseif not ok and reason == "error" then
    complain_of_error(records, detail)
  elseif not ok then
    local stopped = reason == "memory" and TOO_LARGE or ENDLESS
    records.problems:add(math.max(detail, 1), stopped .. "; look for a loop here")
  end
end

--- Reads a circuit file's text. @return records
function M.read(text, file)
  local records = {
    file = file, problems = problems.new(),
    parts = {}, conditions = {}, faults = {},
  }
  text = text:gsub("^\xEF\xBB\xBF", ""):gsub("^#[^\n]*", "")
  if text:find("^\27Lua") then
    records.problems:add(1, "this is compiled Lua, which is not read; give the file as text")
  else
    run(records, text)
  end
  return records
end

return M

--- A loaded circuit and the questions that can be asked of it.
---
--- circuit = { name, file, conditions = { { name, temperature } }, has_conditions, faults = { {
---             name, about, changes, edits } } (also by name), kinds = { [part] = description },
---             part_names, posts = { { node, positive } }, doubts = { { line, text } }, core }
--- `has_conditions`: the file names some; `doubts`: what stands in the file, can be, and may yet be
--- a slip.
local build = require "strapline.build"
local check = require "strapline.check"
local doubts = require "strapline.doubts"
local words = require "strapline.words"

local M = {}
local Circuit = {}
Circuit.__index = Circuit

local LARGEST = 16 * 1024 * 1024 -- bytes of a circuit file
local ROOM_C = 20

--- "circuits/wicken_410.lua" to "wicken_410".
local function base_name(file)
  return file:match("([^/\\]+)$"):match("^(.-)%.?[^.]*$"):match("^.+$") or file
end

local function list_conditions(plan)
  local list = {}
  local ambient = plan.temperature or ROOM_C
  for index, condition in ipairs(plan.conditions) do
    local name = condition.record.name
    list[index] = { name = name, temperature = condition.temperature or ambient }
    list[name] = list[index]
  end
  if #list == 0 then
    list[1] = { name = "rest", temperature = ambient }
    list.rest = list[1]
  end
  return list
end

local function list_faults(plan)
  local list = {}
  for index, fault in ipairs(plan.faults) do
    local name = fault.record.name
    list[index] = { name = name, about = fault.about, changes = fault.changes, edits = fault.edits }
    list[name] = list[index]
  end
  return list
end

--- The terminal at the other end of the element that a negative post is on; nil for other kinds.
local function positive_post(kind)
  for _, element in ipairs(kind.negative_post and kind.elements or {}) do
    if element.from == kind.negative_post then return element.to end
    if element.to == kind.negative_post then return element.from end
  end
end

--- The posts of every battery, as nodes.
local function list_posts(plan, core)
  local posts = {}
  for _, name in ipairs(plan.part_names) do
    local kind = plan.kinds[name]
    local positive = positive_post(kind)
    if positive then
      local function node(terminal) return core:part_node(name, kind.terminals[terminal].index) end
      posts[#posts + 1] = { node = node(kind.negative_post), positive = false }
      posts[#posts + 1] = { node = node(positive), positive = true }
    end
  end
  return posts
end

--- @return circuit, or nil and a message: a line "FILE:LINE: ..." for each fault of the file
function M.parse(text, file)
  file = file or "circuit"
  if type(text) ~= "string" or type(file) ~= "string" then
    error("strapline.parse takes the text of a circuit file and a name for messages", 3)
  end
  local records = words.read(text, file)
  local plan = check.check(records)
  local core = build.build(records, plan)
  if not core then return nil, records.problems:message(file) end
  return setmetatable({
    name = plan.name or base_name(file), file = file, core = core,
    conditions = list_conditions(plan), has_conditions = #plan.conditions > 0,
    faults = list_faults(plan), doubts = doubts.find(plan, core:reference()), kinds = plan.kinds,
    part_names = plan.part_names, posts = list_posts(plan, core),
  }, Circuit)
end

local function read_file(path)
  local file, message = io.open(path, "rb")
  if not file then return nil, message end
  local text, wrong = file:read(LARGEST + 1)
  file:close()
  if wrong then return nil, ("%s: %s"):format(path, wrong) end
  if text and #text > LARGEST then
    return nil, ("%s: larger than %d MB; a circuit file is text"):format(path, LARGEST >> 20)
  end
  return text or ""
end

function M.load(path)
  if type(path) ~= "string" then error("strapline.load takes the path of a circuit file", 3) end
  local text, message = read_file(path)
  if not text then return nil, message end
  return M.parse(text, path)
end

--- Raises what is wrong use, returns the rest. The questions end in a call of it, so that the one who
--- asks is the next level up.
local function pass(result, message, code)
  if not result and code == "misuse" then error(message, 2) end
  return result, message, code
end

--- Where each question is answered. It takes a table of fields, which strapline/calls.lua tells of,
--- and returns what strapline/answers.lua tells of; or nil, message, code.
M.questions = {
  predict = "strapline.answer", read = "strapline.reading", load_test = "strapline.load_test",
  drops = "strapline.drops", explain = "strapline.explain", size = "strapline.sizing",
  matters = "strapline.matters", band = "strapline.band", sweep = "strapline.sweep",
  survey = "strapline.fault_survey", sneak = "strapline.sneak", offsets = "strapline.offsets",
}

for name, module in pairs(M.questions) do
  Circuit[name] = function(self, question)
    if getmetatable(self) ~= Circuit then
      error(("write circuit:%s { ... }, with a colon"):format(name), 2)
    end
    return pass(require(module)[name](self, question or {}))
  end
end

--- Frees the circuit at once; otherwise it is freed when nothing refers to it.
function Circuit:close()
  self.core:close()
end

return M

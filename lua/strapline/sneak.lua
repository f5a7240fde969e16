--- Sneak paths and lost conductors: what flows where it was not meant to.
---
--- M.sneak(circuit, asked) -> { sneaks = what the library's search finds, lost = { { fault, condition,
---   notices } }, stopped }: conductors and joints whose loss puts others in danger; stopped: by
---   asked.progress, before all was found
local calls = require "strapline.calls"
local question = require "strapline.question"
local survey = require "strapline.fault_survey"

local M = {}

--- Kinds that only conduct.
local conductors = { cable = true, strap = true, joint = true, booster_leads = true }

local function open_conductors(circuit)
  local faults = {}
  for _, part in ipairs(circuit.part_names) do
    if conductors[circuit.kinds[part].name] then faults[#faults + 1] = part .. ": open" end
  end
  return faults
end

--- Conductors that a fault puts in danger, of other parts than its own.
local function in_danger(found, lost)
  local list = {}
  for _, entry in ipairs(found.notices) do
    if entry.danger and entry.part .. ": open" ~= lost then list[#list + 1] = entry end
  end
  return list
end

--- Of each lost conductor the condition in which the most others overheat.
local function find_lost(circuit, asked)
  local faults = open_conductors(circuit)
  if #faults == 0 then return {} end
  local found, message, code = survey.survey(circuit,
    { faults = faults, threads = asked.threads })
  if not found then return nil, message, code end
  local worst, order = {}, {}
  for finding in found:findings() do
    local lost = finding.faults[1]
    local notices = in_danger(finding, lost)
    if #notices > (worst[lost] and #worst[lost].notices or 0) then
      if not worst[lost] then order[#order + 1] = lost end
      worst[lost] = { fault = lost, condition = finding.condition, notices = notices }
    end
  end
  local list = {}
  for index, lost in ipairs(order) do list[index] = worst[lost] end
  return list
end

local fields = calls.fields "sneak"

--- @return result; or nil, message, code
function M.sneak(circuit, asked)
  local ok, message, code = question.check_fields(asked, fields)
  if not ok then return nil, message, code end
  local lost
  local sneaks, stopped, status = circuit.core:sneaks(asked.progress)
  if not sneaks then return nil, stopped, status end
  if stopped then return { sneaks = sneaks, lost = {}, stopped = true } end
  lost, message, code = find_lost(circuit, asked)
  if not lost then return nil, message, code end
  return { sneaks = sneaks, lost = lost }
end

return M

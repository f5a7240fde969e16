--- The sets of limits as text, CSV and JSON.
local csv = require "strapline.csv"
local format = require "strapline.format"
local json = require "strapline.json"
local limits = require "strapline.limits"
local lines = require "strapline.lines"

local M = {}

--- What a limit allows, in words.
function M.amount(limit)
  local amount
  if limit.volts then
    amount = ("%g V"):format(limit.volts)
  elseif limit.per_100_a then
    amount = ("%g V per 100 A"):format(limit.per_100_a)
  else
    amount = format.text(limit.part, "fraction") .. " of the nominal voltage"
  end
  if limit.nominal > 0 then amount = amount .. (" on %g V"):format(limit.nominal) end
  return limit.least and "at least " .. amount or amount
end

--- A limit with where it comes from and how sure that is.
function M.describe(limit)
  return ("%s: %s (%s; %s; %s)"):format(limit.text, M.amount(limit), limit.condition, limit.source,
    limit.standing)
end

--- @return the report as one text
function M.text()
  local report = {}
  for index, set in ipairs(limits.all()) do
    local name = index == 1 and set.name .. " (when none is named)" or set.name
    lines.add_group(report, lines.wrap(name .. ": " .. set.about, "", "  "))
    for _, limit in ipairs(set.limits) do
      lines.add(report, lines.wrap(M.describe(limit), "  - ", "    "))
    end
  end
  lines.add_group(report, lines.wrap("Publishers disagree, and a maker's figure for the vehicle "
    .. "always comes first.", ""))
  return lines.join(report)
end

local headings = { "set", "text", "nominal", "volts", "per_100_a", "part", "condition", "source",
  "standing" }

local function each(visit)
  for _, set in ipairs(limits.all()) do
    for _, limit in ipairs(set.limits) do visit(set, limit) end
  end
end

--- @return the report as one text
function M.csv()
  local rows = {}
  each(function(set, limit)
    rows[#rows + 1] = { set.name, limit.text, limit.nominal, limit.volts, limit.per_100_a,
      limit.part, limit.condition, limit.source, limit.standing }
  end)
  return csv.text(headings, rows)
end

--- @return the report as one text
function M.json()
  local list = {}
  each(function(set, limit)
    list[#list + 1] = json.object {
      { "set", set.name }, { "text", limit.text }, { "nominal", limit.nominal },
      { "volts", json.maybe(limit.volts) }, { "per_100_a", json.maybe(limit.per_100_a) },
      { "part", json.maybe(limit.part) }, { "condition", limit.condition },
      { "source", limit.source }, { "standing", limit.standing },
    }
  end)
  return json.encode(json.object { { "limits", json.list(list) } })
end

return M

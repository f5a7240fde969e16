--- Surveys of faults as comma-separated values and JSON: a row for every case, as they are found.
local csv = require "strapline.csv"
local json = require "strapline.json"
local report_faults = require "strapline.report_faults"

local M = {}

local headings = {
  "condition", "faults", "status", "outcome", "ending", "load_only", "red", "black", "good", "now",
  "alone_good", "alone_now", "alone_red", "alone_black", "alone_best_good", "alone_best_now",
  "notices",
}

local function fields(found)
  local best, alone = found.best or {}, found.alone or {}
  local place, alone_place = best.place or {}, alone.place or {}
  local notices = {}
  for index, entry in ipairs(found.notices) do notices[index] = report_faults.notice(entry) end
  return {
    condition = found.condition, faults = found.faults,
    status = found.status or found.good_status or "ok", outcome = found.outcome,
    ending = found.ending, load_only = found.load_only, red = place.red, black = place.black,
    good = best.good, now = best.now, alone_good = best.alone_good, alone_now = best.alone_now,
    alone_red = alone_place.red, alone_black = alone_place.black,
    alone_best_good = alone.alone_good, alone_best_now = alone.alone_now, notices = notices,
  }
end

--- @param write takes pieces of text
function M.csv(survey, write, progress)
  write(csv.line(headings, #headings) .. "\n")
  for found in survey:findings(progress) do
    local row, cells = fields(found), {}
    row.faults, row.notices = table.concat(row.faults, "; "), table.concat(row.notices, "; ")
    for index, name in ipairs(headings) do cells[index] = row[name] end
    write(csv.line(cells, #headings) .. "\n")
  end
end

--- A list of objects, one on a line.
function M.json(survey, write, progress)
  local separator = "[\n"
  for found in survey:findings(progress) do
    local row, object = fields(found), {}
    row.faults, row.notices = json.list(row.faults), json.list(row.notices)
    for index, name in ipairs(headings) do object[index] = { name, json.maybe(row[name]) } end
    write(separator .. json.line(json.object(object)))
    separator = ",\n"
  end
  write(separator == "[\n" and "[]\n" or "\n]\n")
end

return M

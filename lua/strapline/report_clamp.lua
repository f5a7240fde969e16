--- A reading of a clamp as text.
local columns = require "strapline.columns"
local display = require "strapline.display"
local report_text = require "strapline.report_text"

local M = { row_headings = { "clamp" }, extreme_of = "clamp" }

local CANCEL = 0.05 -- of what runs through the jaws

function M.heading(reading)
  local names = {}
  for index, lead in ipairs(reading.leads) do names[index] = lead.text end
  return { "clamp round " .. table.concat(names, ", ") }
end

function M.outcomes(reading)
  return { report_text.outcome(reading) }
end

function M.shown(value)
  return display.join(display.clamp(value))
end

local function cell(value)
  return { display.clamp(value) }
end

local function lead_rows(found)
  local rows = {}
  for _, lead in ipairs(found.leads) do
    local way = lead.to and ('from "%s" to "%s"'):format(lead.from, lead.to)
      or ('from "%s" into its terminal %s'):format(lead.from, lead.terminal)
    rows[#rows + 1] = { lead.part .. (lead.reversed and ", the other way" or ""),
      cell(lead.reversed and -lead.current or lead.current), way }
  end
  if #rows > 1 then rows[#rows + 1] = { "sum: the clamp reads", cell(found.current) } end
  return rows
end

function M.body(reading)
  local group = columns.lines({ "lead", "current", "counted" }, lead_rows(reading))
  if reading.other then
    group[#group + 1] = "  at the other end of a chatter:"
    for _, line in ipairs(columns.lines({ "lead", "current", "counted" },
      lead_rows(reading.other))) do group[#group + 1] = "  " .. line end
  end
  return group
end

--- One of two cables: where the rest of the current is.
local function place_text(place)
  local others = {}
  for index, other in ipairs(place.others) do
    others[index] = ("%s %s"):format(other.part, display.join(display.clamp(other.current)))
  end
  return ('One of several ways: %s flows through "%s", and the clamp has %s of it. The others '
    .. "there, counted into each: %s."):format(display.join(display.clamp(place.through)),
    place.node, display.join(display.clamp(place.held)), table.concat(others, ", "))
end

function M.remarks(reading)
  local list, sizes = {}, 0
  for _, lead in ipairs(reading.leads) do sizes = sizes + math.abs(lead.current) end
  if sizes < display.clamp_step(0) / 2 then
    list[1] = "No current that a clamp could see flows there in this condition."
  elseif #reading.leads > 1 and math.abs(reading.current) < CANCEL * sizes then
    list[1] = "The currents in the jaws run against each other and cancel: what goes out comes "
      .. "back through the same clamp."
  end
  for _, place in ipairs(reading.places) do list[#list + 1] = place_text(place) end
  return list
end

function M.row(reading, second)
  local found = second and reading.other or not second and reading
  return found and { cell(found.current) } or nil
end

return M

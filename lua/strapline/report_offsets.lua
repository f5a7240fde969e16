--- Ground offsets as text, comma-separated values and JSON.
local columns = require "strapline.columns"
local csv = require "strapline.csv"
local format = require "strapline.format"
local json = require "strapline.json"
local lines = require "strapline.lines"
local offsets = require "strapline.offsets"

local M = {}

--- A difference in mV, as a meter shows it.
local function millivolts(volts)
  local text = ("%.0f"):format(volts * 1000)
  return text == "-0" and "0" or text
end

--- Grounds as rows and columns; the columns by number.
local function matrix(result)
  local headings, rows = { "", "ground" }, {}
  for j = 1, #result.grounds do headings[j + 2] = tostring(j) end
  for i, ground in ipairs(result.grounds) do
    local row = { tostring(i), ground.node }
    for j = 1, #result.grounds do
      local cell = result.most[math.min(i, j)][math.max(i, j)]
      local volts = cell and (i < j and cell.volts or -cell.volts)
      row[j + 2] = i == j and "." or volts and millivolts(volts) or "float"
    end
    rows[i] = row
  end
  return columns.lines(headings, rows)
end

local function who(ground)
  if #ground.parts == 0 then return ground.node end
  return ("%s (%s)"):format(ground.node, table.concat(ground.parts, ", "))
end

local MOST_PAIRS = 12

local function above(list, limit)
  local over = {}
  for _, pair in ipairs(list) do
    if pair.volts > limit then over[#over + 1] = pair end
  end
  return over
end

local MOST_COLUMNS = 12

--- @return the report as one text, the number of pairs above the limit
function M.text(result, limit)
  local head = ("%s: grounds against each other, greatest of %d conditions%s")
    :format(result.circuit, #result.conditions,
      #result.faults > 0 and ", fault " .. table.concat(result.faults, "; ") or "")
  local report = lines.wrap(head, "")
  if #result.grounds > 0 and #result.grounds[1].parts > 0 then -- nobody named them
    lines.add(report, lines.wrap("Those of modules, sensors, gauges and converters: what judges "
      .. "voltages against its ground. --node N, given several times, compares others: pump cases, "
      .. "bodies", ""))
  end
  if #result.grounds < 2 then
    lines.add_group(report, { "There are not two grounds to compare; --node N names them" })
    return lines.join(report), 0
  end
  if #result.grounds <= MOST_COLUMNS then
    local group = { "mV, row against column" }
    lines.add(group, matrix(result))
    lines.add_group(report, group)
  else
    lines.add_group(report, lines.wrap(("%d grounds: too many for a table here; --format csv has "
      .. "every pair, --node N chooses"):format(#result.grounds), ""))
  end
  local over = above(offsets.pairs(result), limit)
  local group = { ("Above %s (%d)"):format(format.limit(limit, "voltage", "V"), #over) }
  for index, pair in ipairs(over) do
    if index <= MOST_PAIRS then
      lines.add(group, lines.wrap(("%s  %s against %s [%s]"):format(
        format.text(pair.volts, "voltage"), who(pair.red), who(pair.black), pair.condition),
        "  ", "      "))
    end
  end
  if #over > MOST_PAIRS then
    group[#group + 1] = ("  ... and %d more: --format csv lists them"):format(#over - MOST_PAIRS)
  end
  lines.add_group(report, group)
  for _, failed in ipairs(result.failed) do
    lines.add_group(report, lines.wrap(("No answer in %s: %s"):format(failed.condition,
      failed.message), ""))
  end
  return lines.join(report), #over
end

local keys = { "red", "red_parts", "black", "black_parts", "volts", "condition" }

local function cells_of(pair)
  return { pair.red.node, table.concat(pair.red.parts, "; "), pair.black.node,
    table.concat(pair.black.parts, "; "), pair.volts, pair.condition }
end

function M.csv(result, limit)
  local list, all = { csv.line(keys, #keys) }, offsets.pairs(result)
  for _, pair in ipairs(all) do list[#list + 1] = csv.line(cells_of(pair), #keys) end
  return table.concat(list, "\n") .. "\n", #above(all, limit)
end

function M.json(result, limit)
  local list, all = {}, offsets.pairs(result)
  for index, pair in ipairs(all) do
    local object, cells = {}, cells_of(pair)
    for at, key in ipairs(keys) do object[at] = { key, cells[at] } end
    list[index] = json.object(object)
  end
  return json.encode(json.list(list)), #above(all, limit)
end

return M

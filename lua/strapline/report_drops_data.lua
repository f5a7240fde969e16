--- Drops along paths as CSV and JSON: all that their text says.
local csv = require "strapline.csv"
local json = require "strapline.json"
local path_data = require "strapline.path_data"

local M = {}

local headings = {
  "circuit", "condition", "faults", "set", "end", "load", "load_path", "load_current", "side",
  "red", "black", "part", "path", "use", "open", "current", "drop", "limit", "verdict", "source",
  "standing", "moved", "stop", "blamed", "share", "good_current", "peak", "peak_condition",
}

local totals = {
  { "feed", "feed side in all" }, { "ground", "ground side in all" }, { "both", "both sides" },
  { "cables", "both sides but for switches, relays and fuses" }, { "batteries", "lowest source" },
}

--- A row: `cells` are those from "side" to "drop", `more` those from "moved" on.
local function add_row(rows, drops, index, path, cells, judged, more)
  local row = { drops.circuit, drops.condition, table.concat(drops.faults, "; "), drops.set.name,
    index, path.part, path.element, path.load_current }
  for at = 1, 9 do row[8 + at] = cells[at] end
  local limit = judged.limit or {}
  row[18], row[19], row[20], row[21] = judged.allowed, judged.verdict, limit.source, limit.standing
  for at = 1, 5 do row[21 + at] = more[at] end
  row[27], row[28] = judged.peak, judged.peak_condition
  rows[#rows + 1] = row
end

local function add_path(rows, drops, index, path)
  local function add(cells, judged, more)
    add_row(rows, drops, index, path, cells, judged or {}, more or {})
  end
  if path.no_way then return add { "no way" } end
  for _, step in ipairs(path.steps) do
    add({ step.side, step.from, step.to, step.part, step.element, step.use, step.open,
      step.current, step.drop }, step.judged,
      { step.moved, step.stop, step.blamed, step.share, step.judged.good_current })
    for _, way in ipairs(step.beside) do
      local cells = path_data.beside_cells(step, way)
      add(cells, nil, { nil, nil, nil, way.share, way.good_current })
    end
  end
  for _, total in ipairs(totals) do
    local judged = path[total[1]]
    add({ total[2], [9] = judged.value }, judged)
  end
  for _, way in ipairs(path.lost) do
    add(path_data.lost_cells(way), nil, { nil, nil, "lost", nil, way.good_current })
  end
end

--- @return the report as one text
function M.csv(_, drops)
  local rows = {}
  for index, paths in ipairs(drops.ends) do
    for _, path in ipairs(paths) do add_path(rows, drops, index, path) end
  end
  return csv.text(headings, rows)
end

local function json_judged(judged)
  local limit = judged.limit
  return json.object {
    { "drop", json.maybe(judged.value) }, { "limit", json.maybe(judged.allowed) },
    { "verdict", judged.verdict }, { "source", json.maybe(limit and limit.source) },
    { "standing", json.maybe(limit and limit.standing) }, { "peak", json.maybe(judged.peak) },
    { "peak_condition", json.maybe(judged.peak_condition) },
  }
end

local function json_step(step)
  return json.object {
    { "side", step.side }, { "red", step.from }, { "black", step.to }, { "part", step.part },
    { "path", json.maybe(step.element) }, { "use", step.use }, { "open", step.open },
    { "moved", step.moved }, { "stop", json.maybe(step.stop) },
    { "blamed", json.maybe(step.blamed) },
    { "current", json.maybe(step.current) }, { "share", json.maybe(step.share) },
    { "good_current", json.maybe(step.judged.good_current) },
    { "judged", json_judged(step.judged) }, { "beside", path_data.json_beside(step.beside) },
  }
end

local function json_path(path)
  if path.no_way then
    return json.object { { "load", path.part }, { "load_path", json.maybe(path.element) },
      { "no_way", true }, { "steps", json.list {} } }
  end
  local steps = {}
  for index, step in ipairs(path.steps) do steps[index] = json_step(step) end
  local fields = {
    { "load", path.part }, { "load_path", json.maybe(path.element) },
    { "load_current", json.maybe(path.load_current) }, { "expected", json.maybe(path.expected) },
    { "source", path.source }, { "source_voltage", json.maybe(path.source_voltage) },
    { "bad", path.bad }, { "steps", json.list(steps) },
    { "lost", path_data.json_lost(path.lost) },
  }
  for _, total in ipairs(totals) do
    fields[#fields + 1] = { total[1], json_judged(path[total[1]]) }
  end
  return json.object(fields)
end

--- What is at fault at an end, by how it is so.
local function json_blamed(blamed)
  local fields = {}
  for index, name in ipairs { "open", "moved", "own", "over", "sources", "lost", "by_current" } do
    fields[index] = { name, json.list(blamed[name]) }
  end
  return json.object(fields)
end

local function list_of(items, make)
  local list = {}
  for index, item in ipairs(items) do list[index] = make(item) end
  return json.list(list)
end

--- @return the report as one text
function M.json(_, drops)
  return json.encode(json.object {
    { "circuit", drops.circuit }, { "condition", drops.condition },
    { "faults", json.list(drops.faults) }, { "set", drops.set.name },
    { "outcome", drops.outcome }, { "bad", drops.bad }, { "judged", drops.judged },
    { "blamed", list_of(drops.blamed, json_blamed) },
    { "states", list_of(drops.states, path_data.json_states) },
    { "ends", list_of(drops.ends, function(paths) return list_of(paths, json_path) end) },
  })
end

return M

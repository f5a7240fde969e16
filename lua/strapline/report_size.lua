--- Sizes of a conductor as text, CSV and JSON.
local cautions = require "strapline.cautions"
local columns = require "strapline.columns"
local csv = require "strapline.csv"
local format = require "strapline.format"
local json = require "strapline.json"
local lines = require "strapline.lines"
local report_limits = require "strapline.report_limits"
local report_text = require "strapline.report_text"

local M = {}

local ROUND_MIL_MM2 = 5.0670748e-4 -- a circular mil

--- "2.5 mm2", "10 AWG", "2/0 AWG".
local function size_text(row)
  if not row.gauge then
    return row.size and format.text(row.size, "conductor size") or "as given per metre"
  end
  return (row.gauge > 0 and "%d AWG" or "%d/0 AWG"):format(row.gauge > 0 and row.gauge
    or 1 - row.gauge)
end

local function reasons(row)
  local hot = row.seconds and ("hot in %s"):format(format.estimate(row.seconds, "time")) or "hot"
  local list = {}
  for index, name in ipairs(row.fails) do list[index] = name == "heat" and hot or name end
  return #list == 0 and "will do" or "no: " .. table.concat(list, ", ")
end

local said = {
  drop = "drop: it loses too much",
  heat = "hot: its insulation comes to its limit, in the time told, while the current flows, or would in "
    .. "air of 30 C",
  fuse = "fuse: rated for more than it may carry",
  short = "short: a short at its far end may not open the fuse",
  off = "off: what it feeds does not work with it",
}

--- What the columns and the words in them mean, of those that are there.
local function key_lines(sizes, rows)
  local seen, list = {}, {}
  for _, row in ipairs(rows) do
    for _, name in ipairs(row.fails) do seen[name] = true end
  end
  for _, name in ipairs { "drop", "heat", "fuse", "short", "off" } do
    if seen[name] then list[#list + 1] = said[name] end
  end
  local group = lines.wrap("settles at: what its metal comes to when the current flows for ever. "
    .. "may carry: the steady current that brings its insulation to its limit, in air of 30 C and "
    .. "with the wires it is bundled with." .. (sizes.fuse and " at a short: what flows through the "
    .. "fuse with its far end shorted, as a share of the rating." or ""), "  ", "  ")
  if #list > 0 then lines.add(group, lines.wrap(table.concat(list, "; "), "  no: ", "    ")) end
  return group
end

local function row_cells(sizes, row, label)
  local cells = { label or size_text(row), columns.quantity(row.current, "current"),
    columns.quantity(row.drop, "voltage"), ("%.0f C"):format(row.temperature),
    columns.quantity(row.ampacity, "current") }
  if sizes.fuse then
    cells[#cells + 1] = row.short_current and ("%s, %.0f %%"):format(
      format.text(row.short_current, "current"), row.short_current / sizes.fuse_rating * 100)
      or "not known"
  end
  cells[#cells + 1] = reasons(row)
  return cells
end

--- The sizes up to the first that will do, and one more.
local function shown_rows(sizes, gauges)
  local rows, after = {}, 0
  for _, row in ipairs(sizes.rows) do
    if (row.gauge ~= nil) == gauges and after < 2 then
      rows[#rows + 1] = row
      if #row.fails == 0 or after > 0 then after = after + 1 end
    end
  end
  return rows
end

local function sizes_table(sizes)
  local headings = { "size", "current", "drop", "settles at", "may carry" }
  if sizes.fuse then headings[#headings + 1] = "at a short" end
  headings[#headings + 1] = ""
  local rows = { sizes.present }
  lines.add(rows, shown_rows(sizes, false))
  lines.add(rows, shown_rows(sizes, true))
  local cells = {}
  for index, row in ipairs(rows) do
    cells[index] = row_cells(sizes, row, index == 1 and "now: " .. size_text(row))
  end
  local group = columns.lines(headings, cells)
  lines.add(group, key_lines(sizes, rows))
  return group
end

local function asked_lines(sizes)
  local limit = sizes.limit
  local whose = limit and ("set %s: %s"):format(sizes.set.name, report_limits.describe(limit))
    or "as asked"
  local allowed = ("May lose %s (%s)"):format(format.text(sizes.allowed, "voltage"), whose)
  if sizes.run_allowed then
    allowed = ("Its run, the wires on the way with the same current, out and back, is %s long and "
      .. "may lose %s (%s); so this one of %s may lose %s"):format(
      format.text(sizes.run_length, "length"), format.text(sizes.run_allowed, "voltage"), whose,
      format.text(sizes.length, "length"), format.text(sizes.allowed, "voltage"))
  end
  local shared = sizes.run_allowed and sizes.shared_length > 0
    and ("Not counted in that: %s of wires on the way that carry other currents too and lose %s on "
      .. "top"):format(format.text(sizes.shared_length, "length"),
      format.text(sizes.shared_drop, "voltage"))
  local fuse = "No fuse guards it on the way from the source: nothing opens when it is shorted"
  if sizes.fuse then
    fuse = ("Fuse ahead: %s, %s; it opens for certain from 135 %% on (ISO 8820-3, within 600 s, "
      .. "from memory)"):format(sizes.fuse, format.text(sizes.fuse_rating, "current"))
    if sizes.fuses_together ~= sizes.fuse_rating then
      fuse = ("%s. What comes back through it is guarded by %s; with what comes back without a fuse "
        .. "%s may flow: it must carry that"):format(fuse,
        sizes.fuses == 1 and "1 fuse" or ("%.0f fuses"):format(sizes.fuses),
        format.text(sizes.fuses_together, "current"))
    end
  end
  local list = { allowed }
  if shared then list[2] = shared end
  list[#list + 1] = ("Insulation bears %s; air of %s; current flows for %s at most"):format(
    format.text(sizes.limit_temperature, "temperature"), format.text(sizes.air, "temperature"),
    format.text(sizes.duty, "time"))
  list[#list + 1] = fuse
  return list
end

local helps = {
  drop = "the other wires of the run, a shorter way or less current",
  heat = "less current, cooler insulation or a wire out of the bundle",
  fuse = "a smaller fuse, if the load lets it",
  short = "a smaller fuse, thicker wires in the rest of the way, or a source that gives more",
  off = "what it feeds stays off: look there first",
}

--- What would help where even the thickest fails.
local function none_lines(sizes)
  local fails, last = {}, sizes.rows[#sizes.rows]
  for index, name in ipairs(last and last.fails or {}) do fails[index] = helps[name] end
  return lines.wrap("None of the listed sizes will do. What would help: "
    .. table.concat(fails, "; "), "", "  ")
end

local function result_lines(sizes)
  local found = {}
  for _, row in ipairs { sizes.best or false, sizes.best_gauge or false } do
    if row then found[#found + 1] = size_text(row) end
  end
  if #found == 0 then return none_lines(sizes) end
  local group = { "Smallest that will do: " .. table.concat(found, "; ") }
  if sizes.peak then
    lines.add(group, lines.wrap(("FOR %s ONLY: in condition \"%s\" it carries %s; ask with --condition "
      .. "'%s'"):format(format.text(sizes.present.current, "current"), sizes.peak_condition,
      format.text(sizes.peak, "current"), sizes.peak_condition), "", "  "))
  elseif not sizes.fuse then
    group[#group + 1] = "No fuse guards it: that is a size for its load alone, not for a short"
  end
  if sizes.limit and sizes.limit.source == "ABYC E-11" then
    group[#group + 1] = ("By the rule of ABYC E-11, CM = 10.75 I L / E: %.0f circular mils, %s"):format(
      sizes.by_rule / ROUND_MIL_MM2, format.text(sizes.by_rule, "conductor size"))
  end
  return group
end

--- @return the report as one text
function M.text(circuit, sizes)
  local report = report_text.heading(circuit, sizes)
  lines.add_group(report, lines.wrap(("%s (%s), %s, on the %s side of %s"):format(sizes.part,
    sizes.kind, format.text(sizes.length, "length"),
    sizes.side == "return" and "ground" or sizes.side,
    sizes.element and sizes.load .. ": " .. sizes.element or sizes.load), "", "  "))
  for _, text in ipairs(asked_lines(sizes)) do lines.add(report, lines.wrap(text, "  ", "    ")) end
  lines.add_group(report, sizes_table(sizes))
  lines.add_group(report, result_lines(sizes))
  lines.add_group(report, cautions.lines(circuit, sizes, "size"))
  return lines.join(report)
end

local headings = { "circuit", "condition", "faults", "part", "size", "gauge", "present", "current",
  "drop", "allowed", "temperature", "ampacity", "short_current", "fuse", "fuse_rating", "fails",
  "fuses_together", "peak", "peak_condition" }

--- @return the report as one text
function M.csv(_, sizes)
  local rows, faults = {}, table.concat(sizes.faults, "; ")
  local function add(row, present)
    rows[#rows + 1] = { sizes.circuit, sizes.condition, faults, sizes.part, row.size, row.gauge,
      present, row.current, row.drop, sizes.allowed, row.temperature, row.ampacity,
      row.short_current, sizes.fuse, sizes.fuse_rating, table.concat(row.fails, " "),
      sizes.fuses_together, sizes.peak, sizes.peak_condition }
  end
  add(sizes.present, true)
  for _, row in ipairs(sizes.rows) do add(row, false) end
  return csv.text(headings, rows)
end

local function json_row(row)
  if not row then return json.null end
  return json.object {
    { "size", json.maybe(row.size) }, { "gauge", json.maybe(row.gauge) },
    { "current", row.current }, { "drop", row.drop }, { "temperature", row.temperature },
    { "ampacity", row.ampacity }, { "short_current", json.maybe(row.short_current) },
    { "fails", json.list(row.fails) },
  }
end

--- @return the report as one text
function M.json(_, sizes)
  local rows = {}
  for index, row in ipairs(sizes.rows) do rows[index] = json_row(row) end
  return json.encode(json.object {
    { "circuit", sizes.circuit }, { "condition", sizes.condition }, { "part", sizes.part },
    { "load", sizes.load }, { "allowed", sizes.allowed }, { "fuse", json.maybe(sizes.fuse) },
    { "fuse_rating", json.maybe(sizes.fuse_rating) }, { "present", json_row(sizes.present) },
    { "best", json_row(sizes.best) }, { "best_gauge", json_row(sizes.best_gauge) },
    { "fuses", json.maybe(sizes.fuses) }, { "fuses_together", json.maybe(sizes.fuses_together) },
    { "run_length", sizes.run_length }, { "shared_length", sizes.shared_length },
    { "shared_drop", sizes.shared_drop }, { "peak", json.maybe(sizes.peak) },
    { "peak_condition", json.maybe(sizes.peak_condition) }, { "rows", json.list(rows) },
  })
end

return M

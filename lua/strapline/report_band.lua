--- What matters to a reading, and its band, as text, CSV and JSON.
local aim = require "strapline.aim"
local cautions = require "strapline.cautions"
local columns = require "strapline.columns"
local csv = require "strapline.csv"
local format = require "strapline.format"
local json = require "strapline.json"
local lines = require "strapline.lines"
local matters = require "strapline.matters"
local report_text = require "strapline.report_text"

local M = { text = {}, csv = {}, json = {} }
local maybe = json.maybe
local MOST = 15 -- rows of a table

--- A change, always with its sign.
local function signed(value, quantity)
  if not value then return "-" end
  local number, unit = format.split(value, quantity)
  return { (value > 0 and number ~= "0" and "+" or "") .. number, unit }
end

local function heading(circuit, result)
  local report = report_text.heading(circuit, result)
  report[#report + 1] = aim.text(result)
  return report
end

local function more(group, rows, shown)
  if #rows > shown then
    group[#group + 1] = ("  ... and %d more, of less effect"):format(#rows - shown)
  end
  return group
end

local function series_table(result)
  local rows = {}
  local shown = math.min(#result.series, matters.MOST)
  for index = 1, shown do
    local row = result.series[index]
    rows[index] = { row.only and row.part or ("%s, its %s"):format(row.part, row.element), row.kind,
      signed(row.effect, result.quantity), columns.quantity(row.reading, result.quantity),
      table.concat(row.moved or {}, ", ") }
  end
  if #rows == 0 then return { "10 mohm more in any one place changes nothing here" } end
  local group = columns.lines({ "in series with", "", "changes it by", "to", "" }, rows)
  table.insert(group, 1, "10 mohm more in one place (each solved anew)")
  return more(group, result.series, shown)
end

local function fields_table(result)
  local rows, usual = {}, false
  local shown = math.min(#result.fields, MOST)
  for index = 1, shown do
    local row = result.fields[index]
    usual = usual or row.usual
    rows[index] = { row.part, row.field,
      row.value and columns.quantity(row.value, row.quantity) or "", row.change,
      signed(row.effect, result.quantity), row.down and signed(row.down, result.quantity) or "",
      row.up and signed(row.up, result.quantity) or "", row.usual and "usual" or "" }
  end
  if #rows == 0 then return { "no value of any part changes it" } end
  local group = columns.lines(
    { "part", "field", "value", "", "changes it by", "spread: from", "to", "" }, rows)
  table.insert(group, 1, "A value a little off (small changes, relays as they are), by what its "
    .. "spread does;\nwithout one, by +1 %")
  return more(group, result.fields, shown)
end

function M.text.matters(circuit, result)
  local report = heading(circuit, result)
  report[#report + 1] = "reading: " .. format.text(result.reading, result.quantity)
  lines.add_group(report, series_table(result))
  lines.add_group(report, fields_table(result))
  lines.add_group(report, cautions.lines(circuit, result, "matters"))
  return lines.join(report)
end

local about = {
  worst = "every part at its bad end at once",
  rss = "root sum square: parts off independently, small changes",
  ["monte-carlo"] = "95 % of the samples",
}

local function range(low, high, quantity)
  return format.text(low, quantity) .. " to " .. format.text(high, quantity)
end

local function percent(share)
  return format.text(share, "fraction")
end

--- What the limit line says; %s: how far from the limit. Samples are judged one by one: a few may
--- exceed what 95 % of them keep.
local words = {
  kept = "kept, with a margin of %s",
  exceeded = "exceeded by %s",
  some = "exceeded in some samples; 95 %% keep it, with a margin of %s",
  ["not proved"] = "not proved: see the notes (margin where looked: %s)",
  ["no steady state"] = "no steady state: see the notes (margin at both ends: %s)",
}

local function judgement(result)
  return result.exceeded and result.margin >= 0 and words.some or words[result.verdict]
end

local function verdict(result)
  local limits = {}
  local function text(value) return format.text(value, result.quantity) end
  if result.greatest then limits[1] = "at most " .. text(result.greatest) end
  if result.least then limits[#limits + 1] = "at least " .. text(result.least) end
  if #limits == 0 then return {} end
  local group = { ("  limit       %s: %s"):format(table.concat(limits, ", "),
    judgement(result):format(text(math.abs(result.margin)))) }
  local drawn = result.drawn
  if drawn then
    group[2] = ("  fails       %d of %d samples, %s (95 %% sure: %s to %s of such vehicles)"):format(
      drawn.failed, drawn.samples - drawn.unsolved, percent(drawn.share),
      percent(drawn.share_low), percent(drawn.share_high))
  end
  return group
end

local function drawn_lines(result)
  local drawn = result.drawn
  local function text(value) return format.text(value, result.quantity) end
  local p = drawn.percentile
  local group = {
    ("  samples     %d%s, %s between the ends, seed %d"):format(drawn.samples,
      result.stopped and (" of %d: stopped"):format(result.stopped) or "", result.shape,
      result.seed),
    ("  mean        %s, standard deviation %s"):format(text(drawn.mean), text(drawn.deviation)),
    ("  middle      %s; 80 %% lie in %s"):format(text(p[4]), range(p[3], p[5], result.quantity)),
    ("  99.8 %%      %s"):format(range(p[1], p[7], result.quantity)),
    ("  extremes    %s"):format(range(drawn.least, drawn.greatest, result.quantity)),
  }
  return group
end

--- What has no steady state: how much of what was looked at, and which of the figures shown.
local function chatter(result)
  if result.drawn then
    return ("no steady state in %d of %d samples, %s: something chatters; both ends are counted")
      :format(result.chatters, result.looked, percent(result.chatters / result.looked))
  elseif not result.worst then
    return "no steady state as it is: something chatters; the effects are those at its first end"
  end
  local worst, which = result.worst, ""
  if worst.low_chatters and worst.high_chatters then
    which = " (both extremes are of such)"
  elseif worst.low_chatters or worst.high_chatters then
    which = (" (the %s extreme is of such)"):format(worst.low_chatters and "low" or "high")
  end
  return ("no steady state in %d of %d cases looked at%s: something chatters; both ends are "
    .. "counted"):format(result.chatters, result.looked, which)
end

--- What a person should not overlook: what chatters, states that flip, parameters that turn.
local function warnings(result)
  local group = {}
  local function add(pattern, ...)
    lines.add(group, lines.wrap(pattern:format(...), "! ", "  "))
  end
  if result.chatters > 0 then add("%s", chatter(result)) end
  for _, part in ipairs(result.worst and result.worst.moved or {}) do
    for _, corner in ipairs { "low", "high" } do
      if part[corner] ~= part.before then
        add("at the %s end %s is %s instead of %s", corner, part.part, part[corner], part.before)
      end
    end
  end
  for _, part in ipairs(result.drawn and result.drawn.ended or {}) do
    local ends = {}
    for index, state in ipairs(part.ends) do
      local word = state.state and "is " .. state.state or "chatters"
      ends[index] = ("%s in %s"):format(word, percent(state.count / (result.drawn.samples
        - result.drawn.unsolved)))
    end
    add("%s %s of samples", part.part, table.concat(ends, ", "))
  end
  for _, row in ipairs(result.varied) do
    if row.turns then
      add("%s of %s turns the reading round within its spread: the extreme may lie inside it, where "
        .. "no corner shows it; look with --method monte-carlo", row.param or "temperature",
        row.part or "everything")
    end
  end
  if result.worst and result.worst.unsolved > 0 then
    add("%d ends or corners have no answer", result.worst.unsolved)
  end
  if result.drawn and result.drawn.unsolved > 0 then
    add("%d samples have no answer, and are not counted", result.drawn.unsolved)
  end
  return group
end

--- The change of the reading at either end of what varies.
local function changes(row, reading)
  return row.at_low and row.at_low - reading or row.slope * (row.low - row.value),
    row.at_high and row.at_high - reading or row.slope * (row.high - row.value)
end

--- How many rows come before those that move nothing: the greatest come first.
local function count_moving(result)
  local count = #result.varied
  while count > 0 do
    local low, high = changes(result.varied[count], result.reading)
    if format.split(low, result.quantity) ~= "0" or format.split(high, result.quantity) ~= "0" then
      break
    end
    count = count - 1
  end
  return count
end

--- What decides most and is known exactly only where somebody says so: temperature, charge and age.
local function held_lines(circuit, result)
  local varies, held = {}, {}
  for _, row in ipairs(result.varied) do varies[(row.part or "") .. "\0" .. (row.param or "")] = true end
  if not varies["\0"] then held[1] = "the temperature" end
  for _, part in ipairs(circuit.part_names) do
    for _, field in ipairs(circuit.kinds[part].name == "battery" and { "charge", "health" } or {}) do
      if not varies[part .. "\0" .. field] then held[#held + 1] = ("%s of %s"):format(field, part) end
    end
  end
  if #held == 0 then return {} end
  return lines.wrap(("Held as they are: %s; a spread in the file lets them vary, such as charge = "
    .. '"80 %% +-20 %%" or temperature "10 C +-25 C"'):format(table.concat(held, ", ")), "  ", "    ")
end

local function varied_table(circuit, result)
  if #result.varied == 0 then
    return { "Nothing varies: give spreads in the file, such as resistance = \"2 mohm +-20 %\"" }
  end
  local moving, rows, usual = count_moving(result), {}, false
  local shown = math.min(moving, MOST)
  for index, row in ipairs(result.varied) do
    usual = usual or row.standing ~= ""
    if index <= shown then
      local low, high = changes(row, result.reading)
      rows[index] = { row.part or "(everything)", row.param or "temperature",
        columns.quantity(row.value, row.quantity), columns.quantity(row.low, row.quantity),
        columns.quantity(row.high, row.quantity),
        signed(low, result.quantity), signed(high, result.quantity),
        row.standing ~= "" and "usual" or "" }
    end
  end
  local group = #rows == 0 and {} or columns.lines(
    { "part", "field", "as it is", "from", "to", "from: by", "to: by", "" }, rows)
  table.insert(group, 1, ("What varies (%d values), each alone, greatest first"):format(
    #result.varied))
  if moving > shown then
    group[#group + 1] = ("  ... and %d more, of less effect"):format(moving - shown)
  end
  if moving < #result.varied then
    group[#group + 1] = ("  ... and %d that change%s nothing here"):format(#result.varied - moving,
      #result.varied - moving == 1 and "s" or "")
  end
  if usual then
    group[#group + 1] = "  usual: the file gives none; --format csv tells where each comes from"
  end
  lines.add(group, held_lines(circuit, result))
  return group
end

function M.text.band(circuit, result)
  local report = heading(circuit, result)
  local group = {
    ("  as it is    %s%s"):format(format.text(result.reading, result.quantity), result.other
      and ("; %s at the other end of its chatter"):format(
        format.text(result.other, result.quantity)) or ""),
    ("  %-11s %s (%s)"):format(result.method == "monte-carlo" and "95 %" or result.method,
      range(result.low, result.high, result.quantity), about[result.method]),
  }
  if result.drawn then lines.add(group, drawn_lines(result)) end
  lines.add(group, verdict(result))
  lines.add_group(report, group)
  local warned = warnings(result)
  if #warned > 0 then lines.add_group(report, warned) end
  lines.add_group(report, varied_table(circuit, result))
  lines.add_group(report, cautions.lines(circuit, result, "band"))
  return lines.join(report)
end

local function csv_head(result)
  return { result.circuit, result.condition, table.concat(result.faults, "; "), result.red,
    result.black, result.part, result.element }
end

local csv_headings = { "circuit", "condition", "faults", "red", "black", "part", "path" }

local function csv_text(headings, result, rows)
  local all, head = table.move(headings, 1, #headings, 8, { table.unpack(csv_headings) }),
    csv_head(result)
  for index, row in ipairs(rows) do
    local full = table.move(head, 1, 7, 1, {})
    for column = 1, #headings do full[7 + column] = row[column] end
    rows[index] = full
  end
  return csv.text(all, rows)
end

function M.csv.matters(_, result)
  local rows = {}
  for _, row in ipairs(result.series) do
    rows[#rows + 1] = { "series", row.part, row.element, nil, row.slope, "+10 mohm", row.effect }
  end
  for _, row in ipairs(result.fields) do
    rows[#rows + 1] = { "field", row.part, row.field, row.value, row.slope, row.change, row.effect,
      row.down, row.up }
  end
  return csv_text({ "row", "of", "what", "value", "slope", "change", "effect", "spread_from",
    "spread_to" }, result, rows)
end

local function figures(result)
  local list = { { "reading", result.reading }, { "low", result.low }, { "high", result.high },
    { "limit", result.greatest }, { "least", result.least }, { "margin", result.margin },
    { "other_end", result.other }, { "looked", result.looked }, { "chatters", result.chatters } }
  local drawn = result.drawn
  for _, name in ipairs(drawn and { "samples", "unsolved", "failed", "mean",
    "deviation", "share", "share_low", "share_high" } or {}) do
    list[#list + 1] = { name, drawn[name] }
  end
  for index, name in ipairs { "p0.1", "p2.5", "p10", "p50", "p90", "p97.5", "p99.9" } do
    if drawn then list[#list + 1] = { name, drawn.percentile[index] } end
  end
  return list
end

function M.csv.band(_, result)
  local rows = {}
  for _, figure in ipairs(figures(result)) do
    if figure[2] then rows[#rows + 1] = { "figure", figure[1], nil, figure[2] } end
  end
  if result.verdict then rows[#rows + 1] = { "verdict", "limit", result.verdict } end
  for _, row in ipairs(result.varied) do
    rows[#rows + 1] = { "varies", row.part or "(everything)", row.param or "temperature", row.value,
      row.low, row.high, row.slope, row.at_low, row.at_high, row.turns, row.standing }
  end
  return csv_text({ "row", "of", "what", "value", "from", "to", "slope", "reading_from",
    "reading_to", "turns", "standing" }, result, rows)
end

local function json_head(result)
  return { { "red", maybe(result.red) }, { "black", maybe(result.black) },
    { "part", maybe(result.part) }, { "path", maybe(result.element) },
    { "condition", result.condition }, { "reading", result.reading } }
end

function M.json.matters(_, result)
  local series, fields, head = {}, {}, json_head(result)
  for index, row in ipairs(result.series) do
    series[index] = json.object { { "part", row.part }, { "path", row.element },
      { "slope", row.slope }, { "effect", row.effect } }
  end
  for index, row in ipairs(result.fields) do
    fields[index] = json.object { { "part", row.part }, { "field", row.field },
      { "value", maybe(row.value) }, { "slope", row.slope }, { "change", row.change },
      { "effect", row.effect } }
  end
  head[#head + 1] = { "series", json.list(series) }
  head[#head + 1] = { "fields", json.list(fields) }
  return json.encode(json.object(head))
end

function M.json.band(_, result)
  local varied, head = {}, json_head(result)
  head[#head + 1] = { "method", result.method }
  for index, figure in ipairs(figures(result)) do
    if index > 1 then head[#head + 1] = { figure[1], maybe(figure[2]) } end
  end
  head[#head + 1] = { "exceeded", result.exceeded }
  head[#head + 1] = { "verdict", maybe(result.verdict) }
  for index, row in ipairs(result.varied) do
    varied[index] = json.object { { "part", maybe(row.part) },
      { "field", row.param or "temperature" }, { "value", row.value }, { "from", row.low },
      { "to", row.high }, { "slope", row.slope }, { "turns", row.turns },
      { "standing", row.standing } }
  end
  head[#head + 1] = { "varied", json.list(varied) }
  local warned = json.list(warnings(result))
  head[#head + 1] = { "warnings", warned }
  return json.encode(json.object(head))
end

return M

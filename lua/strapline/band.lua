--- Between which limits a reading lies when every part is as good as its spread.
---
--- result = { circuit, condition, temperature, faults, red, black, part, element, quantity,
---            reading, other, method, low, high, greatest, least, margin, verdict, exceeded,
---            chatters, looked,
---            varied = { { part, param, quantity, value, low, high, slope, effect, at_low, at_high,
---                         turns, standing } },
---            worst = { ... } or drawn = { ... } as the library gives them;
---            stopped = how many samples there were to be, where fewer have been drawn }
--- low ... high: the extremes, the root sum square, or 95 % of the samples. margin: from the nearer
--- of them to the limit, below 0 when it is exceeded. Of the `looked` cases behind them, `chatters`
--- have no steady state: both ends of those count, and `other` is the other end of the reading as
--- it is. verdict, where there is a limit: "exceeded"; "no steady state": no end of a chatter
--- exceeds it, but nothing stays where it is kept; "not proved": the extreme may lie where nobody
--- looked; or "kept".
local aim = require "strapline.aim"
local calls = require "strapline.calls"
local question = require "strapline.question"
local quantity = require "strapline.quantity"

local M = {}

M.methods = { "worst", "rss", "monte-carlo" }
M.shapes = { "uniform", "normal" }

local SAMPLES, MOST_SAMPLES, MOST_THREADS = 10000, 10 ^ 12, 64

--- A limit as text or a number. @return number or nil; nil, message, code when wrong
local function limit(asked, field, of)
  local written = asked[field]
  if written == nil then return nil end
  local value, wrong = quantity.parse(written, of.quantity, true)
  if value then return value end
  return question.misuse("%s %s %s", field, quantity.quote(written), wrong)
end

local function one_of(list, value, field)
  for _, choice in ipairs(list) do
    if value == nil or value == choice then return value or list[1] end
  end
  return question.misuse("%s '%s' is not known; allowed: %s", field, tostring(value),
    table.concat(list, ", "))
end

local function whole(value, field, without, least, most)
  if value == nil then return without end
  local number = math.tointeger(value)
  if number and number >= least and number <= most then return number end
  return question.misuse("%s is %s; allowed: a whole number from %d to %d", field, tostring(value),
    least, most)
end

--- The settings of a question, each judged. @return settings; or nil, message, code
local function settings(asked, of)
  local set, message, code = {}, nil, nil
  local function take(field, value, wrong, kind)
    set[field] = value
    if wrong and not message then message, code = wrong, kind end
  end
  take("greatest", limit(asked, "limit", of))
  take("least", limit(asked, "least", of))
  take("method", one_of(M.methods, asked.method, "method"))
  take("shape", one_of(M.shapes, asked.shape, "shape"))
  take("samples", whole(asked.samples, "samples", SAMPLES, 1, MOST_SAMPLES))
  take("seed", whole(asked.seed, "seed", 1, 0, math.maxinteger))
  take("threads", whole(asked.threads, "threads", 1, 1, MOST_THREADS))
  if message then return nil, message, code end
  for _, field in ipairs { "samples", "seed", "shape", "threads" } do
    if asked[field] ~= nil and set.method ~= "monte-carlo" then
      return question.misuse("%s is of the method monte-carlo, and the method is %s", field,
        set.method)
    end
  end
  if set.least and set.greatest and set.least > set.greatest then
    return question.misuse("the least is above the limit: nothing can pass")
  end
  return set
end

--- What varies, greatest effect first.
local function list_varied(circuit, band)
  local rows, order = band:varied(), {}
  for index, row in ipairs(rows) do
    local kind = row.part and circuit.kinds[row.part]
    row.quantity = kind and kind.params[row.param].quantity or "temperature"
    row.unit = kind and kind.params[row.param].unit or "C"
    order[row], row.effect = index, math.abs(row.slope * (row.high - row.low))
    if row.at_low and row.at_high then row.effect = math.abs(row.at_high - row.at_low) end
  end
  table.sort(rows, function(a, b)
    if a.effect ~= b.effect then return a.effect > b.effect end
    return order[a] < order[b]
  end)
  return rows
end

local methods = {
  worst = function(band, result)
    local worst, message, code = band:worst()
    if not worst then return nil, message, code end
    result.worst, result.low, result.high = worst, worst.beyond_low, worst.beyond_high
    result.chatters, result.looked = worst.chatters, worst.looked
    return true
  end,
  rss = function(band, result)
    result.low, result.high = band:rss()
    if result.other then -- the sum is of small changes from the first end
      result.low = math.min(result.low, result.other)
      result.high = math.max(result.high, result.other)
    end
    return true
  end,
  ["monte-carlo"] = function(band, result, set, progress)
    local drawn, message, code = band:draw(set, progress)
    if not drawn then return nil, message, code end
    result.drawn = drawn
    result.chatters, result.looked = drawn.chatters, drawn.samples - drawn.unsolved
    result.seed, result.shape = set.seed, set.shape
    result.stopped = drawn.samples < set.samples and set.samples or nil
    result.low, result.high = drawn.percentile[2], drawn.percentile[6]
    return true
  end,
}

--- Whether it may lie outside where nobody looked.
local function open_ended(result)
  local worst, drawn = result.worst, result.drawn
  return worst and (worst.turning > 0 or worst.unsolved > 0) or drawn and drawn.unsolved > 0
end

--- What chatters may keep a limit at both its ends, but nothing stays there: that is not kept.
local function verdict(result)
  if result.exceeded then return "exceeded" end
  if result.chatters > 0 then return "no steady state" end
  return open_ended(result) and "not proved" or "kept"
end

--- How far the band stays from its limits.
local function judge(result)
  local above = result.greatest and result.greatest - result.high
  local below = result.least and result.low - result.least
  result.margin = above and below and math.min(above, below) or above or below
  if result.drawn then
    result.exceeded = result.drawn.failed > 0
  else
    result.exceeded = result.margin ~= nil and result.margin < 0
  end
  result.verdict = result.margin and verdict(result)
end

local fields = calls.fields "band"

local function find(circuit, asked, set, of, case, condition)
  local band, ok, message, code
  band, message, code = case:band(of, not asked.given_only)
  if not band then return nil, message, code end
  local result = aim.head(circuit, asked, of, condition)
  local chatters
  result.reading, chatters, result.other = band:nominal()
  result.chatters, result.looked, result.method = chatters and 1 or 0, 1, set.method
  result.greatest, result.least = set.greatest, set.least
  if set.greatest and set.greatest > 0 and result.reading < 0 and not set.least then
    band:close()
    return question.misuse("the reading is below 0 and the limit above: swap the leads")
  end
  ok, message, code = methods[set.method](band, result, set, asked.progress)
  if ok then result.varied = list_varied(circuit, band) end
  band:close()
  if not ok then return nil, message, code end
  judge(result)
  return result
end

--- @param asked fields as strapline/calls.lua tells
--- @return result; or nil, message, code
function M.band(circuit, asked)
  local of, set, case, condition, message, code
  of, message, code = aim.check(circuit, asked, fields)
  if not of then return nil, message, code end
  set, message, code = settings(asked, of)
  if not set then return nil, message, code end
  case, condition, code = question.open(circuit, asked, fields)
  if not case then return nil, condition, code end
  local result
  result, message, code = find(circuit, asked, set, of, case, condition)
  case:close()
  return result, message, code
end

return M

--- Two faults at a time, by part: which hide each other, which show only together, and which parts
--- are in most of the pairs that look good to a meter alone.
---
--- summary:add(finding) takes the findings of a survey of pairs, each condition's single faults before
--- its pairs; summary:close() -> { together, silent, meter = { { parts = { A, B }, count, example } },
---   marked = { { part, count } }, pairs, marked_pairs }, those with most first
--- together: neither fault shows anything by itself, and both do, by more than two that fall short
--- of what counts could add up to. silent: one shows by itself, and
--- nothing does with both. meter: a meter alone finds one of them, and no fault at all with both.
local M = {}
local Summary = {}
Summary.__index = Summary

local function shows(found)
  return found.best ~= nil or found.alone ~= nil or #found.notices > 0
end

--- More than two differences below `change` add up to.
local function is_more(found, change)
  local by = math.max(found.by or 0, found.alone and found.alone.by or 0)
  return #found.notices > 0 or by >= 2 * change
end

--- Counts a pair under its two parts.
local function count_pair(groups, of, found)
  local first, second = of[1].part, of[2].part
  if second < first then first, second = second, first end
  local key = first .. "\0" .. second
  local group = groups[key]
  if not group then
    group = { parts = { first, second }, count = 0, order = groups.count + 1,
      example = ("%s [%s]"):format(table.concat(found.faults, " + "), found.condition) }
    groups[key], groups.count = group, group.order
    groups[group.order] = group
  end
  group.count = group.count + 1
end

--- A pair beside its two faults alone.
local function judge(self, found, first, second)
  local both, either = shows(found), first.shows or second.shows
  if both and not either then
    if is_more(found, self.change) then count_pair(self.together, found.of, found) end
  elseif either and not both then
    count_pair(self.silent, found.of, found)
  elseif found.load_only and not found.alone and (first.alone or second.alone) then
    count_pair(self.meter, found.of, found)
  end
end

local function mark(self, part)
  local entry = self.marked[part]
  if not entry then
    entry = { part = part, count = 0, order = #self.marked + 1 }
    self.marked[part], self.marked[entry.order] = entry, entry
  end
  entry.count = entry.count + 1
end

function Summary:add(found)
  if found.status or found.good_status then return end
  local singles = self.singles[found.condition] or {}
  self.singles[found.condition] = singles
  if #found.of < 2 then
    singles[found.faults[1]] = { shows = shows(found), alone = found.alone ~= nil }
    return
  end
  local first, second = singles[found.faults[1]], singles[found.faults[2]]
  local a, b = found.of[1].part, found.of[2].part
  if not first or not second or not a or not b or a == b then return end
  self.pairs = self.pairs + 1
  judge(self, found, first, second)
  if found.load_only and not found.alone then
    self.marked_pairs = self.marked_pairs + 1
    mark(self, a)
    mark(self, b)
  end
end

local function most_first(a, b)
  if a.count ~= b.count then return a.count > b.count end
  return a.order < b.order
end

function Summary:close()
  local result = { pairs = self.pairs, marked_pairs = self.marked_pairs }
  for _, name in ipairs { "together", "silent", "meter", "marked" } do
    local list = table.move(self[name], 1, #self[name], 1, {})
    table.sort(list, most_first)
    result[name] = list
  end
  return result
end

--- @param change the least difference that counts in the survey, V
function M.new(change)
  return setmetatable({ change = change, singles = {}, together = { count = 0 }, silent = { count = 0 },
    meter = { count = 0 }, marked = {}, pairs = 0, marked_pairs = 0 }, Summary)
end

return M

--- The known word that a misspelt one most likely means.
local M = {}

local gsub, find = string.gsub, string.find -- no methods: while a circuit file runs texts have few

local function without_spaces(text)
  return (gsub(text:lower(), "%s", ""))
end

--- Number of letters to change, add, drop or exchange with their neighbour to make `a` into `b`.
function M.distance(a, b)
  local before, row = nil, {}
  for j = 0, #b do row[j] = j end
  for i = 1, #a do
    local next_row = { [0] = i }
    for j = 1, #b do
      local same = a:byte(i) == b:byte(j)
      local best = math.min(row[j] + 1, next_row[j - 1] + 1, row[j - 1] + (same and 0 or 1))
      if before and j > 1 and a:byte(i) == b:byte(j - 1) and a:byte(i - 1) == b:byte(j) then
        best = math.min(best, before[j - 2] + 1)
      end
      next_row[j] = best
    end
    before, row = row, next_row
  end
  return row[#b]
end

--- The nearest of a list of words, or nil when none is near: a third of the letters may be wrong,
--- capitals do not count. One that differs in spaces alone goes before all others.
function M.find(word, known)
  local lower = word:lower()
  local joined = without_spaces(word)
  local best, least = nil, #word // 3 + 1
  for _, candidate in ipairs(known) do
    if without_spaces(candidate) == joined then return candidate end
    if math.abs(#candidate - #word) < least then
      local apart = M.distance(lower, candidate:lower())
      if apart < least then best, least = candidate, apart end
    end
  end
  return best
end

--- " (did you mean 'WORD'?)" or "".
function M.hint(word, known)
  local found = M.find(word, known)
  return found and (" (did you mean '%s'?)"):format(found) or ""
end

--- The hint or, when nothing is near, "; WHAT: all that is known".
function M.hint_or_list(word, known, what)
  local hint = M.hint(word, known)
  if hint ~= "" or #known == 0 then return hint end
  local most = math.min(#known, 12)
  local mark = find(table.concat(known, "", 1, most), ",", 1, true) and "; " or ", "
  local shown = table.concat(known, mark, 1, most)
  return ("; %s: %s%s"):format(what, shown, #known > most and mark .. "..." or "")
end

return M

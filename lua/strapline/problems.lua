--- What is wrong with a circuit file, collected so that all of it is told at once.
local M = {}
M.__index = M

function M.new()
  return setmetatable({ said = {} }, M)
end

--- Notes a fault of a line, once.
function M:add(line, text)
  local key = line .. text
  if not self.said[key] then
    self.said[key] = true
    self[#self + 1] = { line = line, text = text, order = #self }
  end
end

function M:has_line(line)
  for _, problem in ipairs(self) do
    if problem.line == line then return true end
  end
  return false
end

--- Text that can be shown on any terminal: no control characters, no broken UTF-8.
local function showable(text)
  local strange = utf8.len(text) and "%c" or "[%c\128-\255]"
  return (text:gsub(strange, function(char) return ("\\x%02X"):format(char:byte()) end))
end

--- "FILE:LINE: TEXT" for each, sorted by line.
function M:message(file)
  table.sort(self, function(a, b)
    if a.line ~= b.line then return a.line < b.line end
    return a.order < b.order
  end)
  local lines = {}
  for index, problem in ipairs(self) do
    lines[index] = ("%s:%d: %s"):format(file, problem.line, showable(problem.text))
  end
  return table.concat(lines, "\n")
end

return M

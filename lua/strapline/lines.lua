--- Lines of text: groups of them, and breaking long ones.
local M = {}

M.WIDTH = 96 -- of a whole line

--- Breaks text after words; the first line starts with `first`, the others with `rest`.
function M.wrap(text, first, rest)
  rest = rest or first
  local lines, current, room = {}, first, #first
  for word in text:gmatch("%S+") do
    if #current > room and utf8.len(current) + 1 + utf8.len(word) > M.WIDTH then
      lines[#lines + 1] = current
      current, room = rest .. word, #rest
    else
      current = current .. (#current > room and " " or "") .. word
    end
  end
  lines[#lines + 1] = current
  return lines
end

--- Adds lines to a page.
function M.add(page, lines)
  table.move(lines, 1, #lines, #page + 1, page)
end

--- Adds a group of lines to a page, with an empty line before it.
function M.add_group(page, lines)
  if #page > 0 then page[#page + 1] = "" end
  M.add(page, lines)
end

--- The page as one text.
function M.join(page)
  return table.concat(page, "\n") .. "\n"
end

return M

--- How what chatters stands at the end a case is looked at.
local M = {}

--- List of { part, state } of the parts that chatter.
function M.chattering(case)
  local list = {}
  if case:outcome() ~= "chatters" then return list end
  for _, part in ipairs(case:answer().parts) do
    if part.chatters and part.state then list[#list + 1] = { part = part.name, state = part.state } end
  end
  return list
end

--- The heading of one end of a chatter.
function M.heading(list, index)
  local texts = {}
  for at, entry in ipairs(list) do texts[at] = ("%s %s"):format(entry.part, entry.state) end
  return ("No steady state: something chatters. %s end of it: %s"):format(
    index == 1 and "First" or "Second", table.concat(texts, ", "))
end

return M

--- strapline run: a Lua script with the module `strapline` at hand.

--- Words that a circuit file may begin with and no script has.
local function is_circuit_word(name)
  local words = { circuit = true, reference = true, temperature = true, condition = true,
    fault = true }
  return words[name] or require("strapline.kinds").find(name) ~= nil
end

--- Is it a circuit file that was given in the place of a script?
local function is_circuit_file(path, message)
  local called = message:match "attempt to call a nil value %(global '([%w_]+)'%)"
  if not called or not is_circuit_word(called) then return false end
  local file = io.open(path, "rb")
  local text = file and file:read "a" or "require"
  if file then file:close() end
  return not text:find("require", 1, true)
end

--- What went wrong, with the line of the script where it did: where it called what failed, or
--- asserted what came back from it; and the script's lines that led there. Inner frames say
--- nothing to its author.
local function handler_of(script)
  return function(err)
    local message, lines = tostring(err), {}
    local level = 2
    local frame = debug.getinfo(level, "Sl")
    while frame do
      if frame.source == "@" .. script and frame.currentline > 0 then
        lines[#lines + 1] = ("%s:%d:"):format(frame.short_src, frame.currentline)
      end
      level = level + 1
      frame = debug.getinfo(level, "Sl")
    end
    local first = table.remove(lines, 1)
    if first and message:sub(1, #first) ~= first then message = first .. " " .. message end
    for _, line in ipairs(lines) do
      message = ("%s\n  called from %s"):format(message, line:sub(1, -2))
    end
    return message
  end
end

return {
  name = "run",
  arguments = "SCRIPT.lua [ARGUMENT]...",
  needs = { "SCRIPT.lua" },
  passes_on = true, -- what follows the script is the script's
  about = 'Runs a Lua script, in which require "strapline" works. What follows the script is given '
    .. "to it, as\nin stock Lua. The script may do anything you may do: run only those you trust.",
  options = {},
  examples = { "strapline run what_if.lua" },
  run = function(values, io)
    local script = values[1]
    local chunk, wrong = loadfile(script, "t")
    if not chunk then return io.refuse(wrong) end
    _G.arg = { [0] = script, table.unpack(values, 2) } -- luacheck: ignore 122
    local ok, message = xpcall(chunk, handler_of(script), table.unpack(values, 2))
    if ok then return io.done end
    if is_circuit_file(script, message) then
      message = ("%s is a circuit file: use strapline predict %s"):format(script, script)
    end
    return io.refuse(message)
  end,
}

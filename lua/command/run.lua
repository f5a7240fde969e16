--- strapline run: a Lua script with the module `strapline` at hand.
local function with_traceback(message)
  return debug.traceback(type(message) == "string" and message or tostring(message), 2)
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
    local ok, trace = xpcall(chunk, with_traceback, table.unpack(values, 2))
    if not ok then return io.refuse(trace) end
    return io.done
  end,
}

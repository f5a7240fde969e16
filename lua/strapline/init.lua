--- strapline: voltages in vehicle power and ground wiring.
---
---   local strapline = require "strapline"
---   local circuit = assert(strapline.load "circuits/wicken_410.lua")
---   local answer = assert(circuit:predict { condition = "crank", faults = { "weak battery" } })
---   print(answer.nodes["engine block"].voltage, answer.parts.starter.current)
---
--- Nothing else is loaded until it is used.
local M = { core = require "strapline.core" }

M.version = M.core.version()

--- The circuit in a file. @return circuit, or nil and a message: a line per fault, each with
--- file:line
function M.load(path)
  return require("strapline.circuit").load(path)
end

--- The circuit in a text; `name` stands for the file in messages.
function M.parse(text, name)
  return require("strapline.circuit").parse(text, name)
end

--- `strapline.kinds`: descriptions of all kinds of part, by number and by name.
--- `strapline.tools`: what can be put across the leads.
local lazy = {
  kinds = function() return require("strapline.kinds").all() end,
  tools = function() return require "strapline.tools" end,
}

return setmetatable(M, {
  __index = function(self, key)
    if not lazy[key] then return nil end
    local value = lazy[key]()
    rawset(self, key, value)
    return value
  end,
})

--- The multimeter of a reading: what is usual, and what the asker says of it.
local core = require "strapline".core
local format = require "strapline.format"
local question = require "strapline.question"
local values = require "strapline.values"

local M = {}

local function field(name, quantity, unit, least, greatest, doc)
  return { name = name, quantity = quantity, unit = unit, bare = true, least = least,
    greatest = greatest, doc = doc }
end

--- What may be said of it.
M.fields = {
  field("input_resistance", "resistance", "ohm", 1e3, 1e11, "of its volts function"),
  field("lead_resistance", "resistance", "ohm", 0, 100, "of both leads with their probes"),
  field("test_voltage", "voltage", "V", 0.1, 15, "of its ohms function, leads open"),
  field("burden", "resistance", "ohm", 1e-6, 1e4, "of its amps socket with fuse and leads"),
  field("fuse", "current", "A", 1e-3, 1000, "the rating of the fuse inside it"),
  field("counts", "number", "", 100, 1e5, "the greatest number its display shows"),
}

--- @param asked table of fields as written (numbers in SI or text), or nil
--- @return the multimeter, values in SI; or nil, message, code
function M.of(asked)
  local meter = core.multimeter()
  if asked ~= nil and type(asked) ~= "table" then
    return question.misuse("meter is a table, such as { input_resistance = \"1 Mohm\" }")
  end
  local known = {}
  for _, of in ipairs(M.fields) do
    known[of.name] = true
    if asked and asked[of.name] ~= nil then
      local value, wrong = values.check(of, asked[of.name])
      if not value then return question.misuse("the meter's %s", wrong) end
      meter[of.name] = value
    end
  end
  local ok, message, code = question.check_fields(asked or {}, known, "meter")
  if not ok then return nil, message, code end
  return meter
end

--- "10 Mohm".
function M.input(meter)
  return (format.limit(meter.input_resistance, "resistance", "ohm"))
end

return M

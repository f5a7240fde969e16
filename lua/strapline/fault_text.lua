--- Faults of sweeps as texts: those of a kind's modes in the form `--fault` takes, to the last bit.
local format = require "strapline.format"
local quantity = require "strapline.quantity"

local M = {}

--- What a mode's value is measured in.
local function measure_of(kind, mode)
  if mode.change ~= "set" then return { quantity = "resistance", unit = "ohm", bare = true } end
  return kind.params[mode.what]
end

--- A value as short as it can be written so that it reads back as itself.
local function written(value, measure)
  local function reads_back(text)
    return quantity.parse(text, measure.quantity, measure.bare) == value
  end
  local unit = (measure.unit == "1" or measure.unit == "") and "" or " " .. measure.unit
  for _, text in ipairs {
    format.limit(value, measure.quantity, measure.unit), ("%.14g"):format(value) .. unit,
  } do
    if reads_back(text) then return text end
  end
  return ("%.17g"):format(value) .. unit
end

local function has_value(mode)
  return mode.change ~= "open" and mode.least ~= mode.greatest
end

local texts = {
  given = function(fault) return fault.name end,
  leak = function(fault)
    return ('"%s" leaks to "%s" over %s'):format(fault.node, fault.to,
      format.text(fault.value, "resistance"))
  end,
  swapped = function(fault)
    return ('"%s" and "%s" swapped, at "%s" and "%s"'):format(fault.part, fault.other,
      fault.node, fault.to)
  end,
}

--- @param fault of the core: { type, part, mode, value, ... }
function M.text(circuit, fault)
  if fault.type ~= "mode" then return texts[fault.type](fault) end
  local kind = circuit.kinds[fault.part]
  local mode = kind.modes[fault.mode]
  if not has_value(mode) then return ("%s: %s"):format(fault.part, fault.mode) end
  local measure = measure_of(kind, mode)
  if measure.choices then
    return ("%s: %s = %s"):format(fault.part, fault.mode, measure.choices[fault.value + 1])
  end
  return ("%s: %s = %s"):format(fault.part, fault.mode, written(fault.value, measure))
end

return M

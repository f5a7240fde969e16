--- A field as written against the parameter it is meant for.
local format = require "strapline.format"
local quantity = require "strapline.quantity"

local M = {}

--- What a number without a unit stands for, where it cannot stand.
local function bare_hint(param, written)
  if type(written) ~= "number" or param.choices or param.quantity == "number" then return "" end
  if param.quantity == "fraction" then
    return ('; a number without a unit is a share, 1 being all of it: write "%g %%" for percent')
      :format(written)
  end
  local units, example = quantity.units_of(param.quantity)
  return ('; a number without a unit is in %s: write it with one, such as "%s"')
    :format(units:match "^[%w /]*%w", example)
end

--- @param written number or text; text may add how far the value may be off: "2 mohm +-20 %"
--- @return the value in the unit of the parameter (nil where only a spread is given), the spread
--- or nil; or nil, nil and what is wrong
function M.check_spread(param, written)
  local subject = ("%s = %s"):format(param.name, quantity.quote(written))
  local value, spread, wrong
  if param.choices then
    value, wrong = quantity.parse_choice(written, param.choices)
  else
    value, spread, wrong = quantity.parse_spread(written, param.quantity, param.bare)
  end
  if wrong then return nil, nil, subject .. " " .. wrong end
  if value and (value < param.least or value > param.greatest) then
    local range = format.range(param.least, param.greatest, param.quantity, param.unit)
    return nil, nil, ("%s is too %s; allowed: %s (%s)%s")
      :format(subject, value < param.least and "low" or "high", range, param.doc,
        bare_hint(param, written))
  end
  return value, spread
end

--- The same where a value must be exact.
--- @return the value in the unit of the parameter, or nil and what is wrong
function M.check(param, written)
  if not param.choices and quantity.has_spread(written) then
    return nil, ("%s = %s has a spread; a fault is exact, so write the value alone")
      :format(param.name, quantity.quote(written))
  end
  local value, _, wrong = M.check_spread(param, written)
  return value, wrong
end

--- A value a parameter allows: its default, a usual one of its own or of its quantity, or the least.
local function sample_value(param)
  local value = param.fallback or param.usual
  if value then return format.limit(value, param.quantity, param.unit) end
  local _, example = quantity.units_of(param.quantity)
  value = quantity.parse(example, param.quantity, param.bare)
  if value >= param.least and value <= param.greatest then return example end
  return format.limit(param.least, param.quantity, param.unit)
end

--- How a parameter is written, for messages: 'resistance = "10 mohm"'.
--- @param example a line of a circuit file to take it from where it is in there, or nil
--- @param value what it has there, or nil
function M.sample(param, example, value)
  local shown = example and (example:match("[{,%s](" .. param.name .. ' = "[^"]*")')
    or example:match("[{,%s](" .. param.name .. " = [%d.]+)"))
  if shown then return shown end
  if param.choices then return ('%s = "%s"'):format(param.name, param.choices[1]) end
  local pattern = param.quantity == "number" and "%s = %s" or '%s = "%s"'
  local worked_out = value and not param.fallback and not param.usual
  return pattern:format(param.name, worked_out and format.rough(value, param.quantity)
    or sample_value(param))
end

--- What is wrong with a name, or nil.
--- @param no_colon names of parts and faults stand before a colon
function M.check_name(name, no_colon)
  if name:find("^[!-9;-~][ -9;-~]*$") and name:byte(-1) ~= 32 then return nil end -- the usual case
  if name == "" then return "the name is empty" end
  if not utf8.len(name) then return "the name is not UTF-8 text" end
  if name:find("%c") then return "the name has a line break or a control character in it" end
  if name:find("^%s") or name:find("%s$") then return "the name has a space at its end" end
  if no_colon and name:find(":", 1, true) then
    return "the name has a colon in it, which is kept for faults (PART: CHANGE)"
  end
end

return M

--- Quantities as people write them: text with a unit, or a number in SI.
---
--- A quantity is known by its text ("resistance"); the library names the unit that values of it are
--- held in. A unit is a power of ten (an integer), a factor {f}, or a function, all leading to the
--- held unit. Powers of ten are put into the digits, so "10 mohm" is exactly the number 0.01.
local article = require "strapline.article"
local nearest = require "strapline.nearest"

local M = {}

local function fahrenheit(x) return (x - 32) / 1.8 end
local function kelvin(x) return x - 273.15 end

local FOOT, INCH = 0.3048, 0.0254

local units = {
  number = {},
  voltage = { V = 0, mV = -3, uV = -6, ["µV"] = -6, kV = 3 },
  current = { A = 0, mA = -3, uA = -6, ["µA"] = -6, kA = 3 },
  resistance = {
    ohm = 0, mohm = -3, uohm = -6, kohm = 3, Mohm = 6,
    ["Ω"] = 0, ["mΩ"] = -3, ["µΩ"] = -6, ["kΩ"] = 3, ["MΩ"] = 6,
  },
  power = { W = 0, mW = -3, kW = 3 },
  length = { m = 0, cm = -2, mm = -3, ft = { FOOT }, ["in"] = { INCH } },
  ["conductor size"] = { mm2 = 0, ["mm²"] = 0 },
  temperature = { C = 0, ["°C"] = 0, F = fahrenheit, ["°F"] = fahrenheit, K = kelvin },
  fraction = { ["%"] = -2 },
  time = { s = 0, ms = -3, us = -6, ["µs"] = -6, min = { 60 }, h = { 3600 } },
  ["speed of rotation"] = { rpm = 0 },
  torque = { ["N m"] = 0, Nm = 0, ["lb ft"] = { 4.4482216152605 * FOOT } },
  ["resistance per length"] = {
    ["ohm/m"] = 0, ["mohm/m"] = -3, ["uohm/m"] = -6, ["ohm/km"] = -3, ["mohm/km"] = -6,
    ["ohm/ft"] = { 1 / FOOT }, ["mohm/ft"] = { 1e-3 / FOOT },
  },
  ["battery capacity"] = { Ah = 0, mAh = -3 },
}

--- Units as people say them, in any capitals.
local spoken = {
  volt = "V", volts = "V", amp = "A", amps = "A", ampere = "A", amperes = "A", ohms = "ohm",
  milliohm = "mohm", milliohms = "mohm", watt = "W", watts = "W", metre = "m", metres = "m",
  meter = "m", meters = "m", foot = "ft", feet = "ft", inch = "in", inches = "in",
  ["mm^2"] = "mm2", ["sq mm"] = "mm2", second = "s", seconds = "s", minute = "min",
  minutes = "min", hour = "h", hours = "h", awg = "AWG", gauge = "AWG", ga = "AWG",
}

--- The units to offer, and an example, in messages and reference pages.
local shown = {
  number = { "", "3" },
  voltage = { "V, mV", "12 V" },
  current = { "A, mA, kA", "10 A" },
  resistance = { "ohm, mohm (thousandth), kohm, Mohm (million)", "10 mohm" },
  power = { "W, mW, kW", "21 W" },
  length = { "m, cm, mm, ft, in", "1.4 m" },
  ["conductor size"] = { "mm2, AWG", "35 mm2" },
  temperature = { "C, F, K", "-18 C" },
  fraction = { "%", "80 %" },
  time = { "s, ms, us, min, h", "20 ms" },
  ["speed of rotation"] = { "rpm", "250 rpm" },
  torque = { "N m, lb ft", "3 N m" },
  ["resistance per length"] = { "ohm/m, mohm/m, ohm/km, ohm/ft, mohm/ft", "8.29 mohm/m" },
  ["battery capacity"] = { "Ah", "70 Ah" },
}

--- The units a quantity may be written in, as text, and an example.
function M.units_of(quantity)
  local entry = shown[quantity]
  return entry[1], entry[2]
end

--- All units of a quantity, sorted.
local function unit_names(quantity)
  local names = {}
  for name in pairs(units[quantity]) do names[#names + 1] = name end
  if quantity == "conductor size" then names[#names + 1] = "AWG" end
  table.sort(names)
  return names
end

--- The quantity that has a unit of this name, or nil.
local function quantity_with(unit)
  if unit == "AWG" then return "conductor size" end
  local found = {}
  for quantity, of in pairs(units) do
    if of[unit] then found[#found + 1] = quantity end
  end
  table.sort(found)
  return found[1]
end

--- Cross-section in mm2 of a gauge number: 36 gauges from 0.127 mm to 39 steps up are a factor 92.
local function awg(gauge)
  local diameter_mm = 0.127 * 92 ^ ((36 - gauge) / 39)
  return math.pi / 4 * diameter_mm ^ 2
end

--- "6", "1/0", "4/0" and "0000", in AWG. @return mm2, or nil and what is wrong
local function parse_awg(digits)
  local zeros = digits:match("^([1-9])/0$")
  local gauge = zeros and 1 - tonumber(zeros) or tonumber(digits:match("^[1-9]%d*$"))
  if digits:find("^0+$") then gauge = 1 - #digits end
  if not gauge then
    return nil, 'is not a gauge; write "6 AWG", "1/0 AWG" or "4/0 AWG"'
  end
  if gauge < -3 or gauge > 40 then
    return nil, 'is not a gauge from 4/0 to 40 AWG; write the size in mm2'
  end
  return awg(gauge)
end

--- A decimal number as text times a unit; powers of ten are joined before the text is read.
local function scaled(mantissa, exponent, unit)
  local power = exponent == "" and 0 or tonumber(exponent)
  if math.type(unit) == "integer" then
    return tonumber(mantissa .. "e" .. (power + unit)) + 0.0
  end
  local number = tonumber(mantissa .. "e" .. power)
  return type(unit) == "function" and unit(number) or number * unit[1]
end

--- Splits "4.7e3 ohm" into "4.7", "3", "ohm"; nil when it does not start with a decimal number.
local function split(text)
  local mantissa, rest = text:match("^([+-]?%d+%.?%d*)(.*)$")
  if not mantissa then mantissa, rest = text:match("^([+-]?%.%d+)(.*)$") end
  if not mantissa then return nil end
  local exponent, unit = rest:match("^[eE]([+-]?%d%d?%d?)%s*(.*)$")
  return mantissa, exponent or "", unit or rest:match("^%s*(.*)$")
end

--- What to say of a unit nobody knows. Where it is a known one but for its capitals, all of those
--- are told: mohm and Mohm are a factor of 10^9 apart, and only the writer knows which is meant.
local function unit_hint(quantity, unit)
  local meant = {}
  for _, name in ipairs(unit_names(quantity)) do
    if name:lower() == unit:lower() then meant[#meant + 1] = "'" .. name .. "'" end
  end
  if #meant > 0 then return (" (write %s)"):format(table.concat(meant, " or ")) end
  return nearest.hint(unit, unit_names(quantity))
end

local function wrong_unit(quantity, unit)
  local other = quantity_with(unit)
  local names, example = M.units_of(quantity)
  if quantity == "number" then
    return ("has a unit; %s is wanted, such as %s"):format("a plain number", example)
  elseif other then
    return ('is %s; %s is wanted, in %s, such as "%s"')
      :format(article(other), article(quantity), names, example)
  end
  return ("has the unknown unit '%s'%s; %s is written in %s, such as \"%s\"")
    :format(unit, unit_hint(quantity, unit), article(quantity), names, example)
end

local function no_unit(mantissa, quantity)
  local names = M.units_of(quantity)
  local first = quantity == "conductor size" and "mm2" or names:match("^[^,]+"):match("^%S+")
  if quantity == "torque" then first = "N m" end
  return ('has no unit; write "%s %s", or another of %s'):format(mantissa, first, names)
end

local function parse_text(text, quantity)
  local trimmed = text:match("^%s*(.-)%s*$")
  if quantity == "conductor size" then
    local digits, unit = trimmed:match("^(.-)%s*(%a+)$")
    if not unit then unit, digits = trimmed:match("^(%a+)%s*(%d.*)$") end -- "AWG 1/0"
    if unit and spoken[unit:lower()] == "AWG" then return parse_awg(digits) end
    if trimmed:find("^[1-9]/0$") then return parse_awg(trimmed) end -- nothing else is written so
  end
  local mantissa, exponent, unit = split(trimmed)
  unit = unit and spoken[unit:lower()] or unit
  local _, example = M.units_of(quantity)
  if not mantissa then
    return nil, ('is not %s; write %s'):format(article(quantity), '"' .. example .. '"')
  elseif unit:find("^,%d") then
    return nil, "has a decimal comma; write a point"
  elseif unit == "" then
    if quantity == "number" or quantity == "fraction" then
      return scaled(mantissa, exponent, 0)
    end
    return nil, no_unit(mantissa, quantity)
  elseif not units[quantity][unit] then
    return nil, wrong_unit(quantity, unit)
  end
  return scaled(mantissa, exponent, units[quantity][unit])
end

--- A value as written to a number in the held unit.
--- @param written number or text
--- @param bare whether a number without a unit is unambiguous
--- @return number, or nil and what is wrong, to be put after the value
function M.parse(written, quantity, bare)
  local value, wrong
  if type(written) == "string" then
    value, wrong = parse_text(written, quantity)
  elseif type(written) ~= "number" then
    local _, example = M.units_of(quantity)
    wrong = ('is not %s; write "%s"'):format(article(quantity), example)
  elseif not bare then
    local _, example = M.units_of(quantity)
    wrong = ('could be in several units; write text with its unit, such as "%s"'):format(example)
  else
    value = written + 0.0
  end
  if not value then return nil, wrong end
  if value ~= value then return nil, "is not a number (the result of a division 0/0?)" end
  if value == math.huge or value == -math.huge then return nil, "is too large" end
  return value
end

--- A difference of two values of a quantity, "0.5 mohm" or "5 F"; or a share, "20 %".
--- @return size, whether it is a share; or nil and what is wrong
local function parse_amount(text, quantity)
  local mantissa, exponent, unit = split(text)
  if not mantissa or mantissa:find("^[+-]") then
    local _, example = M.units_of(quantity)
    return nil, ('has the spread "%s"; write "%s +-20 %%", or a size in the unit of the value')
      :format(text, example)
  end
  if unit == "%" and quantity ~= "fraction" then return scaled(mantissa, exponent, -2), true end
  local value, wrong = parse_text(text, quantity)
  if not value then return nil, ('has a spread that %s'):format(wrong) end
  local conversion = units[quantity][unit]
  if type(conversion) == "function" then value = value - conversion(0) end
  return value, false
end

--- Splits "2 mohm +-20 %", "2 mohm ±0.5 mohm" and "2 mohm +50 -20 %" into the value and two
--- amounts, above and below; the value is "" where only a spread is given. Nil without a spread.
local function split_spread(text)
  local value, amount = text:match("^%s*(.-)%s*±%s*(.-)%s*$")
  if not value then value, amount = text:match("^%s*(.-)%s*%+/?%-%s*(.-)%s*$") end
  if value then return value, amount, amount end
  local up, down
  value, up, down = text:match("^%s*(.-)%s+%+%s*([%d.].-)%s+%-%s*([%d.].-)%s*$")
  if not value then return nil end
  if up:find("^[%d.eE]+$") then up = up .. " " .. down:match("^[%d.]*%s*(.*)$") end
  return value, up, down
end

--- Whether a value is written with a spread.
function M.has_spread(written)
  return type(written) == "string" and split_spread(written) ~= nil
end

--- A value that may have a spread: a share of it ("+-20 %") or a size ("+-0.5 mohm"); of what is
--- itself in percent, points of percent.
--- @return value (nil where only a spread is given), spread { down, up, relative } or nil;
--- or nil, nil and what is wrong
function M.parse_spread(written, quantity, bare)
  local text, above, below
  if type(written) == "string" then text, above, below = split_spread(written) end
  local value, wrong
  if not text or text ~= "" then
    value, wrong = M.parse(text or written, quantity, bare)
    if not value then return nil, nil, wrong end
  end
  if not text then return value end
  local up, up_share, down, down_share
  up, up_share = parse_amount(above, quantity)
  if not up then return nil, nil, up_share end
  down, down_share = parse_amount(below, quantity)
  if not down then return nil, nil, down_share end
  if up_share ~= down_share then
    return nil, nil, "has a spread that is a share on one side and a size on the other; write both "
      .. "alike"
  elseif up_share and down >= 1 then
    return nil, nil, "has a spread of 100 % or more below its value; less is allowed"
  end
  return value, { down = down, up = up, relative = up_share }
end

--- A value as written, quoted for a message.
function M.quote(written)
  if type(written) == "string" then return '"' .. written .. '"' end
  if type(written) == "number" and written ~= written then return "nan" end
  if type(written) == "number" or type(written) == "boolean" then return tostring(written) end
  return "a " .. type(written)
end

--- Whether a choice, a number or text is one of `choices`; its index from 0, or nil and what is
--- wrong.
function M.parse_choice(written, choices)
  for index, choice in ipairs(choices) do
    if written == choice then return index - 1.0 end
  end
  local list = '"' .. table.concat(choices, '", "') .. '"'
  local hint = type(written) == "string" and nearest.hint(written, choices) or ""
  return nil, ("is not one of its choices%s; allowed: %s"):format(hint, list)
end

return M

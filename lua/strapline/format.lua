--- Numbers as a meter would show them: four digits, and the unit that suits the size.
local M = {}

--- Below this a reading is nothing: less than any meter resolves, and less than a solution is
--- worth.
local FLOOR = { V = 1e-6, A = 1e-9, W = 1e-9, ohm = 1e-9 }

local steps = { { 1e6, "M" }, { 1e3, "k" }, { 1, "" }, { 1e-3, "m" }, { 1e-6, "u" }, { 1e-9, "n" } }

--- Four digits of a number from 1 to below 1000.
local function four_digits(size)
  if size < 9.9995 then return ("%.3f"):format(size) end
  if size < 99.995 then return ("%.2f"):format(size) end
  return ("%.1f"):format(size)
end

--- Number and unit with the prefix that brings the number to 1 ... 999.9.
local function engineering(value, unit)
  local size = math.abs(value)
  if size < (FLOOR[unit] or 0) or size == 0 then return "0", unit end
  local chosen = steps[#steps]
  for _, step in ipairs(steps) do
    local rounded = size / step[1] >= 0.99995
    if rounded and not (unit == "V" and step[1] > 1) then
      chosen = step
      break
    end
  end
  local digits = four_digits(size / chosen[1])
  return (value < 0 and "-" or "") .. digits, chosen[2] .. unit
end

local function plain(pattern, unit, factor)
  return function(value) return pattern:format(value * (factor or 1)), unit end
end

local function with_prefix(unit)
  return function(value) return engineering(value, unit) end
end

local function percent(value)
  local size = math.abs(value * 100)
  local pattern = size >= 9.95 and "%.0f" or size >= 0.0095 and "%.2g" or "%.1g"
  return pattern:format(value * 100), "%"
end

local function rpm(value)
  return (math.abs(value) >= 9.95 and "%.0f" or "%.2g"):format(value), "rpm"
end

--- Units by size: below `up_to`, in units of `size`.
local times = {
  { up_to = 1e-3, size = 1e-6, unit = "us" }, { up_to = 0.0995, size = 1e-3, unit = "ms" },
  { up_to = 119.5, size = 1, unit = "s" }, { up_to = 3570, size = 60, unit = "min" },
  { up_to = 171000, size = 3600, unit = "h" }, { up_to = math.huge, size = 86400, unit = "days" },
}
local lengths = {
  { up_to = 0.00995, size = 1e-3, unit = "mm" }, { up_to = math.huge, size = 1, unit = "m" },
}

--- As people say it, in the unit that suits the size, without zeros at the end.
local function in_steps(list, digits, unit)
  return function(value)
    local size = math.abs(value)
    if size == 0 then return "0", unit end
    for _, step in ipairs(list) do
      if size < step.up_to then
        local shown = ("%%.%dg"):format(digits):format(value / step.size)
        if shown:find "e" then shown = ("%.0f"):format(tonumber(shown)) end
        return shown, step.unit
      end
    end
  end
end

local about_times = in_steps(times, 2, "s")

local formats = {
  number = plain("%.4g", ""),
  voltage = with_prefix("V"),
  current = with_prefix("A"),
  resistance = with_prefix("ohm"),
  power = with_prefix("W"),
  length = in_steps(lengths, 4, "m"),
  ["conductor size"] = plain("%.4g", "mm2"),
  temperature = plain("%.4g", "C"),
  fraction = percent,
  time = in_steps(times, 3, "s"),
  ["speed of rotation"] = rpm,
  torque = plain("%.4g", "N m"),
  ["resistance per length"] = with_prefix("ohm/m"),
  ["battery capacity"] = plain("%.4g", "Ah"),
}

--- Number and unit of a value held in the unit of its quantity, as two texts.
function M.split(value, quantity)
  return formats[quantity](value)
end

--- A value with its unit as one text.
function M.text(value, quantity)
  local number, unit = formats[quantity](value)
  return unit == "" and number or number .. " " .. unit
end

--- A value worked out from much that is not known well: of times two digits, for the rest as text.
function M.estimate(value, quantity)
  if quantity ~= "time" then return M.text(value, quantity) end
  return ("%s %s"):format(about_times(value))
end

--- A value that is only roughly so: three digits, without zeros at the end.
function M.rough(value, quantity)
  local number, unit = formats[quantity](tonumber(("%.3g"):format(value)))
  number = number:gsub("(%.%d-)0+$", "%1"):gsub("%.$", "")
  return unit == "" and number or number .. " " .. unit
end

--- What a message says of a limit: as short as it can be.
function M.limit(value, quantity, unit)
  if quantity == "fraction" then return ("%g %%"):format(value * 100) end
  if math.abs(value) > 0 and math.abs(value) < 0.01 or math.abs(value) >= 1e4 then
    local shown = M.text(value, quantity)
    return (shown:gsub("(%.%d-)0+ ", "%1 "):gsub("%. ", " "))
  end
  return unit == "" and ("%g"):format(value) or ("%g %s"):format(value, unit)
end

--- The range a parameter allows.
function M.range(least, greatest, quantity, unit)
  if greatest >= 1e12 then return M.limit(least, quantity, unit) .. " or more" end
  return M.limit(least, quantity, unit) .. " to " .. M.limit(greatest, quantity, unit)
end

return M

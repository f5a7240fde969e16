--- What reports say of paths: volts that add up as printed, places, where currents part, where a path
--- stops, what a large drop means.
local format = require "strapline.format"

local M = {}

local digits = { [1e-3] = 3, [1e-4] = 4, [1e-5] = 5 }

--- A number of units of a path as volts, without its unit.
function M.number(path, shown)
  return ("%.*f"):gsub("%*", digits[path.unit] or 3):format(shown * path.unit)
end

--- The same with its unit.
function M.volts(path, shown)
  return M.number(path, shown) .. " V"
end

--- The same as a cell of a table.
function M.cell(path, shown)
  return { M.number(path, shown), "V" }
end

--- A part, with its element where it has several.
function M.place(at)
  return at.element and at.part .. ": " .. at.element or at.part
end

--- The sum of `shown` over the steps for which `fits` is true.
function M.sum(path, fits)
  local total = 0
  for _, step in ipairs(path.steps) do
    if fits(step) then total = total + step.shown end
  end
  return total
end

--- Whether every drop is defined, so that the loop can be closed.
function M.closes(path)
  for _, step in ipairs(path.steps) do
    if not step.drop then return false end
  end
  return path.source_voltage ~= nil
end

local loads = {
  ["starter motor"] = true, coil = true, ["solenoid coil"] = true, lamp = true, module = true,
  sensor = true, load = true,
}

--- Whether a use is that of what moves a contact.
function M.is_coil(use)
  return use == "coil" or use == "solenoid coil"
end

--- Whether a use is that of a load.
function M.is_load(use)
  return loads[use] or false
end

local function share(value)
  if value == 0 then return "0 %" end
  return value >= 0.0995 and ("%.0f %%"):format(value * 100) or ("%.1f %%"):format(value * 100)
end

--- The current of a way beside, and what it had without faults where that was less than half.
local function amps(beside)
  local now = format.text(beside.current, "current")
  if not beside.good_current or beside.current < 2 * beside.good_current then return now end
  return ("%s; without faults %s"):format(now, format.text(beside.good_current, "current"))
end

--- Where the current comes together or parts, a sentence a place.
function M.partings(path)
  local list = {}
  for _, step in ipairs(path.steps) do
    if #step.beside > 0 and step.share then
      local others, sneak = {}, false
      for index, beside in ipairs(step.beside) do
        others[index] = ("%s %s (%s)"):format(M.place(beside), share(beside.share),
          amps(beside))
        sneak = sneak or M.is_load(beside.use)
      end
      local feed = step.side == "feed"
      local text = ('At "%s" the current %s: %s %s, beside it %s'):format(
        feed and step.to or step.from, feed and "comes together" or "parts", M.place(step),
        share(step.share), table.concat(others, ", "))
      if sneak and step.side == "return" then
        text = text .. "; a way through a load is a sneak path"
      end
      list[#list + 1] = text
    end
  end
  return list
end

--- Loads other than its own that the current goes through: a sneak path, a sentence each.
function M.sneaks(path)
  local list = {}
  for _, step in ipairs(path.steps) do
    if step.side ~= "load" and not step.open and M.is_load(step.use) and not step.inside
      and (step.current or 0) > 0 then
      list[#list + 1] = ("The current goes through %s as well, from \"%s\" to \"%s\": in series "
        .. "with it, or a sneak path"):format(M.place(step), step.from, step.to)
    end
  end
  return list
end

--- A way that has lost its share, a sentence.
function M.lost(way)
  return ('%s has lost its share at "%s": %s, and %s without faults; something on that way is open '
    .. "or poor, or its source gives less; a clamp shows it where no drop does"):format(M.place(way), way.node,
    format.text(way.current, "current"), format.text(way.good_current, "current"))
end

local FULL = 0.9 -- of the source's voltage: what stands across an open place is all there is

--- What the voltage across the only open place of a path means.
local function across(path, step)
  if not path.source_voltage then return "" end
  return math.abs(step.drop) > FULL * math.abs(path.source_voltage)
    and ": full voltage across an open place is no power" or "; the rest is lost elsewhere"
end

--- Where the path stops, a sentence a place.
function M.stops(path)
  local list = {}
  for _, step in ipairs(path.steps) do
    if step.open then
      local text = ('The path stops at %s: open between "%s" and "%s"'):format(M.place(step),
        step.from, step.to)
      if path.stops == 1 and step.drop and math.abs(step.drop) > 0.5 then
        text = text .. (", with %s across it%s"):format(format.text(step.drop, "voltage"),
          across(path, step))
      end
      list[#list + 1] = text
    end
  end
  return list
end

local meanings = {
  wire = "too thin or too long for this current, broken strands, or a poor crimp at its end",
  connection = "dirty, painted, corroded or loose: take it apart, clean, tighten, measure again",
  fuse = "poor clips, or a fuse near its rating",
  switch = "burnt or dirty contacts",
  ["relay contact"] = "burnt contacts, or a poor socket",
  ["solenoid contact"] = "burnt contact disc or studs",
  semiconductor = "a diode loses 0.5 to 1 V by nature; more is a poor contact",
}

--- What a drop above its limit means at a place of this use.
function M.meaning(use)
  return meanings[use] or "its current comes back through something that was not meant for it"
end

local broken = {
  wire = "broken, or pulled out of its terminal",
  connection = "apart, or so loose or corroded that nothing flows",
  fuse = "blown or missing: find out why before a new one goes in",
  switch = "off, or its contacts do not close",
  ["relay contact"] = "its contacts do not close",
  ["solenoid contact"] = "its contacts do not close",
  semiconductor = "blown open, or the wrong way round",
}

--- Is it a contact that opens when its coil is live?
local function is_rest(step) return step.element == "rest contact" end

--- How an open contact stands that no fault opens, in brackets; nothing of other places.
function M.stand(step)
  if step.stop ~= "moved" then return "" end
  return is_rest(step) and " (pulled in)" or " (not pulled in)"
end

--- What it means that a path stops at a step, `step.stop` being set.
function M.stop_meaning(step)
  if step.stop == "moved" then
    return is_rest(step) and "pulled in: test what feeds its coil"
      or "not pulled in: test its coil and the coil's feed and ground"
  end
  return "open: " .. (broken[step.use]
    or M.is_load(step.use) and "a broken winding, filament or brush" or "nothing can flow there")
end

return M

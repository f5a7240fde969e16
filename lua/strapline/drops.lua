--- Voltage drops: the path of each load's current, every place on it against its limit.
---
--- drops = { circuit, condition, temperature, faults, set = { name, about }, bad, judged,
---           ends = { { path, ... } }: one list of paths, or two of a circuit that chatters,
---           states = { { { part, state } } } of what chatters, a list an end,
---           blamed = { { open, moved, own, over, sides, sources, lost, by_current } }: places by
---           name, an end; sides: "ground side of LOAD", over its limit with no place on it that is }
--- judged: the set has a limit for one place or side at least, or something is open or has lost its
--- share
--- path = { part, element, use, expected, source, plus, minus, red, black, load_current,
---          source_voltage, open_voltage, nominal, unit, stops, bad, steps, lost, feed, ground,
---          both, cables, batteries }; lost: as strapline.shares has it
--- step = { part, kind, element, use, side, inside, from, to, open, moved, current, drop, share,
---          shown, beside, judged, stop, blamed }; blamed: the name of the list of `blamed` it is in
--- stop: of an open step that should carry current, "open", or "moved": a contact of a relay or
--- solenoid that stands so; nil where it belongs to a chatter. blamed: `own` are contacts of a load's
--- own part, which follow from another fault, `by_current` places over their limit with good
--- resistance.
--- A judgement is { value, allowed, verdict, limit, good_current, celsius, peak, peak_condition }, the
--- verdict "ok", "bad", "by current" (over the limit, but with good resistance), "cannot judge" or
--- "no limit"; peak: what the place carries without faults in peak_condition, where so much less
--- flows here that nothing is proved. What is not defined is nil.
local article = require "strapline.article"
local calls = require "strapline.calls"
local limits = require "strapline.limits"
local path_words = require "strapline.path_words"
local peaks = require "strapline.peaks"
local question = require "strapline.question"
local shares = require "strapline.shares"
local states = require "strapline.states"

local M = {}

local LEAST_A = 1e-3   -- a load with less is not worth a drop test
local LEAST_PART = 0.01 -- of the greatest load
local PROVES = 0.01     -- of the greatest current of a place: with less a small drop proves nothing

local function key_of(load) return load.part .. "\0" .. (load.element or "") end

--- Whether a kind has something that the current is there for: also the coil of a relay, and a
--- battery, which can be charged.
local function uses_current(kind)
  if kind.negative_post then return true end
  for _, element in ipairs(kind.elements) do
    if path_words.is_load(element.use) then return true end
  end
  return kind.load
end

--- "PART" or "PART: PATH" as { part, element }.
local function find_load(circuit, text)
  local kind, part, element = question.find_part(circuit, text)
  if not kind then return nil, "load: " .. part, element end
  local ok, message, code = question.check_no_panel(circuit, part)
  if not ok then return nil, message, code end
  if not uses_current(circuit.kinds[part]) then
    return question.misuse("load: '%s' is %s, which has no use for the current; name what the "
      .. "current is there for: a lamp, a motor, a coil", part, article(circuit.kinds[part].name))
  end
  ok, message, code = question.check_element(circuit, part, element)
  if not ok then return nil, message, code end
  return { part = part, element = element }
end

--- While a starter is cranked the other loads share its drops, and their limits do not hold: what
--- belongs to starting is left.
local function only_starting(loads)
  local list, cranked = {}, false
  for _, load in ipairs(loads) do
    cranked = cranked or load.use == "starter motor"
    if load.use == "starter motor" or path_words.is_coil(load.use) then list[#list + 1] = load end
  end
  return cranked and list or loads
end

--- The loads worth a test, and the current of every load by its key.
local function loads_of(case)
  local chosen, currents = {}, {}
  local found = case:loads()
  for _, load in ipairs(found) do
    currents[key_of(load)] = load.current
    if load.current >= math.max(LEAST_A, LEAST_PART * found[1].current) then
      chosen[#chosen + 1] = load
    end
  end
  return only_starting(chosen), currents
end

--- What should work and what does, each once.
local function join(healthy, present)
  local list, seen = {}, {}
  for _, loads in ipairs { healthy, present } do
    for _, load in ipairs(loads) do
      if not seen[key_of(load)] then list[#list + 1] = load end
      seen[key_of(load)] = true
    end
  end
  return list
end

--- A limit exceeded, by the part's fault or not, a path that should carry current and is open, or a
--- way that has lost its share.
local function is_bad(path)
  if #path.lost > 0 then return true end
  if path.stops > 0 and (path.expected or 0) > 0 then return true end
  local function over(judged) return judged.verdict == "bad" or judged.verdict == "by current" end
  for _, step in ipairs(path.steps) do
    if over(step.judged) then return true end
  end
  for _, side in ipairs { "feed", "ground", "both", "cables", "batteries" } do
    if over(path[side]) then return true end
  end
  return false
end

--- Whether anything on a path was held against something.
local function is_judged(path)
  if not path.steps then return false end
  for _, step in ipairs(path.steps) do
    if step.judged.limit or step.stop then return true end
  end
  for _, side in ipairs { "feed", "ground", "both", "cables", "batteries" } do
    if path[side].limit then return true end
  end
  return #path.lost > 0
end

local contacts = { ["relay contact"] = true, ["solenoid contact"] = true }

--- Sets `stop` of the open steps of a path whose load should have current.
local function mark_stops(path, chattering)
  for _, step in ipairs(path.steps) do
    if step.open and (path.expected or 0) > 0 then
      local by_itself = step.moved and contacts[step.use] or false
      if not by_itself then
        step.stop = "open"
      elseif not chattering[step.part] then
        step.stop = "moved"
      end
    end
  end
end

--- The source with the least voltage on a path.
local function lowest_source(path)
  local part, least = path.source, path.source_voltage or math.huge
  for _, step in ipairs(path.steps) do
    if step.use == "source" and step.side ~= "load" and -(step.drop or 0) < least then
      part, least = step.part, -step.drop
    end
  end
  return part
end

--- The sides of a path that lose too much in all, "feed" and "ground", where nothing on them is
--- open or over a limit of its own.
function M.bad_sides(path)
  local named, list = {}, {}
  for _, step in ipairs(path.steps) do
    local side = step.side == "return" and "ground" or step.side
    named[side] = named[side] or step.open or step.judged.verdict == "bad"
      or step.judged.verdict == "by current"
  end
  for _, side in ipairs { "feed", "ground" } do
    if path[side].verdict == "bad" and not named[side] then list[#list + 1] = side end
  end
  return list
end

--- What is at fault at one end, a list of places for each way to be so, each place once.
local function blame(paths)
  local blamed, seen = { open = {}, moved = {}, own = {}, over = {}, sides = {}, sources = {},
    lost = {}, by_current = {} }, {}
  local function add(kind, place)
    local key = kind .. "\0" .. place
    if not seen[key] then table.insert(blamed[kind], place) end
    seen[key] = true
    return kind
  end
  local verdicts = { bad = "over", ["by current"] = "by_current" }
  for _, path in ipairs(paths) do
    for _, step in ipairs(path.steps or {}) do
      local place = path_words.place(step)
      if step.stop then
        step.blamed = add(step.stop == "moved" and step.part == path.part and "own" or step.stop,
          place .. path_words.stand(step))
      elseif verdicts[step.judged.verdict] then
        step.blamed = add(verdicts[step.judged.verdict], place)
      end
    end
    for _, side in ipairs(path.steps and M.bad_sides(path) or {}) do
      add("sides", ("%s side of %s"):format(side, path.part))
    end
    if path.steps and path.batteries.verdict == "bad" then add("sources", lowest_source(path)) end
  end
  for _, path in ipairs(paths) do
    for _, way in ipairs(path.lost or {}) do
      local place = path_words.place(way)
      if not seen["open\0" .. place] and not seen["over\0" .. place] then add("lost", place) end
    end
  end
  return blamed
end

--- Parallel ways of a load's current that have lost their share; none where a place on the path is
--- open, or bad and worse than it was: that is why. The currents at an end of a chatter are those of a
--- moment.
local function lost_ways(circuit, case, load, good, path)
  if not good or case:outcome() == "chatters" then return {} end
  for _, step in ipairs(path.steps) do
    if step.stop or step.judged.verdict == "bad" and shares.is_worse(circuit, good, step) then
      return {}
    end
  end
  return shares.lost(circuit, case, good, good:path(load.part, load.element))
end

--- What is called good with next to no current of what the place is there for cannot be judged.
local function weigh(judged, current, part, element, peak_of)
  if judged.verdict ~= "ok" then return end
  local peak, condition = peak_of(part, element)
  if math.abs(current or 0) < PROVES * peak then
    judged.verdict, judged.peak, judged.peak_condition = "cannot judge", peak, condition
  end
end

local function weigh_path(circuit, path, peak_of)
  for _, step in ipairs(path.steps) do
    local kind = circuit.kinds[step.part]
    if kind then
      local element = step.element or kind.elements[1].name
      weigh(step.judged, step.current, step.part, element, peak_of)
      for _, side in ipairs(step.side == "load" and { "feed", "ground", "both", "cables" } or {}) do
        weigh(path[side], path.load_current, step.part, element, peak_of)
      end
    end
  end
end

--- The path of a load, or one that says there is no way.
local function path_of(circuit, case, load, set, good, expected, chattering, peak_of)
  local path = case:path(load.part, load.element, set.name, good)
  if not path then return { part = load.part, element = load.element, no_way = true } end
  path.part, path.element, path.expected = load.part, load.element, expected
  for _, step in ipairs(path.steps) do
    if step.side == "load" then path.element = step.element end
  end
  mark_stops(path, chattering)
  weigh_path(circuit, path, peak_of)
  path.lost = lost_ways(circuit, case, load, good, path)
  path.bad = is_bad(path)
  return path
end

local function paths_of(circuit, case, loads, set, good, expected, peak_of)
  local list, chattering, standing = {}, {}, states.chattering(case)
  for _, entry in ipairs(standing) do chattering[entry.part] = true end
  for index, load in ipairs(loads) do
    list[index] = path_of(circuit, case, load, set, good, expected[key_of(load)], chattering,
      peak_of)
  end
  return list, standing
end

--- Adds the end that the case is looked at.
local function add_end(drops, ...)
  local paths, standing = paths_of(...)
  table.insert(drops.ends, paths)
  table.insert(drops.states, standing)
  table.insert(drops.blamed, blame(paths))
end

local function solve(circuit, asked, faults, allowed)
  local again = { condition = asked.condition, faults = faults, load = asked.load,
    limits = asked.limits }
  local case, condition, code = question.open(circuit, again, allowed)
  if not case then return nil, condition, code end
  local ok, message
  ok, message, code = case:solve()
  if ok then return case, condition end
  case:close()
  return nil, message, code
end

--- What the loads carry without faults, and the solved case; nothing is expected of a circuit that
--- cannot be solved without them.
local function without_faults(circuit, asked, allowed)
  local case = solve(circuit, asked, nil, allowed)
  if not case then return {}, {} end
  local chosen, currents = loads_of(case)
  return chosen, currents, case
end

--- The element that stands for a part nobody named one of: that which takes most without faults.
local function with_element(circuit, load, healthy_currents)
  if load.element then return load end
  local best, most = load, -1
  for _, element in ipairs(circuit.kinds[load.part].elements) do
    local one = { part = load.part, element = element.name }
    local current = healthy_currents[key_of(one)]
    if current and current > most then best, most = one, current end
  end
  return best
end

--- Any load; a battery where it is charged, or would be without faults.
local function is_followed(circuit, load, expected, present)
  return not circuit.kinds[load.part].negative_post or expected[key_of(load)] ~= nil
    or present[key_of(load)] ~= nil
end

local fields = calls.fields "drops"

--- @return drops; or nil, message, code
function M.drops(circuit, asked)
  local ok, set, named, message, code
  ok, message, code = question.check_fields(asked, fields)
  if not ok then return nil, message, code end
  set, message, code = limits.find(asked.limits)
  if not set then return nil, message, code end
  if asked.load ~= nil then
    named, message, code = find_load(circuit, asked.load)
    if not named then return nil, message, code end
  end
  local case, condition
  case, condition, code = solve(circuit, asked, asked.faults, fields)
  if not case then return nil, condition, code end
  local healthy, expected, good = without_faults(circuit, asked, fields)
  local present, currents = loads_of(case)
  if named then named = with_element(circuit, named, expected) end
  if named and not is_followed(circuit, named, expected, currents) then
    case:close()
    if good then good:close() end
    return question.misuse("load: '%s' is not charged in condition '%s'; a battery is followed "
      .. "where it is", named.part, condition.name)
  end
  local loads = named and { named } or join(healthy, present)
  local drops = {
    circuit = circuit.name, condition = condition.name, temperature = condition.temperature,
    faults = table.move(asked.faults or {}, 1, #(asked.faults or {}), 1, {}),
    set = { name = set.name, about = set.about }, ends = {}, states = {}, blamed = {},
  }
  local peak_of, close_peaks = peaks.of(circuit)
  add_end(drops, circuit, case, loads, set, good, expected, peak_of)
  drops.outcome = case:outcome()
  if drops.outcome == "chatters" then
    case:view(2)
    add_end(drops, circuit, case, loads, set, good, expected, peak_of)
  end
  close_peaks()
  drops.bad, drops.judged = false, false
  for _, paths in ipairs(drops.ends) do
    for _, path in ipairs(paths) do
      drops.bad = drops.bad or path.bad or false
      drops.judged = drops.judged or is_judged(path)
    end
  end
  case:close()
  if good then good:close() end
  return drops
end

return M

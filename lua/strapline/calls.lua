--- What can be asked of a circuit from Lua: each question with its fields. Questions are checked
--- against this, and reference pages show it.
local M = {}

local condition = { "condition", 'condition = "crank"', "the first of the file when not given" }
local conditions = { "conditions", 'conditions = { "rest", "crank" }',
  "all of the file when not given" }
local progress = { "progress", "progress = function(done, of) return true end",
  "called now and then; false stops" }
local faults = { "faults", 'faults = { "G1: +50 mohm", "weak battery" }',
  "as text, or by their names in the file; none when not given" }
local limits = { "limits", 'limits = "shop"', "a set of limits; shop when not given" }
local threads = { "threads", "threads = 2",
  "how many share the work, 1 when not given; the answer is the same" }

local leads = {
  { "red", 'red = "B1 +"', "the node the red lead is on" },
  { "black", 'black = "B1 -"', "the node the black lead is on" },
}

--- Leads, or the current of a part.
local aim = {
  leads[1], leads[2],
  { "part", 'part = "M1"', "instead of leads: the current of this part, into its first terminal" },
  { "element", 'element = "motor"', "with part: the current of this path of it" },
}

--- Fields of several lists, those that every question has last.
local function all(...)
  local list = {}
  for _, fields in ipairs { ... } do
    for _, field in ipairs(fields) do list[#list + 1] = field end
  end
  return list
end

--- Each { name, about, fields = { { name, how it is written, what it is, for which of several
--- questions } } }.
M.list = {
  { name = "predict", about = "every voltage, current, state and notice -> answer",
    fields = { condition, faults } },
  { name = "read", about = "what an instrument shows; without ohms, amps or clamp: volts, alone and "
    .. "with a tool across the leads -> reading",
    fields = {
      { "red", 'red = "B1 +"', "the node the red lead is on", "volts ohms" },
      { "black", 'black = "B1 -"', "the node the black lead is on", "volts ohms" },
      { "tool", 'tool = "21 W lamp"', "what else is put across the leads; the test lamp when not "
        .. "given", "volts" },
      { "ohms", "ohms = true", "an ohmmeter", "ohms" },
      { "alone", 'alone = "C1"', "this part, taken out of the circuit", "ohms" },
      { "amps", 'amps = "M1.motor"', "an ammeter in series with a part, or with a path of it",
        "amps" },
      { "clamp", 'clamp = { "C1", "-C2", "M1.B" }', "a clamp round leads: PART, counted from its "
        .. "first terminal on, -PART the other way, PART.TERMINAL into it", "clamp" },
      condition,
      { "conditions", 'conditions = { "rest", "crank" }', "several, or \"all\": least and most" },
      faults,
      { "with", 'with = { "55 W lamp: B1 +, B1 -" }', "further tools, each between two nodes" },
      { "meter", 'meter = { input_resistance = "1 Mohm" }', "of the meter what is not usual" },
    } },
  { name = "load_test", about = "a battery at half its cold cranking rating -> test",
    fields = { { "battery", 'battery = "B1"', "needed where there are several" }, condition,
      faults } },
  { name = "drops", about = "the path of each load's current, every place on it against its limit "
    .. "-> drops",
    fields = { { "load", 'load = "M1: motor"', "one load, or a path of it; all when not given" },
      limits, condition, faults } },
  { name = "explain", about = "a reading taken apart -> explanation",
    fields = all(leads, { condition, faults }) },
  { name = "size", about = "the smallest standard conductor in the place of one -> sizes",
    fields = { { "part", 'part = "C1"', "the cable or strap; must be given" },
      { "drop", 'drop = "3 %"', "what may be lost over its run, out and back: a share or volts; "
        .. "that of the limits when not given" }, limits, condition, faults } },
  { name = "matters", about = "what a little more in each place does to a reading -> influences",
    fields = all(aim, { condition, faults }) },
  { name = "band", about = "where a reading lies when every part is as good as its spread -> band",
    fields = all(aim, {
      { "limit", 'limit = "0.2 V"', "the most that is allowed" },
      { "least", 'least = "9.6 V"', "the least that is allowed" },
      { "method", 'method = "worst"', "or \"rss\", \"monte-carlo\"" },
      { "samples", "samples = 10000", "monte-carlo: how many; this when not given" },
      { "seed", "seed = 1", "monte-carlo: the same seed gives the same samples" },
      { "shape", 'shape = "uniform"', "monte-carlo: or \"normal\"" },
      { "given_only", "given_only = true", "spreads of the file only, no usual ones" },
      progress, threads, condition, faults }) },
  { name = "sweep", about = "many questions as one value: faults, severities, conditions and "
    .. "readings -> sweep",
    fields = {
      { "faults", 'faults = { "G1: open", { "G1: +20 mohm", "weak battery" } }', "these, of which a "
        .. "list is there at once; or \"all\": every mode of every part but panels, which it is when "
        .. "not given" },
      { "parts", 'parts = { "G1", "C1" }', "of \"all\" those of these parts only" },
      { "severities", "severities = 3", "values for each mode with a range; 1, in the middle, when "
        .. "not given" },
      { "shorts", "shorts = true", "also every node to ground, and to the feed, over 10 mohm" },
      { "leaks", 'leaks = { { "lamp in", "frame", 1000 } }', "also these nodes to each other, over "
        .. "so many ohm" },
      { "swaps", 'swaps = { { "C1", "C2", "plug 1", "plug 2" } }', "also these parts in each "
        .. "other's place: C1 ends on plug 1 and C2 on plug 2, or where their second ends are when "
        .. "not given; or \"all\": each two wires, and each two joints, on different terminals of one part" },
      { "pairs", "pairs = true", "also two faults at a time" },
      conditions,
      { "readings", 'readings = { "lamp in", "B1 +,B1 -", { current = "M1", element = "motor" } }',
        "NODE against the reference; RED,BLACK; { red =, black = }; { current = PART }, { drop = "
        .. "PART }, each with element = PATH too; { power = PART }; { state = PART }. Every node that "
        .. "a lead can go on when not given" },
      { "quick", "quick = true", "from the healthy circuit where that can be: to 1e-9 of predict" },
      threads,
    } },
  { name = "survey", about = "each possible fault in every condition, and the leads that show it -> "
    .. "survey",
    fields = {
      { "faults", 'faults = { "G1: open" }', "as of a sweep" },
      { "parts", 'parts = { "G1", "C1" }', "as of a sweep" },
      { "severities", "severities = 3", "as of a sweep" },
      { "shorts", "shorts = true", "as of a sweep" }, { "pairs", "pairs = true", "as of a sweep" },
      { "swaps", 'swaps = "all"', "as of a sweep" },
      conditions,
      { "readings", 'readings = { "B1 +,B1 -" }', "these leads only; all that can be put on when "
        .. "not given" },
      { "change", "change = 0.1", "the least difference that counts, V; this when not given" },
      threads,
    } },
  { name = "sneak", about = "loads fed past their switch, currents that turn round, what a lost "
    .. "conductor heats -> sneaks", fields = { progress, threads } },
  { name = "offsets", about = "how far grounds stand apart -> offsets",
    fields = { conditions, faults,
      { "nodes", 'nodes = { "frame", "engine" }', "the grounds; those of modules, sensors and "
        .. "gauges when not given" } } },
}

for _, call in ipairs(M.list) do M.list[call.name] = call end

--- The fields a question may have.
--- @param which of several questions under one name ("ohms" of "read"); nil for all
--- @return fields by name, each as in the list
function M.fields(name, which)
  local set = {}
  for _, field in ipairs(M.list[name].fields) do
    local only = field[4]
    if not which or not only or (" " .. only .. " "):find(" " .. which .. " ", 1, true) then
      set[field[1]] = field
    end
  end
  return set
end

return M

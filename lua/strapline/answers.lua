--- What the answers to questions from Lua are made of: each record with its fields. Reference pages
--- show it, and a test holds it against real answers.
---
--- M.list: { name, about, fields = { { name, type, what it is } }, methods = { { form, about } } }, also
--- by name. A type is text, number, boolean, a record's name, "list of TYPE", or "list of TYPE, by name
--- too"; with "?" behind it the field is nil where it does not apply. Quantities are in SI, temperatures
--- in C. `kinds_of`: how a record of several forms tells which fields it has.
local M = {}

local function head(...)
  local fields = {
    { "circuit", "text", "its name" },
    { "condition", "text", "how the vehicle was held" },
    { "temperature", "number", "around every part, C" },
    { "faults", "list of text", "as they were given" },
  }
  return table.move({ ... }, 1, select("#", ...), #fields + 1, fields)
end

local function with(fields, ...)
  local list = table.move(fields, 1, #fields, 1, {})
  return table.move({ ... }, 1, select("#", ...), #list + 1, list)
end

local OUTCOME = { "outcome", "text", '"settled"; "timing": another order of relays ends elsewhere; '
  .. '"chatters": no steady state' }

--- A path of part: where it is told of.
local PART = { "part", "text", "its name" }
local ELEMENT = { "element", "text?", "the path inside it, where it has several" }

local AIM = {
  { "red", "text?", "the node of the red lead" }, { "black", "text?", "of the black lead" },
  { "part", "text?", "instead of leads: the part whose current it is" },
  { "element", "text?", "and the path of it" },
  { "quantity", "text", '"voltage" or "current"' },
  { "reading", "number?", "V or A; nil: not defined" },
}

local STATE = {
  { "nodes", "list of node, by name too", "every node" },
  { "parts", "list of part, by name too", "every part, in the order of the file" },
  { "quality", "quality", "how good the numbers are" },
}

local READING = head({ "func", "text", '"volts", "ohms", "amps" or "clamp"' }, OUTCOME,
  { "meter", "meter", "the meter that was used" },
  { "with", "list of tool", "what further tools show" })

--- A reading of one instrument: fields beside those of every reading.
local VOLTS = with(READING, { "red", "text", "the node of the red lead" },
  { "black", "text", "of the black lead" },
  { "unloaded", "shown volts", "the meter alone" },
  { "loaded", "tool", "the meter with the tool across the leads" })
local OHMS = with(READING, { "red", "text", "the node of the red lead" },
  { "black", "text", "of the black lead" },
  { "alone", "text?", "the part that was taken out" },
  { "resistance", "number?", "ohm; nil: OL" },
  { "swapped", "number?", "with the leads swapped, ohm; nil: OL" },
    { "elsewhere", "list of other path?", "of a part alone whose leads nobody placed" },
  { "range", "number", "the most it shows, ohm" },
  { "before", "number?", "V between the leads without the ohmmeter; nil: nothing joins them" },
  { "live", "boolean", "the reading is false: the circuit has power" },
  { "other", "shown ohms?", "the other end of a chatter" })
local AMPS = with(READING, PART, { "element", "text", "the path it is in" },
  { "burden", "number", "of the meter, ohm" }, { "fuse", "number", "the rating of its fuse, A" },
  { "without", "shown amps", "the current without the ammeter" },
  { "through", "shown amps", "with it" })
local CLAMP_SHOWN = {
  { "current", "number", "what the clamp reads, A" },
  { "leads", "list of clamped lead", "what each carries" },
  { "places", "list of clamped place", "ends of a lead where the current parts" },
  { "with", "list of tool", "what further tools show" },
}
local CLAMP = with(READING, CLAMP_SHOWN[1], CLAMP_SHOWN[2], CLAMP_SHOWN[3],
  { "other", "shown clamp?", "the other end of a chatter" })

M.list = {
  { name = "answer", about = "of predict", fields = head(
      { "reference", "text", "the node that voltages are told against" }, OUTCOME,
      { "period", "number", "of a chatter, s; 0: none" }, STATE[1], STATE[2], STATE[3],
      { "other", "other end?", "the other end of a chatter" }),
    methods = {
      { "answer:node(NAME)", "its node; an unknown name raises an error that says the nearest" },
      { "answer:part(NAME)", "its part, likewise" },
      { "answer:between(RED, BLACK)", "V between two nodes; nil where nothing joins them" },
      { "answer:values(PART)", "list of value, by name too: every value the part used" },
    } },
  { name = "other end", about = "of a chatter", fields = STATE },
  { name = "node", about = "a point a lead can touch", fields = {
    { "name", "text", "" },
    { "voltage", "number?", "against the reference, V; nil: it floats" },
    { "floating", "boolean", "nothing joins it to the reference" },
  } },
  { name = "part", about = "what a part carries", fields = {
    { "name", "text", "" }, { "kind", "text", "" },
    { "current", "number?", "into its first terminal, A; nil: not defined" },
    { "drop", "number?", "first terminal against the second, V; nil: one floats" },
    { "power", "number?", "taken, W; below 0 given" },
    { "state", "text?", "of a part that moves by itself: \"pulled in\", \"no power\"" },
    { "chatters", "boolean", "it moves for ever; the rest is for the state told" },
    { "elements", "list of path, by name too", "the paths for current inside it" },
    { "notices", "list of text", "what a person notices of it" },
  } },
  { name = "path", about = "a path for current inside a part", fields = {
    { "name", "text", "" }, { "current", "number?", "A" }, { "drop", "number?", "V" },
  } },
  { name = "quality", about = "the proof of a solution", fields = {
    { "residual", "number", "how far currents at a node are from 0, as a share of the greatest" },
    { "power_balance", "number", "how far powers are from 0, as a share of their sum" },
    { "worst", "text?", "the node with the greatest residual" },
    { "iterations", "number", "of Newton's method" },
    { "flips", "number", "how often a relay moved" },
  } },
  { name = "value", about = "a field of a part as it was used", fields = {
    { "name", "text", "" }, { "value", "number?", "in its unit; of a choice its number; nil: not set" },
    { "text", "text", "the same in words" }, { "unit", "text", "" },
    { "origin", "text", '"given", "default", "worked out", "condition", "fault" or "not set"' },
    { "standing", "text", "what stands behind a value that nobody gave" },
  } },
  { name = "reading", about = "of read", kinds_of = "func", fields = {
    volts = VOLTS, ohms = OHMS, amps = AMPS, clamp = CLAMP } },
  { name = "readings", about = "of read over several conditions", fields = {
    { "circuit", "text", "its name" }, { "faults", "list of text", "as they were given" },
    { "func", "text", "as of a reading" }, { "meter", "meter", "the meter that was used" },
    { "rows", "list of reading", "one for each condition" },
    { "least", "extreme?", "the least of all; nil: nothing was read" },
    { "most", "extreme?", "the most of all" },
  } },
  { name = "extreme", about = "the least or the most of several readings", fields = {
    { "value", "number", "V, A or ohm" }, { "condition", "text", "where it is so" },
    { "second_end", "boolean", "at the other end of a chatter" },
  } },
  { name = "meter", about = "a multimeter", fields = {
    { "input_resistance", "number", "ohm" }, { "lead_resistance", "number", "of both leads, ohm" },
    { "counts", "number", "of its display" }, { "burden", "number", "in its amps socket, ohm" },
    { "fuse", "number", "its rating, A" }, { "test_voltage", "number", "for ohms, V" },
  } },
  { name = "other path", about = "where to measure another path of a part alone", fields = {
    ELEMENT, { "red", "text", "the lead's node" }, { "black", "text", "" },
  } },
  { name = "shown volts", about = "by the meter alone", fields = {
    { "voltage", "number?", "V; nil: floating" }, { "with", "list of tool", "further tools" },
    { "outcome", "text?", "as of an answer" }, { "other", "shown volts?", "at the other end" },
  } },
  { name = "shown ohms", about = "at the other end of a chatter", fields = {
    { "resistance", "number?", "ohm; nil: OL" }, { "swapped", "number?", "ohm" },
    { "before", "number?", "V" }, { "with", "list of tool", "further tools" },
  } },
  { name = "shown amps", about = "with or without the ammeter", fields = {
    { "current", "number?", "A" }, { "voltage", "number?", "of its burden, V" },
    { "above", "boolean?", "more than its fuse is rated for" },
    { "blows", "boolean?", "so much more that the fuse surely opens" },
    { "fuse_does", "text?", "\"opens in 0.25 to 600 s\"" },
    { "with", "list of tool", "further tools" }, { "outcome", "text?", "as of an answer" },
    { "other", "shown amps?", "at the other end" },
  } },
  { name = "shown clamp", about = "at the other end of a chatter", fields = CLAMP_SHOWN },
  { name = "clamped lead", about = "a lead in the jaws", fields = {
    { "text", "text", "as it was asked for" }, PART,
    { "terminal", "text", "the end it is counted into" }, { "from", "text", "a node" },
    { "to", "text", "a node" }, { "reversed", "boolean", "laid the other way" },
    { "current", "number", "A" },
  } },
  { name = "clamped place", about = "an end of a clamped lead", fields = {
    { "node", "text", "" }, { "through", "number", "what flows there, A" },
    { "held", "number", "of it, in the jaws, A" },
    { "clamped", "number", "leads in the jaws that end there" },
    { "parts", "boolean", "the current parts there" },
    { "others", "list of other lead", "what has the rest" },
  } },
  { name = "other lead", about = "a lead that is not in the jaws", fields = {
    PART, { "current", "number", "counted into it, A" },
  } },
  { name = "tool", about = "something connected between two nodes", fields = {
    { "tool", "text", "its name and setting" }, { "about", "text", "what it is" },
    { "red", "text", "a node" }, { "black", "text", "a node" },
    { "voltage", "number?", "across it, V" }, { "current", "number?", "through it, A" },
    { "heavy", "boolean?", "it takes a large current" },
    { "fuse", "number?", "the rating of its fuse, A" },
    { "shows", "list of text", "what it shows" },
    { "with", "list of tool?", "further tools at the same time" },
    { "outcome", "text?", "as of an answer" }, { "other", "tool?", "at the other end" },
  } },
  { name = "drops", about = "of drops", fields = head(OUTCOME,
      { "set", "set", "the limits that were used" },
      { "bad", "boolean", "a limit is exceeded, a path is open, or a way has lost its share" },
      { "judged", "boolean", "there was a limit for something" },
      { "ends", "list of list of load path", "the loads; two lists where something chatters" },
      { "states", "list of list of standing", "how what chatters stands, a list an end" },
      { "blamed", "list of blamed", "what is at fault, an end" }) },
  { name = "set", about = "a set of limits", fields = {
    { "name", "text", "" }, { "about", "text", "" },
  } },
  { name = "standing", about = "a part that chatters", fields = {
    PART, { "state", "text", "at this end" },
  } },
  { name = "blamed", about = "places at fault, by name", fields = {
    { "open", "list of text", "open" }, { "moved", "list of text", "contacts that do not close" },
    { "own", "list of text", "contacts of the load's own part" },
    { "sides", "list of text", "over their limit in all, with no place on them that is" },
    { "over", "list of text", "over the limit" },
    { "sources", "list of text", "below the least voltage" },
    { "lost", "list of text", "ways that have lost their share of the current" },
    { "by_current", "list of text", "over the limit for the current alone" },
  } },
  { name = "load path", about = "the way of a load's current", kinds_of = "no_way", fields = {
    [true] = { PART, ELEMENT, { "no_way", "boolean", "none leads there" } },
    [false] = {
      PART, ELEMENT, { "kind", "text", "of the source's part" },
      { "use", "text", "what the current is there for" },
      { "expected", "number?", "the load's current without faults, A" },
      { "load_current", "number", "A" }, { "source", "text", "the part that feeds it" },
      { "source_current", "number?", "all it gives, A" },
      { "source_voltage", "number?", "V" }, { "open_voltage", "number?", "without current, V" },
      { "inside_drop", "number?", "lost inside the source, V" },
      { "plus", "text", "the node the path leaves the source at" },
      { "minus", "text", "the node it comes back to" },
      { "red", "text", "an end of the load" }, { "black", "text", "the other" },
      { "nominal", "number", "6, 12 or 24 V: what limits go by" },
      { "unit", "number", "of `shown`, V" },
      { "shown_source", "number", "source_voltage in units" },
      { "shown_open", "number", "open_voltage in units" },
      { "stops", "number", "open places on it" }, { "bad", "boolean", "as of drops" },
      { "steps", "list of step", "from the source's plus to its minus" },
      { "lost", "list of lost way", "parallel ways that have lost their share" },
      { "feed", "judgement", "the feed side in all" },
      { "ground", "judgement", "the ground side in all" }, { "both", "judgement", "both" },
      { "cables", "judgement", "both but for switches, relays and fuses" },
      { "batteries", "judgement", "the lowest source" },
    } } },
  { name = "step", about = "one path of a part, on the way of a current", fields = {
    PART, { "kind", "text", "" }, ELEMENT,
    { "use", "text", "what it is to the current: \"wire\", \"connection\", \"lamp\"" },
    { "side", "text", '"feed", "load" or "return"' },
    { "inside", "boolean", "of the load's own part" },
    { "from", "text", "a node" }, { "to", "text", "a node" },
    { "open", "boolean", "nothing can flow" }, { "moved", "boolean", "open, and by no fault of it" },
    { "stop", "text?", "of an open step that should carry current: \"open\" or \"moved\"" },
    { "blamed", "text?", "the list of `blamed` it is in" },
    { "current", "number?", "A" }, { "drop", "number?", "V" },
    { "good_drop", "number?", "without faults, of explain, V" },
    { "share", "number?", "of the current that comes together or parts there" },
    { "shown", "number", "the drop in units, so rounded that all add up" },
    { "beside", "list of way beside", "what carries the rest" },
    { "judged", "judgement?", "against its limit, of drops" },
  } },
  { name = "way beside", about = "a path beside a step", fields = {
    PART, { "kind", "text", "" }, ELEMENT, { "use", "text", "as of a step" },
    { "current", "number", "A" }, { "share", "number", "" },
    { "good_current", "number?", "without faults, A" },
  } },
  { name = "lost way", about = "a parallel way with less than half of its share", fields = {
    { "node", "text", "where it parts or joins" }, PART, ELEMENT, { "use", "text", "as of a step" },
    { "current", "number", "A" }, { "good_current", "number", "without faults, A" },
    { "on_path", "boolean", "the path itself goes through it" },
  } },
  { name = "judgement", about = "what is lost against what may be", fields = {
    { "value", "number?", "V" }, { "allowed", "number?", "V" },
    { "verdict", "text", '"ok", "bad", "by current", "cannot judge" or "no limit"' },
    { "limit", "limit?", "the one that was used" },
    { "good_current", "number?", "there without faults, A" },
    { "celsius", "number?", "the temperature it is for, of the source" },
    { "peak", "number?", "what it carries without faults in peak_condition, A: too little flows here" },
    { "peak_condition", "text?", "" },
  } },
  { name = "limit", about = "a published figure, or common practice", fields = {
    { "text", "text", "what it is for" }, { "condition", "text", "how to measure" },
    { "source", "text", "who says so" }, { "standing", "text", "how sure that is" },
    { "nominal", "number", "6, 12 or 24 V; 0: any" }, { "volts", "number?", "V" },
    { "per_100_a", "number?", "V per 100 A" }, { "part", "number?", "of the nominal voltage" },
    { "least", "boolean", "the least, not the most" },
  } },
  { name = "explanation", about = "of explain", fields = head(OUTCOME,
      { "red", "text", "the node of the red lead" }, { "black", "text", "of the black lead" },
      { "ends", "list of explained end", "one, or two where something chatters" }) },
  { name = "explained end", about = "of explain", fields = {
    { "reading", "number?", "V; nil: nothing joins the leads" },
    { "good_reading", "number?", "without faults, V" },
    { "compared", "boolean?", "faults were given" },
    { "way", "way?", "from a source by both leads and back" },
    { "cuts", "cuts", "what leads that float hang on" },
    { "lost", "list of lost way", "parallel ways that have lost their share" },
    { "states", "list of standing", "how what chatters stands" },
  } },
  { name = "cuts", about = "open places round a lead that floats", fields = {
    { "red", "list of cut?", "" }, { "black", "list of cut?", "" },
  } },
  { name = "cut", about = "an open place", fields = {
    PART, { "kind", "text", "" }, ELEMENT, { "use", "text", "as of a step" },
    { "from", "text", "the node on the lead's side" }, { "to", "text", "the other" },
    { "side", "text", "" }, { "inside", "boolean", "" }, { "open", "boolean", "" },
    { "moved", "boolean", "as of a step" }, { "current", "number", "0" },
    { "shown", "number", "" },
  } },
  { name = "sizes", about = "of size", fields = head(PART, { "kind", "text", "" },
      { "set", "set", "the limits" }, { "drop", "text?", "what may be lost, as asked" },
      { "load", "text", "the load whose current it carries" },
      { "element", "text?", "the path of that" }, { "side", "text", '"feed" or "return"' },
      { "length", "number", "m" },
      { "run_length", "number", "of all wires with the same current, m" },
      { "run_allowed", "number?", "what those may lose, V" },
      { "shared_length", "number", "of all other wires on the way, m" },
      { "shared_drop", "number", "what those lose, V" },
      { "allowed", "number", "what this one may lose, V" }, { "nominal", "number", "V" },
      { "limit", "limit?", "the one that was used" },
      { "limit_temperature", "number", "what its insulation bears, C" },
      { "duty", "number", "how long the current flows at most, s" },
      { "air", "number", "around it, C" },
      { "fuse", "text?", "the fuse ahead of it" }, { "fuse_rating", "number?", "A" },
      { "fuses", "number?", "of all loads that come back through it" },
      { "fuses_together", "number?", "what those let pass, A" },
      { "by_rule", "number", "the section by the rule of ABYC E-11, mm2" },
      { "present", "size", "as it is" }, { "rows", "list of size", "every size tried" },
      { "best", "size?", "the smallest in mm2 that will do" },
      { "best_gauge", "size?", "the smallest American gauge" },
      { "peak", "number?", "A through it in peak_condition, where that is more than here" },
      { "peak_condition", "text?", "" }) },
  { name = "size", about = "a conductor in the place of one", fields = {
    { "size", "number?", "mm2" }, { "gauge", "number?", "AWG; 0, -1, -2, -3: 1/0 to 4/0" },
    { "current", "number", "A" }, { "drop", "number", "V" },
    { "ampacity", "number", "what it may carry, A" },
    { "temperature", "number", "what it comes to when the current flows for ever, C" },
    { "seconds", "number?", "until its insulation is at its limit, where that comes" },
    { "short_current", "number?", "through the fuse with its far end shorted, A" },
    { "fails", "list of text", '"drop", "heat", "fuse", "short", "off"; none: it will do' },
  } },
  { name = "test", about = "of load_test", fields = head({ "battery", "text", "" },
      { "rating", "number", "cold cranking, A" }, { "load", "number", "half of it, A" },
      { "surface_charge", "number", "of six cells, taken off before, V" },
      { "rest_voltage", "number", "V" }, { "loaded_voltage", "number", "V" },
      { "least_voltage", "number", "what it must hold at its temperature, V" },
      { "verdict", "text", '"passes", "fails" or "charge first"' }) },
  { name = "influences", about = "of matters", fields = head(AIM[1], AIM[2], AIM[3], AIM[4],
      AIM[5], AIM[6],
      { "series", "list of series effect", "10 mohm more in one place, the greatest first" },
      { "fields", "list of field effect", "each value a little off, the greatest first" }) },
  { name = "series effect", about = "of 10 mohm more in a path", fields = {
    PART, { "kind", "text", "" }, { "element", "text", "the path" },
    { "only", "boolean", "the part has no other" },
    { "slope", "number", "of a small change, per ohm" },
    { "effect", "number", "on the reading: of the greatest solved anew, of others by the slope" },
    { "reading", "number?", "with it, of those that are solved anew" },
    { "moved", "list of text?", "relays that stand otherwise then" },
  } },
  { name = "field effect", about = "of a value that is off", fields = {
    { "part", "text", 'its name, or "(everything)"' }, { "kind", "text", "" },
    { "field", "text", "the one the file gives" }, { "quantity", "text", "" },
    { "value", "number?", "" }, { "slope", "number", "per unit" },
    { "change", "text", '"+1 %" or "+1 C"' }, { "effect", "number", "of that" },
    { "down", "number?", "at the lower end of its spread" },
    { "up", "number?", "at the upper end" }, { "usual", "boolean?", "the file gives no spread" },
    { "spread_of", "text?", "the field that follows from it and has that spread" },
  } },
  { name = "band", about = "of band", fields = head(AIM[1], AIM[2], AIM[3], AIM[4],
      AIM[5], AIM[6], { "method", "text", '"worst", "rss" or "monte-carlo"' },
      { "low", "number", "where the reading lies, from" }, { "high", "number", "to" },
      { "greatest", "number?", "the limit: at most" }, { "least", "number?", "at least" },
      { "margin", "number?", "to the nearer limit; below 0: exceeded" },
      { "exceeded", "boolean", "some limit is, or some sample fails" },
      { "verdict", "text?", '"kept", "exceeded", "not proved" or "no steady state"' },
      { "other", "number?", "of a chatter: the reading at its other end" },
      { "looked", "number", "cases that were worked out" },
      { "chatters", "number", "of those without a steady state" },
      { "worst", "extremes?", "of the method worst" },
      { "drawn", "drawn samples?", "of the method monte-carlo" },
      { "seed", "number?", "of monte-carlo" }, { "shape", "text?", '"uniform" or "normal"' },
      { "stopped", "number?", "how many samples there were to be, where fewer have been drawn" },
      { "varied", "list of varied value", "what is off, the greatest effect first" }) },
  { name = "varied value", about = "of band", fields = {
    { "part", "text?", "nil: the temperature" }, { "param", "text?", "its field" },
    { "quantity", "text", '"resistance", "temperature" and so on' }, { "unit", "text", "" },
    { "value", "number", "as it is" }, { "low", "number", "the least it may be" },
    { "high", "number", "the most" },
    { "standing", "text", 'of a usual spread: where it comes from; "": the file gives it' },
    { "slope", "number", "of the reading by the value" },
    { "at_low", "number?", "the reading with it alone at its least; of worst" },
    { "at_high", "number?", "at its most; of worst" },
    { "effect", "number", "how far the reading goes from the one to the other" },
    { "turns", "boolean", "the reading does not rise or fall all the way; of worst" },
  } },
  { name = "extremes", about = "of band, worst", fields = {
    { "low", "number", "at the corner that the slopes point to" }, { "high", "number", "likewise" },
    { "beyond_low", "number", "the least of all that was looked at" },
    { "beyond_high", "number", "the most" },
    { "low_chatters", "boolean", "where the least is" },
    { "high_chatters", "boolean", "where the most is" },
    { "turning", "number", "values that turn" },
    { "unsolved", "number", "cases without an answer" }, { "looked", "number", "cases" },
    { "chatters", "number", "of those without a steady state" },
    { "moved", "list of moved part", "those that end elsewhere at a corner" },
  } },
  { name = "moved part", about = "of band, worst", fields = {
    { "part", "text", "" }, { "before", "text", "its state as it is" },
    { "low", "text", "at the low corner" }, { "high", "text", "at the high corner" },
  } },
  { name = "drawn samples", about = "of band, monte-carlo", fields = {
    { "samples", "number", "how many" }, { "unsolved", "number", "without an answer" },
    { "chatters", "number", "without a steady state" }, { "failed", "number", "outside the limits" },
    { "whole", "number", "solved one by one, not eight at a time" },
    { "mean", "number", "" }, { "deviation", "number", "the standard deviation" },
    { "least", "number", "the extremes seen" }, { "greatest", "number", "" },
    { "percentile", "list of number", "0.1, 2.5, 10, 50, 90, 97.5 and 99.9 %" },
    { "step", "number", "how fine those are" }, { "share", "number", "that fails" },
    { "share_low", "number", "its 95 % interval, from" }, { "share_high", "number", "to" },
    { "ended", "list of ended part", "parts that did not always end in one state" },
  } },
  { name = "ended part", about = "of band, monte-carlo", fields = {
    { "part", "text", "" }, { "ends", "list of end of a part", "how it ended" },
  } },
  { name = "end of a part", about = "of band, monte-carlo", fields = {
    { "state", "text?", "nil: it chatters" }, { "count", "number", "in how many samples" },
  } },
  { name = "sweep", about = "of sweep", fields = {
    { "faults", "list of fault", "each that is put in" },
    { "readings", "list of read", "each that is taken" },
    { "cases", "number", "rows that come of it" },
  }, methods = {
    { "sweep:rows()", "iterator of row" },
    { "sweep:table()", "list of row" },
    { "sweep:columns()", "for each reading the list of its values, and how each case ended" },
    { "sweep:csv(write), sweep:json(write)", "as text; `write` takes pieces of it" },
    { "sweep:stats()", "how the work was done" }, { "sweep:close()", "frees it at once" },
  } },
  { name = "read", about = "a reading of a sweep", fields = {
    { "name", "text", "" }, { "unit", "text", '"V", "A", "W", or "" for a state' },
  } },
  { name = "fault", about = "a fault of a sweep", fields = {
    { "text", "text", "as it can be asked for" },
    { "type", "text", '"mode", "leak", "swapped" or "given"' },
    { "name", "text?", "of one that was given" }, { "part", "text?", "" },
    { "mode", "text?", "how it fails" }, { "value", "number?", "how much" },
    { "other", "text?", "the part it is swapped with" },
    { "node", "text?", "of a leak; or where the part should end" },
    { "to", "text?", "the other end of the leak; or where the other part should end" },
  } },
  { name = "row", about = "of a sweep", fields = {
    { "case", "number", "its number" }, { "condition", "text", "" },
    { "fault", "number?", "in sweep.faults; nil: the good circuit" },
    { "second", "number?", "of a pair" },
    { "faults", "list of text", "the same in words" },
    { "outcome", "text?", "as of an answer" },
    { "ending", "number?", "1, or 2 for the other end of a chatter" },
    { "period", "number?", "of a chatter, s" },
    { "values", "values of a row", "by the number of the reading; a state by its name" },
    { "status", "text?", "instead of an outcome: why there is no answer" },
    { "message", "text?", "the same in words" },
  } },
  { name = "survey", about = "of faults", fields = {
    { "change", "number", "the least difference that counts, V" },
    { "sweep", "sweep", "the faults and conditions behind it" },
  }, methods = {
    { "survey:findings()", "iterator of finding, one for each fault in each condition" },
    { "survey:whole()", "the same, with the two ends of a chatter as one" },
  } },
  { name = "finding", about = "what shows a fault", fields = {
    { "case", "number", "its number" }, { "condition", "text", "" },
    { "faults", "list of text", "" }, { "of", "list of fault", "" },
    { "status", "text?", "why there is no answer" }, { "message", "text?", "" },
    { "good_status", "text?", "why the good circuit has none" },
    { "outcome", "text?", "as of an answer" }, { "ending", "number?", "as of a row" },
    { "load_only", "boolean", "differs under load, and to no meter alone" },
    { "by", "number", "the largest difference, V" },
    { "best", "difference?", "the leads that show it best" },
    { "load", "difference?", "the leads across a load that show it best" },
    { "alone", "difference?", "those for a meter alone, loads unplugged" },
    { "notices", "list of noticed", "what is noticed, first first" },
  } },
  { name = "difference", about = "leads that show a fault", fields = {
    { "place", "leads", "" }, { "reading", "number", "its number in the sweep" },
    { "good", "number?", "V; nil: floats" }, { "now", "number?", "V" },
    { "alone_good", "number?", "to a meter alone, V" }, { "alone_now", "number?", "V" },
    { "by", "number", "V" }, { "own", "boolean", "across the part at fault" },
  } },
  { name = "leads", about = "where a meter is put", fields = {
    { "red", "text", "" }, { "black", "text", "" },
  } },
  { name = "noticed", about = "what a person notices of a part", fields = {
    PART, { "now", "list of text", "" }, { "was", "list of text", "without the fault" },
    { "none", "text", "what is said where `now` has nothing" },
    { "own", "boolean", "a part of the fault" }, { "load", "boolean", "it is a load" },
    { "danger", "boolean", "it overheats, and did not" },
    { "other_end", "boolean?", "at the other end of a chatter alone" },
  } },
  { name = "sneaks", about = "of sneak", fields = {
    { "sneaks", "list of sneak path", "" },
    { "lost", "list of lost conductor", "whose loss overheats others" },
    { "stopped", "boolean?", "by `progress`, before all was found" },
  } },
  { name = "sneak path", about = "current where it was not meant to flow", fields = {
    { "type", "text", '"through": fed through another load; "reverses"; "lost": fed once a '
      .. "conductor is lost" },
    PART, { "element", "text", "the path" }, { "states", "number", "in how many states" },
    { "where", "switching", "" }, { "volts", "number", "" }, { "amps", "number", "" },
    { "through", "text?", "the load it is fed through" }, { "also", "text?", "another" },
    { "other", "switching?", "where its current turns round" }, { "other_amps", "number?", "" },
  } },
  { name = "switching", about = "how the vehicle is held", fields = {
    { "condition", "text", "" }, { "moved", "text?", "a switch in another position" },
    { "position", "text?", "which" }, { "lost", "text?", "a conductor that is open" },
  } },
  { name = "lost conductor", about = "of sneak", fields = {
    { "fault", "text", "" }, { "condition", "text", "" },
    { "notices", "list of noticed", "conductors in danger" },
  } },
  { name = "offsets", about = "of offsets", fields = {
    { "circuit", "text", "" }, { "faults", "list of text", "" },
    { "conditions", "list of text", "" },
    { "failed", "list of without answer", "conditions without an answer" },
    { "grounds", "list of ground, by name too", "by their nodes" },
    { "most", "list of offsets of a ground",
      "most[i][j], i < j: the greatest offset of ground i against ground j" },
  } },
  { name = "without answer", about = "of offsets", fields = {
    { "condition", "text", "" }, { "message", "text", "" },
  } },
  { name = "ground", about = "a node that parts are grounded on", fields = {
    { "node", "text", "" }, { "parts", "list of text", "" },
  } },
  { name = "offset", about = "between two grounds", fields = {
    { "volts", "number", "" }, { "condition", "text", "" },
  } },
}

for _, record in ipairs(M.list) do M.list[record.name] = record end

-- The way between two leads is a load path without what is told of loads.
do
  local fields = {}
  for _, field in ipairs(M.list["load path"].fields[false]) do
    local of_loads = { use = true, expected = true, bad = true, lost = true, feed = true,
      ground = true, both = true, cables = true, batteries = true }
    if not of_loads[field[1]] then fields[#fields + 1] = field end
  end
  table.insert(M.list, { name = "way", about = "of explain, as a load path", fields = fields })
  M.list.way = M.list[#M.list]
end

--- Every field of a record of several forms, each once.
function M.fields(record)
  if not record.kinds_of then return record.fields end
  local list, seen, forms = {}, {}, {}
  for form in pairs(record.fields) do forms[#forms + 1] = form end
  table.sort(forms, function(a, b) return tostring(a) < tostring(b) end)
  for _, form in ipairs(forms) do
    for _, field in ipairs(record.fields[form]) do
      if not seen[field[1]] then list[#list + 1] = field end
      seen[field[1]] = true
    end
  end
  return list
end

return M

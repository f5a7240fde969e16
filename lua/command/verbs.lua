--- What the program does as a whole: its help and its manual page say it.
local M = {}

M.about = "predicts voltages in vehicle power and ground wiring"

M.verbs = {
  { "predict", "every voltage, current, drop and power, and what a person would notice" },
  { "read", "one reading: volts with and without load, ohms, amps, a clamp" },
  { "loadtest", "a battery at half its cold cranking rating" },
  { "drops", "the path of a load's current, every drop on it against its limit" },
  { "explain", "a reading taken apart: source, path, what is lost where" },
  { "size", "the smallest conductor that meets drop, heat and fuse" },
  { "faults", "each possible fault in every condition: which leads show it, loaded and alone" },
  { "sneak", "loads fed past their switch, currents that turn round, what a lost ground heats" },
  { "offsets", "how far the grounds of modules stand apart, in every condition" },
  { "matters", "which part matters most to a reading" },
  { "band", "between which limits a reading lies, and whether it keeps one" },
  { "values", "every value the parts use, and where it comes from" },
  { "words", "the words of circuit files and all kinds of part" },
  { "run", "a Lua script with the module strapline" },
}

M.options = {
  { "--help", "this text; after a verb, that of the verb" },
  { "--version", "the version" },
}

M.examples = {
  "strapline predict circuits/wicken_410.lua --condition crank",
  "strapline predict circuits/wicken_410.lua --condition crank --fault 'open main ground'",
  "strapline read circuits/wicken_410.lua --red 'battery + post' --black frame --tool '5 W lamp'",
  "strapline drops circuits/wicken_410.lua --condition crank",
  "strapline words starter",
}

M.exit_code = "0 done; 1 done, and the answer is bad (a limit is exceeded, a battery fails "
  .. "its\ntest); 2 could not be done: standard error says why;\n130 stopped by Ctrl-C, what was done is reported."

return M

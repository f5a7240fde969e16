--- strapline band: between which limits a reading lies.
local options = require "strapline.command.options"
local progress = require "strapline.command.progress"

--- A whole number, or the text as it is, for the message.
local function number(text)
  return text and (math.tointeger(tonumber(text)) or text)
end

return {
  name = "band",
  arguments = "CIRCUIT --red NODE --black NODE | --current PART [--limit 0.2V]",
  needs = { "CIRCUIT" },
  about = "Tells between which limits a reading lies when every part is as good as its spread, and "
    .. "whether\nthat keeps a limit. What has no steady state, chattering, counts with both ends "
    .. "and keeps none.\nA file gives spreads with the values: resistance = \"2 mohm +-20 %\",\n"
    .. "temperature = \"20 C +-15 C\"; usual ones, as far as there are any, stand for those it "
    .. "does not give.\nWhat a fault sets is exact.",
  options = {
    { name = "red", value = "N", doc = "the node the red lead is on" },
    { name = "black", value = "N", doc = "the node the black lead is on" },
    { name = "current", value = "P", doc = "the current of a part instead; 'PART: PATH' for one path" },
    { name = "method", value = "M", choices = { "worst", "rss", "monte-carlo" },
      doc = "worst (when not given): all at their bad ends; rss: root sum square; monte-carlo" },
    { name = "limit", value = "X", doc = "the most it may be, such as 0.2V" },
    { name = "least", value = "X", doc = "the least it may be, such as 9.6V" },
    { name = "samples", value = "N", doc = "of monte-carlo; 10000 when not given. Ctrl-C stops "
      .. "them: what is done is reported, with exit code 130" },
    { name = "seed", value = "S", doc = "of monte-carlo: the same seed, the same samples; 1" },
    { name = "shape", value = "S", choices = { "uniform", "normal" },
      doc = "how samples lie between the ends: uniform, or normal with the ends at 3 sd, cut off" },
    { name = "threads", value = "N", doc = "of monte-carlo; 1 when not given; the same result" },
    { name = "given-only", doc = "only the spreads of the file, no usual ones" },
    options.condition, options.fault, options.format,
  },
  examples = {
    "strapline band circuits/wicken_410.lua --red 'engine block' --black 'battery - post' "
      .. "--condition crank --limit 0.5V",
    "strapline band circuits/wicken_410.lua --red 'starter stud' --black 'engine block' "
      .. "--condition crank --least 8V --method monte-carlo --samples 20000 --threads 2",
    "strapline band circuits/wicken_410.lua --current starter --condition crank --method rss",
  },
  run = function(values, io)
    local asked, wrong = options.reading(values)
    if not asked then return io.misuse(wrong) end
    local circuit
    circuit, wrong = io.load(values[1])
    if not circuit then return io.refuse(wrong) end
    asked.condition, asked.faults = values.condition, values.fault
    asked.method, asked.shape = values.method, values.shape
    asked.limit, asked.least = values.limit, values.least
    asked.samples, asked.seed = number(values.samples), number(values.seed)
    asked.threads, asked.given_only = number(values.threads), values["given-only"]
    local interrupted
    asked.progress, interrupted = progress.of(io, "samples")
    local result = io.ask(circuit, "band", asked)
    if not result then return interrupted() and progress.INTERRUPTED or io.failed end
    local report = require("strapline.report_band")[values.format or "text"]
    local code = io.write(report.band(circuit, result))
    if result.stopped then
      io.remark(("stopped after %d of %d samples"):format(result.drawn.samples, result.stopped))
      return code == io.done and progress.INTERRUPTED or code
    end
    local bad = result.exceeded or result.verdict == "no steady state"
    return code == io.done and bad and io.bad or code
  end,
}

--- strapline run manual.lua program|parts VERSION: writes a manual page to standard output, made
--- from what --help and `strapline words` say.
---
--- Only the oldest requests for manual pages are used, so that any reader shows them.
local lines = {}

local function put(line)
  lines[#lines + 1] = line
end

--- Text as it can stand in a line of a manual page.
local function plain(text)
  text = text:gsub("[\\%-]", { ["\\"] = "\\(rs", ["-"] = "\\-" })
  text = text:gsub("[\xC2-\xF4][\x80-\xBF]+", function(char)
    return ("\\[u%04X]"):format(utf8.codepoint(char))
  end)
  return (text:gsub("^([.'])", "\\&%1"))
end

local function paragraphs(text)
  for line in (text .. "\n"):gmatch("(.-)\n") do put(plain(line)) end
end

local function section(title)
  put('.SH "' .. plain(title:upper()) .. '"')
end

local function subsection(title)
  put('.SS "' .. plain(title):gsub('"', "\\(dq") .. '"')
end

local function entry(tag, said)
  put ".TP"
  put("\\fB" .. plain(tag) .. "\\fR")
  for index, text in ipairs(said) do
    if index > 1 then put ".br" end
    paragraphs(text)
  end
end

--- Begins a paragraph, where a title does not do so already.
local function paragraph()
  if not lines[#lines]:find("^%.S[HS]") then put ".PP" end
end

local function unbroken(rows)
  paragraph()
  put ".nf"
  for _, row in ipairs(rows) do put(plain(row)) end
  put ".fi"
end

local function head(name, number, version, about)
  put(('.TH %s %d "" "strapline %s"'):format(name:upper(), number, version))
  section "Name"
  put(plain(name) .. " \\- " .. plain(about))
end

--- strapline.1, from the help of the program and of its verbs.
local function program_page(version)
  local options, program = require "strapline.command.options", require "strapline.command.verbs"
  head("strapline", 1, version, program.about)
  section "Synopsis"
  for index, row in ipairs(program.verbs) do
    local verb = require("strapline.command." .. row[1])
    if index > 1 then put ".br" end
    put("\\fBstrapline " .. verb.name .. "\\fR " .. plain(verb.arguments))
  end
  for _, row in ipairs(program.options) do
    put ".br"
    put("\\fBstrapline\\fR " .. plain(row[1]))
  end
  section "Verbs"
  for _, row in ipairs(program.verbs) do
    local verb = require("strapline.command." .. row[1])
    subsection(verb.name)
    paragraphs(verb.about)
    for _, option in ipairs(options.of(verb)) do entry(options.form(option), { option.doc }) end
    unbroken(verb.examples)
  end
  section "Options"
  for _, row in ipairs(program.options) do entry(row[1], { row[2] }) end
  section "Exit status"
  paragraphs(program.exit_code)
  section "Examples"
  unbroken(program.examples)
  section "Files"
  paragraphs("Circuits of whole vehicles, all invented, with named faults, are installed in "
    .. "share/strapline/circuits, beside the folder of the program.")
  section "See also"
  put "strapline\\-parts(7)"
end

--- How each form of block of a reference page looks in a manual page.
local drawn = {
  title = section,
  heading = subsection,
  text = function(text)
    paragraph()
    paragraphs(text)
  end,
  code = function(text) unbroken { "    " .. text } end,
  entry = entry,
  table = function(headings, rows)
    unbroken(require("strapline.columns").lines(headings, rows))
  end,
}

--- strapline-parts.7, from the reference pages.
local function parts_page(version)
  local pages = require "strapline.pages"
  local function add(name)
    for _, block in ipairs(assert(pages.blocks(name))) do
      drawn[block[1]](table.unpack(block, 2))
    end
  end
  head("strapline-parts", 7, version, "words of circuit files and kinds of part")
  add()
  for _, name in ipairs(require("strapline.kinds").names()) do add(name) end
  add(pages.QUESTIONS)
  section "See also"
  put "strapline(1)"
end

local pages = { program = program_page, parts = parts_page }
local page, version = pages[arg[1]], arg[2]
assert(page and version, "strapline run manual.lua program|parts VERSION")
page(version)
io.stdout:write(table.concat(lines, "\n"), "\n")

-- The manual pages say all that the descriptions and --help say, and readers of them are content.
local here = arg[0]:match "^(.*/)" or "./"
local P = dofile(here .. "program.lua")
local T = P.T
local strapline = require "strapline"

local script = here .. "../../lua/manual.lua"

--- What a reader sees of a line of the source of a page.
local function seen(page)
  return (page:gsub("\\%-", "-"):gsub("\\%(rs", "\\"):gsub("\\%(dq", '"'):gsub("\\&", ""))
end

local function page_of(name)
  return P.good("run", script, name, "1.2.3")
end

local pages = { program = page_of "program", parts = page_of "parts" }

T.case("each kind has a section with its law, sources, fields, faults and example", function()
  local text = seen(pages.parts)
  for _, kind in ipairs(strapline.kinds) do
    local start = assert(text:find('\n.SH "' .. kind.name:upper() .. '"\n', 1, true), kind.name)
    local section = text:sub(start + 1, (text:find("\n.SH ", start + 1, true)))
    T.has(section, "Law: " .. kind.law)
    T.has(section, "Source: " .. kind.standing)
    T.has(section, "Tested against: " .. kind.check)
    T.has(section, kind.example)
    for _, param in ipairs(kind.params) do
      T.has(section, "\\fB" .. param.name .. " = ")
      T.has(section, param.doc)
    end
    for _, mode in ipairs(kind.modes) do T.has(section, "\n" .. mode.name .. ": ") end
    for _, terminal in ipairs(kind.terminals) do T.has(section, "\n" .. terminal.name .. ": ") end
    for _, notice in ipairs(kind.notices) do T.has(section, (notice.text:gsub("@", "..."))) end
  end
end)

T.case("the page of the program has every verb and option", function()
  local text = seen(pages.program)
  for verb in P.good("--help"):match("Verbs(\n.-)\n\n"):gmatch("\n  (%l+)") do
    T.has(text, "\n.SS \"" .. verb .. "\"\n")
    for option in P.good(verb, "--help"):gmatch("\n  (%-%-[%w-]+)") do
      T.has(text, "\\fB" .. option)
    end
  end
  T.has(text, "strapline 1.2.3")
end)

T.case("no line begins as a request by chance, and all is ASCII", function()
  for name, page in pairs(pages) do
    for line in page:gmatch("[^\n]*") do
      assert(not line:find("^'") and not line:find("[\x80-\xFF\t]"), name .. ": " .. line)
      local request = line:match("^%.(.*)$")
      assert(not request or request:find("^%u%u? ?") or request:find("^[bnf][rfi]$"),
        name .. ": " .. line)
    end
  end
end)

--- What a reader of manual pages complains of; nil when it is not installed.
local function complaints(command, path)
  local program = command:match("^%S+")
  if not os.execute("command -v " .. program .. " >/dev/null 2>&1") then return nil end
  local pipe = assert(io.popen(command:format(path)))
  local text = pipe:read "a"
  pipe:close()
  return text
end

T.case("readers of manual pages do not complain", function()
  for name, page in pairs(pages) do
    local path = P.file(page)
    for _, command in ipairs { "mandoc -T lint -W warning '%s' 2>&1", "groff -man -ww -Z '%s' 2>&1 "
      .. ">/dev/null" } do
      for line in (complaints(command, path) or ""):gmatch("[^\n]+") do
        -- what a page is made from carries no date
        assert(line:find("missing date", 1, true), name .. ": " .. line)
      end
    end
    os.remove(path)
  end
end)

T.case("a page that there is not", function()
  local code = P.run("run", script, "program")
  T.equal(code, 2)
end)

T.finish()

--- The word `panel`: sheet metal with studs. Its metal is described by the kind `sheet`, its shape
--- here.
---
---   panel "FLOOR" { width = "1.4 m", height = "2.2 m", thickness = "0.8 mm",
---                   studs = { ["G1"] = { "0.1 m", "0.2 m" },
---                             ["G2"] = { "1.3 m", "2 m", diameter = "12 mm" },
---                             ["seam"] = { "0.7 m", 0, width = "1.2 m" } },
---                   cutouts = { { "0.5 m", "1 m", "0.4 m", "0.3 m" } } }
local core = require "strapline".core
local nearest = require "strapline.nearest"
local quantity = require "strapline.quantity"
local sorted = require "strapline.sorted"
local values = require "strapline.values"

local M = {}

M.FORM = 'panel "NAME" { width = LENGTH, height = LENGTH, thickness = LENGTH, '
  .. 'studs = { ["NODE"] = { X, Y } } }'

local EXAMPLE = 'panel "FLOOR" { width = "1.4 m", height = "2.2 m", thickness = "0.8 mm",\n'
  .. '                  material = "steel", mesh = "5 mm",\n'
  .. '                  studs = { ["G1"] = { "0.1 m", "0.2 m" },\n'
  .. '                            ["G2"] = { "1.3 m", "2 m" } } }'

local STUD = 'studs = { ["NODE"] = { "0.1 m", "0.2 m" } }'
local CUTOUT = 'cutouts = { { "0.5 m", "1 m", "0.4 m", "0.3 m" } }'

local PRACTICE = "common practice, no source"

local function length(name, presence, least, doc, fallback, standing)
  return {
    name = name, quantity = "length", unit = "m", bare = true, presence = presence,
    least = least, greatest = 100, doc = doc, fallback = fallback, standing = standing or "",
  }
end

--- What gives the shape; it stays, so neither conditions nor faults change it.
local shape = {
  length("width", "required", 1e-3, "of the sheet, in x"),
  length("height", "required", 1e-3, "of the sheet, in y"),
  length("stud_diameter", "default", 1e-4,
    "of the bare metal under the lug, of every stud that does not say its own", 0.02, PRACTICE),
  length("mesh", "derived", 1e-5, "the longest side of a cell of the mesh the sheet is cut into. "
    .. "Between two studs four diameters apart the mesh is off by less than 2.5 % with 2 cells to "
    .. "a stud (the coarsest allowed), 1 % with 3, 0.3 % with 6; a third of the smallest stud when "
    .. "not given"),
}
for _, param in ipairs(shape) do shape[param.name] = param end

--- Sizes of a stud of its own.
local stud_sizes = {
  length("diameter", "default", 1e-4, "of the bare metal of a round stud"),
  length("width", "default", 0, "of a bar, in x"),
  length("height", "default", 0, "of a bar, in y"),
}
for _, param in ipairs(stud_sizes) do stud_sizes[param.name] = param end

--- What a person reads of studs and cut-outs.
M.about_shape = {
  { STUD, "where conductors end: node, and place of its middle in x and y from a corner of the "
    .. "sheet. A stud is a disc; it may say its own diameter = \"12 mm\". A weld or a seam is a "
    .. "bar: width = \"1.2 m\", or height. Reports give the current into the metal at each stud, "
    .. "and its voltage against the first in the order of names. A rusty stud is a joint between "
    .. "the stud and its cable. 2 studs or more; they do not touch" },
  { CUTOUT, "rectangles without metal: x and y of the corner nearest the origin, width, height. "
    .. "Their sides are moved to the nearest lines of the mesh" },
}
M.shape = shape

local made

--- The description of the word, made like that of a kind: what may be changed are the fields of its
--- metal.
function M.kind()
  if made then return made end
  local sheet = core.kind "sheet"
  made = {
    name = "panel", is_panel = true, terminals = {}, elements = {}, notices = {}, states = {},
    modes = sheet.modes, params = {}, standing = sheet.standing, check = sheet.check,
    example = EXAMPLE,
    doc = "Sheet metal as a ground return: a flat sheet with studs. The current spreads in it as "
      .. "in the metal, so every two studs share some of the way. For one way through sheet metal "
      .. "a `sheet` does, or a `resistor` of what was measured.",
    law = "the sheet is cut into a mesh of cells and reduced, exactly, to a resistance between "
      .. "every two studs, in squares; a square has resistivity x (1 + a (T - 20 C)) / "
      .. "(thickness x (1 - thinned))",
  }
  for _, param in ipairs(sheet.params) do
    if param.name ~= "squares" then
      made.params[#made.params + 1] = param
      made.params[param.name] = param
    end
  end
  return made
end

--- A field, against its description. @return the value; nil when it cannot stand or is not there
local function read(add, subject, param, written)
  if written == nil then return nil end
  local value, wrong = values.check(param, written)
  if not value then add(subject .. wrong) end
  return value
end

--- A place: x or y. @return the value; nil when it cannot stand
local function place(add, subject, axis, written)
  local value, wrong = quantity.parse(written, "length", true)
  if not value then
    add(("%s%s = %s %s"):format(subject, axis, quantity.quote(written), wrong))
  end
  return value
end

local function check_stud_keys(add, subject, written)
  for key in sorted.pairs(written) do
    if not stud_sizes[key] and key ~= 1 and key ~= 2 then
      add(("%sunknown field '%s'%s"):format(subject, tostring(key),
        nearest.hint_or_list(tostring(key), { "diameter", "width", "height" }, "allowed")))
    end
  end
end

local function check_stud(add, node, written, diameter)
  local subject = ('stud "%s": '):format(tostring(node))
  local wrong = type(node) ~= "string" and "a node is text" or values.check_name(node)
  if wrong then
    add(subject .. wrong)
  elseif type(written) ~= "table" or written[1] == nil or written[2] == nil then
    add(subject .. "has no place; write " .. STUD)
  else
    check_stud_keys(add, subject, written)
    local stud = { node = node, diameter = 0, width = 0, height = 0 }
    stud.x = place(add, subject, "x", written[1])
    stud.y = place(add, subject, "y", written[2])
    for _, param in ipairs(stud_sizes) do
      stud[param.name] = read(add, subject, param, written[param.name]) or stud[param.name]
    end
    if not (written.diameter or written.width or written.height) then stud.diameter = diameter end
    return stud
  end
end

--- In the order of their names, so that the same file gives the same circuit.
local function check_studs(add, written, diameter)
  local studs = {}
  if type(written) ~= "table" or next(written) == nil then
    add("has no studs; write " .. STUD)
    return studs
  end
  for node, written_there in sorted.pairs(written) do
    studs[#studs + 1] = check_stud(add, node, written_there, diameter)
  end
  return studs
end

local function check_cutouts(add, written)
  local cutouts = {}
  if written == nil then return cutouts end
  if type(written) ~= "table" or written[1] == nil then
    add("cutouts is not a list; write " .. CUTOUT)
    return cutouts
  end
  for index, cutout in ipairs(written) do
    local subject = ("cut-out %d: "):format(index)
    if type(cutout) ~= "table" or #cutout ~= 4 then
      add(subject .. "is not x, y, width and height; write " .. CUTOUT)
    else
      cutouts[index] = {
        x = place(add, subject, "x", cutout[1]), y = place(add, subject, "y", cutout[2]),
        width = place(add, subject, "width", cutout[3]),
        height = place(add, subject, "height", cutout[4]),
      }
    end
  end
  return cutouts
end

--- Unknown fields, each with what it most likely means.
local function check_keys(add, kind, body)
  local known, strange = { "studs", "cutouts" }, {}
  for _, list in ipairs { shape, kind.params } do
    for _, param in ipairs(list) do known[#known + 1] = param.name end
  end
  for key in sorted.pairs(body) do
    local field = type(key) == "string"
      and (shape[key] or kind.params[key] or key == "studs" or key == "cutouts")
    if not field then strange[#strange + 1] = tostring(key) end
  end
  table.sort(strange)
  for _, key in ipairs(strange) do
    add(("unknown field '%s'%s"):format(key, nearest.hint_or_list(key, known, "allowed")))
  end
end

--- Fields of a list of descriptions. @return values by name
local function check_fields(add, params, body)
  local found = {}
  for _, param in ipairs(params) do
    found[param.name] = read(add, "", param, body[param.name])
    if body[param.name] == nil and param.presence == "required" then
      add(("%s is missing; write %s (%s)"):format(param.name, values.sample(param, EXAMPLE),
        param.doc))
    end
  end
  return found
end

--- @param add function(text): notes a fault of this panel
--- @return { record, panel = shape, values }, or nil when it cannot be built
function M.check(add, record, kind)
  if type(record.body) ~= "table" then
    add("has no { }; write " .. M.FORM)
    return nil
  end
  local sound = true
  local function complain(text)
    sound = false
    add(text)
  end
  check_keys(complain, kind, record.body)
  local found = check_fields(complain, shape, record.body)
  local metal = check_fields(complain, kind.params, record.body)
  found.studs = check_studs(complain, record.body.studs,
    found.stud_diameter or shape.stud_diameter.fallback)
  found.cutouts = check_cutouts(complain, record.body.cutouts)
  return sound and { record = record, panel = found, values = metal } or nil
end

return M

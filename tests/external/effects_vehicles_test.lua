--- What each parameter does to readings of whole vehicles, against whole solves: the derivative
--- from the adjoint network and a fourth-order central difference are two ways to one number.
local V = dofile((arg[0]:match "^(.*/)" or "./") .. "vehicle.lua")
local strapline = require "strapline"

-- One parameter in EVERY is looked at, another one in each condition. All of them, by EVERY=1 in the
-- environment, take minutes; the tests do not ask for that.
local EVERY = tonumber(os.getenv "EVERY") or 97

local vehicles = { "brindle_9", "hollin_74", "larkfield_60", "mulebeck_5", "oxlode_48",
  "quillon_parcel_3", "tern_skerry_28", "wicken_410" }

local seed = 1
local function pick(list)
  seed = (seed * 1103515245 + 12345) % 0x80000000
  return list[(seed // 65536) % #list + 1]
end

local function read(case, of)
  if of.part then return case:current(of.part) end
  return case:between(of.red, of.black)
end

--- A voltage and a current that are there.
local function pick_readings(circuit, case)
  local nodes, readings = circuit.core:nodes(), {}
  for _ = 1, 1000 do
    local red, black = pick(nodes), pick(nodes)
    if red ~= black and case:between(red, black) then
      readings[1] = { red = red, black = black }
      break
    end
  end
  for _ = 1, 1000 do
    local part = pick(circuit.part_names)
    if math.abs(case:current(part) or 0) > 1e-9 then
      readings[#readings + 1] = { part = part }
      break
    end
  end
  return readings
end

--- The difference quotient of every reading, or nil where the parameter cannot be moved so, or a
--- curve has a kink.
local function differences(case, readings, part, param, value)
  local step = value ~= 0 and 1e-3 * math.abs(value) or 1e-5
  local f = {}
  for m = -2, 2 do
    case:clear()
    if not (case:edit(part, "set", param.name, value + m * step) and case:solve()) then return end
    f[m] = {}
    for index, of in ipairs(readings) do f[m][index] = read(case, of) end
  end
  local found = {}
  for index in ipairs(readings) do
    local a, b, c, d, e = f[-2][index], f[-1][index], f[0][index], f[1][index], f[2][index]
    local kink = not (a and b and c and d and e)
    if not kink then -- in between, or between the inner and the outer points
      local inner, outer = (d - b) / 2, (e - a) / 4
      kink = math.abs((d - c) - (c - b)) > 0.005 * (math.abs(d - c) + math.abs(c - b))
        or math.abs(inner - outer) > 1e-4 * math.abs(inner) + 1e-11 * math.max(1, math.abs(c))
    end
    found[index] = not kink and (8 * (d - b) - (e - a)) / (12 * step) or nil
  end
  return found
end

local checked = 0

local function check_param(circuit, case, found, readings, index, param)
  local part = circuit.part_names[index]
  local value = case:value(part, param.name)
  if not value or param.choices then return end
  if value - 2e-3 * math.abs(value) < param.least
    or value + 2e-3 * math.abs(value) > param.greatest then return end
  local wanted = differences(case, readings, part, param, value)
  case:clear()
  assert(case:solve())
  for k, of in ipairs(readings) do
    local got = found[k].parts[index].params[param.name]
    if got and wanted and wanted[k] then
      checked = checked + 1
      local noise = 1e-8 * math.max(1, math.abs(found[k].reading)) / math.max(math.abs(value), 1e-5)
      V.near(got, wanted[k], 1e-5 * math.abs(wanted[k]) + noise, ("%s: %s by %s of %s")
        :format(circuit.name, of.part or of.red .. " to " .. of.black, param.name, part))
    end
  end
end

local turn = 0
for _, name in ipairs(vehicles) do
  local circuit = assert(strapline.load(("%s/%s.lua"):format(V.folder, name)))
  for _, condition in ipairs(circuit.conditions) do
    local case = assert(circuit.core:case(condition.name))
    assert(case:solve())
    local readings, found = pick_readings(circuit, case), {}
    for index, of in ipairs(readings) do found[index] = assert(case:effects(of)) end
    for index, part in ipairs(circuit.part_names) do
      for _, param in ipairs(circuit.kinds[part].params) do
        turn = turn + 1
        if turn % EVERY == 0 then check_param(circuit, case, found, readings, index, param) end
      end
    end
    case:close()
  end
end
V.check(checked > 200 or EVERY > 97, "only %d derivatives were checked", checked)
V.finish {}

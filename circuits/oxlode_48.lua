-- Oxlode 48: a livestock trailer with its tug, coupled by a drawbar and a plug of seven pins. Tug,
-- trailer and all their data are invented.
--
--   tug battery == starter stud == alternator       tug frame == engine block == tug battery -
--                      |                                |    \
--                   tug bus                             |     hitch: greasy steel, never meant
--                      |  fuses, relays, switches       |           to be a return (0.9 ohm)
--        +------+------+------+------+------+           |               |
--     marker  left   stop   right  fans    ABS        ground            |
--   ===[2]====[3]====[4]====[5]====[6]====[7]==========[1]=== the plug  |
--        |      |      |      |      |      |            |              |
--     ---+------+------+------+------+------+--- junction box --- box ground == trailer frame
--        |      \______|______/      |      |                             |
--     24 marker     rear lamps    fan run   ABS node, breakaway battery   |
--     lamps            |          15 m out     |                          |
--        +-------------+------and 15 m back----+--------------------------+
--
-- What it teaches: every lamp, fan and module of a trailer comes home by one pin; when that pin is
-- open the hitch carries it, the trailer's frame stands volts above the tug's, and unlike circuits
-- disturb each other; a long run needs copper out and back; two feeds bridged in a junction box.
--
-- Simplified:
--  * The flasher is left out: a turn lamp is on or off.
--  * The brakes are worked by air and are not shown, but for the electric pump of the breakaway.
--  * A node stands for the whole frame of the trailer, and one for that of the tug.
--  * The ABS node takes what it takes while no valve is at work.
--  * What a battery refuses while it is charged is shown by a larger resistance of the battery.

circuit "Oxlode 48 livestock trailer and tug"
reference "tug frame"

-- Tug: starting and charging ---------------------------------------------------------------------

battery "tug battery"     { "tug + post", "tug - post", cca = "760 A", charge = "95 %" }
joint "tug + clamp"       { "tug + post", "tug + lug", type = "post" }
cable "starter cable"     { "tug + lug", "starter lug", size = "70 mm2", length = "1.2 m" }
joint "starter nut"       { "starter lug", "starter stud", type = "stud" }
starter "starter"         { B = "starter stud", M = "starter motor stud", S = "starter S",
                            case = "engine block", cranking_current = "230 A",
                            cranking_voltage = "10.5 V", cranking_speed = "200 rpm" }
alternator "alternator"   { B = "alternator stud", case = "engine block",
                            rated_current = "120 A", temperature = "80 C" } -- a hot engine
cable "alternator cable"  { "alternator stud", "starter stud", size = "25 mm2", length = "1.2 m" }
joint "engine ground"     { "engine block", "engine ground lug", type = "bolted" }
cable "engine cable"      { "engine ground lug", "tug - lug", size = "70 mm2", length = "0.9 m" }
joint "tug - clamp"       { "tug - lug", "tug - post", type = "post" }
cable "tug frame cable"   { "tug - lug", "tug frame lug", size = "35 mm2", length = "0.5 m" }
joint "tug frame ground"  { "tug frame lug", "tug frame", type = "bolted" }

fuse   "tug fuse"         { "starter stud", "tug bus", rating = "100 A", style = "bolt" }
fuse   "key fuse"         { "tug bus", "key in", rating = "20 A" }
switch "KEY"              { "key in", "key out" }
switch "START"            { "key out", "start wire" }
relay  "start relay"      { ["30"] = "tug bus", ["87"] = "start relay out", ["86"] = "start wire",
                            ["85"] = "tug frame" }
cable  "solenoid wire"    { "start relay out", "starter S", size = "6 mm2", length = "2 m" }
module "engine control"   { "key out", "engine block", power = "90 W" }

-- Tug: what feeds the trailer --------------------------------------------------------------------

-- Markers by a relay; the stop, turn and fan switches carry their current; ABS with the key
fuse   "marker fuse"      { "tug bus", "marker fuse out", rating = "20 A" }
switch "LIGHTS"           { "key out", "lights out" }
relay  "marker relay"     { ["30"] = "marker fuse out", ["87"] = "marker relay out",
                            ["86"] = "lights out", ["85"] = "tug frame" }
lamp   "tug tail lamps"   { "marker relay out", "tug frame", power = "10 W" }

fuse   "stop fuse"        { "tug bus", "stop fuse out", rating = "20 A" }
switch "STOP"             { "stop fuse out", "stop out", resistance = "10 mohm" }
lamp   "tug stop lamps"   { "stop out", "tug frame", power = "42 W" }

fuse   "turn fuse"        { "key out", "turn fuse out", rating = "15 A" }
switch "LEFT"             { "turn fuse out", "left out", resistance = "10 mohm" }
switch "RIGHT"            { "turn fuse out", "right out", resistance = "10 mohm" }
lamp   "tug left lamp"    { "left out", "tug frame", power = "21 W" }
lamp   "tug right lamp"   { "right out", "tug frame", power = "21 W" }

fuse   "fan fuse"         { "tug bus", "fan fuse out", rating = "20 A" }
switch "FANS"             { "fan fuse out", "fan out" }

fuse   "ABS fuse"         { "tug bus", "ABS fuse out", rating = "20 A" }
relay  "ABS relay"        { ["30"] = "ABS fuse out", ["87"] = "ABS relay out", ["86"] = "key out",
                            ["85"] = "tug frame" }

-- The plug: wire of the tug, pin, cord, junction box ---------------------------------------------

local pins = {
  { name = "ground", from = "tug frame",        size = "8.4 mm2" },
  { name = "marker", from = "marker relay out", size = "5.3 mm2" },
  { name = "left",   from = "left out",         size = "3.3 mm2" },
  { name = "stop",   from = "stop out",         size = "5.3 mm2" },
  { name = "right",  from = "right out",        size = "3.3 mm2" },
  { name = "fan",    from = "fan out",          size = "5.3 mm2" },
  { name = "ABS",    from = "ABS relay out",    size = "5.3 mm2" },
}
local AIR = { resistance = "1000 Mohm" } -- between the halves of a plug that is out
local uncoupled = { hitch = AIR }

for _, pin in ipairs(pins) do
  cable(pin.name .. " wire") { pin.from, "socket " .. pin.name, size = pin.size, length = "5 m" }
  joint(pin.name .. " pin")  { "socket " .. pin.name, "plug " .. pin.name, type = "connector" }
  cable(pin.name .. " cord") { "plug " .. pin.name, "box " .. pin.name, size = pin.size,
                               length = "4 m" }
  uncoupled[pin.name .. " pin"] = AIR
end
joint "hitch"             { "trailer frame", "tug frame", resistance = "0.9 ohm" }
joint "trailer ground"    { "box ground", "trailer frame", type = "bolted" }

-- Stands for two wires rubbed bare in the junction box
switch "BRIDGE"           { "box marker", "box stop", resistance = "20 mohm" }

-- Trailer: 24 marker lamps, 4 at the nose, 8 on each side, 4 at the rear -------------------------

local function marker(name, feed)
  lamp(name) { feed, "trailer frame", current = "0.35 A", voltage = "13.5 V",
               full_light = "13.5 V" }
end

for n = 1, 4 do marker("nose marker " .. n, "box marker") end
for _, side in ipairs { "left", "right" } do
  local feed = "box marker"
  for n = 1, 4 do -- a splice every 3.6 m feeds an upper and a lower lamp
    local splice = ("%s splice %d"):format(side, n)
    cable(("%s run %d"):format(side, n)) { feed, splice, size = "2.5 mm2", length = "3.6 m" }
    marker(("%s upper marker %d"):format(side, n), splice)
    marker(("%s lower marker %d"):format(side, n), splice)
    feed = splice
  end
end
cable "rear marker wire"  { "box marker", "rear marker feed", size = "2.5 mm2", length = "15 m" }
for n = 1, 4 do marker("rear marker " .. n, "rear marker feed") end

-- Rear lamps: a tail, a stop and a turn lamp in each cluster, with one ground screw a cluster
cable "rear stop wire"    { "box stop", "rear stop feed", size = "3.3 mm2", length = "15 m" }
for _, side in ipairs { "left", "right" } do
  local ground = side .. " cluster ground"
  cable("rear " .. side .. " wire") { "box " .. side, "rear " .. side .. " feed",
                                      size = "2.5 mm2", length = "15 m" }
  lamp(side .. " tail lamp")  { "rear marker feed", ground, power = "5 W" }
  lamp(side .. " stop lamp")  { "rear stop feed", ground, power = "21 W" }
  lamp(side .. " turn lamp")  { "rear " .. side .. " feed", ground, power = "21 W" }
  joint(side .. " ground screw") { ground, "trailer frame", resistance = "2 mohm" }
end

-- Four fans in the roof at the rear, on a run of their own out and back
cable "fan feed"          { "box fan", "fans +", size = "5.3 mm2", length = "15 m" }
for n = 1, 4 do
  motor("fan " .. n)      { "fans +", "fans -", current = "2.5 A", voltage = "12 V", load = "fan" }
end
cable "fan return"        { "fans -", "box ground", size = "5.3 mm2", length = "15 m" }

-- ABS node, and the breakaway: a small battery on the trailer, charged through a diode
cable  "ABS feed"         { "box ABS", "ABS node +", size = "3.3 mm2", length = "9 m" }
module "ABS node"         { "ABS node +", "ABS node -", power = "12 W", working = "8.5 V",
                            reset = "6 V", recover = "6.5 V" }
cable  "ABS ground"       { "ABS node -", "trailer frame", size = "3.3 mm2", length = "0.4 m" }

diode  "charging diode"   { "box ABS", "charging diode out", rated_current = "3 A",
                            type = "schottky" }
resistor "charging resistor" { "charging diode out", "breakaway + post", resistance = "4.7 ohm" }
battery "breakaway battery" { "breakaway + post", "breakaway - post", resistance = "50 mohm",
                            charge = "90 %", capacity = 5 }
cable  "breakaway ground" { "breakaway - post", "trailer frame", size = "3.3 mm2",
                            length = "0.5 m" }
switch "BREAKAWAY"        { "breakaway + post", "brake pump +", resistance = "10 mohm" }
motor  "brake pump"       { "brake pump +", "trailer frame", current = "12 A" }

-- Conditions -------------------------------------------------------------------------------------

--- Engine running, and what else is said.
local function running(more)
  local all = { KEY = "closed", alternator = { speed = "1600 rpm" },
                ["tug battery"] = { resistance = "80 mohm" } }
  for word, value in pairs(more) do all[word] = value end
  return all
end

condition "parked" {}                          -- coupled, key off
condition "crank"           { KEY = "closed", START = "closed" }
condition "day"             (running {})
condition "braking"         (running { STOP = "closed" })
condition "night"           (running { LIGHTS = "closed" })
condition "night, braking"  (running { LIGHTS = "closed", STOP = "closed" })
condition "night, left turn" (running { LIGHTS = "closed", LEFT = "closed" })
condition "fans"            (running { FANS = "closed" })
condition "night, fans"     (running { LIGHTS = "closed", FANS = "closed" })
uncoupled.BREAKAWAY = "closed"
condition "breakaway"       (uncoupled)        -- test with plug and hitch apart, pin pulled

-- Faults -----------------------------------------------------------------------------------------

fault "ground pin open" { "ground pin: open",
  about = "pin 1 is burnt away; the hitch is the only way home" }
fault "ground pin 150 mohm" { "ground pin: resistance = 150 mohm",
  about = "green pin; a lamp or two hardly shows it, the fans do" }
fault "fan run 2.08 mm2" { "fan feed: wrong size = 2.08 mm2", "fan return: wrong size = 2.08 mm2",
  about = "the fan run was renewed with the thinner wire that was at hand" }
fault "marker and stop feeds bridged" { "BRIDGE: stuck closed",
  about = "two wires rubbed bare against each other in the junction box" }
fault "left cluster ground open" { "left ground screw: open",
  about = "the left rear lamps look for a way home through each other" }
fault "left run corroded" { "left run 2: +3 ohm",
  about = "water in a splice: the six lamps behind it are dim" }
fault "breakaway battery flat" { "breakaway battery: charge = 0 %",
  "breakaway battery: resistance = 600 mohm",
  about = "never looked after; the trailer would not stop itself" }

-- Brindle 9: a street sweeper of 24 V, for engineers: nine modules on three ground points, a
-- converter for 12 V, a fuse box in the cab and one on the body. The sweeper and all its data are
-- invented.
--
--   A - == frame   A + == B -   B + == DISCONNECT == starter stud == alternator    engine block
--                                                     |        |                        |
--                                                  cab bus   body fuse            frame (one node)
--             key, lamps, engine control,             |        |                    |    |    |
--             vehicle control, display ---------------+   remote bus               G1   G2   G3
--             converter == 12 V bus == camera run         |   |   |   |             |    |    |
--                                                     brush  pump fan  modules     cab  body rear
--
--   modules on G1: engine control, vehicle control, display (and the converter)
--   modules on G2: brush control, water control, suction control; the brush motor too
--   modules on G3: hopper control, lamp control, telematics; the suction fan too
--
--   BRUSH ---+--- brush coil feed --- coil --- frame        The dust lamp is to light when the
--            |                                              brush turns without water. It is also
--        dust lamp                                          the bar of an H: with one switch on it
--            |                                              feeds the coil of the other relay.
--   WATER ---+--- pump coil feed ---- coil --- frame
--
-- What it teaches: a fuse guards the wire behind it only if the least current of a short opens it;
-- a poor ground point lifts every module on it when a motor on the same point stalls, and sensors
-- with them; corners of temperature and charge; a sneak path in a vehicle with all parts good.
--
-- Simplified:
--  * Modules take constant power; what they drive is fed by switches here.
--  * A node stands for the whole frame; the three ground points are joints on it.
--  * What a battery refuses while it is charged is shown by a larger resistance of the battery.
--  * The corners put every part at one temperature. A battery at half charge would freeze near
--    -25 C, so that charge and cold are two corners and not one.

circuit "Brindle 9 street sweeper"
reference "frame"

-- Two units in series, disconnect, starter, alternator -------------------------------------------

battery "unit A"          { "A + post", "A - post", cca = "760 A", charge = "95 %" }
battery "unit B"          { "B + post", "B - post", cca = "760 A", charge = "95 %" }
joint "A - clamp"         { "A - lug", "A - post", type = "post" }
joint "A + clamp"         { "A + post", "A + lug", type = "post" }
cable "series link"       { "A + lug", "B - lug", size = "70 mm2", length = "0.4 m" }
joint "B - clamp"         { "B - lug", "B - post", type = "post" }
joint "B + clamp"         { "B + post", "B + lug", type = "post" }
cable "battery cable"     { "B + lug", "disconnect in", size = "70 mm2", length = "0.6 m" }
switch "DISCONNECT"       { "disconnect in", "disconnect out", position = "closed",
                            style = "disconnect" }
cable "starter cable"     { "disconnect out", "starter lug", size = "70 mm2", length = "1.8 m" }
joint "starter nut"       { "starter lug", "starter stud", type = "stud" }
starter "starter"         { B = "starter stud", M = "starter motor stud", S = "starter S",
                            case = "engine block", cranking_current = "210 A",
                            cranking_voltage = "21.5 V", cranking_speed = "180 rpm",
                            pull_in = "16 V", hold = "4.4 V", pull_in_resistance = "0.4 ohm",
                            hold_in_resistance = "1.6 ohm" }
alternator "alternator"   { B = "alternator stud", case = "engine block", set_point = "28.4 V",
                            rated_current = "140 A" }
cable "alternator cable"  { "alternator stud", "starter stud", size = "25 mm2", length = "1 m" }
joint "engine ground"     { "engine block", "engine ground lug", type = "bolted" }
cable "engine cable"      { "engine ground lug", "frame", size = "70 mm2", length = "0.6 m" }
cable "battery - cable"   { "frame", "A - lug", size = "70 mm2", length = "0.8 m" }

-- Cab fuse box and key ---------------------------------------------------------------------------

fuse   "cab fuse"         { "starter stud", "cab bus", rating = "80 A", style = "bolt" }
fuse   "key fuse"         { "cab bus", "key in", rating = "30 A" }
switch "KEY"              { "key in", "key out" }
switch "START"            { "key out", "start wire" }

--- A relay for 24 V.
local function relay24(name, ...)
  local part = ...
  part.coil_resistance, part.pull_in, part.drop_out = "255 ohm", "16 V", "3 V"
  relay(name)(part)
end

relay24("start relay",    { ["30"] = "cab bus", ["87"] = "start relay out", ["86"] = "start wire",
                            ["85"] = "G1 lug" })
cable  "solenoid wire"    { "start relay out", "starter S", size = "4 mm2", length = "3 m" }
fuse   "lamp fuse"        { "cab bus", "lamp fuse out", rating = "15 A" }
switch "LIGHTS"           { "lamp fuse out", "lamp feed", resistance = "10 mohm" }
lamp   "headlamps"        { "lamp feed", "G1 lug", power = "140 W", voltage = "24 V" }
led_lamp "beacons"        { "key out", "G1 lug", current = "2 A", voltage = "24 V",
                            driver = "regulator" }

-- Remote fuse box on the body --------------------------------------------------------------------

fuse   "body fuse"        { "starter stud", "body fuse out", rating = "125 A", style = "bolt" }
cable  "body feed"        { "body fuse out", "remote bus", size = "35 mm2", length = "5 m" }

fuse   "brush fuse"       { "remote bus", "brush fuse out", rating = "25 A" }
relay24("brush relay",    { ["30"] = "brush fuse out", ["87"] = "brush relay out",
                            ["86"] = "brush coil feed", ["85"] = "frame" })
cable  "brush feed"       { "brush relay out", "brush +", size = "4 mm2", length = "3 m" }
motor  "brush motor"      { "brush +", "brush -", current = "9 A", voltage = "26 V",
                            stall_current = "29 A" }
cable  "brush return"     { "brush -", "G2 lug", size = "4 mm2", length = "2 m" }

fuse   "pump fuse"        { "remote bus", "pump fuse out", rating = "15 A" }
relay24("pump relay",     { ["30"] = "pump fuse out", ["87"] = "pump +",
                            ["86"] = "pump coil feed", ["85"] = "frame" })
motor  "water pump"       { "pump +", "frame", current = "5 A", voltage = "26 V", load = "fan" }

fuse   "fan fuse"         { "remote bus", "fan fuse out", rating = "80 A", style = "maxi" }
relay  "fan contactor"    { ["30"] = "fan fuse out", ["87"] = "fan contactor out",
                            ["86"] = "fan coil feed", ["85"] = "frame", coil_resistance = "60 ohm",
                            pull_in = "16 V", drop_out = "5 V", contact_resistance = "0.5 mohm" }
cable  "fan feed"         { "fan contactor out", "fan +", size = "16 mm2", length = "2.5 m" }
motor  "suction fan"      { "fan +", "fan -", current = "48 A", voltage = "26 V", load = "fan" }
cable  "fan return"       { "fan -", "G3 lug", size = "16 mm2", length = "1.5 m" }

-- Switches of the operator. The dust lamp makes an H of the first two.
switch "BRUSH"            { "key out", "brush coil feed" }
switch "WATER"            { "key out", "pump coil feed" }
switch "FAN"              { "key out", "fan coil feed" }
lamp   "dust lamp"        { "brush coil feed", "pump coil feed", power = "5 W", voltage = "24 V" }

-- Ground points and modules ----------------------------------------------------------------------

for _, point in ipairs { "G1", "G2", "G3" } do
  joint(point)            { point .. " lug", "frame", type = "bolted" }
end

local modules = {
  { "engine control",  "G1", "cab bus",    "120 W" },
  { "vehicle control", "G1", "cab bus",    "20 W" },
  { "display",         "G1", "cab bus",    "15 W" },
  { "brush control",   "G2", "remote bus", "25 W" },
  { "water control",   "G2", "remote bus", "15 W" },
  { "suction control", "G2", "remote bus", "25 W" },
  { "hopper control",  "G3", "remote bus", "20 W" },
  { "lamp control",    "G3", "remote bus", "80 W" },
  { "telematics",      "G3", "remote bus", "8 W" },
}
for _, m in ipairs(modules) do
  local name, point, from, power = table.unpack(m)
  fuse(name .. " fuse")   { from, name .. " +", rating = "10 A" }
  module(name)            { name .. " +", name .. " -", wake = "key out", position = "by wire",
                            power = power, voltage = "24 V", working = "16 V", reset = "9 V",
                            recover = "10 V", sleep_current = "4 mA" }
  cable(name .. " ground") { name .. " -", point .. " lug", size = "1.5 mm2", length = "1 m" }
end

-- The level of the water tank: grounded on the body, read by a module in the cab
sensor_input "level input" { reference = "level 5 V", signal = "level signal",
                             ground = "vehicle control -" }
sensor "water level"      { "level 5 V", "level signal", "G2 lug", output = "50 %" }

-- 12 V: converter, camera at the tail on a run of its own out and back, outlet in the cab --------

fuse   "converter fuse"   { "key out", "converter in", rating = "20 A" }
converter "converter"     { "converter in", "G1 lug", "12 V bus", output_voltage = "12.1 V",
                            current_limit = "30 A", cut_out = "16 V", recovery = "18 V" }
fuse   "camera fuse"      { "12 V bus", "camera fuse out", rating = "15 A" }
cable  "camera feed"      { "camera fuse out", "camera +", size = "0.75 mm2", length = "10 m",
                            basis = "iec60228" }
module "camera"           { "camera +", "camera -", power = "9 W" }
cable  "camera return"    { "camera -", "G1 lug", size = "0.75 mm2", length = "10 m",
                            basis = "iec60228" }
switch "SHORT"            { "camera +", "camera -", resistance = "0 ohm" } -- stands for a short
fuse   "outlet fuse"      { "12 V bus", "outlet", rating = "15 A" }
switch "RADIO"            { "outlet", "radio +" }
module "radio"            { "radio +", "G1 lug", power = "24 W" }

-- Conditions -------------------------------------------------------------------------------------

--- Engine at working speed, and what else is said; batteries that are all but full.
local function working(more)
  local all = { KEY = "closed", LIGHTS = "closed", RADIO = "closed",
                alternator = { speed = "1700 rpm" },
                ["unit A"] = { resistance = "60 mohm" }, ["unit B"] = { resistance = "60 mohm" } }
  for word, value in pairs(more) do all[word] = value end
  return all
end

condition "rest" {}
condition "key on"           { KEY = "closed" }
condition "crank"            { after = "key on", KEY = "closed", START = "closed" }
condition "crank, -40 C"     { after = "key on", KEY = "closed", START = "closed",
                               temperature = "-40 C" }
condition "crank, half charge" { after = "key on", KEY = "closed", START = "closed",
                               ["unit A"] = { charge = "50 %" }, ["unit B"] = { charge = "50 %" } }
condition "working"          (working { BRUSH = "closed", WATER = "closed", FAN = "closed" })
condition "working, -40 C"   (working { BRUSH = "closed", WATER = "closed", FAN = "closed",
                               temperature = "-40 C" })
condition "working, 85 C"    (working { BRUSH = "closed", WATER = "closed", FAN = "closed",
                               temperature = "85 C" })
condition "dry sweeping"     (working { BRUSH = "closed", FAN = "closed" }) -- WATER is off
condition "rinsing"          (working { WATER = "closed" })                 -- BRUSH is off

-- What-ifs and faults ----------------------------------------------------------------------------

fault "camera run shorted" { "SHORT: stuck closed",
  about = "0.75 mm2, crushed at the tailgate, behind the 15 A fuse it was made for" }
fault "camera run shorted, 25 A fuse" { "SHORT: stuck closed", "camera fuse: rating = 25 A",
  about = "the same behind a 25 A fuse that was fitted to stop the 15 A one blowing" }
fault "G2 30 mohm" { "G2: resistance = 30 mohm",
  about = "a ground point under paint; nothing shows while little flows" }
fault "brush stalled" { "brush motor: seized",
  about = "a strap round the brush; the ground point is good" }
fault "G2 30 mohm, brush stalled" { "G2: resistance = 30 mohm", "brush motor: seized",
  about = "both at once: three modules and a sensor stand 0.9 V above the rest" }
fault "dust lamp taken out" { "dust lamp: open",
  about = "the bar of the H is gone: each switch works its own relay only" }
fault "disconnect 8 mohm" { "DISCONNECT: resistance = 8 mohm",
  about = "burnt contacts in the battery disconnect" }
fault "unit B weak" { "unit B: weak = 25 %",
  about = "one unit has aged more than the other; at rest both look alike" }

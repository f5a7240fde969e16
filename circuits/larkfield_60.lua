-- Larkfield 60: a school bus of 60 seats, 24 V, with its engine at the rear. The bus and all its
-- data are invented.
--
--   slide-out tray                                                  rear
--   A -  A +  ====  B -  B +  == DISCONNECT ============= starter -- alternator
--   ||    |              |            |                  engine block
--   ||    +-- equaliser -+            |                       || engine strap
--   || frame return      |            |                       ||
--   frame middle ========|============|================= frame rear      (frame rails, steel)
--     ||  body strap     |            |
--     || (rubber mounts) |            |
--    body                |       24 V panel (front): key, lamps, step heater, blower -- body
--                        |
--                        +-- tap (12 V) == 12 V panel (front): camera, radio, fan -- body
--
-- What it teaches: two units in series are judged one by one; what a disconnect drops; with the
-- only return of the frame off, the frame floats between 24 V and 12 V and what is on the tap gets
-- its voltage the wrong way round; a ground shared by a heater and a relay's coil, and a coil that
-- works cold and not hot.
--
-- Simplified:
--  * The warning lamps do not flash: they are shown lit. Eight marker lamps are one of 40 W.
--  * What a charged battery refuses is shown by a larger resistance of both while the engine runs.
--  * The camera and the radio take as little the wrong way round as a module in reset; some have
--    a diode there that blows the fuse instead.
--  * The body counts as one piece of metal, and each rail of the frame as one wide strap.

circuit "Larkfield 60 school bus"
reference "A - post"

-- Two 12 V units on the tray, A low and B high, and the tap between them ------------------------

battery "A"               { "A + post", "A - post", cca = "800 A", charge = "95 %" }
battery "B"               { "B + post", "B - post", cca = "800 A", charge = "95 %" }

joint "A - clamp joint"   { "A - clamp", "A - post", type = "post" }
joint "A + clamp joint"   { "A + post", "A + clamp", type = "post" }
cable "tray link"         { "A + clamp", "B - clamp", size = "70 mm2", length = "0.4 m" }
joint "B - clamp joint"   { "B - clamp", "B - post", type = "post" }
joint "B + clamp joint"   { "B + post", "B + clamp", type = "post" }

fuse  "equaliser fuse"    { "B + clamp", "equaliser 24", rating = "30 A" }
fuse  "tap fuse"          { "A + clamp", "tap fuse out", rating = "30 A" }
equaliser "equaliser"     { ["24"] = "equaliser 24", ["12"] = "tap fuse out", ["0"] = "A - clamp",
                            limit = "20 A" }

-- 24 V to the starter at the rear ----------------------------------------------------------------

cable  "B + cable"        { "B + clamp", "disconnect in", size = "95 mm2", length = "1.2 m" }
switch "DISCONNECT"       { "disconnect in", "disconnect out", style = "disconnect",
                            position = "closed" }
cable  "starter cable"    { "disconnect out", "starter lug", size = "120 mm2", length = "5.5 m" }
joint  "starter nut"      { "starter lug", "starter stud", type = "stud" }
starter "starter"         { B = "starter stud", M = "motor stud", S = "solenoid",
                            case = "engine block",
                            cranking_current = "240 A", cranking_voltage = "22.4 V",
                            cranking_speed = "170 rpm", pull_in = "16 V", hold = "5 V",
                            pull_in_resistance = "0.4 ohm", hold_in_resistance = "1.7 ohm" }

cable  "charging cable"   { "alternator stud", "starter stud", size = "35 mm2", length = "1 m" }
alternator "alternator"   { B = "alternator stud", case = "engine block", set_point = "28 V",
                            rated_current = "140 A" }

-- The way back: block, strap, frame, one lug, A - ------------------------------------------------

joint "engine strap joint" { "engine block", "engine strap lug", type = "bolted" }
strap "engine strap"      { "engine strap lug", "frame rear", size = "95 mm2", length = "0.4 m" }
strap "frame rails"       { "frame rear", "frame middle", size = "1600 mm2", length = "5 m",
                            material = "steel" }
joint "frame return lug"  { "frame middle", "frame return cable end", type = "bolted" }
cable "frame return"      { "frame return cable end", "A - clamp", size = "95 mm2",
                            length = "0.9 m" }

joint "body strap joint"  { "body", "body strap lug", type = "bolted" }
strap "body strap"        { "body strap lug", "frame middle", size = "50 mm2", length = "0.3 m" }

-- Engine control unit, at the rear ---------------------------------------------------------------

fuse   "engine unit fuse" { "starter stud", "engine unit feed", rating = "15 A" }
module "engine unit"      { "engine unit feed", "engine unit ground", wake = "ignition feed",
                            position = "by wire", power = "50 W", voltage = "24 V",
                            working = "10 V", reset = "8 V", recover = "9 V" }
joint  "engine unit ground stud" { "engine unit ground", "engine block", type = "lug" }

-- 24 V panel at the front, key and start ---------------------------------------------------------

fuse   "panel fuse"       { "disconnect out", "panel fuse out", rating = "125 A", style = "bolt" }
cable  "panel feed"       { "panel fuse out", "24 V panel", size = "35 mm2", length = "7 m" }

fuse   "key fuse"         { "24 V panel", "key in", rating = "15 A" }
key_switch "KEY"          { ["30"] = "key in", ["15"] = "ignition feed", ["50"] = "start feed" }
switch "NEUTRAL"          { "start feed", "neutral switch out", position = "closed" }
cable  "start wire"       { "neutral switch out", "start relay coil", size = "1.5 mm2",
                            length = "13 m" }
relay  "start relay"      { ["30"] = "starter stud", ["87"] = "solenoid",
                            ["86"] = "start relay coil", ["85"] = "engine block",
                            coil_resistance = "60 ohm", pull_in = "15 V", drop_out = "4 V",
                            contact_resistance = "1 mohm" }

-- Step-well: heater and the master relay's coil share one ground ---------------------------------

fuse   "heater fuse"      { "24 V panel", "heater fuse out", rating = "30 A" }
switch "STEP_HEATER"      { "heater fuse out", "heater switch out" }
cable  "heater wire"      { "heater switch out", "heater feed", size = "4 mm2", length = "2 m" }
heater "step heater"      { "heater feed", "step-well ground lug", power = "384 W",
                            voltage = "24 V" } -- 1.5 ohm

switch "WARNING"          { "ignition feed", "warning switch out" }
relay  "master relay"     { ["30"] = "warning fuse out", ["87"] = "master relay out",
                            ["86"] = "warning switch out", ["85"] = "step-well ground lug",
                            coil_resistance = "255 ohm", pull_in = "16 V", drop_out = "3 V" }
joint  "step-well ground" { "step-well ground lug", "body", type = "bolted" }

-- Red warning lamps, front and rear --------------------------------------------------------------

fuse  "warning fuse"      { "24 V panel", "warning fuse out", rating = "15 A" }
cable "front red wire"    { "master relay out", "front red feed", size = "2.5 mm2", length = "3 m" }
lamp  "front left red"    { "front red feed", "body", power = "35 W", voltage = "24 V" }
lamp  "front right red"   { "front red feed", "body", power = "35 W", voltage = "24 V" }
cable "rear red wire"     { "master relay out", "rear red feed", size = "4 mm2", length = "12 m" }
lamp  "rear left red"     { "rear red feed", "rear lamp ground", power = "35 W", voltage = "24 V" }
lamp  "rear right red"    { "rear red feed", "rear lamp ground", power = "35 W", voltage = "24 V" }
joint "rear lamp ground screw" { "rear lamp ground", "body", type = "bolted" }

-- Road lamps -------------------------------------------------------------------------------------

fuse   "lamp fuse"        { "24 V panel", "lamp fuse out", rating = "20 A" }
switch "LIGHTS"           { "lamp fuse out", "lamp feed" }
cable  "headlamp wire"    { "lamp feed", "headlamp feed", size = "2.5 mm2", length = "3 m" }
lamp   "left headlamp"    { "headlamp feed", "headlamp ground", power = "70 W", voltage = "24 V" }
lamp   "right headlamp"   { "headlamp feed", "headlamp ground", power = "70 W", voltage = "24 V" }
joint  "headlamp ground screw" { "headlamp ground", "body", type = "bolted" }
cable  "marker wire"      { "lamp feed", "marker feed", size = "2.5 mm2", length = "12 m" }
lamp   "marker lamps"     { "marker feed", "body", power = "40 W", voltage = "24 V" }
lamp   "left tail lamp"   { "marker feed", "rear lamp ground", power = "5 W", voltage = "24 V" }
lamp   "right tail lamp"  { "marker feed", "rear lamp ground", power = "5 W", voltage = "24 V" }

fuse   "brake fuse"       { "24 V panel", "brake fuse out", rating = "10 A" }
switch "BRAKE"            { "brake fuse out", "brake switch out" }
cable  "brake wire"       { "brake switch out", "brake lamp feed", size = "1.5 mm2",
                            length = "13 m" }
lamp   "left brake lamp"  { "brake lamp feed", "rear lamp ground", power = "21 W",
                            voltage = "24 V" }
lamp   "right brake lamp" { "brake lamp feed", "rear lamp ground", power = "21 W",
                            voltage = "24 V" }

fuse   "blower fuse"      { "24 V panel", "blower fuse out", rating = "20 A" }
switch "BLOWER"           { "blower fuse out", "blower feed" }
motor  "blower"           { "blower feed", "body", current = "9 A", voltage = "24 V", load = "fan" }

-- 12 V off the tap -------------------------------------------------------------------------------

cable  "tap wire"         { "tap fuse out", "12 V panel", size = "6 mm2", length = "7 m" }
fuse   "camera fuse"      { "12 V panel", "camera feed", rating = "5 A" }
module "camera recorder"  { "camera feed", "12 V ground", power = "15 W", position = "asleep" }
fuse   "radio fuse"       { "12 V panel", "radio feed", rating = "10 A" }
switch "RADIO"            { "radio feed", "radio +" }
module "two-way radio"    { "radio +", "12 V ground", power = "20 W", class = "D", reset = "9 V",
                            recover = "10 V" }
switch "FAN"              { "12 V panel", "fan feed" }
motor  "driver's fan"     { "fan feed", "12 V ground", current = "3 A", load = "fan" }
joint  "12 V ground screw" { "12 V ground", "body", type = "bolted" }

-- Conditions -------------------------------------------------------------------------------------

--- Everything on, engine charging, its coil of the master relay at `coil` degrees.
local function running(coil)
  return {
    KEY = "on", ["camera recorder"] = "awake", RADIO = "closed", FAN = "closed",
    LIGHTS = "closed", BLOWER = "closed", STEP_HEATER = "closed", WARNING = "closed",
    alternator = { speed = "1200 rpm" }, ["master relay"] = { temperature = coil },
    A = { charge = "100 %", resistance = "60 mohm" },
    B = { charge = "100 %", resistance = "60 mohm" },
  }
end

condition "rest" {}                            -- parked, key off, disconnect left on
condition "crank" { KEY = "start", ["camera recorder"] = "awake", RADIO = "closed" }
condition "lights on" {                        -- engine off; lamps, blower and the 12 V loads on
  KEY = "on", ["camera recorder"] = "awake", RADIO = "closed", FAN = "closed", LIGHTS = "closed",
  BLOWER = "closed" }
condition "running" (running "20 C")           -- the first minutes
condition "running, coil hot" (running "85 C") -- an hour later

-- Faults -----------------------------------------------------------------------------------------

fault "disconnect 18 mohm" { "DISCONNECT: resistance = 18 mohm",
  about = "burnt contacts in the battery disconnect" }
fault "B 30 mohm" { "B: resistance = 30 mohm",
  about = "the upper unit is worn out; both rest at a good voltage" }
fault "frame return lug off" { "frame return lug: open",
  about = "left off after work on the tray; nothing else joins the frame to A -" }
fault "step-well ground 0.7 ohm" { "step-well ground: resistance = 0.7 ohm",
  about = "road salt under the lug that the step heater and the master relay's coil share" }

-- Quillon Parcel 3: a delivery van with a step body, petrol, 12 V. The van and all its data are
-- invented.
--
--   under the seat                          front
--   battery +  ====================== starter stud == alternator     engine block
--      |                                                              || engine strap
--      +== main fuse == fuse box: key, lamps, bay module, radio      chassis
--                           |                                         ||      || box strap
--                           +-- wires to the rear --+                 ||     box body
--   battery -  ===================================================== ||
--                                                   |                         |
--   rear of the box:  left cluster: brake, tail, turn -- its own ground screw-+
--                     right cluster: the same        -- its own ground screw--+
--                     roller door switch, load bay lamps, number plate lamp ---+
--
-- What it teaches: one ground screw for several lamps, and what lights when it is off; a module
-- that does not sleep, found by the millivolts across its fuse; how much light a volt costs.
--
-- Simplified:
--  * The turn signals do not flash: TURN joins one side or none. The fuel pump, the ignition and
--    the other things that run with the engine are one fixed resistance.
--  * The bay module's output is the switch BAY_LAMPS: closed while the module keeps them lit.
--  * What a charged battery refuses is shown by a larger resistance while the engine runs.
--  * Box and chassis count as one piece of metal each.

circuit "Quillon Parcel 3 delivery van"

-- Battery, starter, engine -----------------------------------------------------------------------

battery "battery"         { "battery + post", "battery - post", cca = "650 A", charge = "95 %",
                            capacity = 70 }
joint "+ clamp joint"     { "battery + post", "battery + clamp", type = "post" }
cable "starter cable"     { "battery + clamp", "starter lug", size = "50 mm2", length = "2.6 m" }
joint "starter nut"       { "starter lug", "starter stud", type = "stud" }
starter "starter"         { B = "starter stud", M = "motor stud", S = "solenoid",
                            case = "engine block",
                            cranking_current = "160 A", cranking_voltage = "11.2 V",
                            cranking_speed = "240 rpm" }
cable "charging cable"    { "alternator stud", "starter stud", size = "16 mm2", length = "0.8 m" }
alternator "alternator"   { B = "alternator stud", case = "engine block",
                            rated_current = "110 A" }

joint "engine strap joint" { "engine block", "engine strap lug", type = "bolted" }
strap "engine strap"      { "engine strap lug", "chassis", size = "35 mm2", length = "0.35 m" }
joint "battery ground bolt" { "chassis", "ground cable lug", type = "bolted" }
cable "ground cable"      { "ground cable lug", "battery - clamp", size = "50 mm2",
                            length = "0.5 m" }
joint "- clamp joint"     { "battery - clamp", "battery - post", type = "post" }
joint "box strap joint"   { "box", "box strap lug", type = "bolted" }
strap "box strap"         { "box strap lug", "chassis", size = "16 mm2", length = "0.3 m" }

-- Fuse box and key -------------------------------------------------------------------------------

fuse  "main fuse"         { "battery + clamp", "main fuse out", rating = "100 A", style = "bolt" }
cable "fuse box feed"     { "main fuse out", "fuse box", size = "16 mm2", length = "1.2 m" }

fuse  "key fuse"          { "fuse box", "key in", rating = "30 A" }
key_switch "KEY"          { ["30"] = "key in", ["15"] = "ignition feed", ["50"] = "start feed" }
switch "PARK_NEUTRAL"     { "start feed", "start relay coil", position = "closed" }
relay "start relay"       { ["30"] = "fuse box", ["87"] = "start relay out",
                            ["86"] = "start relay coil", ["85"] = "chassis" }
cable "solenoid wire"     { "start relay out", "solenoid", size = "4 mm2", length = "1.8 m" }
resistor "engine running gear" { "ignition feed", "engine block", resistance = "1.2 ohm" }

-- What is never off ------------------------------------------------------------------------------

fuse   "radio fuse"       { "fuse box", "radio feed", rating = "15 A" }
module "radio"            { "radio feed", "chassis", wake = "ignition feed", position = "by wire",
                            power = "15 W", sleep_current = "5 mA" }
fuse   "body module fuse" { "fuse box", "body module feed", rating = "15 A" }
module "body module"      { "body module feed", "chassis", wake = "ignition feed",
                            position = "by wire", power = "6 W", sleep_current = "22 mA" }

-- Load bay: the door switch wakes the module, which lights the bay lamps for ten minutes ---------

fuse   "bay fuse"         { "fuse box", "bay fuse out", rating = "10 A" }
cable  "bay wire"         { "bay fuse out", "bay module feed", size = "1.5 mm2", length = "3 m" }
switch "ROLLER_DOOR"      { "bay module feed", "door switch wire" } -- closed: the door is open
module "bay module"       { "bay module feed", "box", wake = "door switch wire",
                            position = "by wire", current = "0.38 A", voltage = "12.5 V",
                            sleep_current = "3 mA" }
switch "BAY_LAMPS"        { "bay module feed", "bay lamp feed", resistance = "30 mohm" }
lamp   "front bay lamp"   { "bay lamp feed", "box", power = "10 W" }
lamp   "rear bay lamp"    { "bay lamp feed", "box", power = "10 W" }

-- Headlamps --------------------------------------------------------------------------------------

fuse   "headlamp fuse"    { "fuse box", "headlamp fuse out", rating = "20 A" }
switch "HEADLAMPS"        { "headlamp fuse out", "headlamp feed" }
cable  "left headlamp wire"  { "headlamp feed", "left headlamp crimp in", size = "2.5 mm2",
                               length = "2.2 m" }
joint  "left headlamp crimp" { "left headlamp crimp in", "left headlamp +", type = "crimp" }
lamp   "left headlamp"    { "left headlamp +", "front lamp ground", power = "55 W",
                            voltage = "13.2 V", full_light = "13.2 V" }
cable  "right headlamp wire" { "headlamp feed", "right headlamp +", size = "2.5 mm2",
                               length = "1.6 m" }
lamp   "right headlamp"   { "right headlamp +", "front lamp ground", power = "55 W",
                            voltage = "13.2 V", full_light = "13.2 V" }
joint  "front lamp ground stud" { "front lamp ground", "chassis", type = "bolted" }

-- Position lamps: two at the front, one in each rear cluster, number plate -----------------------

fuse   "position fuse"    { "fuse box", "position fuse out", rating = "10 A" }
switch "POSITION"         { "position fuse out", "position feed" }
lamp   "left front lamp"  { "position feed", "front lamp ground", power = "5 W" }
lamp   "right front lamp" { "position feed", "front lamp ground", power = "5 W" }
cable  "tail wire"        { "position feed", "tail feed", size = "1.5 mm2", length = "5.5 m" }
lamp   "number plate lamp" { "tail feed", "box", power = "5 W" }

-- Turn signals: TURN is the stalk -----------------------------------------------------------------

fuse  "turn fuse"         { "ignition feed", "turn fuse out", rating = "10 A" }
changeover "TURN"         { common = "turn fuse out", a = "left turn feed", b = "right turn feed",
                            position = "off" }
lamp  "left front turn"   { "left turn feed", "front lamp ground", power = "21 W" }
lamp  "left side repeater" { "left turn feed", "front lamp ground", power = "5 W" }
lamp  "right front turn"  { "right turn feed", "front lamp ground", power = "21 W" }
lamp  "right side repeater" { "right turn feed", "front lamp ground", power = "5 W" }

-- Brake lamps and the two rear clusters: one ground screw each -----------------------------------

fuse   "brake fuse"       { "fuse box", "brake fuse out", rating = "15 A" }
switch "BRAKE"            { "brake fuse out", "brake switch out" }
cable  "brake wire"       { "brake switch out", "brake feed", size = "1.5 mm2", length = "5.5 m" }

lamp  "left brake lamp"   { "brake feed", "left cluster ground", power = "21 W" }
lamp  "left tail lamp"    { "tail feed", "left cluster ground", power = "5 W" }
lamp  "left rear turn"    { "left turn feed", "left cluster ground", power = "21 W" }
joint "left ground screw" { "left cluster ground", "box", type = "bolted" }

lamp  "right brake lamp"  { "brake feed", "right cluster ground", power = "21 W" }
lamp  "right tail lamp"   { "tail feed", "right cluster ground", power = "5 W" }
lamp  "right rear turn"   { "right turn feed", "right cluster ground", power = "21 W" }
joint "right ground screw" { "right cluster ground", "box", type = "bolted" }

-- Conditions -------------------------------------------------------------------------------------

condition "parked" {}                                  -- locked, door down, everything asleep
condition "loading" { ROLLER_DOOR = "closed", BAY_LAMPS = "closed" } -- door up, bay lit
condition "crank" { KEY = "start" }
condition "brake held" { BRAKE = "closed" }            -- key off: what a helper does for you
condition "brake held, lights on" { BRAKE = "closed", POSITION = "closed" }
condition "left turn" { KEY = "on", TURN = "a" }
condition "running night" {                            -- charging, headlamps on
  KEY = "on", POSITION = "closed", HEADLAMPS = "closed",
  alternator = { speed = "2000 rpm" },
  battery = { charge = "100 %", resistance = "100 mohm" } }

-- Faults -----------------------------------------------------------------------------------------

fault "left cluster ground open" { "left ground screw: open",
  about = "the screw has rusted off its lug" }
fault "bay module stays awake" { "bay module: stays awake",
  about = "it does not go to sleep after the door is down" }
fault "door switch stuck" { "ROLLER_DOOR: stuck closed", "BAY_LAMPS: stuck closed",
  about = "a bent bracket: to the module the door is always up; the bay stays lit behind it" }
fault "headlamp crimp 0.35 ohm" { "left headlamp crimp: resistance = 0.35 ohm",
  about = "a crimp on insulation, green inside" }
fault "box strap 0.2 ohm" { "box strap joint: resistance = 0.2 ohm",
  about = "the strap from box to chassis hangs on rust: everything in the box is dim at once" }

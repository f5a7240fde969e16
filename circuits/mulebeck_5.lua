-- Mulebeck 5: a recovery truck with a diesel engine, a sliding bed and an electric winch. The truck
-- and all its data are invented.
--
--   main battery + === main stud === starter stud === alternator     engine block
--                          |              |                              || engine cable
--                     charge fuse     truck fuse -- cab fuse box         ||
--                          |                                        main negative stud == main -
--                    sensing relay   SPLIT in its ground wire             ||
--                          |                                            frame == cab ground
--   aux A + == aux B + == body stud == WINCH_ISOLATOR == contactor ==== winch (M) on the bed
--                          |     \                                       ||      |
--                     body fuses  pump contactor == pump (M) on frame    ||    bed -- hinge pins
--                                                                        ||              |
--   aux A - == aux B - ========================= winch return cable =====++            frame
--                 \======================= aux frame cable === frame
--
-- What it teaches: three batteries and an alternator feed one truck, and each ampere has its own
-- way home; a winch that lost its return cable comes home by the hinge pins; a charging voltage
-- that is lost in one contact; an alternator gives what its speed allows, not what is stamped on
-- it; a drain of a quarter of an ampere is found across its fuse.
--
-- Simplified:
--  * The winch pulls one way, by one contactor; its load is a steady pull.
--  * What a battery refuses while it is charged is shown by a larger resistance of the battery in
--    the conditions that charge.
--  * A node stands for the whole frame, and one for the whole bed.
--  * The beacon controller is its own drain only; the beacons have a switch of their own.

circuit "Mulebeck 5 recovery truck"
reference "frame"

-- Starting and charging --------------------------------------------------------------------------

battery "main battery"     { "main + post", "main - post", cca = "850 A", charge = "95 %",
                             capacity = 110 }
joint "main + clamp"       { "main + post", "main + lug", type = "post" }
cable "main stud cable"    { "main + lug", "main stud", size = "95 mm2", length = "0.4 m" }
cable "starter cable"      { "main stud", "starter lug", size = "95 mm2", length = "1.4 m" }
joint "starter nut"        { "starter lug", "starter stud", type = "stud" }
starter "starter"          { B = "starter stud", M = "starter motor stud", S = "starter S",
                             case = "engine block", cranking_current = "330 A",
                             cranking_voltage = "10.2 V", cranking_speed = "170 rpm" }
alternator "alternator"    { B = "alternator stud", case = "alternator case",
                             rated_current = "140 A", idle_current = "70 A" }
cable "alternator cable"   { "alternator stud", "starter stud", size = "35 mm2", length = "1.2 m" }
joint "alternator mount"   { "alternator case", "engine block", resistance = "0.2 mohm" }

joint "engine ground"      { "engine block", "engine ground lug", type = "bolted" }
cable "engine cable"       { "engine ground lug", "main negative stud", size = "95 mm2",
                             length = "0.7 m" }
cable "main - cable"       { "main negative stud", "main - lug", size = "95 mm2",
                             length = "0.3 m" }
joint "main - clamp"       { "main - lug", "main - post", type = "post" }
cable "frame cable"        { "main negative stud", "frame ground lug", size = "70 mm2",
                             length = "0.4 m" }
joint "frame ground"       { "frame ground lug", "frame", type = "bolted" }

-- Cab: fuse box, key, engine control -------------------------------------------------------------

fuse   "truck fuse"        { "starter stud", "truck fuse out", rating = "125 A", style = "bolt" }
cable  "cab feed"          { "truck fuse out", "cab bus", size = "25 mm2", length = "2 m" }
strap  "cab braid"         { "cab ground", "frame", size = "25 mm2", length = "0.4 m" }

fuse   "key fuse"          { "cab bus", "key in", rating = "20 A" }
switch "KEY"               { "key in", "key out" }
switch "START"             { "key out", "start wire" }
relay  "start relay"       { ["30"] = "cab bus", ["87"] = "start relay out", ["86"] = "start wire",
                             ["85"] = "cab ground" }
cable  "solenoid wire"     { "start relay out", "starter S", size = "6 mm2", length = "3 m" }
fuse   "engine control fuse" { "cab bus", "engine control feed", rating = "25 A" }
module "engine control"    { "engine control feed", "engine block", wake = "key out",
                             position = "by wire", power = "150 W", sleep_current = "6 mA" }
fuse   "radio fuse"        { "cab bus", "radio feed", rating = "10 A" }
module "radio"             { "radio feed", "cab ground", wake = "key out", position = "by wire",
                             power = "18 W", sleep_current = "8 mA" }

-- Cab: what makes an alternator work hard at idle
fuse   "heating fuse"      { "cab bus", "heating fuse out", rating = "30 A" }
switch "BLOWER"            { "heating fuse out", "blower +" }
motor  "blower"            { "blower +", "cab ground", current = "16 A", voltage = "13 V",
                             load = "fan" }
fuse   "fuel heater fuse"  { "cab bus", "fuel heater feed", rating = "30 A" }
switch "FUEL_HEATER"       { "fuel heater feed", "fuel heater +" }
heater "fuel heater"       { "fuel heater +", "engine block", power = "300 W" }
fuse   "comfort fuse"      { "cab bus", "comfort fuse out", rating = "30 A" }
switch "MIRRORS_SEATS"     { "comfort fuse out", "mirrors and seats +" }
heater "mirrors and seats" { "mirrors and seats +", "cab ground", power = "260 W" }

-- Headlamps by a relay, and six lamps of 5 W around the truck
fuse   "headlamp fuse"     { "cab bus", "headlamp fuse out", rating = "25 A" }
relay  "headlamp relay"    { ["30"] = "headlamp fuse out", ["87"] = "headlamp feed",
                             ["86"] = "lights out", ["85"] = "cab ground" }
lamp   "left headlamp"     { "headlamp feed", "headlamp ground", power = "55 W" }
lamp   "right headlamp"    { "headlamp feed", "headlamp ground", power = "55 W" }
cable  "headlamp ground wire" { "headlamp ground", "frame", size = "4 mm2", length = "0.8 m" }
switch "LIGHTS"            { "key out", "lights out" }
cable  "tail wire"         { "lights out", "tail feed", size = "1.5 mm2", length = "7 m" }
lamp   "tail and markers"  { "tail feed", "frame", power = "30 W" }

-- Split charging: from the main battery to the auxiliary bank ------------------------------------

fuse   "charge fuse"       { "main stud", "charge fuse out", rating = "200 A", style = "bolt" }
cable  "charge cable"      { "charge fuse out", "relay main stud", size = "35 mm2",
                             length = "3 m" }
sensing_relay "sensing relay" { main = "relay main stud", aux = "relay aux stud",
                             ground = "sensing ground", contact_resistance = "0.6 mohm" }
switch "SPLIT"             { "sensing ground", "frame", position = "closed" }
cable  "relay to body"     { "relay aux stud", "body stud", size = "35 mm2", length = "0.5 m" }

-- Auxiliary bank: two units in parallel, fed in at A +, taken out at B -
battery "aux A"            { "aux A + post", "aux A - post", cca = "750 A", charge = "95 %",
                             capacity = 95 }
battery "aux B"            { "aux B + post", "aux B - post", cca = "750 A", charge = "95 %",
                             capacity = 95 }
joint "aux A + clamp"      { "aux A + post", "aux A + lug", type = "post" }
joint "aux B + clamp"      { "aux B + post", "aux B + lug", type = "post" }
joint "aux A - clamp"      { "aux A - post", "aux A - lug", type = "post" }
joint "aux B - clamp"      { "aux B - post", "aux B - lug", type = "post" }
cable "aux + link"         { "aux A + lug", "aux B + lug", size = "95 mm2", length = "0.3 m" }
cable "aux - link"         { "aux A - lug", "aux B - lug", size = "95 mm2", length = "0.3 m" }
cable "aux + cable"        { "aux A + lug", "body stud", size = "95 mm2", length = "0.5 m" }
cable "aux frame cable"    { "aux B - lug", "aux frame lug", size = "95 mm2", length = "0.5 m" }
joint "aux frame ground"   { "aux frame lug", "frame", type = "bolted" }

-- Winch on the bed; the bed slides and tilts, and hangs on two pins in grease --------------------

switch "WINCH_ISOLATOR"    { "body stud", "winch isolator out", position = "closed",
                             style = "disconnect", resistance = "0.15 mohm" }
relay  "winch contactor"   { ["30"] = "winch isolator out", ["87"] = "winch contactor out",
                             ["86"] = "winch button out", ["85"] = "frame",
                             coil_resistance = "8 ohm", pull_in = "7 V", drop_out = "3 V",
                             contact_resistance = "0.2 mohm" }
cable  "winch cable"       { "winch contactor out", "winch lug", size = "95 mm2", length = "5 m" }
joint  "winch nut"         { "winch lug", "winch stud", type = "stud" }
motor  "winch"             { "winch stud", "winch case", current = "350 A", voltage = "11 V",
                             field = "series", load = "constant" }
joint  "winch return nut"  { "winch case", "winch return lug", type = "stud" }
cable  "winch return cable" { "winch return lug", "aux B - lug", size = "95 mm2", length = "5.5 m" }
joint  "winch feet"        { "winch case", "bed", resistance = "0.3 mohm" }
joint  "left hinge pin"    { "bed", "frame", resistance = "44 mohm" }
joint  "right hinge pin"   { "bed", "frame", resistance = "44 mohm" }

-- Wheel-lift pump on the frame: its return is the frame
relay  "pump contactor"    { ["30"] = "body stud", ["87"] = "pump contactor out",
                             ["86"] = "pump button out", ["85"] = "frame",
                             coil_resistance = "12 ohm", pull_in = "7 V", drop_out = "3 V",
                             contact_resistance = "0.3 mohm" }
cable  "pump cable"        { "pump contactor out", "pump stud", size = "50 mm2", length = "2 m" }
motor  "wheel-lift pump"   { "pump stud", "pump case", current = "160 A", voltage = "11.5 V",
                             field = "series", load = "constant" }
joint  "pump feet"         { "pump case", "frame", resistance = "0.3 mohm" }

-- Body fuse box: light bar, beacons, work lamps, buttons -----------------------------------------

fuse   "body fuse"         { "body stud", "body fuse out", rating = "80 A", style = "maxi" }
cable  "body feed"         { "body fuse out", "body bus", size = "16 mm2", length = "1.5 m" }
fuse   "button fuse"       { "body bus", "button feed", rating = "10 A" }
switch "WINCH"             { "button feed", "winch button out" }
switch "PUMP"              { "button feed", "pump button out" }

fuse   "light bar fuse"    { "body bus", "light bar fuse out", rating = "25 A" }
switch "LIGHT_BAR"         { "light bar fuse out", "light bar switch out" }
cable  "light bar wire"    { "light bar switch out", "light bar +", size = "4 mm2",
                             length = "4 m" }
led_lamp "light bar"       { "light bar +", "light bar -", current = "14 A",
                             driver = "regulator" }
cable  "light bar ground"  { "light bar -", "cab ground", size = "4 mm2", length = "2.5 m" }

fuse   "beacon fuse"       { "body bus", "beacon feed", rating = "10 A" }
module "beacon controller" { "beacon feed", "frame", wake = "key out", position = "by wire",
                             current = "0.25 A", voltage = "12.6 V", sleep_current = "2 mA" }
switch "BEACONS"           { "beacon feed", "beacon +" }
led_lamp "beacons"         { "beacon +", "cab ground", current = "4 A", driver = "regulator" }

fuse   "work lamp fuse"    { "body bus", "work lamp fuse out", rating = "20 A" }
switch "WORK_LAMPS"        { "work lamp fuse out", "work lamp switch out" }
cable  "work lamp wire"    { "work lamp switch out", "work lamps +", size = "2.5 mm2",
                             length = "6 m" }
led_lamp "work lamps"      { "work lamps +", "bed", current = "8 A" } -- grounded where they stand

-- Conditions -------------------------------------------------------------------------------------

local idle, fast_idle = "650 rpm", "1500 rpm"

condition "key off" {}                         -- an hour after: all modules asleep
condition "crank"  { KEY = "closed", START = "closed" }
condition "charging" {                         -- after a job, engine at 1500 rpm, light bar on
  KEY = "closed", LIGHT_BAR = "closed", alternator = { speed = fast_idle },
  ["main battery"] = { resistance = "80 mohm" },
  ["aux A"] = { charge = "75 %", resistance = "55 mohm" },
  ["aux B"] = { charge = "75 %", resistance = "55 mohm" } }
condition "winching" {                         -- split charging is switched off, as the rule is
  KEY = "closed", WINCH = "closed", SPLIT = "open", LIGHT_BAR = "closed", WORK_LAMPS = "closed",
  alternator = { speed = fast_idle }, ["main battery"] = { resistance = "80 mohm" } }
condition "winching, split charging left on" { -- the relay joins, sags and parts, and joins again
  after = "winching",
  KEY = "closed", WINCH = "closed", LIGHT_BAR = "closed", WORK_LAMPS = "closed",
  alternator = { speed = fast_idle }, ["main battery"] = { resistance = "80 mohm" } }
condition "wheel lift" {                       -- engine off
  KEY = "closed", PUMP = "closed" }
local everything = {                           -- a wet night at the roadside
  KEY = "closed", LIGHTS = "closed", BLOWER = "closed", FUEL_HEATER = "closed",
  MIRRORS_SEATS = "closed", LIGHT_BAR = "closed", BEACONS = "closed", WORK_LAMPS = "closed",
  temperature = "5 C" }
local function with(speed)
  local all = { alternator = { speed = speed } }
  for word, value in pairs(everything) do all[word] = value end
  return all
end
condition "idle, everything on" (with(idle))
local raised = with(fast_idle)
raised["main battery"] = { resistance = "80 mohm" }
raised["aux A"] = { resistance = "110 mohm" }
raised["aux B"] = { resistance = "110 mohm" }
condition "fast idle, everything on" (raised)

-- Faults -----------------------------------------------------------------------------------------

fault "winch return through hinge pins" { "winch return cable: open",
  about = "the return cable has torn off the winch; 22 mohm of greasy pins carry its current" }
fault "sensing relay contact 12 mohm" { "sensing relay: contact_resistance = 12 mohm",
  about = "burnt by years of joining the banks under load; the auxiliary bank stays undercharged" }
fault "beacon controller stays awake" { "beacon controller: stays awake",
  about = "0.25 A with the key off, all of it from the auxiliary bank" }
fault "alternator phase lost" { "alternator: a phase lost",
  about = "half of the output is left; nothing shows until the loads are on" }
fault "aux link 8 mohm" { "aux - link: +8 mohm",
  about = "a loose link between the negative posts: unit A gives too little, unit B too much" }
fault "aux frame ground 20 mohm" { "aux frame ground: resistance = 20 mohm",
  about = "rust under the lug between the auxiliary bank and the frame" }

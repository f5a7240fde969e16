-- Hollin 74: a tractor of 74 horsepower, diesel, 12 V, with two battery units in parallel. The
-- tractor and all its data are invented.
--
--   left +  == positive link ==  right +                          engine block and gearbox:
--     |                            ||==================== starter stud   the frame of a tractor
--     |                            |                        |                   ||
--     |                            +-- main fuse -- cab fuse box    glow relay  || cab braid
--     |                                               |               -- plugs  || (rubber mounts)
--   left -  == negative link ==  right -              |                         cab
--     ||                                              +-- blower, work lamps, gauges -- cab
--     ++========= ground cable ======================================= engine block
--
--   start chain:  fuse - KEY - NEUTRAL - SEAT - PTO - CLUTCH - start relay - solenoid
--
-- What it teaches: six contacts in a row, none of them bad on its own, and no start, but on a cold
-- morning, when the copper of the windings draws more; what paint under one braid does to gauges
-- whose senders stand on the engine; two units in parallel that do not share alike.
--
-- Simplified:
--  * The start relay's contact is the last of the chain and its coil is fed from the key; the
--    solenoid's current goes through all six contacts, as in many a tractor.
--  * Radio and fuel shut-off are fixed resistances; plugs are either in their first moment or hot.
--  * The hitch controller's 5 V is there with the key off too.
--  * What charged batteries refuse is shown by a larger resistance while the engine runs.
--  * The links from unit to unit are cables with one lug each that can be loose.

circuit "Hollin 74 tractor"
reference "right - post"

-- Two units in parallel: + leaves at the right one, - at the left one ----------------------------

battery "left battery"    { "left + post", "left - post", cca = "600 A", charge = "95 %" }
battery "right battery"   { "right + post", "right - post", cca = "600 A", charge = "95 %" }
joint "left + clamp joint"  { "left + post", "left + clamp", type = "post" }
joint "right + clamp joint" { "right + post", "right + clamp", type = "post" }
joint "left - clamp joint"  { "left - clamp", "left - post", type = "post" }
joint "right - clamp joint" { "right - clamp", "right - post", type = "post" }
cable "positive link"     { "left + clamp", "positive link lug", size = "50 mm2", length = "0.4 m" }
joint "positive link joint" { "positive link lug", "right + clamp", type = "stud" }
cable "negative link"     { "left - clamp", "negative link lug", size = "50 mm2", length = "0.4 m" }
joint "negative link joint" { "negative link lug", "right - clamp", type = "stud" }

-- Starter and engine -----------------------------------------------------------------------------

cable "starter cable"     { "right + clamp", "starter lug", size = "70 mm2", length = "1.5 m" }
joint "starter nut"       { "starter lug", "starter stud", type = "stud" }
starter "starter"         { B = "starter stud", M = "motor stud", S = "solenoid",
                            case = "engine block",
                            cranking_current = "280 A", cranking_voltage = "11.0 V",
                            cranking_speed = "180 rpm",
                            pull_in_resistance = "0.5 ohm", hold_in_resistance = "1.06 ohm" }
cable "charging cable"    { "alternator stud", "starter stud", size = "16 mm2", length = "0.9 m" }
alternator "alternator"   { B = "alternator stud", case = "engine block",
                            rated_current = "95 A" }
joint "block ground bolt" { "engine block", "ground cable lug", type = "bolted" }
cable "ground cable"      { "ground cable lug", "left - clamp", size = "70 mm2", length = "1 m" }

-- Glow plugs, four on one rail -------------------------------------------------------------------

fuse  "glow fuse"         { "starter stud", "glow fuse out", rating = "80 A", style = "bolt" }
relay "glow relay"        { ["30"] = "glow fuse out", ["87"] = "glow relay out",
                            ["86"] = "glow switch out", ["85"] = "engine block",
                            coil_resistance = "30 ohm", pull_in = "7.5 V", drop_out = "2 V",
                            contact_resistance = "1 mohm" }
cable "glow wire"         { "glow relay out", "glow rail", size = "10 mm2", length = "0.8 m" }
glow_plug "glow plug 1"   { "glow rail", "engine block", current = "11 A" }
glow_plug "glow plug 2"   { "glow rail", "engine block", current = "11 A" }
glow_plug "glow plug 3"   { "glow rail", "engine block", current = "11 A" }
glow_plug "glow plug 4"   { "glow rail", "engine block", current = "11 A" }

-- Cab: fuse box, key, and the only braid to the block ---------------------------------------------

fuse  "main fuse"         { "right + clamp", "main fuse out", rating = "80 A", style = "bolt" }
cable "cab feed"          { "main fuse out", "cab fuse box", size = "16 mm2", length = "2.5 m" }
joint "cab braid joint"   { "cab", "braid lug", type = "bolted" }
strap "cab braid"         { "braid lug", "engine block", size = "25 mm2", length = "0.4 m",
                            material = "tinned copper" }
joint "dash ground stud"  { "dash ground", "cab", type = "bolted" }
-- Never meant to carry current: the steel sheath of the throttle cable, cab floor to injection pump
strap "throttle cable"    { "cab", "engine block", per_metre = "150 mohm/m", length = "1.2 m",
                            material = "steel", role = "unintended" }

fuse  "start fuse"        { "cab fuse box", "key in", rating = "40 A" }
key_switch "KEY"          { ["30"] = "key in", ["15"] = "ignition feed", ["50"] = "key start" }
switch "GLOW"             { "ignition feed", "glow switch out" }

-- Start chain: each contact may be 5 mohm --------------------------------------------------------

cable  "start feed wire"  { "key start", "neutral in", size = "4 mm2", length = "1.5 m" }
switch "NEUTRAL"          { "neutral in", "neutral out", position = "closed" }
switch "SEAT"             { "neutral out", "seat out", position = "closed" }
switch "PTO"              { "seat out", "PTO out", position = "closed" }
switch "CLUTCH"           { "PTO out", "clutch out", position = "closed" }
relay  "start relay"      { ["30"] = "clutch out", ["87"] = "start relay out",
                            ["86"] = "key start", ["85"] = "dash ground",
                            contact_resistance = "5 mohm" }
cable  "solenoid wire"    { "start relay out", "solenoid", size = "4 mm2", length = "2 m" }

-- Fuel shut-off on the injection pump: held open with the key on ---------------------------------

cable  "shut-off wire"    { "ignition feed", "shut-off feed", size = "1.5 mm2", length = "2.5 m" }
resistor "fuel shut-off"  { "shut-off feed", "engine block", resistance = "8 ohm" }

-- Gauges in the cab, senders on engine and tank --------------------------------------------------

fuse   "gauge fuse"       { "ignition feed", "gauge feed", rating = "5 A" }
gauge  "fuel gauge"       { "gauge feed", "fuel sender wire", "dash ground" }
sender "fuel sender"      { "fuel sender wire", "fuel tank", travel = "50 %" }
joint  "fuel tank bolts"  { "fuel tank", "engine block", type = "bolted", surface = "used" }
gauge  "temperature gauge" { "gauge feed", "temperature sender wire", "dash ground" }
sender "temperature sender" { "temperature sender wire", "engine block", travel = "60 %" }
gauge  "oil pressure gauge" { "gauge feed", "oil sender wire", "dash ground" }
sender "oil pressure sender" { "oil sender wire", "engine block", travel = "0 %" }

-- Hitch: the controller in the cab, its position sensor grounded at the gearbox ------------------

fuse   "hitch fuse"       { "ignition feed", "hitch controller feed", rating = "10 A" }
module "hitch controller" { "hitch controller feed", "dash ground", power = "12 W" }
sensor_input "hitch input" { "hitch 5 V", "hitch signal", "dash ground" }
sensor "hitch sensor"     { "hitch 5 V", "hitch signal", "engine block", output = "50 %" }

-- What the cab takes -----------------------------------------------------------------------------

fuse   "blower fuse"      { "cab fuse box", "blower fuse out", rating = "20 A" }
switch "BLOWER"           { "blower fuse out", "blower feed" }
motor  "blower"           { "blower feed", "cab", current = "9 A", load = "fan" }
fuse   "work lamp fuse"   { "cab fuse box", "work lamp fuse out", rating = "20 A" }
switch "WORK_LAMPS"       { "work lamp fuse out", "work lamp switch out" }
cable  "roof wire"        { "work lamp switch out", "work lamp feed", size = "2.5 mm2",
                            length = "2.5 m" }
lamp   "left work lamp"   { "work lamp feed", "roof", power = "55 W" }
lamp   "right work lamp"  { "work lamp feed", "roof", power = "55 W" }
joint  "roof ground screw" { "roof", "cab", type = "bolted", surface = "used" }
resistor "radio"          { "ignition feed", "dash ground", resistance = "10 ohm" }

-- Road lamps, on the bonnet and the mudguards, which are bolted to the block ---------------------

fuse   "lamp fuse"        { "cab fuse box", "lamp fuse out", rating = "20 A" }
switch "LIGHTS"           { "lamp fuse out", "lamp feed" }
lamp   "left headlamp"    { "lamp feed", "bonnet", power = "55 W" }
lamp   "right headlamp"   { "lamp feed", "bonnet", power = "55 W" }
lamp   "tail lamps"       { "lamp feed", "engine block", power = "10 W" } -- two of 5 W
joint  "bonnet hinge bolts" { "bonnet", "engine block", resistance = "1 mohm" }

-- Conditions -------------------------------------------------------------------------------------

--- Engine charging, key on.
local function running(more)
  local all = {
    KEY = "on", alternator = { speed = "1800 rpm" }, ["oil pressure sender"] = { travel = "65 %" },
    ["left battery"] = { charge = "100 %", resistance = "150 mohm" },
    ["right battery"] = { charge = "100 %", resistance = "150 mohm" },
  }
  for part, edit in pairs(more) do all[part] = edit end
  return all
end

condition "rest" {}                                     -- key off
condition "glow, first moment" {                        -- a cold morning, plugs not yet hot
  KEY = "on", GLOW = "closed", temperature = "0 C",
  ["glow plug 1"] = { element = "cold" }, ["glow plug 2"] = { element = "cold" },
  ["glow plug 3"] = { element = "cold" }, ["glow plug 4"] = { element = "cold" } }
condition "glow" { KEY = "on", GLOW = "closed", temperature = "0 C" }
condition "crank" { KEY = "start" }                     -- all interlocks made, 20 C
condition "crank cold" { KEY = "start", GLOW = "closed", temperature = "-10 C" }
condition "running" (running {})
condition "running, cab loads on" (running { BLOWER = "closed", WORK_LAMPS = "closed" })

-- Faults -----------------------------------------------------------------------------------------

fault "paint under cab braid" { "cab braid joint: resistance = 15 mohm",
  about = "the cab was painted, and the braid bolted on over the paint" }
fault "six tired contacts" { "KEY: start contact +28 mohm", "NEUTRAL: resistance = 33 mohm",
  "SEAT: resistance = 33 mohm", "PTO: resistance = 33 mohm", "CLUTCH: resistance = 33 mohm",
  "start relay: contact_resistance = 33 mohm",
  about = "fifteen years of dust: 33 mohm in each of six contacts" }
fault "positive link loose" { "positive link joint: loose = 30 mohm",
  about = "the lug from unit to unit turns by hand: the left unit hardly helps" }
fault "glow plug 3 open" { "glow plug 3: open",
  about = "burnt through" }
fault "cab braid off" { "cab braid: open",
  about = "left off after work on the gearbox: the cab returns through the throttle cable" }

-- Wicken 410: a motorcycle of 410 cc, and a first lesson: small enough to follow every ampere by
-- hand. The machine and all its data are invented.
--
--   battery +            starter relay                       engine block
--   post = lug ==== lug = stud -/ - stud = lug ==== lug = stud (M) ==+
--                           |                                        | engine strap
--                       main fuse -- KEY -- lamps, ignition          | (rubber engine mounts)
--                           |                                        |
--   battery -           regulator                                    |
--   post = lug ===================== lug = frame ====================+
--                  the only ground cable
--
-- What it teaches: a joint is a part of its own, and post, lug and stud are three places to put a
-- lead; one bad joint shows only while its current flows; a hot fuse clip; a resistance on the
-- ground side of a coil; what a return current does when its own way is bad.
--
-- Simplified:
--  * The ignition unit is a fixed resistance.
--  * Alternator, rectifier and regulator are one part. What a full battery refuses while it is
--    charged is shown by a larger battery resistance in that condition.
--  * The dip switch is two switches, LOW and HIGH. The headlamp is lit with the key and stays lit
--    during the start; the low beam stays lit beside the high beam.

circuit "Wicken 410 motorcycle"

-- Starting, positive side ------------------------------------------------------------------------

battery "battery" { "battery + post", "battery - post", cca = "150 A", charge = "95 %" } -- 10 Ah

joint "battery + screw"   { "battery + post", "battery + lug", type = "post" }
cable "battery + cable"   { "battery + lug", "relay input lug", size = "10 mm2", length = "0.35 m" }
joint "relay input nut"   { "relay input lug", "relay input stud", type = "stud" }
relay "starter relay"     { ["30"] = "relay input stud", ["87"] = "relay output stud",
                            ["86"] = "start button out", ["85"] = "relay coil ground",
                            coil_resistance = "4 ohm", pull_in = "7 V", drop_out = "2 V",
                            contact_resistance = "0.4 mohm" }
joint "relay output nut"  { "relay output stud", "relay output lug", type = "stud" }
cable "starter cable"     { "relay output lug", "starter lug", size = "10 mm2", length = "0.45 m" }
joint "starter nut"       { "starter lug", "starter stud", type = "stud" }
starter "starter"         { B = "starter stud", case = "engine block", solenoid = "none",
                            cranking_current = "90 A", cranking_voltage = "10 V",
                            cranking_speed = "260 rpm" }

-- Ground side: engine, strap, frame, one cable ---------------------------------------------------

joint "engine ground"     { "engine block", "engine strap lug", type = "bolted" }
strap "engine strap"      { "engine strap lug", "frame", size = "16 mm2", length = "0.25 m" }
joint "frame ground"      { "frame", "frame ground lug", type = "bolted" }
cable "ground cable"      { "frame ground lug", "battery - lug", size = "10 mm2", length = "0.4 m" }
joint "battery - screw"   { "battery - lug", "battery - post", type = "post" }

-- Never meant to carry starting current: the steel sheath of the clutch cable, from the lever on
-- the handlebar to its stop on the engine.
strap "clutch cable sheath" { "engine block", "frame", per_metre = "120 mohm/m", length = "0.9 m",
                              material = "steel" }

-- Main fuse, in the body of the starter relay, and key -------------------------------------------

joint  "fuse clip"        { "relay input stud", "main fuse in", resistance = "1 mohm" }
fuse   "main fuse"        { "main fuse in", "main feed", rating = "30 A" }
cable  "key wire"         { "main feed", "key in", size = "2.5 mm2", length = "1.2 m" }
switch "KEY"              { "key in", "key out" }

-- Start control: the clutch switch is on the ground side of the relay's coil ---------------------

switch "START"            { "key out", "start button out", resistance = "20 mohm" }
switch "CLUTCH"           { "relay coil ground", "harness ground", resistance = "50 mohm" }

-- Lamps and ignition -----------------------------------------------------------------------------

relay  "headlamp relay"   { ["30"] = "main feed", ["87"] = "headlamp relay out",
                            ["86"] = "key out", ["85"] = "harness ground" }
cable  "headlamp wire"    { "headlamp relay out", "dip switch in", size = "1.5 mm2",
                            length = "1.1 m" }
switch "LOW"              { "dip switch in", "low beam feed", position = "closed",
                            resistance = "15 mohm" }
switch "HIGH"             { "dip switch in", "high beam feed", resistance = "15 mohm" }
lamp   "low beam"         { "low beam feed", "headlamp ground", power = "55 W" }
lamp   "high beam"        { "high beam feed", "headlamp ground", power = "55 W" }
cable  "headlamp ground wire" { "headlamp ground", "harness ground", size = "1.5 mm2",
                                length = "0.5 m" }

lamp   "tail lamp"        { "key out", "harness ground", power = "5 W" }
switch "BRAKE"            { "key out", "brake lamp feed", resistance = "20 mohm" }
lamp   "brake lamp"       { "brake lamp feed", "harness ground", power = "21 W" }
lamp   "neutral lamp"     { "key out", "neutral switch wire", power = "1.7 W" }
switch "NEUTRAL"          { "neutral switch wire", "engine block", position = "closed",
                            resistance = "50 mohm" }
resistor "ignition unit"  { "key out", "harness ground", resistance = "4.2 ohm" }

joint  "harness ground eyelet" { "harness ground", "frame", resistance = "0.5 mohm" }

-- Regulator-rectifier ----------------------------------------------------------------------------

alternator "regulator"    { B = "regulator output", case = "regulator case",
                            set_point = "14.4 V", rated_current = "25 A", pulley_ratio = 1 }
cable  "regulator wire"   { "regulator output", "relay input stud", size = "4 mm2",
                            length = "0.8 m" }
joint  "regulator ground" { "regulator case", "frame", resistance = "0.5 mohm" }

-- Conditions -------------------------------------------------------------------------------------

condition "rest" {}                            -- key off
condition "key on" { KEY = "closed" }          -- in neutral, low beam on
condition "crank" { after = "key on",          -- clutch in, start button held
  KEY = "closed", CLUTCH = "closed", START = "closed" }
condition "running lights" {                   -- engine charging, high beam, brake held
  engine_speed = "4500 rpm", KEY = "closed", HIGH = "closed", BRAKE = "closed", NEUTRAL = "open",
  battery = { charge = "100 %", resistance = "300 mohm" } }

-- Faults -----------------------------------------------------------------------------------------

fault "corroded engine ground" { "engine ground: resistance = 250 mohm",
  about = "green crust between the strap's lug and the engine block" }
fault "corroded frame ground" { "frame ground: resistance = 60 mohm",
  about = "fresh paint under the lug of the only ground cable" }
fault "open main ground" { "ground cable: open",
  about = "the only ground cable is off its screw" }
fault "fuse clip 40 mohm" { "fuse clip: resistance = 40 mohm",
  about = "the spring of the fuse clip has gone soft" }
fault "clutch switch 6 ohm" { "CLUTCH: resistance = 6 ohm",
  about = "water in the clutch switch, on the ground side of the relay's coil" }
fault "regulator ground" { "regulator ground: resistance = 21 mohm",
  about = "the regulator's case stands off the frame on paint; it charges too little" }
fault "weak battery" { "battery: weak = 30 %",
  about = "five years old; it rests at a good voltage" }

-- Tern Skerry 28: an 8.5 m workboat with two petrol inboard engines. The boat and all its data are
-- invented.
--
--   port battery +  == PORT isolator ==== port starter      port engine block ==+
--                          |                                   ||  |  |         |
--                       PARALLEL                     engine tie||  |  |         |
--                          |                                   ||  |  |         |
--   stbd battery +  == STARBOARD isol. == stbd starter      stbd engine block   |
--                                                              |   |  |         |
--                         levers: sheaths of shift cables -----|---+  |         |
--                         helm: shared instrument harness -----|------+         |
--                                                              |      |         |
--   port, stbd, house battery -  ========================= negative bus ========+
--
--   house battery + == HOUSE isolator == panel + -- lamps, wash pump, plotter -- panel - == bus
--                 \--- bilge pump, ahead of the isolator
--
-- What it teaches: a second way hides a bad joint, and when the second way is bad too, current
-- takes the instrument harness and the sheaths of the shift cables; that is why engines with a
-- shared negative are tied by a cable of starting size. Also a budget of 3 % for the drop to pumps
-- and navigation lamps, out and back.
--
-- Simplified:
--  * Pumps, ignition and instruments are fixed resistances. A real pump slows down and draws less
--    than in proportion when its voltage falls.
--  * There are no alternators: "running night" shows the batteries giving, not being charged.
--  * An isolator counts with the nuts on its two studs, a cable on the negative bus with its nut.
--  * The start keys are two switches each: KEY for run, START for start.

circuit "Tern Skerry 28 workboat"
reference "negative bus"

-- Engines: the same twice, but for the lengths of their cables -----------------------------------

local engines = {
  { side = "port",      to_isolator = "1.0 m", to_starter = "2.2 m", to_bus = "1.8 m",
    battery_to_bus = "0.8 m" },
  { side = "starboard", to_isolator = "1.4 m", to_starter = "2.0 m", to_bus = "1.8 m",
    battery_to_bus = "1.2 m" },
}

for _, e in ipairs(engines) do
  local side, word = e.side .. " ", e.side:upper() .. "_"

  -- Battery, isolator, starter
  battery(side .. "battery") { side .. "battery + post", side .. "battery - post",
                               cca = "550 A", charge = "95 %" }
  joint(side .. "+ clamp")   { side .. "battery + post", side .. "battery + clamp", type = "post" }
  cable(side .. "+ cable")   { side .. "battery + clamp", side .. "isolator in",
                               size = "70 mm2", length = e.to_isolator }
  switch(word .. "ISOLATOR") { side .. "isolator in", side .. "isolator out",
                               position = "closed", resistance = "0.3 mohm" }
  cable(side .. "starter cable") { side .. "isolator out", side .. "starter lug",
                                   size = "70 mm2", length = e.to_starter }
  joint(side .. "starter nut")   { side .. "starter lug", side .. "starter stud", type = "stud" }
  starter(side .. "starter") { B = side .. "starter stud", M = side .. "motor stud",
                               S = side .. "solenoid", case = side .. "engine block",
                               cranking_current = "190 A", cranking_voltage = "10.6 V",
                               cranking_speed = "200 rpm" }

  -- Negative: block to bus to battery
  joint(side .. "negative nut")   { side .. "engine block", side .. "negative lug",
                                    type = "bolted" }
  cable(side .. "negative cable") { side .. "negative lug", "negative bus",
                                    size = "70 mm2", length = e.to_bus }
  cable(side .. "- cable")        { "negative bus", side .. "battery - clamp",
                                    size = "70 mm2", length = e.battery_to_bus }
  joint(side .. "- clamp")   { side .. "battery - clamp", side .. "battery - post", type = "post" }

  -- Start: stud, fuse, helm and back to a relay on the engine
  fuse(side .. "harness fuse")  { side .. "starter stud", side .. "harness feed",
                                  rating = "20 A" }
  cable(side .. "key wire")     { side .. "harness feed", side .. "key in",
                                  size = "4 mm2", length = "7 m" }
  switch(word .. "KEY")         { side .. "key in", side .. "key out", resistance = "10 mohm" }
  switch(word .. "START")       { side .. "key out", side .. "start out", resistance = "10 mohm" }
  cable(side .. "start wire")   { side .. "start out", side .. "relay coil",
                                  size = "1.5 mm2", length = "7 m" }
  relay(side .. "start relay")  { ["30"] = side .. "starter stud", ["87"] = side .. "solenoid",
                                  ["86"] = side .. "relay coil", ["85"] = side .. "engine block" }

  -- Ignition with its fuel pump; temperature gauge and sender; the other instruments
  resistor(side .. "ignition")    { side .. "key out", side .. "engine block",
                                    resistance = "2.5 ohm" }
  resistor(side .. "gauge")       { side .. "key out", side .. "sender wire",
                                    resistance = "120 ohm" }
  resistor(side .. "sender")      { side .. "sender wire", side .. "engine block",
                                    resistance = "90 ohm" }
  resistor(side .. "instruments") { side .. "key out", "helm ground", resistance = "30 ohm" }

  -- Never meant to carry starting current: the ground wire of the instrument harness, and the
  -- steel sheath of the shift cable to the common lever box
  joint(side .. "harness plug")        { side .. "engine block", side .. "harness ground pin",
                                         type = "connector" }
  cable(side .. "harness ground wire") { side .. "harness ground pin", "helm ground",
                                         size = "0.75 mm2", length = "7 m" }
  strap(side .. "shift cable sheath")  { side .. "engine block", "lever box",
                                         per_metre = "60 mohm/m", length = "5 m",
                                         material = "steel" }
end

cable "helm ground wire" { "helm ground", "negative bus", size = "1 mm2", length = "8 m" }

joint "tie port nut"      { "port engine block", "tie port lug", type = "bolted" }
cable "engine tie"        { "tie port lug", "tie starboard lug", size = "70 mm2", length = "1.6 m" }
joint "tie starboard nut" { "tie starboard lug", "starboard engine block", type = "bolted" }

-- Emergency start from the other engine's battery: a switch and its two cables
switch "PARALLEL" { "port isolator out", "starboard isolator out", resistance = "1 mohm" }

-- House battery and panel ------------------------------------------------------------------------

battery "house battery"   { "house battery + post", "house battery - post",
                            cca = "450 A", charge = "90 %" }
joint  "house + clamp"    { "house battery + post", "house battery + clamp", type = "post" }
cable  "house + cable"    { "house battery + clamp", "house isolator in",
                            size = "35 mm2", length = "0.8 m" }
switch "HOUSE_ISOLATOR"   { "house isolator in", "house isolator out",
                            position = "closed", resistance = "0.3 mohm" }
cable  "panel feed"       { "house isolator out", "panel +", size = "35 mm2", length = "3 m" }
cable  "panel return"     { "panel -", "negative bus", size = "35 mm2", length = "3 m" }
cable  "house - cable"    { "negative bus", "house battery - clamp",
                            size = "35 mm2", length = "1 m" }
joint  "house - clamp"    { "house battery - clamp", "house battery - post", type = "post" }

-- Navigation lamps: 10 W each, budget 3 %
fuse   "nav fuse"         { "panel +", "nav fuse out", rating = "10 A" }
switch "NAV"              { "nav fuse out", "nav switch out", resistance = "10 mohm" }
cable  "bow feed"         { "nav switch out", "bow lamps +", size = "2.5 mm2", length = "5 m" }
lamp   "red bow lamp"     { "bow lamps +", "bow lamps -", power = "10 W" }
lamp   "green bow lamp"   { "bow lamps +", "bow lamps -", power = "10 W" }
cable  "bow return"       { "bow lamps -", "panel -", size = "2.5 mm2", length = "5 m" }
cable  "stern feed"       { "nav switch out", "stern lamp +", size = "1.5 mm2", length = "6 m" }
lamp   "stern lamp"       { "stern lamp +", "stern lamp -", power = "10 W" }
cable  "stern return"     { "stern lamp -", "panel -", size = "1.5 mm2", length = "6 m" }
cable  "mast feed"        { "nav switch out", "masthead lamp +", size = "1.5 mm2", length = "5 m" }
lamp   "masthead lamp"    { "masthead lamp +", "masthead lamp -", power = "10 W" }
cable  "mast return"      { "masthead lamp -", "panel -", size = "1.5 mm2", length = "5 m" }

-- Wash-down pump, 6 A, budget 3 %
fuse   "wash fuse"        { "panel +", "wash fuse out", rating = "10 A" }
switch "WASH"             { "wash fuse out", "wash switch out" }
cable  "wash feed"        { "wash switch out", "wash pump +", size = "4 mm2", length = "4 m" }
resistor "wash pump"      { "wash pump +", "wash pump -", resistance = "2 ohm" }
cable  "wash return"      { "wash pump -", "panel -", size = "4 mm2", length = "4 m" }

-- Plotter and radio, 2 A
fuse   "plotter fuse"     { "panel +", "plotter fuse out", rating = "5 A" }
switch "PLOTTER"          { "plotter fuse out", "plotter +" }
resistor "plotter"        { "plotter +", "panel -", resistance = "6 ohm" }

-- Bilge pump, 8 A, budget 3 %. It is fed ahead of the isolator, so that it runs in an empty boat.
fuse   "bilge fuse"       { "house isolator in", "bilge fuse out", rating = "15 A" }
switch "BILGE"            { "bilge fuse out", "bilge switch out" }
cable  "bilge feed"       { "bilge switch out", "bilge pump +", size = "6 mm2", length = "4.5 m" }
resistor "bilge pump"     { "bilge pump +", "bilge pump -", resistance = "1.5 ohm" }
cable  "bilge return"     { "bilge pump -", "negative bus", size = "6 mm2", length = "4.5 m" }

-- Conditions -------------------------------------------------------------------------------------

condition "rest" {}                                       -- alongside, keys off
condition "crank port"      { PORT_KEY = "closed", PORT_START = "closed" }
condition "crank starboard" { STARBOARD_KEY = "closed", STARBOARD_START = "closed" }
condition "crank port paralleled" {                       -- helped by the starboard battery
  PORT_KEY = "closed", PORT_START = "closed", PARALLEL = "closed" }
condition "running night" {
  PORT_KEY = "closed", STARBOARD_KEY = "closed", NAV = "closed", PLOTTER = "closed" }
condition "bilge pumping"   { BILGE = "closed" }

-- Faults -----------------------------------------------------------------------------------------

fault "port negative lug 60 mohm" { "port negative nut: resistance = 60 mohm",
  about = "salt under the lug on the port block; the engine tie hides it" }
fault "tie corroded" { "tie port nut: resistance = 80 mohm",
  about = "the tie's lug is green; nothing shows while both negative lugs are good" }
fault "port negative lug and tie corroded" { "port negative nut: resistance = 60 mohm",
  "tie port nut: resistance = 80 mohm",
  about = "both at once: starting current takes the harness and the shift cables" }
fault "port negative cable off" { "port negative cable: open", "engine tie: open",
  about = "taken off for work and forgotten, the tie too" }
fault "bilge run at a tenth" { "bilge feed: wrong size = 1 mm2", "bilge return: wrong size = 1 mm2",
  about = "rewired for a drop of a tenth, as if the pump were a cabin lamp, instead of 3 %" }
fault "port battery weak" { "port battery: weak = 35 %",
  about = "sulphated; it rests at a good voltage" }
fault "port battery shorted cell" { "port battery: shorted cell",
  about = "five cells are left" }
fault "house battery low" { "house battery: charge = 25 %",
  about = "a week at the mooring with the bilge pump at work" }

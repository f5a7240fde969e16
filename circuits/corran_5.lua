-- Corran 5: the body of a horse box of 12 V with one steel floor for its ground return, for
-- engineers and instructors: ground offset between places on sheet metal. The vehicle and all its
-- data are invented.
--
--   B1 + == main fuse == battery stud --- LIFT fuse, LIFT --- lift pump --- lift lug
--                             |---------- lamp fuse, LIGHTS - rear lamps -- lamp lug
--                             |---------- module fuse ------- rear control, front control
--
--   the floor, 1.8 m x 3.2 m, seen from above, x to the right, y to the rear:
--
--     front ground (0.2, 0.1)   B1 -                  front control ground (1.6, 0.2)
--
--     wheel arch (cut out)                                       wheel arch (cut out)
--
--     lamp ground (0.2, 3.1)      rear control ground (1.3, 2.9)   lift ground (1.5, 3.0)
--
-- What it teaches: the metal itself drops tens of millivolts under a heavy load, and a control
-- grounded near that load stands on the hill while one at the front does not; a rusty stud lifts
-- only what hangs on that stud, a floor gone thin lifts everything around it; a heavy return cable
-- beside the floor takes no more than a third of the current off it.
--
-- Simplified:
--  * One flat sheet: the rails under it, which help, are left out. A chassis would be a cable or a
--    `sheet` of its own from stud to stud.
--  * The floor rusts evenly.

circuit "Corran 5 horse box"

battery "B1"               { "B1 +", "B1 -", cca = "640 A", charge = "95 %" }
joint "B1 - clamp"         { "B1 - lug", "B1 -", type = "post" }
cable "ground cable"       { "B1 - lug", "front lug", size = "35 mm2", length = "0.4 m" }
fuse  "main fuse"          { "B1 +", "battery stud", rating = "200 A", style = "bolt" }

panel "FLOOR"              { width = "1.8 m", height = "3.2 m", thickness = "0.9 mm",
                             stud_diameter = "20 mm",
                             studs = {
                               ["front ground"]         = { "0.2 m", "0.1 m" },
                               ["front control ground"] = { "1.6 m", "0.2 m" },
                               ["rear control ground"]  = { "1.3 m", "2.9 m" },
                               ["lift ground"]          = { "1.5 m", "3.0 m" },
                               ["lamp ground"]          = { "0.2 m", "3.1 m" },
                             },
                             cutouts = { { 0, "2.0 m", "0.25 m", "0.7 m" },
                                         { "1.55 m", "2.0 m", "0.25 m", "0.7 m" } } }
joint "front stud"         { "front lug", "front ground", type = "bolted" }
joint "lift stud"          { "lift lug", "lift ground", type = "bolted" }
joint "lamp stud"          { "lamp lug", "lamp ground", type = "bolted" }
joint "rear control stud"  { "rear control lug", "rear control ground", type = "bolted" }
joint "front control stud" { "front control lug", "front control ground", type = "bolted" }

-- A return cable that can be bolted in beside the floor
cable "return cable"       { "lift lug", "RETURN in", size = "50 mm2", length = "3.6 m" }
switch "RETURN"            { "RETURN in", "front lug", resistance = "0.2 mohm" }

fuse   "lift fuse"         { "battery stud", "lift fuse out", rating = "150 A", style = "bolt" }
switch "LIFT"              { "lift fuse out", "lift feed", resistance = "0.5 mohm" }
cable  "lift cable"        { "lift feed", "lift +", size = "35 mm2", length = "4 m" }
motor  "lift pump"         { "lift +", "lift -", current = "120 A", voltage = "11 V" }
cable  "lift return"       { "lift -", "lift lug", size = "35 mm2", length = "0.4 m" }

fuse   "lamp fuse"         { "battery stud", "lamp fuse out", rating = "10 A" }
switch "LIGHTS"            { "lamp fuse out", "lamp switch out" }
cable  "lamp wire"         { "lamp switch out", "rear lamps +", size = "1.5 mm2", length = "5 m" }
lamp   "rear lamps"        { "rear lamps +", "lamp lug", power = "42 W", voltage = "12 V" }

for _, place in ipairs { "rear", "front" } do
  local name = place .. " control"
  fuse(name .. " fuse")    { "battery stud", name .. " fuse out", rating = "5 A" }
  module(name)             { name .. " fuse out", name .. " -", power = "12 W" }
  cable(name .. " wire")   { name .. " -", name .. " lug", size = "1.5 mm2", length = "0.3 m" }
end

condition "rest" {}
condition "lights on"           { LIGHTS = "closed" }
condition "lift"                { LIGHTS = "closed", LIFT = "closed" }
condition "lift, return cable"  { LIGHTS = "closed", LIFT = "closed", RETURN = "closed" }
condition "lift, floor at 60 C" { LIGHTS = "closed", LIFT = "closed",
                                  FLOOR = { temperature = "60 C" } }

fault "floor rusted thin"   { "FLOOR: thinned = 70 %",
  about = "the floor is eaten away from below; every stud is clean and tight" }
fault "lift stud rusty"     { "lift stud: resistance = 6 mohm",
  about = "the lift is slow; the controls are not lifted by it" }
fault "front stud rusty"    { "front stud: resistance = 6 mohm",
  about = "the way home of everything: the whole floor stands above B1 -" }
fault "aluminium floor"     { "FLOOR: material = aluminium",
  about = "what another metal would do" }

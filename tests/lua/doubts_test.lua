-- Nodes whose names are nearly those of others, those that only look alike, and wires to nowhere.
local T = dofile((arg[0]:match "^(.*/)" or "./") .. "harness.lua")
local strapline = require "strapline"

--- What is said of a wire from one node to a lamp on another, both fed.
local function doubts(a, b)
  local circuit = assert(strapline.parse(([[
battery "B1" { "plus", "minus", cca = "500 A" }
resistor "R1" { "plus", "%s", resistance = "1 ohm" }
resistor "R2" { "%s", "minus", resistance = "1 ohm" }
]]):format(a, b), "doubts.lua"))
  local texts = {}
  for index, doubt in ipairs(circuit.doubts) do texts[index] = doubt.line .. ": " .. doubt.text end
  return table.concat(texts, "\n")
end

for _, pair in ipairs {
  { "engine block", "engine blok" }, { "engine block", "engine bolck" },
  { "engine block", "Engine Block" }, { "engine block", "engineblock" },
  { "lamp in", "lampin" }, { "lamp in", "lamp-in" },
  { "lamp feed 3", "lamp feeed 3" }, { "distribution", "distribtuoin" }, { "ignition", "igintoin" },
} do
  T.case(pair[1] .. " and " .. pair[2], function()
    T.equal(doubts(pair[1], pair[2]), ('3: only one terminal ends on node "%s"; is "%s" of line 2 '
      .. 'meant?'):format(pair[2], pair[1]))
  end)
end

for _, pair in ipairs {
  { "pin 3", "pin 4" }, { "stud +", "stud -" }, { "lamp L", "lamp R" }, { "tail left", "tail right" },
  { "lamp in", "lamp on" }, { "fuse", "fuse out" }, { "relay", "delay out" }, { "feed", "fuse" },
  { "front lamp", "rear lamp" }, { "the stud", "the bolt" },
} do
  T.case(pair[1] .. " and " .. pair[2] .. " are two nodes", function()
    T.equal(doubts(pair[1], pair[2]), "")
  end)
end

T.case("a wire that leads nowhere and a lamp without a ground are told; a stud and the reference are "
  .. "somewhere", function()
  local circuit = assert(strapline.parse([[
battery "B1" { "plus", "minus", cca = "500 A" }
cable "feed" { "plus", "horn", size = "1 mm2", length = "1 m" }
switch "S" { "plus", "lamp" }
lamp "L" { "lamp", "tail", power = "5 W" }
joint "J" { "minus", "floor bolt", type = "bolted" }
panel "floor" { width = "1 m", height = "1 m", thickness = "0.9 mm",
  studs = { ["floor bolt"] = { "0.2 m", "0.2 m" }, ["rear bolt"] = { "0.8 m", "0.8 m" } } }
cable "sense" { "minus", "body", size = "1 mm2", length = "1 m" }
reference "body"
]]))
  T.equal(#circuit.doubts, 2)
  T.equal(circuit.doubts[1].line, 2)
  T.equal(circuit.doubts[1].text, 'nothing but cable "feed" ends on node "horn", so it leads nowhere')
  T.equal(circuit.doubts[2].line, 4)
  T.equal(circuit.doubts[2].text,
    'nothing but lamp "L" ends on node "tail", so no current can flow through it')
end)

T.case("a node that two terminals end on is meant", function()
  local circuit = assert(strapline.parse([[
battery "B1" { "plus", "minus", cca = "500 A" }
resistor "R1" { "plus", "engine block", resistance = "1 ohm" }
resistor "R2" { "engine blocks", "minus", resistance = "1 ohm" }
resistor "R3" { "engine blocks", "engine block", resistance = "1 ohm" }
]]))
  T.equal(#circuit.doubts, 0)
end)

T.finish()

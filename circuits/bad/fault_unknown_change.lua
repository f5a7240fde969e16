-- expects: 3: fault "flat": 'B1: opne': a battery has no fault 'opne' (did you mean 'open'?); allowed: open, +50 mohm, weak = 80 %, low charge = 0 %, shorted cell, added resistance = 10 mohm
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
fault "flat" { "B1: opne" }

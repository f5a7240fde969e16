-- expects: 4: fault "broken": 'R1: opne': a resistor has no fault 'opne' (did you mean 'open'?); allowed: open, +50 mohm, added resistance = 10 mohm
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistance = "4.7 ohm" }
fault "broken" { "R1: opne" }

-- expects: 3: fault "flat": 'B1: charge = 140 %': charge = "140 %" is too high; allowed: 0 % to 100 % (how far it is charged, at rest and without surface charge)
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
fault "flat" { "B1: charge = 140 %" }

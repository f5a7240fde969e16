-- expects: 3: condition "cold": B1: charge = "150 %" is too high; allowed: 0 % to 100 % (how far it is charged, at rest and without surface charge)
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
condition "cold" { B1 = { charge = "150 %" } }

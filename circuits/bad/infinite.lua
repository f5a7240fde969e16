-- expects: 3: resistor "R1": resistance = inf is too large
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistance = 1 / 0 }

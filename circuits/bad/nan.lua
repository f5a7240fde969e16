-- expects: 3: resistor "R1": resistance = nan is not a number (the result of a division 0/0?)
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistance = 0 / 0 }

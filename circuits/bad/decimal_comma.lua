-- expects: 3: resistor "R1": resistance = "4,7 ohm" has a decimal comma; write a point
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistance = "4,7 ohm" }

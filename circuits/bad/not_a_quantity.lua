-- expects: 3: resistor "R1": resistance = "low" is not a resistance; write "10 mohm"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistance = "low" }

-- expects: 3: resistor "R1": resistance = a table is not a resistance; write "10 mohm"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistance = { 4.7 } }

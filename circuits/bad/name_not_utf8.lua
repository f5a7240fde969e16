-- expects: 3: resistor "R\xFF": the name is not UTF-8 text
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R\xFF" { "B1 +", "B1 -", resistance = "4.7 ohm" }

-- expects: 3: resistor "R1": unknown field 'colour'; allowed: resistance, a, b
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistance = "4.7 ohm", colour = "red" }

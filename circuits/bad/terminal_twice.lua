-- expects: 3: resistor "R1": terminal a is given twice, in the list and by name
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", a = "body", resistance = "4.7 ohm" }

-- expects: 3: resistor "": the name is empty
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "" { "B1 +", "B1 -", resistance = "4.7 ohm" }

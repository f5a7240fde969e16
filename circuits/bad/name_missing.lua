-- expects: 3: resistor has no name; write resistor "NAME" { "NODE", "NODE", ... }
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor { "B1 +", "B1 -", resistance = "4.7 ohm" }

-- expects: 3: resistor "R1": lists 3 nodes; a resistor has 2 terminals; write resistor "R1" { "NODE for a", "NODE for b", ... }
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", "body", resistance = "4.7 ohm" }

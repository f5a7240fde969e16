-- expects: 3: resistor "R1": has no nodes; write resistor "R1" { "NODE for a", "NODE for b", ... }
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1"

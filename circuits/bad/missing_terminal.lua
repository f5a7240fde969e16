-- expects: 3: resistor "R1": terminal b has no node; it is the other end; write resistor "R1" { "NODE for a", "NODE for b", ... }
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", resistance = "4.7 ohm" }

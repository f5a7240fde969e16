-- expects: 3: resistor "R1": both ends of its body, a and b, are on node "B1 +"; give two different nodes
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 +", resistance = "4.7 ohm" }

-- expects: 3: resistor "R1": terminal b is on 0; a node is text, such as "B1 +"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", 0, resistance = "4.7 ohm" }

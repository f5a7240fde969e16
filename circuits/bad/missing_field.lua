-- expects: 3: resistor "R1": resistance is missing; write resistance = "4.7 ohm" (its resistance; 0 joins the two nodes into one)
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -" }

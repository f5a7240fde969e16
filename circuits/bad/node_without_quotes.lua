-- expects: 3: unexpected symbol near ','; a node is text in quotes, such as "B1 +"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { B1 +, "B1 -", resistance = "4.7 ohm" }

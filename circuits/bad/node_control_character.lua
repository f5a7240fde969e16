-- expects: 3: resistor "R1": terminal b, node "B1\x0A-": the name has a line break or a control character in it
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1\n-", resistance = "4.7 ohm" }

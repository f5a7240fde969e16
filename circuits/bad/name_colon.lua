-- expects: 3: resistor "R:1": the name has a colon in it, which is kept for faults (PART: CHANGE)
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R:1" { "B1 +", "B1 -", resistance = "4.7 ohm" }

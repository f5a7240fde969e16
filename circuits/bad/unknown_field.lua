-- expects: 3: resistor "R1": unknown field 'resistence' (did you mean 'resistance'?)
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistence = "4.7 ohm" }

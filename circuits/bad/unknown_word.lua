-- expects: 3: unknown word 'resitor' (did you mean 'resistor'?)
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resitor "R1" { "B1 +", "B1 -", resistance = "4.7 ohm" }

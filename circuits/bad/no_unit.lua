-- expects: 3: resistor "R1": resistance = "4.7" has no unit; write "4.7 ohm", or another of ohm, mohm (thousandth), kohm, Mohm (million)
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistance = "4.7" }

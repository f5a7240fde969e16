-- expects: 3: resistor "R1": resistance = "4.7 V" is a voltage; a resistance is wanted, in ohm, mohm (thousandth), kohm, Mohm (million), such as "10 mohm"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistance = "4.7 V" }

-- expects: 3: resistor "R1": resistance = "10 Mhom" has the unknown unit 'Mhom' (did you mean 'Mohm'?); a resistance is written in ohm, mohm (thousandth), kohm, Mohm (million), such as "10 mohm"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistance = "10 Mhom" }

-- expects: 7: measured "H1": has no measured points; write points = { { 6, 4.1 }, { 12, 7.0 } }, each a voltage and its current
-- expects: 8: measured "H2": point 2: "12 A" is a current; a voltage is wanted, in V, mV, such as "12 V"
-- expects: 8: measured "H2": point 3 is not a voltage and a current; write points = { { 6, 4.1 }, { 12, 7.0 } }
-- expects: 9: measured "H3": point 2 is 6 V, 4.1 A; voltages must rise from point to point
-- expects: 10: resistor "R1": unknown field 'points'; allowed: resistance, a, b
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
measured "H1" { "B1 +", "B1 -" }
measured "H2" { "B1 +", "B1 -", points = { { 6, 4.1 }, { "12 A", 7.0 }, 14 } }
measured "H3" { "B1 +", "B1 -", points = { { 12, 7.0 }, { 6, 4.1 } } }
resistor "R1" { "B1 +", "B1 -", resistance = 5, points = { { 12, 7.0 } } }

-- expects: 3: '}' expected (to close '{' at line 2) near 'resistor'; the brace that opens in line 2 is not closed before resistor, or a comma is missing there
battery "B" { "p", "0", cca = "500 A"
resistor "R" { "p", "0", resistance = "5 ohm" }

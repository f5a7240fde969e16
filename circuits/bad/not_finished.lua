-- expects: 4: '}' expected (to close '{' at line 3) near <eof>; the brace that opens in line 3 is not closed before the end of the file, or a comma is missing there
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistance = "4.7 ohm"

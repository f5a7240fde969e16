-- expects: 4: '}' expected (to close '{' at line 3) near <eof>; a circuit file is Lua text, such as battery "B1" { "B1 +", "B1 -", cca = "600 A" }
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistance = "4.7 ohm"

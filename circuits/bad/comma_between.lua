-- expects: 2: syntax error near ','; no comma stands between one part and the next
battery "B" { "p", "0", cca = "500 A" },
resistor "R" { "p", "0", resistance = "5 ohm" }

-- expects: 3: joint "J": unknown field 'corroded'; it is a fault, which is named apart: fault "NAME" { "J: corroded" }
battery "B" { "p", "0", cca = "500 A" }
joint "J" { "p", "0", corroded = "20 mohm" }

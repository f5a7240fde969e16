-- expects: 3: '}' expected near 'mm2'; a value with a unit is text in quotes, such as size = "35 mm2"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
cable "C1" { "B1 +", "stud", size = 35 mm2, length = "1.4 m" }

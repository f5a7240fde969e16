-- expects: 3: cable "C1": size = 35 could be in several units; write text with its unit, such as "35 mm2"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
cable "C1" { "B1 +", "stud", size = 35, length = "1.4 m" }

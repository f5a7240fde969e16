-- expects: 3: cable "C1": size = "5/0 AWG" is not a gauge from 4/0 to 40 AWG; write the size in mm2
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
cable "C1" { "B1 +", "stud", size = "5/0 AWG", length = "1.4 m" }

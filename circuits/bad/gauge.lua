-- expects: 3: cable "C1": size = "00 AWG" is not a gauge; write "6 AWG", "1/0 AWG" or "4/0 AWG"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
cable "C1" { "B1 +", "stud", size = "00 AWG", length = "1.4 m" }

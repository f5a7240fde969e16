-- expects: 2: temperature = 20 could be in several units; write text with its unit, such as "-18 C"
temperature(20)
battery "B1" { "B1 +", "B1 -", cca = "600 A" }

-- expects: 2: temperature is 900 C; allowed: -60 to 200 C
temperature "900 C"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }

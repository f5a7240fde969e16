-- expects: 3: condition "cold": temperature is -180 C; allowed: -60 to 200 C
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
condition "cold" { temperature = "-180 C" }

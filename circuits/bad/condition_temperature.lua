-- expects: 3: condition "cold": temperature = "-18" has no unit; write "-18 C", or another of C, F, K
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
condition "cold" { temperature = "-18" }

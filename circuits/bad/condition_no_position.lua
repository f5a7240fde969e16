-- expects: 3: condition "on": B1 = "closed": a battery has no position to set; write B1 = { FIELD = VALUE }
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
condition "on" { B1 = "closed" }

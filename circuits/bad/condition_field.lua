-- expects: 3: condition "cold": B1: a battery has no field 'chage' (did you mean 'charge'?)
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
condition "cold" { B1 = { chage = "50 %" } }

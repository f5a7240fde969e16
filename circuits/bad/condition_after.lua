-- expects: 3: condition "crank": after = "key on" is not a condition that stands before this one
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
condition "crank" { after = "key on" }
condition "key on" {}

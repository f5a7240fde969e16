-- expects: 4: condition "rest": the name is taken on line 3
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
condition "rest" {}
condition "rest" {}

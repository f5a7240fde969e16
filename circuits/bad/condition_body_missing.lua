-- expects: 3: condition "rest": has no { }; write condition "NAME" { PART = "closed" }
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
condition "rest"

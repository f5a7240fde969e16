-- expects: 4: condition "on": KEY: position = "on" is not one of its choices; allowed: "open", "closed"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
switch "KEY" { "B1 +", "key out" }
condition "on" { KEY = "on" }

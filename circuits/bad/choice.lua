-- expects: 3: switch "KEY": position = "close" is not one of its choices (did you mean 'closed'?); allowed: "open", "closed"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
switch "KEY" { "B1 +", "key out", position = "close" }

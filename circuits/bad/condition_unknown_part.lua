-- expects: 4: condition "on": there is no part 'KEZ' (did you mean 'KEY'?)
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
switch "KEY" { "B1 +", "key out" }
condition "on" { KEZ = "closed" }

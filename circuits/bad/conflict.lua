-- expects: 3: source "E1": voltage: give either `voltage` or `current`, one of the two
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
source "E1" { "B1 +", "B1 -", voltage = "12 V", current = "2 A" }

-- expects: 3: lamp "B1": the name is taken by the battery on line 2; give each part its own name
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
lamp "B1" { "B1 +", "B1 -", power = "21 W" }

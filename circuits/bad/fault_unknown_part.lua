-- expects: 3: fault "flat": 'B2: open': there is no part 'B2'; parts: B1
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
fault "flat" { "B2: open" }

-- expects: 3: fault "flat": 'B1: +0 ohm': "+0 ohm" is not allowed; added resistance is above 0 (an interruption is `open`)
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
fault "flat" { "B1: +0 ohm" }

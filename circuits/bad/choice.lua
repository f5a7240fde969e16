-- expects: 2: battery "B1": type = "floded" is not one of its choices (did you mean 'flooded'?); allowed: "flooded", "agm"
battery "B1" { "B1 +", "B1 -", cca = "600 A", type = "floded" }

-- expects: 3: source "E1": voltage = "400 V" is too high; allowed: -60 V to 60 V (first terminal against second at any current; give this or `current`)
reference "0"
source "E1" { "a", "0", voltage = "400 V" }

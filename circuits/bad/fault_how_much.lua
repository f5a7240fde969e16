-- expects: 3: fault "flat": 'B1: weak': 'weak' needs how much: write weak = "80 %" (5 % to 95 %)
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
fault "flat" { "B1: weak" }

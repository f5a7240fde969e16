-- expects: 3: fault "flat": 'B1 open' has no colon; write 'PART: CHANGE', such as 'R1: open'
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
fault "flat" { "B1 open" }

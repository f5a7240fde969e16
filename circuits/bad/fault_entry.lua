-- expects: 3: fault "flat": abuot = "left on" is not understood; write fault "NAME" { "PART: CHANGE", about = "TEXT" }
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
fault "flat" { "B1: open", abuot = "left on" }

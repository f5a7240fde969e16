-- expects: 3: fault "flat": changes nothing; write fault "NAME" { "PART: CHANGE" }
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
fault "flat" {}

-- expects: 3: relay "K1": terminal 30 needs quotes: ["30"] = "B1 +"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
relay "K1" { [30] = "B1 +", ["87"] = "horn", ["86"] = "button", ["85"] = "B1 -" }

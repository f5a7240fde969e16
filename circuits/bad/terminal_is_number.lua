-- expects: 3: '}' expected near '='; a terminal that begins with a digit needs brackets and quotes: ["30"] = "NODE"
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
relay "K1" { 30 = "B1 +", ["87"] = "horn", ["86"] = "button", ["85"] = "B1 -" }

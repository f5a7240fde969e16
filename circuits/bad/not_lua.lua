-- expects: 2: unexpected symbol near '{'; a circuit file is Lua text, such as battery "B1" { "B1 +", "B1 -", cca = "600 A" }
{ "battery": "B1" }

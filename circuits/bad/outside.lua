-- expects: 3: 'io' is not for circuit files: they reach nothing outside themselves
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
local file = io.open("other.lua")

-- expects: 3: attempt to call a nil value (method 'match'); text here has the methods byte, char, format, len, lower, rep, reverse, sub, upper
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
local first = ("B1 +"):match("%w+")

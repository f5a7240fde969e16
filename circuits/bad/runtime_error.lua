-- expects: 4: attempt to perform arithmetic on a nil value (local 'size')
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
local size
local twice = size * 2

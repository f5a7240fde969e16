-- expects: 3: a function calls itself without end
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
local function feed() return 1 + feed() end
feed()

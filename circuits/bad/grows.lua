-- expects: 4: the file needs more than 256 MB of memory; look for a loop here
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
local name = "node"
while true do name = name .. name end

-- expects: 3: the file does not come to an end: stopped after 50 million instructions or 10 s; look for a loop here
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
while true do end

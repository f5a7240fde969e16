-- expects: 3: unknown word 'wire' (did you mean 'cable'?)
battery "B" { "p", "0", cca = "500 A" }
wire "W" { "p", "0", size = "1 mm2", length = "1 m" }

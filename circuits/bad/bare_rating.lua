-- expects: 3: fuse "F": rating = 5000 is too high; allowed: 0.1 A to 1000 A (the current printed on it); a number without a unit is in A: write it with one, such as "10 A"
battery "B" { "p", "0", cca = "500 A" }
fuse "F" { "p", "0", rating = 5000 }

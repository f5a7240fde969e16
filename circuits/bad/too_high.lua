-- expects: 2: battery "B1": charge = 80 is too high; allowed: 0 % to 100 % (how far it is charged, at rest and without surface charge); a number without a unit is a share, 1 being all of it: write "80 %" for percent
battery "B1" { "B1 +", "B1 -", cca = "600 A", charge = 80 }

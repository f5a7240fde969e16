-- expects: 9: temperature = "20" has no unit; write "20 C", or another of C, F, K
-- expects: 10: battery "B1": cca = "600 V" is a voltage; a current is wanted, in A, mA, kA, such as "10 A"
-- expects: 11: unknown word 'cabel' (did you mean 'cable'?)
-- expects: 12: lamp "L1": terminal b has no node; it is the ground side; write lamp "L1" { "NODE for a", "NODE for b", ... }
-- expects: 12: lamp "L1": power = "-21 W" is too low; allowed: 0.01 W to 2000 W (its rated power at `voltage`; give this or `current`)
-- expects: 13: lamp "B1": both ends of its filament, a and b, are on node "stud"; give two different nodes
-- expects: 13: lamp "B1": the name is taken by the battery on line 10; give each part its own name
-- expects: 14: condition "on": there is no part 'L2'; parts: B1, L1
temperature "20"
battery "B1" { "B1 +", "B1 -", cca = "600 V" }
cabel "C1" { "B1 +", "stud", size = "35 mm2", length = "1.4 m" }
lamp "L1" { "stud", power = "-21 W" }
lamp "B1" { "stud", "stud", power = "21 W" }
condition "on" { L2 = "closed" }

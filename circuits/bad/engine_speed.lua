-- expects: 3: condition "idle": engine_speed = 700 could be in several units; write text with its unit, such as "250 rpm"
alternator "G1" { "stud", "engine" } battery "B1" { "stud", "engine", cca = "600 A" }
condition "idle" { engine_speed = 700 }

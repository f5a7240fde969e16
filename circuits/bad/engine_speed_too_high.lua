-- expects: 3: condition "race": alternator "G1": speed is 40000 rpm; allowed: 0 to 30000 rpm
alternator "G1" { "stud", "engine" } battery "B1" { "stud", "engine", cca = "600 A" }
condition "race" { engine_speed = "40000 rpm" }

-- expects: 4: condition "idle": no part of this circuit turns with the engine, as an alternator does
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
lamp "L1" { "B1 +", "B1 -", power = "21 W" }
condition "idle" { engine_speed = "700 rpm" }

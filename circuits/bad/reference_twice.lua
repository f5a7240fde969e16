-- expects: 3: reference is given twice; the first is on line 2
reference "frame"
reference "body"
lamp "L1" { "body", "frame", power = "21 W" }

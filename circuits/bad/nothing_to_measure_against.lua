-- expects: 1: nothing to measure against; write reference "NODE", or add a battery, whose negative post then serves
resistor "R1" { "a", "b", resistance = "4.7 ohm" }

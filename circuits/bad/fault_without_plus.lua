-- expects: 5: fault "corroded": 'R1: 2 ohm': added resistance has a plus: '+2 ohm'
-- expects: 6: fault "burned": 'M1: contacts 5 mohm': added resistance has a plus: 'contacts +5 mohm'
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { "B1 +", "B1 -", resistance = "4.7 ohm" } starter "M1" { "B1 +", "B1 -" }
fault "corroded" { "R1: 2 ohm" }
fault "burned" { "M1: contacts 5 mohm" }

-- expects: 4: fault "burned": 'M1: +5 mohm': a starter has several paths; say which: 'contacts +5 mohm', 'pull-in +5 mohm', 'hold-in +5 mohm', 'motor +5 mohm'
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
starter "M1" { "B1 +", "B1 -" }
fault "burned" { "M1: +5 mohm" }

-- expects: 2: reference "frme": no part ends on that node (did you mean 'frame'?)
reference "frme"
lamp "L1" { "feed", "frame", power = "21 W" }

-- expects: 3: unknown word 'post'; a node, a part or a choice is text: "post"; `strapline words` lists all words
battery "B1" { "B1 +", "B1 -", cca = "600 A" }
resistor "R1" { post, "B1 -", resistance = "4.7 ohm" }

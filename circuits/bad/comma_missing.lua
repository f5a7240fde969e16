-- expects: 2: '}' expected near '"0"'; a comma, or a quote, is missing before "0"
battery "B" { "p" "0", cca = "500 A" }

-- expects: 14: panel "P1": thickness is missing; write thickness = "0.8 mm" (of the metal, without paint)
-- expects: 15: panel "P2": has no studs; write studs = { ["NODE"] = { "0.1 m", "0.2 m" } }
-- expects: 16: panel "P3": unknown field 'colour'; allowed: studs, cutouts, width, height, stud_diameter, mesh, thickness, material, thinned, temperature
-- expects: 16: panel "P3": stud "B": x = "0.5 V" is a voltage; a length is wanted, in m, cm, mm, ft, in, such as "1.4 m"
-- expects: 18: panel "P4": stud "B": it touches stud "A"; put both conductors on one stud, or move them apart
-- expects: 20: panel "P5": the mesh of 0.02 m is too coarse for stud "A", 0.02 m across; allowed: up to half of that
-- expects: 22: panel "P6": stud "A": unknown field 'diametre' (did you mean 'diameter'?)
-- expects: 24: panel "P7": cut-out 1: is not x, y, width and height; write cutouts = { { "0.5 m", "1 m", "0.4 m", "0.3 m" } }
-- expects: 27: panel "P8": stud "B" is at 1.5 m, 0.1 m; allowed: 0 to 1 m in x and 0 to 2 m in y, a bar with all its length
-- expects: 31: condition "wide": P9: a panel has no field 'width'; allowed: thickness, material, thinned, temperature
-- expects: 32: panel "P9": has no { }; write panel "NAME" { width = LENGTH, height = LENGTH, thickness = LENGTH, studs = { ["NODE"] = { X, Y } } }
-- expects: 32: panel "P9": the name is taken by the panel on line 29; give each part its own name
reference "A"
panel "P1" { width = "1 m", height = "2 m", studs = { A = { "0.1 m", "0.1 m" }, B = { 0.5, 0.5 } } }
panel "P2" { width = "1 m", height = "2 m", thickness = "1 mm" }
panel "P3" { width = "1 m", height = "2 m", thickness = "1 mm", colour = "red",
             studs = { A = { "0.1 m", "0.1 m" }, B = { "0.5 V", 0.5 } } }
panel "P4" { width = "1 m", height = "2 m", thickness = "1 mm",
             studs = { A = { "0.1 m", "0.1 m" }, B = { "0.11 m", "0.1 m" } } }
panel "P5" { width = "1 m", height = "2 m", thickness = "1 mm", mesh = "2 cm",
             studs = { A = { "0.1 m", "0.1 m" }, B = { "0.5 m", "0.1 m" } } }
panel "P6" { width = "1 m", height = "2 m", thickness = "1 mm",
             studs = { A = { "0.1 m", "0.1 m", diametre = 0.01 }, B = { "1.5 m", "0.1 m" } } }
panel "P7" { width = "1 m", height = "2 m", thickness = "1 mm",
             studs = { A = { "0.1 m", "0.1 m" }, B = { "0.5 m", "0.1 m" } },
             cutouts = { { "0.4 m", 0, "0.2 m" } } }
panel "P8" { width = "1 m", height = "2 m", thickness = "1 mm",
             studs = { A = { "0.1 m", "0.1 m" }, B = { "1.5 m", "0.1 m" } } }
panel "P9" { width = "1 m", height = "2 m", thickness = "1 mm",
             studs = { A = { "0.1 m", "0.1 m" }, B = { "0.5 m", "0.1 m" } } }
condition "wide" { P9 = { width = "3 m" } }
panel "P9" ()

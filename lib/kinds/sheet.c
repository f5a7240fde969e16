/* lib/kinds/sheet.c: sheet metal between two places on it, its resistance told in squares. */
#include "kinds/conductor.h"

#include <math.h>

enum { SQUARES, THICKNESS, MATERIAL, THINNED, TEMPERATURE };
enum { METAL };

static const sl_terminal terminals[] = {
    {"a", false, "one place on the sheet"},
    {"b", false, "the other"},
};

static const sl_param params[] = {
    [SQUARES] = {"squares", SL_NUMBER, SL_REQUIRED, SL__NAN, 1e-9, 1e100, NULL,
                 "how many squares of the sheet in series have this resistance: the length of a "
                 "strip over its width. A square has the same resistance at any size",
                 ""},
    [THICKNESS] = {"thickness", SL_LENGTH, SL_REQUIRED, SL__NAN, 1e-6, 0.1, NULL,
                   "of the metal, without paint", ""},
    [MATERIAL] = {"material", SL_CHOICE, SL_DEFAULT, SL__METAL_STEEL, 0.0, SL__METAL_LAST,
                  sl__metal_names, "the metal; sets resistivity and temperature coefficient",
                  "bodies are made of low-carbon steel, 1.43e-7 ohm m, from memory (1.0e-7 to "
                  "1.8e-7 seen)"},
    [THINNED] = {"thinned", SL_FRACTION, SL_DEFAULT, 0.0, 0.0, 0.9999, NULL,
                 "part of the thickness that is gone, everywhere alike", "a sound sheet"},
    [TEMPERATURE] = {"temperature", SL_TEMPERATURE, SL_DEFAULT, SL__NAN, -60.0, 300.0, NULL,
                     "of the metal; that of the circuit when not given", "the circuit's"},
};

static const sl_element elements[] = {
    [METAL] = {"metal", 0, 1, "the sheet between the two"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, METAL, 0.0, 0.0, "torn, cut or rusted through all the way across",
     SL__PRACTICE},
    {"thinned", SL_SET, THINNED, 0.01, 0.9999,
     "rusted thin; the value is the part of the thickness that is gone", SL__PRACTICE},
};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)state;
    const int metal = (int)p[MATERIAL];
    const double celsius = sl__temperature_or(p[TEMPERATURE], ambient_c);
    const double square_ohm = sl__metal_ohm_m(metal) *
                              sl__temperature_factor(sl__metal_per_k(metal), celsius) /
                              (p[THICKNESS] * (1.0 - p[THINNED]));
    sl__law_resistor(&law[METAL], p[SQUARES] * square_ohm);
}

const sl__kind sl__kind_sheet = {
    .about =
        {
            .name = "sheet",
            .doc = "Sheet metal between two places on it, as one resistance: a floor, a wing, a "
                   "bulkhead that carries a ground current. A `panel` works the squares out from "
                   "the outline and its studs.",
            .law = "R = squares x resistivity x (1 + a (T - 20 C)) / (thickness x (1 - thinned))",
            .standing = "resistance of a uniform strip; resistivity and a of copper: NBS Handbook "
                        "100; of the other metals: from memory",
            .check =
                "R = rho L / (W t) of a uniform strip, two discs in a large sheet by images, and "
                "van der Pauw's theorem (Philips Research Reports 13, 1958)",
            SL__TABLES(terminals, params, elements, modes),

            .uses = (const sl_use[]){SL_WIRE},
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "sheet \"FLOOR\" { \"rear ground\", \"front ground\", squares = 2.5, "
                       "thickness = \"0.8 mm\" }",
        },
    .laws = laws,
};

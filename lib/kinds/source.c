/* lib/kinds/source.c: an ideal source of voltage or of current. */
#include "kinds/kind.h"

#include <math.h>

enum { VOLTAGE, CURRENT };
enum { BODY };

static const sl_terminal terminals[] = {
    {"positive", false, "the positive end of a voltage source; the end a current source feeds"},
    {"negative", false, "the other end"},
};

static const sl_param params[] = {
    [VOLTAGE] = {"voltage", SL_VOLTAGE, SL_DEFAULT, SL__NAN, -60.0, 60.0, NULL,
                 "first terminal against second at any current; give this or `current`", ""},
    [CURRENT] = {"current", SL_CURRENT, SL_DEFAULT, SL__NAN, -1e5, 1e5, NULL,
                 "leaves the first terminal into the circuit at any voltage", ""},
};

static const sl_usual usual[] = {{CURRENT, 10.0}};

static const sl_element elements[] = {
    [BODY] = {"body", 0, 1, "the source"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, BODY, 0.0, 0.0, "not connected", SL__PRACTICE},
};

static bool complete(double *p, sl__complaint *bad)
{
    if (isnan(p[VOLTAGE]) == isnan(p[CURRENT])) {
        *bad = (sl__complaint){VOLTAGE, "give either `voltage` or `current`, one of the two"};
        return false;
    }
    return true;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    if (isnan(p[CURRENT])) {
        law[BODY].form = SL__OHMIC;
        law[BODY].open_v = p[VOLTAGE];
    } else {
        law[BODY].form = SL__FIXED;
        law[BODY].amp = -p[CURRENT];
    }
}

const sl__kind sl__kind_source = {
    .about =
        {
            .name = "source",
            .doc = "An ideal source: a voltage at any current, or a current at any voltage.",
            .law = "v = E, or i = J",
            .standing = "definition",
            .check = "textbook circuits with ideal sources: OpenStax University Physics "
                     "vol. 2, example 10.1 and others, to the digits printed",
            SL__TABLES(terminals, params, elements, modes),
            .usual = usual,
            .usual_count = SL__COUNT(usual),
            .uses = (const sl_use[]){SL_GIVES},
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "source \"E1\" { \"a\", \"0\", voltage = \"12 V\" }",
        },
    .complete = complete,
    .laws = laws,
};

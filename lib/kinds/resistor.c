/* lib/kinds/resistor.c: a fixed resistance between two nodes; 0 ohm makes them one node. */
#include "kinds/kind.h"

#include <math.h>

enum { RESISTANCE };
enum { BODY };

static const sl_terminal terminals[] = {
    {"a", false, "one end"},
    {"b", false, "the other end"},
};

static const sl_param params[] = {
    [RESISTANCE] = {"resistance", SL_RESISTANCE, SL_REQUIRED, SL__NAN, 0.0, 1e15, NULL,
                    "its resistance; 0 joins the two nodes into one", ""},
};

static const sl_element elements[] = {
    [BODY] = {"body", 0, 1, "the resistance"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, BODY, 0.0, 0.0, "burnt out or broken", SL__PRACTICE},
    {"added resistance", SL_SERIES, BODY, 1e-3, 1e3, "a poor joint in series", SL__PRACTICE},
};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    sl__law_resistor(&law[BODY], p[RESISTANCE]);
}

const sl__kind sl__kind_resistor = {
    .about =
        {
            .name = "resistor",
            .doc = "A fixed resistance.",
            .law = "i = v / R",
            .standing = "Ohm's law",
            .check = "Ohm's law in textbook circuits: OpenStax University Physics vol. 2, "
                     "example 10.1 and others, to the digits printed",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LOAD_OTHER},
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "resistor \"R1\" { \"a\", \"b\", resistance = \"4.7 ohm\" }",
        },
    .laws = laws,
};

/* lib/kinds/supply.c: a bench supply: a set voltage up to a set current. */
#include "kinds/limited.h"

#include <math.h>

enum { VOLTAGE, CURRENT_LIMIT, OUTPUT_RESISTANCE, OUTPUT };
enum { POSITIVE, NEGATIVE, INSIDE };
enum { REGULATOR, REFERENCE };
enum { OFF, ON };
enum { LIMITING, REVERSED };

#define SOFT 1e-4        /* of the limit, per volt: from memory */
#define BLEED_S 1e-4     /* of the output when it blocks: from memory */
#define REVERSE_V 0.7    /* of the diode across its output: from memory */
#define REVERSE_OHM 0.02 /* of the same */

static const sl_terminal terminals[] = {
    [POSITIVE] = {"positive", false, "the positive socket"},
    [NEGATIVE] = {"negative", false, "the negative socket"},
    [INSIDE] = {"inside", true, "behind its regulator, where no lead reaches: leave it out"},
};

static const char *const outputs[] = {"off", "on", NULL};

static const sl_param params[] = {
    [VOLTAGE] = {"voltage", SL_VOLTAGE, SL_REQUIRED, SL__NAN, 0.0, 60.0, NULL,
                 "it is set to, without load", ""},
    [CURRENT_LIMIT] = {"current_limit", SL_CURRENT, SL_DEFAULT, 5.0, 1e-3, 1000.0, NULL,
                       "it is set to: with more load it holds this current, and the voltage falls",
                       "from memory: small bench supplies give 3 to 10 A"},
    [OUTPUT_RESISTANCE] = {"output_resistance", SL_RESISTANCE, SL_DEFAULT, 5e-3, 1e-6, 10.0, NULL,
                           "while it holds its voltage", SL__FROM_MEMORY},
    [OUTPUT] = {"output", SL_CHOICE, SL_DEFAULT, ON, OFF, ON, outputs, "whether it is switched on",
                SL__CONNECTED},
};

static const sl_element elements[] = {
    [REGULATOR] = {"regulator", POSITIVE, INSIDE, "lets current out up to the limit, and none in"},
    [REFERENCE] = {"reference", INSIDE, NEGATIVE, "the voltage without load"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, -1, 0.0, 0.0, "not connected", SL__PRACTICE},
    {"added resistance", SL_SERIES, REGULATOR, 1e-3, 10.0, "long leads or a poor contact",
     SL__PRACTICE},
    {"limit too low", SL_SET, CURRENT_LIMIT, 0.1, 1.0, "its limit is set below what the load takes",
     SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [LIMITING] = {"current limit", SL_CURRENT, "at its current limit of @"},
    [REVERSED] = {"reversed", SL_CURRENT, "the wrong way round: @ through the diode at its output"},
    SL__HOT_SPOT_ROW,
};

static sl__limited regulator(const double *p)
{
    const double volts = p[OUTPUT] == ON ? p[VOLTAGE] : 0.0;
    return (sl__limited){.limit_a = p[OUTPUT] == ON ? p[CURRENT_LIMIT] : 0.0,
                         .give_v = p[CURRENT_LIMIT] * p[OUTPUT_RESISTANCE],
                         .soft = SOFT,
                         .leak_s = BLEED_S,
                         .reverse_v = -volts - REVERSE_V,
                         .reverse_s = 1.0 / REVERSE_OHM};
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    const sl__limited limited = regulator(p);
    sl__law_limited(&law[REGULATOR], &limited, p[CURRENT_LIMIT]);
    law[REFERENCE].form = SL__OHMIC;
    law[REFERENCE].open_v = p[OUTPUT] == ON ? p[VOLTAGE] : 0.0;
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    const sl__limited limited = regulator(p);
    const double sockets_v = flow[REGULATOR].v + flow[REGULATOR].added_v + flow[REFERENCE].v;
    if (sockets_v < SL__REVERSED_V) {
        sl__notice(list, REVERSED, -flow[REGULATOR].i);
    } else if (sl__at_limit(&limited, flow[REGULATOR].i)) {
        sl__notice(list, LIMITING, -flow[REGULATOR].i);
    }
}

const sl__kind sl__kind_supply = {
    .about =
        {
            .name = "supply",
            .doc = "A bench supply, or a charger that holds a voltage: it holds a voltage up to a "
                   "current, then the current. It takes no current back; put the wrong way round "
                   "on a battery, the diode across its output conducts.",
            .law =
                "v = voltage - i output_resistance up to current_limit; below that voltage the "
                "limit, and 0.01 % more for each volt. Backwards 10 kohm; below -0.7 V a diode of "
                "20 mohm.",
            .standing = "definition; the softness of the limit, the bleed and the diode: from "
                        "memory",
            .check = "none published; its limit and its diode against values worked out by "
                     "hand",
            SL__TABLES(terminals, params, elements, modes),
            .inside = SL_TERMINAL_BIT(INSIDE),
            .uses = (const sl_use[]){SL_GIVES, SL_GIVES},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = OUTPUT,
            .negative_post = -1,
            .example = "supply \"PS1\" { \"red\", \"black\", voltage = \"12.6 V\", "
                       "current_limit = \"5 A\" }",
        },
    .laws = laws,
    .notice = notice,
};

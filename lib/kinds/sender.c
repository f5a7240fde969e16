/* lib/kinds/sender.c: a resistive sender: fuel level, pressure, position. */
#include "kinds/kind.h"

#include <math.h>

enum { TRAVEL, EMPTY, FULL };
enum { TRACK };

static const sl_terminal terminals[] = {
    {"signal", false, "to the gauge"},
    {"ground", false, "its ground: a wire, or where it is screwed in"},
};

static const sl_param params[] = {
    [TRAVEL] = {"travel", SL_FRACTION, SL_DEFAULT, 0.5, 0.0, 1.0, NULL,
                "where it stands, from empty to full", "half: to be set"},
    [EMPTY] = {"empty", SL_RESISTANCE, SL_DEFAULT, 240.0, 0.1, 1e6, NULL,
               "its resistance at empty; 10 ohm for a 10 to 180 ohm sender",
               "from memory: 240 to 33 ohm in American boats and trucks, 10 to 180 ohm elsewhere"},
    [FULL] = {"full", SL_RESISTANCE, SL_DEFAULT, 33.0, 0.1, 1e6, NULL,
              "its resistance at full; 180 ohm for a 10 to 180 ohm sender", SL__FROM_MEMORY},
};

static const sl_element elements[] = {
    [TRACK] = {"track", 0, 1, "the resistance between wiper and ground"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, TRACK, 0.0, 0.0, "a worn track or a wire off", SL__PRACTICE},
    {"added resistance", SL_SERIES, TRACK, 0.1, 1e4, "a poor ground or a worn wiper", SL__PRACTICE},
    {"stuck", SL_SET, TRAVEL, 0.0, 1.0, "a stuck float or lever: stays where it is", SL__PRACTICE},
};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    sl__law_resistor(&law[TRACK], p[EMPTY] + p[TRAVEL] * (p[FULL] - p[EMPTY]));
}

const sl__kind sl__kind_sender = {
    .about =
        {
            .name = "sender",
            .doc = "A sender whose resistance tells where it stands. A `gauge` reads it.",
            .law = "v = i R, R straight from `empty` to `full` over its travel",
            .standing = "Ohm's law",
            .check = "none published; Ohm's law from empty to full",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LOAD_SENSOR},
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "sender \"TANK\" { \"gauge S\", \"tank\", travel = \"75 %\" }",
        },
    .laws = laws,
};

/* lib/kinds/jump_pack.c: a booster battery with its leads, clamps and limit. */
#include "kinds/limited.h"

#include <math.h>

enum { VOLTAGE, RESISTANCE, CURRENT_LIMIT, CLAMPS };
enum { POSITIVE, NEGATIVE, INSIDE };
enum { LEADS, CELLS };
enum { OFF, ON };
enum { HELPS, LIMITING, REVERSED };

#define SOFT 1e-3   /* of the limit, per volt: from memory */
#define LEAK_S 1e-6 /* of its blocked output: from memory */
#define BACK_V 60.0 /* backwards nothing conducts, up to the greatest voltage there is */
#define HELPS_A 1.0 /* less is not worth saying */

static const sl_terminal terminals[] = {
    [POSITIVE] = {"positive", false, "the red clamp, on the positive post of the flat battery"},
    [NEGATIVE] = {"negative", false,
                  "the black clamp, the last one: on bare metal of the engine, away from its "
                  "battery"},
    [INSIDE] = {"inside", true, "behind its electronics, where no lead reaches: leave it out"},
};

static const char *const positions[] = {"off", "on", NULL};

static const sl_param params[] = {
    [VOLTAGE] = {"voltage", SL_VOLTAGE, SL_DEFAULT, 13.2, 1.0, 60.0, NULL,
                 "at its clamps without load; 26.4 V for 24 V",
                 "four lithium iron phosphate cells of 3.3 V: from memory; three cells of other "
                 "lithium packs 12.4 V, lead-acid ones 12.8 V"},
    [RESISTANCE] = {"resistance", SL_RESISTANCE, SL_DEFAULT, 10e-3, 1e-4, 10.0, NULL,
                    "of cells, electronics, leads and both clamps", "from memory: 5 to 20 mohm"},
    [CURRENT_LIMIT] = {"current_limit", SL_CURRENT, SL_DEFAULT, 400.0, 1.0, 5000.0, NULL,
                       "the most it gives: its starting current; the peak current on the box lasts "
                       "an instant and starts nothing",
                       "from memory: small ones 200 to 600 A"},
    [CLAMPS] = {"clamps", SL_CHOICE, SL_DEFAULT, ON, OFF, ON, positions,
                "whether they are put on and the pack is switched on", SL__CONNECTED},
};

static const sl_element elements[] = {
    [LEADS] = {"leads", POSITIVE, INSIDE, "lets current out up to the limit, and none in"},
    [CELLS] = {"cells", INSIDE, NEGATIVE, "the voltage without load"},
};

static const sl_mode modes[] = {
    {"flat", SL_SET, VOLTAGE, 6.0, 12.0, "not charged for months", SL__PRACTICE},
    {"weak", SL_SET, CURRENT_LIMIT, 20.0, 200.0, "cold or worn: the value is what it still gives",
     SL__PRACTICE},
    {"poor clamp", SL_SERIES, LEADS, 1e-3, 1.0, "teeth on paint, dirt or thin sheet", SL__PRACTICE},
    {"open", SL_OPEN, LEADS, 0.0, 0.0, "a clamp that is off, or the pack has switched itself off",
     SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [HELPS] = {"helps", SL_CURRENT, "helps with @"},
    [LIMITING] = {"current limit", SL_CURRENT, "gives all it can: @"},
    [REVERSED] = {"reversed", SL_CURRENT, "clamped the wrong way round: @ through it"},
    SL__HOT_SPOT_ROW,
};

static sl__limited leads(const double *p)
{
    return (sl__limited){.limit_a = p[CURRENT_LIMIT],
                         .give_v = p[CURRENT_LIMIT] * p[RESISTANCE],
                         .soft = SOFT,
                         .leak_s = LEAK_S,
                         .reverse_v = -p[VOLTAGE] - BACK_V,
                         .reverse_s = LEAK_S};
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    law[CELLS].form = SL__OHMIC;
    law[CELLS].open_v = p[VOLTAGE];
    if (p[CLAMPS] == ON) {
        const sl__limited limited = leads(p);
        sl__law_limited(&law[LEADS], &limited, p[CURRENT_LIMIT] / p[VOLTAGE]);
    }
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    const sl__limited limited = leads(p);
    const double gives = -flow[LEADS].i;
    const double clamps_v = flow[LEADS].v + flow[LEADS].added_v + flow[CELLS].v;
    if (gives < HELPS_A) {
        return;
    }
    if (clamps_v < SL__REVERSED_V) {
        sl__notice(list, REVERSED, gives);
    } else if (sl__at_limit(&limited, flow[LEADS].i)) {
        sl__notice(list, LIMITING, gives);
    } else {
        sl__notice(list, HELPS, gives);
    }
}

const sl__kind sl__kind_jump_pack = {
    .about =
        {
            .name = "jump_pack",
            .doc = "A jump pack, with its leads and clamps. It takes no current back from the "
                   "vehicle. That it gets flat, refuses a battery that is all flat or the wrong "
                   "way round, and switches itself off after some seconds is left out.",
            .law = "v = voltage - i resistance up to current_limit; below that voltage the limit, "
                   "and 0.1 % more for each volt; backwards 1 Mohm",
            .standing = "definition; all numbers: from memory",
            .check = "none published; its limit and what it adds to a flat battery against values "
                     "worked out by hand",
            SL__TABLES(terminals, params, elements, modes),
            .inside = SL_TERMINAL_BIT(INSIDE),
            .uses = (const sl_use[]){SL_GIVES, SL_GIVES},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = CLAMPS,
            .negative_post = -1,
            .example = "jump_pack \"JP\" { \"B1 +\", \"engine\", current_limit = \"400 A\" }",
        },
    .laws = laws,
    .notice = notice,
};

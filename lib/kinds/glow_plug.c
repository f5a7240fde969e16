/* lib/kinds/glow_plug.c: a glow plug, or any heating wire whose resistance rises as it heats. */
#include "kinds/rating.h"

#include <math.h>

enum { POWER, CURRENT, VOLTAGE, COLD_RATIO, ELEMENT };
enum { BODY };
enum { HOT, COLD };
enum { GLOWS, DARK };

static const sl_terminal terminals[] = {
    {"a", false, "the feed side"},
    {"b", false, "the ground side: the engine"},
};

static const char *const element_choices[] = {"hot", "cold", NULL};

static const sl_param params[] = {
    [POWER] = SL__RATING_POWER_ROW(0.1, 20000.0),
    [CURRENT] = SL__RATING_CURRENT_ROW(0.01, 2000.0),
    [VOLTAGE] = SL__RATING_VOLTAGE_ROW,
    [COLD_RATIO] = {"cold_ratio", SL_NUMBER, SL_DEFAULT, 2.0, 1.0, 20.0, NULL,
                    "resistance hot, at the rated voltage, over resistance cold; 1: a heater that "
                    "does not limit itself",
                    "2, from memory: about 25 A at first and 10 to 12 A hot for a metal plug"},
    [ELEMENT] = {"element", SL_CHOICE, SL_DEFAULT, HOT, HOT, COLD, element_choices,
                 "hot: after some seconds, when it has settled; cold: in the first moment",
                 "a choice: the moment that lasts"},
};

static const sl_element elements[] = {
    [BODY] = {"body", 0, 1, "the heating wire"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, BODY, 0.0, 0.0, "burnt through", SL__PRACTICE},
    {"added resistance", SL_SERIES, BODY, 1e-3, 1e2, "a loose nut or a poor thread", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [GLOWS] = {"heat", SL_FRACTION, "heats at @ of its rated power"},
    [DARK] = {"cold", SL_NUMBER, "does not heat"},
    SL__HOT_SPOT_ROW,
};

static const double DARK_POWER = 0.01;

static bool complete(double *p, sl__complaint *bad)
{
    return sl__rating_complete(p, (sl__rating){POWER, CURRENT, VOLTAGE}, bad);
}

/* R = R_cold + (R_hot - R_cold) P / P_rated with P = v^2 / R: a quadratic in R. */
enum { COLD_OHM, RISE };

static void curve(const double *k, double v, double *i, double *slope)
{
    const double root = hypot(k[COLD_OHM], k[RISE] * v);
    const double twice_ohm = k[COLD_OHM] + root;
    *i = 2.0 * v / twice_ohm;
    *slope = 2.0 * k[COLD_OHM] / (twice_ohm * root);
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    const double hot_ohm = p[VOLTAGE] / p[CURRENT];
    const double cold_ohm = hot_ohm / p[COLD_RATIO];
    if (p[ELEMENT] == COLD) {
        sl__law_resistor(&law[BODY], cold_ohm);
        return;
    }
    law[BODY].form = SL__CURVE;
    law[BODY].curve = curve;
    law[BODY].scale_s = 1.0 / hot_ohm;
    law[BODY].k[COLD_OHM] = cold_ohm;
    law[BODY].k[RISE] = 2.0 * sqrt((hot_ohm - cold_ohm) * hot_ohm) / p[VOLTAGE];
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    const double heat = flow[BODY].v * flow[BODY].i / p[POWER];
    if (heat >= DARK_POWER) {
        sl__notice(list, GLOWS, heat);
    } else if (sl__rating_on(&flow[BODY], p[VOLTAGE])) {
        sl__notice(list, DARK, 0.0);
    }
}

const sl__kind sl__kind_glow_plug = {
    .about =
        {
            .name = "glow_plug",
            .doc = "A glow plug, or another heating wire that limits itself as it heats. Ceramic "
                   "heaters that cut off at a temperature are not shown: measure one, and use "
                   "`measured`.",
            .law = "R = R_cold + (R_hot - R_cold) P / P_rated: its resistance rises with the power "
                   "it takes; v = i R",
            .standing = "heat lost in proportion to temperature, an assumption; cold below 1 % of "
                        "its power: " SL__PRACTICE "; " SL__RATING_ON,
            .check = "none published; its balance of heat against a solution by halving",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LOAD_OTHER},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = ELEMENT,
            .negative_post = -1,
            .example = "glow_plug \"G1\" { \"glow rail\", \"engine\", current = \"11 A\" }",
        },
    .complete = complete,
    .laws = laws,
    .notice = notice,
};

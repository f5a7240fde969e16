/* lib/kinds/diode.c: a power diode: for blocking, isolating and suppressing. */
#include "kinds/diode.h"

#include <math.h>

enum { RATED_CURRENT, TYPE, DROP, LEAK_RESISTANCE, TEMPERATURE, SHORTED };
enum { JUNCTION };
enum { SOUND, IS_SHORTED };
enum { OVERLOADED };

#define KELVIN_20_C 293.15
#define THERMAL_V_PER_K 8.617333262e-5 /* Boltzmann's constant over the elementary charge */
#define SERIES_SHARE 0.15              /* of the drop at the rated current: from memory */
#define FALL_PER_K 0.0026              /* of the drop of the junction: from memory, 2 mV/K */

static const struct {
    double emission, drop_v;
} types[] = {
    [SL__SILICON] = {1.8, 0.9},
    [SL__SCHOTTKY] = {1.1, 0.5},
};

double sl__diode_drop_v(int type)
{
    return types[type].drop_v;
}

double sl__diode_ohm(const sl__junction *junction)
{
    return SERIES_SHARE * junction->drop_v / junction->rated_a;
}

enum { THERMAL_V, SATURATION_A, OHM, LEAK_S };

/* i from v = U ln(1 + i / Is) + i R. With y = ln(1 + i / Is) it is U y + R Is (exp(y) - 1) = v,
   convex and rising in y: from a y that is not too small Newton's steps only come down, and no y
   tried is greater than ln(1 + v / (R Is)), so that nothing overflows. */
static void diode_curve(const double *k, double v, double *i, double *slope)
{
    const double r_is = k[OHM] * k[SATURATION_A];
    double y = v > 0.0 ? fmin(v / k[THERMAL_V], log1p(v / r_is)) : v / (k[THERMAL_V] + r_is);
    for (int32_t round = 0; round < 60; round++) {
        const double over = k[THERMAL_V] * y + r_is * expm1(y) - v;
        const double step = over / (k[THERMAL_V] + r_is * exp(y));
        y -= step;
        if (!(fabs(step) > 1e-9 * fabs(y))) { /* squared by the step that was just made */
            break;
        }
    }
    *i = k[SATURATION_A] * expm1(y) + k[LEAK_S] * v;
    const double steep = k[SATURATION_A] * exp(y);
    *slope = steep / (k[THERMAL_V] + k[OHM] * steep) + k[LEAK_S];
}

void sl__law_diode(sl__law *law, const sl__junction *junction)
{
    const double kelvin = junction->celsius - 20.0;
    const double thermal_v =
        types[junction->type].emission * THERMAL_V_PER_K * (KELVIN_20_C + kelvin);
    const double drop_v = (1.0 - SERIES_SHARE) * junction->drop_v * (1.0 - FALL_PER_K * kelvin);
    law->form = SL__CURVE;
    law->curve = diode_curve;
    law->scale_s = junction->rated_a / junction->drop_v;
    law->k[THERMAL_V] = thermal_v;
    law->k[SATURATION_A] = junction->rated_a / expm1(drop_v / thermal_v);
    law->k[OHM] = sl__diode_ohm(junction);
    law->k[LEAK_S] = 1.0 / junction->leak_ohm;
}

static const sl_terminal terminals[] = {
    {"anode", false, "where current enters"},
    {"cathode", false, "where it leaves: the end with the ring"},
};

static const char *const type_choices[] = {"silicon", "schottky", NULL};
static const char *const shorted_choices[] = {"no", "yes", NULL};

static const sl_param params[] = {
    [RATED_CURRENT] = {"rated_current", SL_CURRENT, SL_REQUIRED, SL__NAN, 1e-3, 5000.0, NULL,
                       "it may carry", ""},
    [TYPE] = {"type", SL_CHOICE, SL_DEFAULT, SL__SILICON, SL__SILICON, SL__SCHOTTKY, type_choices,
              SL__DIODE_TYPE_DOC, SL__PRACTICE},
    [DROP] = {"drop", SL_VOLTAGE, SL_DERIVED, SL__NAN, 0.1, 5.0, NULL, SL__DIODE_DROP_DOC,
              SL__DIODE_DROP_STANDING},
    [LEAK_RESISTANCE] = {"leak_resistance", SL_RESISTANCE, SL_DEFAULT, 1e6, 0.1, 1e9, NULL,
                         "of a diode that blocks", SL__FROM_MEMORY},
    [TEMPERATURE] = {"temperature", SL_TEMPERATURE, SL_DEFAULT, SL__NAN, -60.0, 200.0, NULL,
                     "of the junction, which its own loss warms; that of the circuit when not "
                     "given",
                     "the circuit's"},
    [SHORTED] = {"shorted", SL_CHOICE, SL_DEFAULT, SOUND, SOUND, IS_SHORTED, shorted_choices,
                 "a diode that has melted through conducts both ways", SL__SOUND},
};

static const sl_element elements[] = {
    [JUNCTION] = {"junction", 0, 1, "from anode to cathode"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, JUNCTION, 0.0, 0.0, "burnt out or off its terminal", SL__PRACTICE},
    {"shorted", SL_SET, SHORTED, IS_SHORTED, IS_SHORTED, "melted through: it no longer blocks",
     SL__PRACTICE},
    {"leaking", SL_SET, LEAK_RESISTANCE, 1.0, 1e4, "it blocks only in part", SL__PRACTICE},
    {"added resistance", SL_SERIES, JUNCTION, 1e-3, 100.0, "a poor contact at one of its ends",
     SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [OVERLOADED] = {"overloaded", SL_CURRENT, "carries @, more than its rating"},
    SL__HOT_SPOT_ROW,
};

static bool complete(double *p, sl__complaint *bad)
{
    (void)bad;
    if (isnan(p[DROP])) {
        p[DROP] = sl__diode_drop_v((int)p[TYPE]);
    }
    return true;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)state;
    const sl__junction junction = {(int)p[TYPE], p[RATED_CURRENT], p[DROP], p[LEAK_RESISTANCE],
                                   sl__temperature_or(p[TEMPERATURE], ambient_c)};
    if (p[SHORTED] == IS_SHORTED) {
        sl__law_resistor(&law[JUNCTION], sl__diode_ohm(&junction));
    } else {
        sl__law_diode(&law[JUNCTION], &junction);
    }
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    if (fabs(flow[JUNCTION].i) > p[RATED_CURRENT]) {
        sl__notice(list, OVERLOADED, fabs(flow[JUNCTION].i));
    }
}

const sl__kind sl__kind_diode = {
    .about =
        {
            .name = "diode",
            .doc = "A power diode. Breakdown at high reverse voltage is left out: this library "
                   "ends at 60 V.",
            .law = SL__DIODE_LAW,
            .standing = SL__DIODE_STANDING,
            .check = "none published; the law against a solution by halving, about 2 mV "
                     "less for each kelvin",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_SILICON},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "diode \"D1\" { \"horn feed\", \"alarm feed\", rated_current = \"6 A\" }",
        },
    .complete = complete,
    .laws = laws,
    .notice = notice,
};

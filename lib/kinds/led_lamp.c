/* lib/kinds/led_lamp.c: a lamp of light-emitting diodes, with a resistor or a regulator. */
#include "kinds/rating.h"

#include <math.h>

enum { POWER, CURRENT, VOLTAGE, DRIVER, THRESHOLD, FULL, WORKING };
enum { DIODES };
enum { RESISTOR, REGULATOR };
enum { LIGHT, GHOST, DARK, REVERSED };

static const sl_terminal terminals[] = {
    {"a", false, "the feed side: positive"},
    {"b", false, "the ground side"},
};

static const char *const drivers[] = {"resistor", "regulator", NULL};

static const sl_param params[] = {
    [POWER] = SL__RATING_POWER_ROW(1e-3, 1000.0),
    [CURRENT] = SL__RATING_CURRENT_ROW(1e-4, 100.0),
    [VOLTAGE] = SL__RATING_VOLTAGE_ROW,
    [DRIVER] = {"driver", SL_CHOICE, SL_DEFAULT, RESISTOR, RESISTOR, REGULATOR, drivers,
                "resistor: the current rises straight from `threshold`; regulator: it stays the "
                "same from `full` up",
                "small lamps: " SL__PRACTICE},
    [THRESHOLD] = {"threshold", SL_VOLTAGE, SL_DERIVED, SL__NAN, 0.5, 60.0, NULL,
                   "forward voltage of its diodes in series",
                   "half of `voltage`, from memory: three diodes of about 2 V in a 12 V lamp"},
    [FULL] = {"full", SL_VOLTAGE, SL_DERIVED, SL__NAN, 0.6, 60.0, NULL,
              "the voltage from which a regulator holds the current; regulator only",
              "three quarters of `voltage`, from memory: 9 V for a 12 V lamp"},
    [WORKING] = {"working", SL_FRACTION, SL_DEFAULT, 1.0, 0.0, 1.0, NULL,
                 "the part of its diodes that still light", "a sound lamp"},
};

static const sl_element elements[] = {
    [DIODES] = {"diodes", 0, 1, "diodes in series with a resistor or regulator"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, DIODES, 0.0, 0.0, "failed driver, or no contact", SL__PRACTICE},
    {"added resistance", SL_SERIES, DIODES, 1e-2, 1e4, "a poor contact", SL__PRACTICE},
    {"partly dead", SL_SET, WORKING, 0.0, 0.9, "some of its strings of diodes have failed",
     SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [LIGHT] = {"light", SL_FRACTION, "lamp at @ light"},
    [GHOST] = {"ghost glow", SL_CURRENT, "ghost glow: lit by @"},
    [DARK] = {"dark", SL_NUMBER, "lamp dark"},
    [REVERSED] = {"reversed", SL_VOLTAGE, "lamp dark, the wrong way round: @"},
    SL__HOT_SPOT_ROW,
};

static const double GHOST_LIGHT = 0.02;  /* of the rated current: below it, not on and not off */
static const double DARK_A = 20e-6;      /* too little for the eye: from memory */
static const double SOFTNESS = 1.0 / 40; /* of the threshold: volts for a factor e, from memory */

static bool complete(double *p, sl__complaint *bad)
{
    if (!sl__rating_complete(p, (sl__rating){POWER, CURRENT, VOLTAGE}, bad)) {
        return false;
    }
    if (isnan(p[THRESHOLD])) {
        p[THRESHOLD] = 0.5 * p[VOLTAGE];
    }
    if (isnan(p[FULL])) {
        p[FULL] = fmax(0.75 * p[VOLTAGE], 0.5 * (p[THRESHOLD] + p[VOLTAGE]));
    }
    if (p[THRESHOLD] >= p[VOLTAGE]) {
        *bad = (sl__complaint){THRESHOLD, "must be below `voltage`, or it is never lit"};
        return false;
    }
    if (p[FULL] <= p[THRESHOLD] || p[FULL] > p[VOLTAGE]) {
        *bad = (sl__complaint){FULL, "must lie between `threshold` and `voltage`"};
        return false;
    }
    return true;
}

/* log(1 + exp(x)): nothing below 0, x above, round between. */
static double soft(double x)
{
    return x > 0.0 ? x + log1p(exp(-x)) : log1p(exp(x));
}

static double soft_slope(double x)
{
    return x > 0.0 ? 1.0 / (1.0 + exp(-x)) : exp(x) / (1.0 + exp(x));
}

/* The line from the threshold on, with a diode's bend at its foot. A regulator ends it at RISE with
   the same bend. What the bend leaves at 0 V is taken off. */
enum { THRESHOLD_V, SOFT_V, SOFT_A, RISE, AT_ZERO };

static double ramp(double x, double rise)
{
    if (x > rise) { /* x itself would take the digits */
        return rise - (log1p(exp(rise - x)) - log1p(exp(-x)));
    }
    return soft(x) - soft(x - rise);
}

static void curve(const double *k, double v, double *i, double *slope)
{
    const double x = (v - k[THRESHOLD_V]) / k[SOFT_V];
    const bool ends = k[RISE] > 0.0;
    *i = k[SOFT_A] * ((ends ? ramp(x, k[RISE]) : soft(x)) - k[AT_ZERO]);
    *slope = k[SOFT_A] / k[SOFT_V] * (soft_slope(x) - (ends ? soft_slope(x - k[RISE]) : 0.0));
    *slope = fmax(*slope, 0.0);
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    if (!(p[WORKING] > 0.0)) {
        return;
    }
    const double rise_v = (p[DRIVER] == REGULATOR ? p[FULL] : p[VOLTAGE]) - p[THRESHOLD];
    sl__law *diodes = &law[DIODES];
    double *k = diodes->k;
    diodes->form = SL__CURVE;
    diodes->curve = curve;
    diodes->scale_s = p[WORKING] * p[CURRENT] / p[VOLTAGE];
    k[THRESHOLD_V] = p[THRESHOLD];
    k[SOFT_V] = SOFTNESS * p[THRESHOLD];
    k[SOFT_A] = p[WORKING] * p[CURRENT] * k[SOFT_V] / rise_v;
    k[RISE] = p[DRIVER] == REGULATOR ? rise_v / k[SOFT_V] : 0.0;
    const double x = -p[THRESHOLD] / k[SOFT_V];
    k[AT_ZERO] = k[RISE] > 0.0 ? ramp(x, k[RISE]) : soft(x);
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    const double amps = flow[DIODES].i;
    if (flow[DIODES].v < SL__REVERSED_V) {
        sl__notice(list, REVERSED, flow[DIODES].v);
    } else if (amps < DARK_A) {
        if (sl__rating_on(&flow[DIODES], p[VOLTAGE])) {
            sl__notice(list, DARK, 0.0);
        }
    } else if (amps < GHOST_LIGHT * p[CURRENT]) {
        sl__notice(list, GHOST, amps);
    } else {
        sl__notice(list, LIGHT, amps / p[CURRENT]);
    }
}

const sl__kind sl__kind_led_lamp = {
    .about =
        {
            .name = "led_lamp",
            .doc = "A lamp of light-emitting diodes. A few hundred microamperes, from a lamp check "
                   "or a damp connector, make it glow, and the wrong way round it blocks. Drivers "
                   "that hold the power are not shown here: use a `module`.",
            .law = "no current below the threshold; above, straight to `current` at `voltage` "
                   "(resistor), or to `current` at `full` and level (regulator), with the bend of "
                   "a diode at each end; light = i / current",
            .standing = "general physics; softness of the bend, 1/40 of the threshold for a factor "
                        "e, and the eye's 20 uA are from memory; ghost glow below 2 % of its "
                        "current: " SL__PRACTICE "; " SL__RATING_ON,
            .check = "none published; threshold, rating and blocking against values worked "
                     "out by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LOAD_LAMP},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "led_lamp \"L2\" { \"marker feed\", \"frame\", current = \"0.25 A\" }",
        },
    .complete = complete,
    .laws = laws,
    .notice = notice,
};

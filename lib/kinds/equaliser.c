/* lib/kinds/equaliser.c: holds the 12 V tap of a 24 V set at half. */
#include "kinds/kind.h"

#include <math.h>

enum { LIMIT, BAND, EFFICIENCY, IDLE_CURRENT, LEAST, START_TIME, STOP_TIME, HALF, STARTS };
enum { TOP, TAP, BOTTOM, INSIDE_UPPER, INSIDE_LOWER };
enum { UPPER, UPPER_HALF, LOWER, LOWER_HALF, IDLE };
enum { OFF, WORKING };
enum { MOVES, AT_LIMIT, DOES_NOTHING };

#define LEAK_S 1e-6      /* of a half that blocks: from memory */
#define NOMINAL_V 24.0   /* where the idle current is */
#define STOPS_BELOW 0.95 /* of `least`: from memory */
#define MOVES_A 0.1      /* less is not worth saying */
#define LIVE_V 1.0

static const sl_terminal terminals[] = {
    [TOP] = {"24", false, "positive of the upper battery"},
    [TAP] = {"12", false, "the tap between the batteries"},
    [BOTTOM] = {"0", false, "negative of the lower battery"},
    [INSIDE_UPPER] = {"inside upper", true, "within it, where no lead reaches: leave it out"},
    [INSIDE_LOWER] = {"inside lower", true, "within it, where no lead reaches: leave it out"},
};

static const char *const states[] = {"off", "working", NULL};

static const sl_param params[] = {
    [LIMIT] = {"limit", SL_CURRENT, SL_DEFAULT, 10.0, 0.1, 1000.0, NULL,
               "the most it moves to or from the tap", SL__FROM_MEMORY},
    [BAND] = {"band", SL_VOLTAGE, SL_DEFAULT, 0.05, 1e-3, 2.0, NULL,
              "how far the tap is off half when it moves its limit; the batteries then differ by "
              "twice that",
              "common practice, no source: 0.05 to 0.10 V at a working equaliser"},
    [EFFICIENCY] = {"efficiency", SL_FRACTION, SL_DEFAULT, 0.9, 0.3, 1.0, NULL,
                    "of the current: what one half gets for what the other half gives",
                    SL__FROM_MEMORY},
    [IDLE_CURRENT] = {"idle_current", SL_CURRENT, SL_DEFAULT, 10e-3, 1e-6, 10.0, NULL,
                      "it takes from 24 to 0 at 24 V, whatever it does", SL__FROM_MEMORY},
    [LEAST] = {"least", SL_VOLTAGE, SL_DEFAULT, 9.0, 1.0, 30.0, NULL,
               "each half must have before it works; it stops 5 % below", SL__FROM_MEMORY},
    [START_TIME] = {"start_time", SL_TIME, SL_DEFAULT, 1.0, 1e-6, 3600.0, NULL,
                    "from both halves there to working", SL__FROM_MEMORY},
    [STOP_TIME] = {"stop_time", SL_TIME, SL_DEFAULT, 0.1, 1e-6, 3600.0, NULL,
                   "from a half too low to off", SL__FROM_MEMORY},
    [HALF] = {"half", SL_VOLTAGE, SL_DEFAULT, 12.0, -60.0, 60.0, NULL,
              "half of what is between 24 and 0: worked out, leave it out",
              "worked out with the circuit"},
    [STARTS] = {"starts", SL_CHOICE, SL_DEFAULT, OFF, OFF, WORKING, states,
                "its state before the condition is set up", SL__STARTS},
};

static const sl_element elements[] = {
    [UPPER] = {"upper", TOP, INSIDE_UPPER, "takes from the upper battery, or gives to it"},
    [UPPER_HALF] = {"upper half", INSIDE_UPPER, TAP, "the voltage it holds there"},
    [LOWER] = {"lower", TAP, INSIDE_LOWER, "takes from the lower battery, or gives to it"},
    [LOWER_HALF] = {"lower half", INSIDE_LOWER, BOTTOM, "the voltage it holds there"},
    [IDLE] = {"idle", TOP, BOTTOM, "what it uses itself"},
};

static const sl_mode modes[] = {
    {"24 off", SL_OPEN, UPPER, 0.0, 0.0, "one of its three wires is off: it does nothing",
     SL__PRACTICE},
    {"0 off", SL_OPEN, LOWER, 0.0, 0.0, "one of its three wires is off: it does nothing",
     SL__PRACTICE},
    {"dead", SL_OPEN, -1, 0.0, 0.0, "its fuse is blown or it has failed", SL__PRACTICE},
    {"weak", SL_SET, LIMIT, 0.1, 5.0, "it moves less than it should", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [MOVES] = {"moves", SL_CURRENT, "moves @ at the tap"},
    [AT_LIMIT] = {"at its limit", SL_CURRENT, "moves @ at the tap, its limit"},
    [DOES_NOTHING] = {"does nothing", SL_NUMBER,
                      "does nothing: a wire of the three is off, or a battery too low"},
};

enum { TAKE_A, BAND_V, GIVE_SHARE };

/* One half: above the voltage held it takes current, up to its limit; below, it gives what the
   losses leave of that. */
static void half_curve(const double *k, double v, double *i, double *slope)
{
    const double share = v < 0.0 ? k[GIVE_SHARE] : 1.0;
    *i = LEAK_S * v;
    *slope = LEAK_S;
    if (fabs(v) < k[BAND_V]) {
        *i += share * k[TAKE_A] * (v / k[BAND_V]);
        *slope += share * k[TAKE_A] / k[BAND_V];
    } else {
        *i += copysign(share * k[TAKE_A], v);
    }
}

/* What one half takes when the limit is moved: the tap gets it, and what the other half gives. */
static double most_taken_a(const double *p)
{
    return p[LIMIT] / (1.0 + p[EFFICIENCY]);
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    const bool works = state == WORKING;
    for (int32_t e = UPPER; e <= LOWER; e += LOWER - UPPER) {
        law[e].form = SL__CURVE;
        law[e].curve = half_curve;
        law[e].scale_s = works ? p[LIMIT] : LEAK_S;
        law[e].k[TAKE_A] = works ? most_taken_a(p) : 0.0;
        law[e].k[BAND_V] = p[BAND];
        law[e].k[GIVE_SHARE] = p[EFFICIENCY];
        law[e + 1].form = SL__OHMIC;
        law[e + 1].open_v = works ? p[HALF] : 0.0;
    }
    sl__law_resistor(&law[IDLE], NOMINAL_V / p[IDLE_CURRENT]);
}

static double upper_v(const sl__flow *flow)
{
    return flow[UPPER].v + flow[UPPER].added_v + flow[UPPER_HALF].v + flow[UPPER_HALF].added_v;
}

static double lower_v(const sl__flow *flow)
{
    return flow[LOWER].v + flow[LOWER].added_v + flow[LOWER_HALF].v + flow[LOWER_HALF].added_v;
}

static int32_t wants(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    (void)ambient_c;
    /* Where a wire is off there is no voltage to compare, and the answer is no. */
    const double least = state == WORKING ? STOPS_BELOW * p[LEAST] : p[LEAST];
    return upper_v(flow) >= least && lower_v(flow) >= least ? WORKING : OFF;
}

static double delay_s(const double *p, int32_t from, int32_t to)
{
    (void)from;
    return to == WORKING ? p[START_TIME] : p[STOP_TIME];
}

static double trim(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    (void)ambient_c;
    const double half = 0.5 * (upper_v(flow) + lower_v(flow));
    return state != WORKING || isnan(half) ? p[HALF] : half;
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    const double moved = flow[UPPER].i - flow[LOWER].i;
    if (state == WORKING) {
        if (fabs(moved) >= p[LIMIT]) {
            sl__notice(list, AT_LIMIT, fabs(moved));
        } else if (fabs(moved) >= MOVES_A) {
            sl__notice(list, MOVES, fabs(moved));
        }
    } else if (fabs(upper_v(flow)) > LIVE_V || fabs(lower_v(flow)) > LIVE_V) {
        sl__notice(list, DOES_NOTHING, 0.0);
    }
}

const sl__kind sl__kind_equaliser = {
    .about =
        {
            .name = "equaliser",
            .doc = "An equaliser between two 12 V batteries in series: it moves current to the "
                   "tap, or from it, to hold it at half. Some move it to the tap only. Quote its "
                   "terminals by name, or give them in order.",
            .law = "For the limit at the tap one half takes limit / (1 + efficiency) and the other "
                   "gives efficiency times that; both in proportion while the tap is less than "
                   "`band` off half. It works when each half has `least`.",
            .standing = "a converter moving charge, computed; numbers from memory, the band: "
                        "common practice, no source",
            .check = "none published; charge moved and energy lost against values worked "
                     "out by hand",
            SL__TABLES(terminals, params, elements, modes),
            .inside = SL_TERMINAL_BIT(INSIDE_UPPER) | SL_TERMINAL_BIT(INSIDE_LOWER),
            .uses = (const sl_use[]){SL_SILICON, SL_GIVES, SL_SILICON, SL_GIVES, SL_LEAK},
            SL__NOTICES(notices),
            .states = states,
            .state_count = SL__COUNT(states) - 1,
            .start_param = STARTS,
            .position_param = -1,
            .negative_post = -1,
            .example = "equaliser \"EQ1\" { \"B +\", \"A +\", \"A -\", limit = \"10 A\" }",
        },
    .laws = laws,
    .wants = wants,
    .delay_s = delay_s,
    .trim = trim,
    .trim_param = HALF,
    .notice = notice,
};

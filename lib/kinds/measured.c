/* lib/kinds/measured.c: any part of two terminals, given as measured voltages and currents. */
#include "kinds/kind.h"

#include <math.h>

enum { REVERSE };
enum { BODY };
enum { SAME, BLOCKS };

static const sl_terminal terminals[] = {
    {"a", false, "positive when it was measured"},
    {"b", false, "the other end"},
};

static const char *const reverses[] = {"same", "blocks", NULL};

static const sl_param params[] = {
    [REVERSE] = {"reverse", SL_CHOICE, SL_DEFAULT, SAME, SAME, BLOCKS, reverses,
                 "against the direction it was measured in, when no point is below 0 V. same: the "
                 "same current the other way; blocks: none",
                 "an assumption"},
};

static const sl_element elements[] = {
    [BODY] = {"body", 0, 1, "what was measured"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, BODY, 0.0, 0.0, "burnt out or not connected", SL__PRACTICE},
    {"added resistance", SL_SERIES, BODY, 1e-3, 1e3, "a poor joint in series", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [0] = {"takes", SL_CURRENT, "takes @"},
    SL__HOT_SPOT_ROW,
};

static double volts(const double *points, int32_t n)
{
    return points[(ptrdiff_t)2 * n];
}

static double amps(const double *points, int32_t n)
{
    return points[(ptrdiff_t)2 * n + 1];
}

/* A part gives no power: its current has the sign of its voltage. */
static bool accept(const double *points, int32_t count, sl__complaint *bad)
{
    bool forward = false;
    for (int32_t n = 0; n < count; n++) {
        const double v = volts(points, n), i = amps(points, n);
        if (v == 0.0 && i != 0.0) {
            *bad = (sl__complaint){0, "no current can flow at 0 V: a part with a voltage of its "
                                      "own is a battery or a source"};
            return false;
        }
        if (v * i < 0.0) {
            *bad = (sl__complaint){0, "the current must have the sign of the voltage, or it gives "
                                      "power; were the leads swapped?"};
            return false;
        }
        forward = forward || v > 0.0;
    }
    if (!forward) {
        *bad = (sl__complaint){0, "at least one must be above 0 V; swap its ends"};
    }
    return forward;
}

/* The table with the origin put in where it is missing: corner n of all. */
static int32_t corner_count(const double *table, int32_t *origin)
{
    const int32_t count = (int32_t)table[0];
    int32_t below = 0, end = count; /* how many points lie below 0 V */
    while (below < end) {
        const int32_t middle = below + (end - below) / 2;
        if (volts(table + 1, middle) < 0.0) {
            below = middle + 1;
        } else {
            end = middle;
        }
    }
    *origin = below;
    return below < count && volts(table + 1, below) == 0.0 ? count : count + 1;
}

static void corner(const double *table, int32_t corners, int32_t origin, int32_t n, double at[2])
{
    const bool missing = corners > (int32_t)table[0];
    if (n == origin) {
        at[0] = at[1] = 0.0;
        return;
    }
    const int32_t point = missing && n > origin ? n - 1 : n;
    at[0] = volts(table + 1, point);
    at[1] = amps(table + 1, point);
}

/* Straight from corner to corner. Beyond the ends it goes on as it came; where that would fall, it
   stays level. */
static void curve(const double *table, double v, double *i, double *slope)
{
    int32_t origin = 0;
    const int32_t corners = corner_count(table, &origin);
    int32_t low = 0, high = corners - 1; /* v between these two, if it is inside at all */
    double a[2], b[2];
    while (high - low > 1) {
        const int32_t middle = low + (high - low) / 2;
        corner(table, corners, origin, middle, a);
        if (a[0] <= v) {
            low = middle;
        } else {
            high = middle;
        }
    }
    corner(table, corners, origin, low, a);
    corner(table, corners, origin, high, b);
    *slope = (b[1] - a[1]) / (b[0] - a[0]);
    const bool outside = v < a[0] || v > b[0];
    if (outside && *slope < 0.0) {
        *slope = 0.0;
    }
    /* From the nearer corner, so that each corner is met exactly. */
    const double *near = v - a[0] <= b[0] - v ? a : b;
    *i = near[1] + *slope * (v - near[0]);
}

static void same_both_ways(const double *table, double v, double *i, double *slope)
{
    curve(table, fabs(v), i, slope);
    *i = copysign(*i, v);
}

static void blocking(const double *table, double v, double *i, double *slope)
{
    if (v > 0.0) {
        curve(table, v, i, slope);
    } else {
        *i = *slope = 0.0;
    }
}

/* Share of the least conductance to start from where the curve falls: from nearly no load. */
static const double START = 1e-4;

static double start_conductance(const double *table)
{
    const int32_t count = (int32_t)table[0];
    double least = INFINITY, last_i = 0.0;
    bool falls = false;
    for (int32_t n = 0; n < count; n++) {
        const double v = volts(table + 1, n), i = amps(table + 1, n);
        if (v != 0.0 && i != 0.0) {
            least = fmin(least, i / v);
        }
        falls = falls || (n > 0 && i < last_i);
        last_i = i;
    }
    if (!(least < INFINITY)) {
        return 1e-6; /* it never conducts */
    }
    return falls ? START * least : least;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    law[BODY].form = SL__CURVE;
    if (law[BODY].table[1] < 0.0) {
        law[BODY].curve = curve;
    } else {
        law[BODY].curve = p[REVERSE] == BLOCKS ? blocking : same_both_ways;
    }
    law[BODY].scale_s = start_conductance(law[BODY].table);
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)p;
    (void)state;
    sl__notice(list, 0, flow[BODY].i);
}

const sl__kind sl__kind_measured = {
    .about =
        {
            .name = "measured",
            .doc = "Any part of two terminals whose current was measured at some voltages: a "
                   "heater that limits itself, a lamp, a module. Where the current falls between "
                   "two points the circuit may have several operating points; the one found is "
                   "stable.",
            .law = "straight between the points and 0 V, 0 A; beyond the ends it goes on as "
                   "between the last two, or stays level where that would fall",
            .standing = "measured",
            .check = "none published; the points given are met and joined by straight lines",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LOAD_OTHER},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .takes_points = true,
            .falls = true,
            .negative_post = -1,
            .example = "measured \"H2\" { \"relay out\", \"body\", points = { {6, 4.1}, {12, 7.0}, "
                       "{14, 7.4} } }",
        },
    .accept = accept,
    .laws = laws,
    .notice = notice,
};

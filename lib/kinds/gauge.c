/* lib/kinds/gauge.c: a gauge of two coils that reads a resistive sender. */
#include "kinds/kind.h"

#include <math.h>

enum { EMPTY, FULL, FEED_COIL, SHUNT_COIL };
enum { SUPPLY, SENDER, GROUND };
enum { FEED, SHUNT };
enum { READS, BELOW, ABOVE, DEAD };

static const sl_terminal terminals[] = {
    [SUPPLY] = {"supply", false, "feed of the gauge"},
    [SENDER] = {"sender", false, "to the sender"},
    [GROUND] = {"ground", false, "ground of the gauge"},
};

static const sl_param params[] = {
    [EMPTY] = {"empty", SL_RESISTANCE, SL_DEFAULT, 240.0, 0.1, 1e6, NULL,
               "sender resistance at which it reads empty", "as the sender's"},
    [FULL] = {"full", SL_RESISTANCE, SL_DEFAULT, 33.0, 0.1, 1e6, NULL,
              "sender resistance at which it reads full", "as the sender's"},
    [FEED_COIL] = {"feed_coil", SL_RESISTANCE, SL_DEFAULT, 100.0, 1.0, 1e6, NULL,
                   "of the coil from supply to sender", SL__FROM_MEMORY},
    [SHUNT_COIL] = {"shunt_coil", SL_RESISTANCE, SL_DEFAULT, 200.0, 1.0, 1e6, NULL,
                    "of the coil from sender to ground", SL__FROM_MEMORY},
};

static const sl_element elements[] = {
    [FEED] = {"feed coil", SUPPLY, SENDER, "pulls the pointer one way"},
    [SHUNT] = {"shunt coil", SENDER, GROUND, "pulls it the other way; the sender is beside it"},
};

static const sl_mode modes[] = {
    {"feed coil open", SL_OPEN, FEED, 0.0, 0.0, "a broken coil: the pointer does not move",
     SL__PRACTICE},
    {"shunt coil open", SL_OPEN, SHUNT, 0.0, 0.0, "a broken coil, or no ground at the gauge",
     SL__PRACTICE},
    {"poor supply", SL_SERIES, FEED, 1.0, 1e3, "a poor contact at its supply", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [READS] = {"reading", SL_FRACTION, "reads @ of its scale"},
    [BELOW] = {"below empty", SL_NUMBER, "pointer below empty"},
    [ABOVE] = {"above full", SL_NUMBER, "pointer above full"},
    [DEAD] = {"dead", SL_NUMBER, "the pointer does not move"},
};

static const double STOP = 0.05;     /* of the scale, beyond either end of it */
static const double LIVE_V = 1.0;    /* from supply to ground: somebody wants it to read */
static const double LEAST_W = 10e-3; /* in its coils, to move the pointer: from memory */

static bool complete(double *p, sl__complaint *bad)
{
    if (p[EMPTY] == p[FULL]) {
        *bad = (sl__complaint){FULL, "must differ from `empty`"};
        return false;
    }
    return true;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    sl__law_resistor(&law[FEED], p[FEED_COIL]);
    sl__law_resistor(&law[SHUNT], p[SHUNT_COIL]);
}

/* Where the pointer stands: the currents of the coils pull against each other, so that only their
   ratio counts. The scale is drawn for a sender grounded where the gauge is. */
static double pointer(const double *p, double feed_a, double shunt_a)
{
    const double sender_a = feed_a - shunt_a;
    double ohm = shunt_a * p[SHUNT_COIL] / sender_a;
    if (!(sender_a > 1e-9 * fabs(feed_a))) {
        ohm = INFINITY;
    }
    return (ohm - p[EMPTY]) / (p[FULL] - p[EMPTY]);
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    const double feed_a = flow[FEED].i, shunt_a = flow[SHUNT].i;
    if (!(feed_a * feed_a * p[FEED_COIL] + shunt_a * shunt_a * p[SHUNT_COIL] >= LEAST_W)) {
        const double fed_v =
            flow[FEED].v + flow[FEED].added_v + flow[SHUNT].v + flow[SHUNT].added_v;
        if (fabs(fed_v) > LIVE_V) {
            sl__notice(list, DEAD, 0.0);
        }
        return;
    }
    const double reading = pointer(p, feed_a, shunt_a);
    if (reading < -STOP) {
        sl__notice(list, BELOW, 0.0);
    } else if (reading > 1.0 + STOP) {
        sl__notice(list, ABOVE, 0.0);
    } else {
        sl__notice(list, READS, reading);
    }
}

const sl__kind sl__kind_gauge = {
    .about =
        {
            .name = "gauge",
            .doc = "A gauge for a resistive `sender`. Its reading does not change with the supply, "
                   "but with a voltage between the ground of the gauge and that of the sender. "
                   "Thermal gauges, which also follow their supply, are `bimetal_gauge`.",
            .law = "two coils in series from supply to ground, the sender beside the second; the "
                   "pointer follows the ratio of their currents",
            .standing = "general physics of a ratio gauge; the coils are from memory",
            .check = "none published; the ratio of its coils against values worked out by "
                     "hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LOAD_SENSOR, SL_LOAD_SENSOR},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "gauge \"FUEL\" { \"dash feed\", \"gauge S\", \"dash ground\" }",
        },
    .complete = complete,
    .laws = laws,
    .notice = notice,
};

/* lib/kinds/bimetal_gauge.c: a gauge whose pointer a heated strip of two metals bends. */
#include "kinds/kind.h"

#include <math.h>

enum { EMPTY, FULL, HEATER_RESISTANCE, DRAWN_FOR };
enum { SUPPLY, SENDER };
enum { HEATER };
enum { READS, BELOW, ABOVE, COLD };

static const sl_terminal terminals[] = {
    [SUPPLY] = {"supply", false, "feed of the gauge, as a rule behind a voltage stabiliser"},
    [SENDER] = {"sender", false, "to the sender"},
};

static const sl_param params[] = {
    [EMPTY] = {"empty", SL_RESISTANCE, SL_DEFAULT, 240.0, 0.1, 1e6, NULL,
               "sender resistance at which it reads empty; above `full`", "as the sender's"},
    [FULL] = {"full", SL_RESISTANCE, SL_DEFAULT, 33.0, 0.1, 1e6, NULL,
              "sender resistance at which it reads full", "as the sender's"},
    [HEATER_RESISTANCE] = {"heater_resistance", SL_RESISTANCE, SL_DEFAULT, 65.0, 1.0, 1e5, NULL,
                           "of the wire that warms the strip", "from memory: 50 to 80 ohm"},
    [DRAWN_FOR] = {"drawn_for", SL_VOLTAGE, SL_DEFAULT, 10.0, 1.0, 30.0, NULL,
                   "the supply its scale is drawn for: the mean a stabiliser gives",
                   "from memory: 10 V, or 5 V"},
};

static const sl_element elements[] = {
    [HEATER] = {"heater", SUPPLY, SENDER, "warms the strip that moves the pointer"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, HEATER, 0.0, 0.0, "a broken heater: the pointer stays at rest", SL__PRACTICE},
    {"poor contact", SL_SERIES, HEATER, 1.0, 1e3, "a poor contact at the gauge: it reads low",
     SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [READS] = {"reading", SL_FRACTION, "reads @ of its scale"},
    [BELOW] = {"below empty", SL_NUMBER, "pointer below empty"},
    [ABOVE] = {"above full", SL_NUMBER, "pointer above full"},
    [COLD] = {"cold", SL_NUMBER, "no current warms it: the pointer stays at rest"},
};

static const double STOP = 0.05;     /* of the scale, beyond either end of it */
static const double LIVE_V = 1.0;    /* over heater and fault: somebody wants it to read */
static const double LEAST_W = 10e-3; /* in its heater, to move the pointer: from memory */

static bool complete(double *p, sl__complaint *bad)
{
    if (p[EMPTY] <= p[FULL]) {
        *bad =
            (sl__complaint){FULL, "must be below `empty`: more current, more heat, more reading"};
        return false;
    }
    return true;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    sl__law_resistor(&law[HEATER], p[HEATER_RESISTANCE]);
}

/* The scale is drawn for the heat that each sender resistance brings at `drawn_for`, so the pointer
   stands where that supply would send the present current. */
static double pointer(const double *p, double amps)
{
    const double ohm = p[DRAWN_FOR] / amps - p[HEATER_RESISTANCE];
    return (ohm - p[EMPTY]) / (p[FULL] - p[EMPTY]);
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    const double amps = fabs(flow[HEATER].i);
    if (amps * amps * p[HEATER_RESISTANCE] < LEAST_W) {
        if (fabs(flow[HEATER].v + flow[HEATER].added_v) > LIVE_V) {
            sl__notice(list, COLD, 0.0);
        }
        return;
    }
    const double reading = pointer(p, amps);
    if (reading < -STOP) {
        sl__notice(list, BELOW, 0.0);
    } else if (reading > 1.0 + STOP) {
        sl__notice(list, ABOVE, 0.0);
    } else {
        sl__notice(list, READS, reading);
    }
}

const sl__kind sl__kind_bimetal_gauge = {
    .about =
        {
            .name = "bimetal_gauge",
            .doc = "A thermal gauge in series with its `sender`. It follows its supply as well as "
                   "the sender: several that read high together have a stabiliser without ground. "
                   "It moves slowly; the settled pointer is told. With its sender off it looks as "
                   "when it is switched off, and nothing is said.",
            .law = "a heater in series with the sender; the pointer follows its heat, i^2 R, on a "
                   "scale drawn for `drawn_for`: it reads as if the sender had "
                   "drawn_for / i - heater_resistance",
            .standing = "general physics; the numbers are from memory",
            .check = "none published; readings at its own and at a wrong supply against values "
                     "worked out by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LOAD_SENSOR},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "bimetal_gauge \"FUEL\" { \"stabiliser out\", \"gauge S\" }",
        },
    .complete = complete,
    .laws = laws,
    .notice = notice,
};

/* lib/kinds/inverter.c: an inverter: takes the power of its load, and switches off on low voltage.
 */
#include "kinds/constant_power.h"

#include <math.h>

enum {
    LOAD,
    EFFICIENCY,
    IDLE,
    POSITION,
    ALARM,
    CUT_OUT,
    RECOVER_V,
    LOW_VOLTAGE,
    OFF_CURRENT,
    CUT_OUT_TIME,
    START_TIME,
    STARTS
};
enum { SUPPLY, GROUND };
enum { INSIDE };
enum { IS_CUT_OUT, READY };
enum { OFF, ON };
enum { RESTARTS, STAYS_OFF };
enum { NOTICE_CUT_OUT, NOTICE_ALARM, NOTICE_STARVES, NOTICE_DEAD, NOTICE_REVERSED };

static const sl_terminal terminals[] = {
    [SUPPLY] = {"positive", false, "its feed"},
    [GROUND] = {"negative", false, "its return"},
};

static const char *const positions[] = {"off", "on", NULL};
static const char *const lows[] = {"restarts", "stays off", NULL};
static const char *const states[] = {"cut out", "ready", NULL};

static const sl_param params[] = {
    [LOAD] = {"load", SL_POWER, SL_REQUIRED, SL__NAN, 0.0, 20000.0, NULL,
              "what is plugged in takes from it; 0: nothing is", ""},
    [EFFICIENCY] = {"efficiency", SL_FRACTION, SL_DEFAULT, 0.88, 0.1, 1.0, NULL,
                    "power it gives over power it takes, less `idle`", "from memory: 85 to 92 %"},
    [IDLE] = {"idle", SL_POWER, SL_DEFAULT, 8.0, 1e-3, 1000.0, NULL, "it takes for itself when on",
              SL__FROM_MEMORY},
    [POSITION] = {"position", SL_CHOICE, SL_DEFAULT, ON, OFF, ON, positions, "its own switch",
                  SL__CONNECTED},
    [ALARM] = {"alarm", SL_VOLTAGE, SL_DERIVED, SL__NAN, 0.5, 60.0, NULL,
               "below this its low-voltage alarm sounds",
               "0.5 V above `cut_out`, from memory: 11.0 V for 12 V"},
    [CUT_OUT] = {"cut_out", SL_VOLTAGE, SL_DEFAULT, 10.5, 0.1, 60.0, NULL,
                 "below this it switches off; a 24 V one: 21 V", SL__FROM_MEMORY},
    [RECOVER_V] = {"recover", SL_VOLTAGE, SL_DEFAULT, 12.0, 0.2, 60.0, NULL,
                   "from this on it starts again; a 24 V one: 24 V", SL__FROM_MEMORY},
    [LOW_VOLTAGE] = {"low_voltage", SL_CHOICE, SL_DEFAULT, RESTARTS, RESTARTS, STAYS_OFF, lows,
                     "cut out, it restarts by itself at `recover`, or stays off until its switch "
                     "has been off",
                     SL__PRACTICE},
    [OFF_CURRENT] = {"off_current", SL_CURRENT, SL_DEFAULT, 1e-3, 1e-9, 100.0, NULL,
                     "off or cut out, at `recover`", SL__FROM_MEMORY},
    [CUT_OUT_TIME] = {"cut_out_time", SL_TIME, SL_DEFAULT, 1.0, 1e-6, 600.0, NULL,
                      "from too low a voltage to off", SL__FROM_MEMORY},
    [START_TIME] = {"start_time", SL_TIME, SL_DEFAULT, 2.0, 1e-6, 600.0, NULL,
                    "from enough voltage to on", SL__FROM_MEMORY},
    [STARTS] = {"starts", SL_CHOICE, SL_DEFAULT, READY, IS_CUT_OUT, READY, states,
                "its state before the condition is set up", SL__STARTS},
};

static const sl_element elements[] = {
    [INSIDE] = {"supply", SUPPLY, GROUND, "all the inverter takes"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, INSIDE, 0.0, 0.0, "failed, or not connected", SL__PRACTICE},
    {"added resistance", SL_SERIES, INSIDE, 1e-4, 10.0, "a poor terminal", SL__PRACTICE},
    {"left on", SL_SET, POSITION, ON, ON, "not switched off: its idle draw is a drain",
     SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [NOTICE_CUT_OUT] = {"cut out", SL_NUMBER, "has cut out on low voltage"},
    [NOTICE_ALARM] = {"alarm", SL_VOLTAGE, "low-voltage alarm at @"},
    [NOTICE_STARVES] = {"starves", SL_VOLTAGE, "cuts out at @"},
    [NOTICE_DEAD] = {"dead", SL_NUMBER, "dead: no current reaches it"},
    [NOTICE_REVERSED] = {"reversed", SL_VOLTAGE, "its supply is the wrong way round: @"},
    SL__HOT_SPOT_ROW,
};

static const double DEAD_V = 1.0;

static bool complete(double *p, sl__complaint *bad)
{
    if (isnan(p[ALARM])) {
        p[ALARM] = fmin(p[CUT_OUT] + 0.5, 60.0);
    }
    if (p[ALARM] < p[CUT_OUT]) {
        *bad = (sl__complaint){ALARM, "must not be below `cut_out`"};
        return false;
    }
    if (p[RECOVER_V] <= p[CUT_OUT]) {
        *bad = (sl__complaint){RECOVER_V, "must be above `cut_out`"};
        return false;
    }
    return true;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    const double off_s = p[OFF_CURRENT] / p[RECOVER_V];
    if (p[POSITION] == ON && state == READY) {
        sl__law_constant_power(&law[INSIDE], p[LOAD] / p[EFFICIENCY] + p[IDLE], p[CUT_OUT], off_s);
    } else {
        sl__law_resistor(&law[INSIDE], 1.0 / off_s);
    }
}

static int32_t wants(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    (void)ambient_c;
    if (p[POSITION] == OFF) {
        return READY;
    }
    if (p[LOW_VOLTAGE] == STAYS_OFF && state == IS_CUT_OUT) {
        return IS_CUT_OUT;
    }
    return sl__converter_runs(state == READY, flow[INSIDE].v, p[CUT_OUT], p[RECOVER_V])
               ? READY
               : IS_CUT_OUT;
}

static double delay_s(const double *p, int32_t from, int32_t to)
{
    (void)from;
    return to == READY ? p[START_TIME] : p[CUT_OUT_TIME];
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    const double v = flow[INSIDE].v;
    if (v < SL__REVERSED_V) {
        sl__notice(list, NOTICE_REVERSED, v);
        return;
    }
    if (p[POSITION] == OFF || v + flow[INSIDE].added_v < DEAD_V) {
        return;
    }
    if (v < DEAD_V || flow[INSIDE].i == 0.0) {
        sl__notice(list, NOTICE_DEAD, 0.0);
    } else if (state == IS_CUT_OUT) {
        sl__notice(list, NOTICE_CUT_OUT, 0.0);
    } else if (v < p[CUT_OUT]) {
        sl__notice(list, NOTICE_STARVES, v);
    } else if (v < p[ALARM]) {
        sl__notice(list, NOTICE_ALARM, v);
    }
}

const sl__kind sl__kind_inverter = {
    .about =
        {
            .name = "inverter",
            .doc = "An inverter that makes mains voltage for what is plugged in. What it makes is "
                   "no part of the circuit: only what it takes is. When its supply sags under it "
                   "and recovers without it, it switches off and on without end.",
            .law = "on: i = (load / efficiency + idle) / v down to `cut_out`, below a resistance "
                   "until it has switched off; off or cut out: a resistance of its own",
            .standing = "constant power: general physics of a switching regulator; the numbers are "
                        "from memory",
            .check = "none published; constant power and cut-out against values worked out "
                     "by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LOAD_OTHER},
            SL__NOTICES(notices),
            .states = states,
            .state_count = SL__COUNT(states) - 1,
            .start_param = STARTS,
            .position_param = POSITION,
            .falls = true,
            .negative_post = -1,
            .example = "inverter \"INV\" { \"house +\", \"house -\", load = \"600 W\" }",
        },
    .complete = complete,
    .laws = laws,
    .wants = wants,
    .delay_s = delay_s,
    .notice = notice,
};

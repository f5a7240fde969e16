/* lib/kinds/converter.c: a converter of direct current: one voltage from another. */
#include "kinds/constant_power.h"
#include "kinds/limited.h"

#include <math.h>

enum {
    OUTPUT_VOLTAGE,
    CURRENT_LIMIT,
    REGULATION,
    EFFICIENCY,
    IDLE_POWER,
    CUT_OUT,
    RECOVERY,
    GROUNDS,
    START_TIME,
    STOP_TIME,
    DRAW,
    STARTS
};
enum { IN, GROUND, OUT, OUT_GROUND, INSIDE };
enum { INPUT, OUTPUT, REFERENCE, GROUND_LINK, BLEED };
enum { OFF, WORKING };
enum { COMMON, ISOLATED };
enum { LIMITING, CUT_OFF, REVERSED };

#define SOFT 1e-3             /* of the limit, per volt: from memory */
#define LEAK_S 1e-6           /* of the output when it blocks: from memory */
#define REVERSE_V 0.7         /* of the diode across its output: from memory */
#define REVERSE_OHM 0.02      /* of the same */
#define LINK_OHM 1e-3         /* from ground to ground inside: from memory */
#define BLEED_OHM 10e3        /* across its output: from memory */
#define OFF_OHM 100e3         /* of the input while it is off: from memory */
#define BACK_S 1.0            /* of its input the wrong way round: from memory */
#define USUAL_CUT_OUT_V 10.5  /* of a 12 V supply: from memory */
#define USUAL_RECOVERY_V 11.5 /* of the same */
#define LIVE_V 1.0

static const sl_terminal terminals[] = {
    [IN] = {"in", false, "the supply"},
    [GROUND] = {"ground", false, "its return; that of the output too when the grounds are common"},
    [OUT] = {"out", false, "to the loads"},
    [OUT_GROUND] = {"out_ground", true, "a return of its own for the output"},
    [INSIDE] = {"inside", true, "behind its regulator, where no lead reaches: leave it out"},
};

static const char *const ground_choices[] = {"common", "isolated", NULL};
static const char *const states[] = {"off", "working", NULL};

#define CUT_STANDING "from memory: of a 12 V supply 10.5 V and 11.5 V, of a 24 V supply the double"

static const sl_param params[] = {
    [OUTPUT_VOLTAGE] = {"output_voltage", SL_VOLTAGE, SL_REQUIRED, SL__NAN, 1.0, 60.0, NULL,
                        "without load", ""},
    [CURRENT_LIMIT] = {"current_limit", SL_CURRENT, SL_REQUIRED, SL__NAN, 0.01, 1000.0, NULL,
                       "of the output: with more load it holds this current, and the voltage falls",
                       ""},
    [REGULATION] = {"regulation", SL_VOLTAGE, SL_DEFAULT, 0.1, 1e-3, 5.0, NULL,
                    "what the voltage falls by from no load to the limit", SL__FROM_MEMORY},
    [EFFICIENCY] = {"efficiency", SL_FRACTION, SL_DEFAULT, 0.88, 0.1, 1.0, NULL,
                    "output power over input power, without what it uses itself",
                    "from memory: 0.85 to 0.92"},
    [IDLE_POWER] = {"idle_power", SL_POWER, SL_DEFAULT, 1.0, 1e-3, 100.0, NULL,
                    "it uses itself while it works", SL__FROM_MEMORY},
    [CUT_OUT] = {"cut_out", SL_VOLTAGE, SL_DERIVED, SL__NAN, 0.5, 60.0, NULL,
                 "at its input, below which it switches off; when not given, that of a 24 V supply "
                 "for an output below 18 V, else of a 12 V supply",
                 CUT_STANDING},
    [RECOVERY] = {"recovery", SL_VOLTAGE, SL_DERIVED, SL__NAN, 0.5, 60.0, NULL,
                  "at its input, from which it works", CUT_STANDING},
    [GROUNDS] = {"grounds", SL_CHOICE, SL_DEFAULT, COMMON, COMMON, ISOLATED, ground_choices,
                 "common: both returns are joined inside; isolated: name `out_ground`",
                 SL__PRACTICE},
    [START_TIME] = {"start_time", SL_TIME, SL_DEFAULT, 0.5, 1e-6, 3600.0, NULL,
                    "from enough voltage to working", SL__FROM_MEMORY},
    [STOP_TIME] = {"stop_time", SL_TIME, SL_DEFAULT, 0.1, 1e-6, 3600.0, NULL,
                   "from too little voltage to off", SL__FROM_MEMORY},
    [DRAW] = {"draw", SL_POWER, SL_DERIVED, SL__NAN, 1e-3, 1e6, NULL,
              "it takes from its supply while it works: worked out, leave it out",
              "worked out with the circuit"},
    [STARTS] = {"starts", SL_CHOICE, SL_DEFAULT, OFF, OFF, WORKING, states,
                "its state before the condition is set up", SL__STARTS},
};

static const sl_element elements[] = {
    [INPUT] = {"input", IN, GROUND, "takes the power the output gives, and the losses"},
    [OUTPUT] = {"output", OUT, INSIDE, "lets current out up to the limit, and none in"},
    [REFERENCE] = {"reference", INSIDE, OUT_GROUND, "the voltage without load"},
    [GROUND_LINK] = {"ground link", OUT_GROUND, GROUND, "when the grounds are common"},
    [BLEED] = {"bleed", OUT, OUT_GROUND, "empties its output when it is off"},
};

static const sl_mode modes[] = {
    {"no input", SL_OPEN, INPUT, 0.0, 0.0, "its fuse is blown or its feed is off", SL__PRACTICE},
    {"poor input", SL_SERIES, INPUT, 1e-3, 10.0, "a poor contact in its feed", SL__PRACTICE},
    {"no output", SL_OPEN, OUTPUT, 0.0, 0.0, "it has failed", SL__PRACTICE},
    {"poor output", SL_SERIES, OUTPUT, 1e-3, 10.0, "a poor contact at its output", SL__PRACTICE},
    {"ground open", SL_OPEN, GROUND_LINK, 0.0, 0.0, "the return of its output is broken inside",
     SL__PRACTICE},
    {"weak", SL_SET, CURRENT_LIMIT, 0.1, 5.0, "it gives less than it should", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [LIMITING] = {"current limit", SL_CURRENT, "at its current limit of @"},
    [CUT_OFF] = {"cut off", SL_VOLTAGE,
                 "off: @ at its input, less than its `cut_out` or, once off, its `recovery`"},
    [REVERSED] = {"reversed", SL_VOLTAGE, "its input is the wrong way round: @"},
    SL__HOT_SPOT_ROW,
};

static bool complete(double *p, sl__complaint *bad)
{
    if (isnan(p[CUT_OUT]) && isnan(p[RECOVERY])) {
        const double twelves = p[OUTPUT_VOLTAGE] < 18.0 ? 2.0 : 1.0;
        p[CUT_OUT] = USUAL_CUT_OUT_V * twelves;
        p[RECOVERY] = USUAL_RECOVERY_V * twelves;
    } else if (isnan(p[CUT_OUT])) {
        p[CUT_OUT] = p[RECOVERY] * (USUAL_CUT_OUT_V / USUAL_RECOVERY_V);
    } else if (isnan(p[RECOVERY])) {
        p[RECOVERY] = fmin(p[CUT_OUT] * (USUAL_RECOVERY_V / USUAL_CUT_OUT_V), 60.0);
    }
    if (p[CUT_OUT] >= p[RECOVERY]) {
        *bad = (sl__complaint){CUT_OUT, "must be below `recovery`, or it could never stay on"};
        return false;
    }
    if (isnan(p[DRAW])) {
        p[DRAW] = p[IDLE_POWER];
    }
    return true;
}

static sl__limited limiter(const double *p, int32_t state)
{
    const double volts = state == WORKING ? p[OUTPUT_VOLTAGE] : 0.0;
    return (sl__limited){.limit_a = state == WORKING ? p[CURRENT_LIMIT] : 0.0,
                         .give_v = p[REGULATION],
                         .soft = SOFT,
                         .leak_s = LEAK_S,
                         .reverse_v = -volts - REVERSE_V,
                         .reverse_s = 1.0 / REVERSE_OHM};
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    const sl__limited limited = limiter(p, state);
    sl__law_limited(&law[OUTPUT], &limited, p[CURRENT_LIMIT] / p[OUTPUT_VOLTAGE]);
    law[REFERENCE].form = SL__OHMIC;
    law[REFERENCE].open_v = state == WORKING ? p[OUTPUT_VOLTAGE] : 0.0;
    if (state == WORKING) {
        sl__law_constant_power(&law[INPUT], fmax(p[DRAW], p[IDLE_POWER]), p[CUT_OUT], BACK_S);
    } else {
        sl__law_resistor(&law[INPUT], OFF_OHM);
    }
    sl__law_resistor(&law[BLEED], BLEED_OHM);
    if (p[GROUNDS] == COMMON) {
        sl__law_resistor(&law[GROUND_LINK], LINK_OHM);
    }
}

/* A broken feed brings nothing, whatever stands at its far end. */
static double input_v(const sl__flow *flow)
{
    return flow[INPUT].i == 0.0 ? 0.0 : flow[INPUT].v;
}

static int32_t wants(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    (void)ambient_c;
    const bool works = state == WORKING;
    return sl__converter_runs(works, input_v(flow), p[CUT_OUT], p[RECOVERY]) ? WORKING : OFF;
}

static double delay_s(const double *p, int32_t from, int32_t to)
{
    (void)from;
    return to == WORKING ? p[START_TIME] : p[STOP_TIME];
}

/* The power the output gives comes in at the input, with the losses. */
static double trim(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    (void)ambient_c;
    if (state != WORKING) {
        return p[DRAW];
    }
    const double amps = -flow[OUTPUT].i;
    const double watts = amps > 0.0 ? amps * (flow[OUTPUT].v + flow[REFERENCE].v) : 0.0;
    return fmax(watts, 0.0) / p[EFFICIENCY] + p[IDLE_POWER];
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    const sl__limited limited = limiter(p, state);
    const double in_v = input_v(flow);
    if (in_v < SL__REVERSED_V) {
        sl__notice(list, REVERSED, in_v);
    } else if (state == WORKING && sl__at_limit(&limited, flow[OUTPUT].i)) {
        sl__notice(list, LIMITING, -flow[OUTPUT].i);
    } else if (state != WORKING && in_v > LIVE_V) {
        sl__notice(list, CUT_OFF, in_v);
    }
}

const sl__kind sl__kind_converter = {
    .about =
        {
            .name = "converter",
            .doc = "A converter for 12 V loads on a 24 V set, or the other way round. What its "
                   "output gives it takes from its input, with the losses. One that raises the "
                   "voltage often lets its input through when it is off; that is left out.",
            .law = "Output: v = output_voltage - regulation x I / limit up to the limit, below "
                   "that voltage the limit and 0.1 % more for each volt. Input: v i = output power "
                   "/ efficiency + idle_power. It switches off below cut_out and on again at "
                   "recovery; off, its input is 100 kohm and its output 10 kohm. Below cut_out, "
                   "before "
                   "it has switched off, its input is a resistance.",
            .standing = "energy; efficiency and all other numbers not given: from memory",
            .check = "none published; energy in and out against values worked out by hand",
            SL__TABLES(terminals, params, elements, modes),
            .inside = SL_TERMINAL_BIT(INSIDE),
            .uses = (const sl_use[]){SL_LOAD_MODULE, SL_GIVES, SL_GIVES, SL_WIRE, SL_LEAK},
            SL__NOTICES(notices),
            .states = states,
            .state_count = SL__COUNT(states) - 1,
            .start_param = STARTS,
            .position_param = -1,
            .falls = true,
            .negative_post = -1,
            .example = "converter \"DC1\" { \"24 V feed\", \"frame\", \"12 V feed\", "
                       "output_voltage = \"13.2 V\", current_limit = \"20 A\" }",
        },
    .complete = complete,
    .laws = laws,
    .wants = wants,
    .delay_s = delay_s,
    .trim = trim,
    .trim_param = DRAW,
    .notice = notice,
};

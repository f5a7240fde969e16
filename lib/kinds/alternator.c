/* lib/kinds/alternator.c: an alternator with its regulator and rectifier. */
#include "kinds/limited.h"

#include <math.h>

enum {
    SET_POINT,
    RATED_CURRENT,
    SPEED,
    SENSING,
    TEMPERATURE,
    COMPENSATION,
    REGULATION,
    IDLE_CURRENT,
    CUT_IN,
    PULLEY_RATIO,
    BELT,
    OUTPUT,
    WINDING_TEMPERATURE,
    HOT_FALL,
    REGULATOR,
    SENSE_RESISTANCE,
    LEAK_RESISTANCE,
    LIFT
};
enum { B, CASE, SENSE, INSIDE };
enum { RECTIFIER, MACHINE, SENSE_INPUT };
enum { OWN, REMOTE };
enum { GOOD, NO_FIELD, FULL_FIELD };
enum { CHARGING, AT_LIMIT, NOT_CHARGING, OVERCHARGING, REVERSED };

/* Speeds of the alternator at which its two currents are stamped: from memory, ISO 8854. */
#define IDLE_RPM 1500.0
#define RATED_RPM 6000.0

#define STAMPED_C 23.0 /* of the windings, for those currents: the same */

#define IDLE_SHARE 0.5     /* of the rated current, at IDLE_RPM: from memory */
#define USUAL_SET_V 14.2   /* of 12 V; what is in proportion to it at other voltages */
#define USUAL_FALL_V 0.010 /* per kelvin, of 12 V: slope of the published table */
#define CEILING 2.0        /* at full field and no load, of the set point: from memory */
#define SOFT 0.01          /* of the limit, per volt below the set point: from memory */
#define BRIDGE_DROP_V 1.4  /* of two diodes in series: from memory */
#define BRIDGE_OHM 5e-3    /* of the rectifier the wrong way round: from memory */
#define GIVES_A 0.5        /* less is not charging */
#define SHORT_OF_V 0.5     /* of 12 V: half of the published band of set points */
#define TOO_MUCH_V 15.1    /* of 12 V: the top of the published band, which is at -20 C */

static const sl_terminal terminals[] = {
    [B] = {"B", false, "the output stud, B+"},
    [CASE] = {"case", false, "the return, through the mounting on the engine"},
    [SENSE] = {"sense", true, "the regulator's own wire to where the voltage is to be held"},
    [INSIDE] = {"inside", true, "behind the rectifier, where no lead reaches: leave it out"},
};

static const char *const sensing_choices[] = {"own", "remote", NULL};
static const char *const regulator_choices[] = {"good", "no field", "full field", NULL};

static const sl_param params[] = {
    [SET_POINT] = {"set_point", SL_VOLTAGE, SL_DEFAULT, USUAL_SET_V, 5.0, 50.0, NULL,
                   "voltage it holds without load, at 20 C; 28.4 V for 24 V",
                   "between the middles of two published bands at 20 C: a vehicle maker's 13.7 to "
                   "14.6 V, a marine engine manual's 14.1 to 14.7 V"},
    [RATED_CURRENT] = {"rated_current", SL_CURRENT, SL_DEFAULT, 90.0, 1.0, 2000.0, NULL,
                       "the most it gives at 6000 rpm of its own; the larger of the two currents "
                       "stamped on it",
                       SL__FROM_MEMORY},
    [SPEED] = {"speed", SL_SPEED, SL_DEFAULT, 0.0, 0.0, 30000.0, NULL,
               "of the engine; it charges only when this is given, here or by `engine_speed` in a "
               "condition",
               "an engine at rest"},
    [SENSING] = {"sensing", SL_CHOICE, SL_DEFAULT, OWN, OWN, REMOTE, sensing_choices,
                 "own: the voltage is held at its own stud; remote: at the node of `sense`, which "
                 "must then be connected: with nothing there it takes the voltage for 0 and gives "
                 "all it can",
                 SL__PRACTICE},
    [TEMPERATURE] = {"temperature", SL_TEMPERATURE, SL_DEFAULT, SL__NAN, -60.0, 200.0, NULL,
                     "of the regulator, which a hot engine warms; that of the circuit when not "
                     "given",
                     "the circuit's"},
    [COMPENSATION] = {"compensation", SL_VOLTAGE, SL_DERIVED, SL__NAN, 0.0, 0.2, NULL,
                      "what the set point falls by for each kelvin above 20 C",
                      "10 mV/K at 14.2 V, in proportion at others: slope of a vehicle maker's "
                      "table from -20 to 80 C, and of a marine engine manual"},
    [REGULATION] = {"regulation", SL_VOLTAGE, SL_DEFAULT, 0.1, 1e-3, 5.0, NULL,
                    "what the voltage falls by from no load to its limit", SL__FROM_MEMORY},
    [IDLE_CURRENT] = {"idle_current", SL_CURRENT, SL_DERIVED, SL__NAN, 0.1, 2000.0, NULL,
                      "the most it gives at 1500 rpm of its own; the smaller of the two currents "
                      "stamped on it",
                      "half of `rated_current`: from memory"},
    [CUT_IN] = {"cut_in", SL_SPEED, SL_DEFAULT, 1000.0, 100.0, 1400.0, NULL,
                "its own speed below which it gives nothing", SL__FROM_MEMORY},
    [PULLEY_RATIO] = {"pulley_ratio", SL_NUMBER, SL_DEFAULT, 2.5, 0.1, 10.0, NULL,
                      "turns it makes for one of the engine; 1 when `speed` is its own",
                      "from memory: 2 to 3"},
    [BELT] = {"belt", SL_FRACTION, SL_DEFAULT, 1.0, 0.0, 1.0, NULL,
              "part of that speed a slipping belt brings to it", "a belt that does not slip"},
    [OUTPUT] = {"output", SL_FRACTION, SL_DEFAULT, 1.0, 0.0, 1.0, NULL,
                "part of its current it can still give", "a sound alternator"},
    [WINDING_TEMPERATURE] =
        {"winding_temperature", SL_TEMPERATURE, SL_DEFAULT, STAMPED_C, -60.0, 250.0, NULL,
         "of its windings; 90 to 120 C after half an hour of full output",
         "as cold as for the stamped currents, ISO 8854, from memory; hot ones: "
         "from memory"},
    [HOT_FALL] = {"hot_fall", SL_FRACTION, SL_DEFAULT, 0.0025, 0.0, 0.01, NULL,
                  "part of its current it loses for each kelvin of its windings above 23 C",
                  "from memory: hot it gives 15 to 25 % less than stamped"},
    [REGULATOR] = {"regulator", SL_CHOICE, SL_DEFAULT, GOOD, GOOD, FULL_FIELD, regulator_choices,
                   "no field: brushes or field open; full field: it no longer regulates",
                   SL__SOUND},
    [SENSE_RESISTANCE] = {"sense_resistance", SL_RESISTANCE, SL_DEFAULT, 50e3, 10.0, 1e8, NULL,
                          "between `sense` and case, remote sensing only", SL__FROM_MEMORY},
    [LEAK_RESISTANCE] = {"leak_resistance", SL_RESISTANCE, SL_DEFAULT, 100e3, 0.1, 1e9, NULL,
                         "from stud to case through the blocking rectifier",
                         "from memory; it takes 0.1 mA from a battery at rest"},
    [LIFT] = {"lift", SL_VOLTAGE, SL_DEFAULT, 0.0, -60.0, 60.0, NULL,
              "what it adds at its stud for the loss up to `sense`: worked out, leave it out",
              "worked out with the circuit"},
};

static const sl_element elements[] = {
    [RECTIFIER] = {"rectifier", B, INSIDE, "lets current out up to the limit, and none in"},
    [MACHINE] = {"machine", INSIDE, CASE, "the voltage held without load"},
    [SENSE_INPUT] = {"sense input", SENSE, CASE, "remote sensing: what the regulator measures"},
};

static const sl_mode modes[] = {
    {"not charging", SL_SET, REGULATOR, NO_FIELD, NO_FIELD,
     "worn brushes, a broken field or a dead regulator", SL__PRACTICE},
    {"regulator stuck full", SL_SET, REGULATOR, FULL_FIELD, FULL_FIELD,
     "full field whatever the voltage: it boils the batteries", SL__PRACTICE},
    {"low set point", SL_SET, SET_POINT, 12.5, 13.6, "a regulator that holds too little",
     SL__PRACTICE},
    {"a phase lost", SL_SET, OUTPUT, 0.5, 0.5, "a broken winding or open diodes of one phase",
     "half of the output: from memory"},
    {"worn", SL_SET, OUTPUT, 0.3, 0.9, "the value is the part of its output that is left",
     SL__PRACTICE},
    {"hot", SL_SET, WINDING_TEMPERATURE, 60.0, 180.0,
     "hot windings: the value is their temperature", SL__FROM_MEMORY},
    {"slipping belt", SL_SET, BELT, 0.0, 0.8,
     "the value is the part of its speed that is left; 0: no belt", SL__PRACTICE},
    {"open stud", SL_OPEN, RECTIFIER, 0.0, 0.0, "the cable is off the stud", SL__PRACTICE},
    {"corroded stud", SL_SERIES, RECTIFIER, 1e-3, 1.0, "a loose or burnt nut on the stud",
     SL__PRACTICE},
    {"sense open", SL_OPEN, SENSE_INPUT, 0.0, 0.0,
     "the sense wire is off or broken; remote sensing only", SL__PRACTICE},
    {"sense high", SL_SERIES, SENSE_INPUT, 100.0, 50e3,
     "a poor contact in the sense wire; remote sensing only", SL__PRACTICE},
    {"leaking", SL_SET, LEAK_RESISTANCE, 10.0, 1000.0, "diodes that no longer block: a drain",
     SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [CHARGING] = {"charging", SL_CURRENT, "charging: @"},
    [AT_LIMIT] = {"at its limit", SL_CURRENT, "at its limit of @"},
    [NOT_CHARGING] = {"not charging", SL_NUMBER, "not charging"},
    [OVERCHARGING] = {"overcharging", SL_VOLTAGE, "overcharging: @"},
    [REVERSED] = {"reversed", SL_CURRENT,
                  "the battery is on it the wrong way round: @ through its diodes"},
    SL__HOT_SPOT_ROW,
};

/* The part of its stamped current it can give as warm as it is. */
static double warm_share(const double *p)
{
    const double above = fmax(p[WINDING_TEMPERATURE] - STAMPED_C, 0.0);
    return fmax(1.0 - p[HOT_FALL] * above, 0.0);
}

/* The most it gives at its speed. Between the two stamped currents, and beyond, the usual shape:
   steep above the cut-in speed, then nearer and nearer to a last value. */
static double available_a(const double *p)
{
    const double above = p[SPEED] * p[PULLEY_RATIO] * p[BELT] - p[CUT_IN];
    if (!(above > 0.0) || p[REGULATOR] == NO_FIELD) {
        return 0.0;
    }
    const double idle = IDLE_RPM - p[CUT_IN], rated = RATED_RPM - p[CUT_IN];
    const double share = p[IDLE_CURRENT] / p[RATED_CURRENT];
    const double half = idle * rated * (1.0 - share) / (share * rated - idle);
    return warm_share(p) * p[OUTPUT] * p[RATED_CURRENT] * ((rated + half) / rated) *
           (above / (above + half));
}

static bool complete(double *p, sl__complaint *bad)
{
    if (isnan(p[COMPENSATION])) {
        p[COMPENSATION] = USUAL_FALL_V * p[SET_POINT] / USUAL_SET_V;
    }
    if (isnan(p[IDLE_CURRENT])) {
        p[IDLE_CURRENT] = IDLE_SHARE * p[RATED_CURRENT];
    }
    if (p[IDLE_CURRENT] >= p[RATED_CURRENT]) {
        *bad = (sl__complaint){IDLE_CURRENT, "must be below `rated_current`: it is what is left of "
                                             "it at 1500 rpm"};
        return false;
    }
    const double straight = (IDLE_RPM - p[CUT_IN]) / (RATED_RPM - p[CUT_IN]);
    if (p[IDLE_CURRENT] <= straight * p[RATED_CURRENT]) {
        *bad = (sl__complaint){IDLE_CURRENT, "is below the straight line from `cut_in` to "
                                             "`rated_current` at 6000 rpm; give a higher `cut_in`"};
        return false;
    }
    return true;
}

/* What it holds at its own stud without load. */
static double held_v(const double *p, double ambient_c)
{
    if (available_a(p) == 0.0) {
        return 0.0;
    }
    if (p[REGULATOR] == FULL_FIELD) {
        return CEILING * p[SET_POINT];
    }
    const double celsius = sl__temperature_or(p[TEMPERATURE], ambient_c);
    return fmax(p[SET_POINT] - p[COMPENSATION] * (celsius - 20.0) + p[LIFT], 0.0);
}

static sl__limited rectifier(const double *p, double volts)
{
    return (sl__limited){.limit_a = available_a(p),
                         .give_v = p[REGULATION],
                         .soft = SOFT,
                         .leak_s = 1.0 / p[LEAK_RESISTANCE],
                         .reverse_v = -volts - BRIDGE_DROP_V,
                         .reverse_s = 1.0 / BRIDGE_OHM};
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)state;
    const double volts = held_v(p, ambient_c);
    const sl__limited limited = rectifier(p, volts);
    sl__law_limited(&law[RECTIFIER], &limited, p[RATED_CURRENT] / p[SET_POINT]);
    law[MACHINE].form = SL__OHMIC;
    law[MACHINE].open_v = volts;
    if (p[SENSING] == REMOTE) {
        sl__law_resistor(&law[SENSE_INPUT], p[SENSE_RESISTANCE]);
    }
}

/* Stud against case. */
static double stud_v(const sl__flow *flow)
{
    return flow[RECTIFIER].v + flow[RECTIFIER].added_v + flow[MACHINE].v + flow[MACHINE].added_v;
}

/* What reaches the regulator: from the current, so that a broken wire brings nothing. */
static double sensed_v(const double *p, const sl__flow *flow)
{
    return flow[SENSE_INPUT].i * p[SENSE_RESISTANCE];
}

/* The stud is raised by what is lost on the way to the sense terminal, up to full field. */
static double trim(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    (void)ambient_c;
    (void)state;
    const double lost = stud_v(flow) - sensed_v(p, flow);
    if (p[SENSING] == OWN || p[REGULATOR] != GOOD || available_a(p) == 0.0 || isnan(lost)) {
        return 0.0;
    }
    return fmin(fmax(lost, -p[SET_POINT]), (CEILING - 1.0) * p[SET_POINT]);
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    const double stud = stud_v(flow), gives = -flow[RECTIFIER].i, part = p[SET_POINT] / USUAL_SET_V;
    const sl__limited limited = rectifier(p, 0.0);
    if (stud < SL__REVERSED_V && gives >= GIVES_A) {
        sl__notice(list, REVERSED, gives);
    } else if (sl__at_limit(&limited, flow[RECTIFIER].i)) {
        sl__notice(list, AT_LIMIT, gives);
    } else if (gives >= GIVES_A) {
        sl__notice(list, CHARGING, gives);
    } else if (p[SPEED] > 0.0 && !(stud >= p[SET_POINT] - SHORT_OF_V * part)) {
        sl__notice(list, NOT_CHARGING, 0.0);
    }
    /* A stud raised for a long cable is no fault; what counts is the voltage at the far end. */
    const double sensed = sensed_v(p, flow);
    const double held = p[SENSING] == REMOTE && sensed > 0.5 * stud ? sensed : stud;
    if (gives >= GIVES_A && held > TOO_MUCH_V * part) {
        sl__notice(list, OVERCHARGING, held);
    }
}

const sl__kind sl__kind_alternator = {
    .about =
        {
            .name = "alternator",
            .doc = "An alternator with its regulator. It charges when `speed` is given and brings "
                   "it above `cut_in`. Its field is taken to be fed: the exciter circuit with its "
                   "lamp, and the loss of field when its own voltage collapses, are left out.",
            .law = "It holds set_point - compensation x (T - 20 C) - regulation x I / limit at its "
                   "stud, or at the end of its sense wire, up to the limit; below that voltage it "
                   "gives the limit, and 1 % more for each volt. The limit over speed n is "
                   "A x / (x + m), x = n - cut_in, through idle_current at 1500 rpm and "
                   "rated_current at 6000 rpm, less hot_fall for each kelvin of the windings above "
                   "23 C. Backwards only leak_resistance conducts; below "
                   "-1.4 V the rectifier does, 5 mohm. Without regulation it reaches twice the set "
                   "point.",
            .standing = "set point and slope: published tables; the two speeds: from memory of ISO "
                        "8854; the shape between them, regulation, 1 % per volt, the rectifier the "
                        "wrong way round and the ceiling: from memory; overcharging is noticed "
                        "above 15.1 V (30.2 V), the top of a published band",
            .check = "set points at -20, 20, 60 and 80 C: a vehicle maker's service "
                     "specification; at 20 C: a marine engine manual",
            SL__TABLES(terminals, params, elements, modes),
            .inside = SL_TERMINAL_BIT(INSIDE),
            .uses = (const sl_use[]){SL_GIVES, SL_GIVES, SL_LEAK},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .engine_speed = "speed",
            .example = "alternator \"G1\" { B = \"G1 stud\", case = \"engine\", "
                       "rated_current = \"90 A\", speed = \"1800 rpm\" }",
        },
    .complete = complete,
    .laws = laws,
    .trim = trim,
    .trim_param = LIFT,
    .notice = notice,
};

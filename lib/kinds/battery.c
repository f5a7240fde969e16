/* lib/kinds/battery.c: a lead-acid battery: an open-circuit voltage behind one resistance. */
#include "kinds/kind.h"

#include <math.h>

enum {
    CCA,
    CHARGE,
    TYPE,
    CELLS,
    TEMPERATURE,
    HEALTH,
    SHORTED_CELLS,
    RESISTANCE,
    SURFACE_CHARGE,
    CAPACITY
};
enum { CELL_STACK };
enum { FLOODED, AGM, GEL };
enum { DISCHARGED, LOW_VOLTAGE, REVERSED, DRAINS, DRAINS_SLOWLY, DRAINS_FAST, TAKES, SURFACE };

static const sl_terminal terminals[] = {
    {"positive", false, "the positive post"},
    {"negative", false, "the negative post"},
};

static const char *const types[] = {"flooded", "agm", "gel", NULL};

static const sl_param params[] = {
    [CCA] = {"cca", SL_CURRENT, SL_DEFAULT, SL__NAN, 10.0, 5000.0, NULL,
             "its SAE cold cranking rating: the current it gives for 30 s at -18 C above 1.2 V per "
             "cell; needed unless `resistance` is given",
             ""},
    [CHARGE] = {"charge", SL_FRACTION, SL_DEFAULT, 1.0, 0.0, 1.0, NULL,
                "how far it is charged, at rest and without surface charge", SL__PRACTICE},
    [TYPE] =
        {"type", SL_CHOICE, SL_DEFAULT, FLOODED, FLOODED, GEL, types,
         "which table of open-circuit voltage against charge holds. flooded: 11.89, 12.06, "
         "12.24, 12.45, 12.65 V at 0, 25, 50, 75, 100 %; agm: 11.8, 12.0, 12.3, 12.6, 12.8 V; gel: "
         "11.8, 12.0, 12.35, 12.65, 12.85 V",
         "flooded: trade table, 75 % seen in print, the others from memory; agm: an owner's "
         "manual, 0 % from memory; gel: from memory; published tables differ by up to 0.3 V below "
         "25 %"},
    [CELLS] = {"cells", SL_NUMBER, SL_DEFAULT, 6.0, 1.0, 15.0, NULL,
               "cells in series: 3 for 6 V, 6 for 12 V, 12 for 24 V", SL__PRACTICE},
    [TEMPERATURE] = {"temperature", SL_TEMPERATURE, SL_DEFAULT, SL__NAN, -60.0, 100.0, NULL,
                     "of the electrolyte; that of the circuit when not given", "the circuit's"},
    [HEALTH] = {"health", SL_FRACTION, SL_DEFAULT, 1.0, 0.01, 1.0, NULL,
                "the part of its cranking ability an aged battery has left; divides the resistance",
                "a new battery; the law: definition"},
    [SHORTED_CELLS] = {"shorted_cells", SL_NUMBER, SL_DEFAULT, 0.0, 0.0, 15.0, NULL,
                       "cells that give no voltage any more; their resistance is kept",
                       "a sound battery; the law: " SL__PRACTICE},
    [RESISTANCE] = {"resistance", SL_RESISTANCE, SL_DEFAULT, SL__NAN, 1e-6, 100.0, NULL,
                    "internal resistance of the whole battery, the same at every temperature; "
                    "used instead of the one that follows from `cca`",
                    "worked out from `cca` and temperature: 5.4 V / CCA at -18 C from the SAE J537 "
                    "definition, 3.0 V / CCA at 25 C from memory (2.5 to 3.5)"},
    [SURFACE_CHARGE] = {"surface_charge", SL_VOLTAGE, SL_DEFAULT, 0.0, 0.0, 2.0, NULL,
                        "what the open-circuit voltage of six cells is higher by during and after "
                        "charging: 0.2 to 0.5 V when it has just ended, 1 to 1.5 V while a nearly "
                        "full battery is on charge, which otherwise takes far more current here "
                        "than a real one. A load takes it off within seconds to minutes; that is "
                        "not modelled: it stays whatever current flows, so set it in the "
                        "conditions where it is there",
                        "a rested battery; the other values: from memory"},
    [CAPACITY] =
        {"capacity", SL_CAPACITY, SL_DEFAULT, SL__NAN, 0.1, 10000.0, NULL,
         "what it gives in 20 h: for how long it stands a drain, which is told when "
         "it is given; no voltage or current depends on it",
         "nothing is told of a drain; a drain: definition, with a steady current and no "
         "loss of its own, in days up to 100, from memory: by then it has lost as much by "
         "itself; a current that takes less than the 20 h flattens it sooner than that tells"},
};

static const sl_usual usual[] = {{CAPACITY, 70.0}};

static const sl_element elements[] = {
    [CELL_STACK] = {"cells", 0, 1, "open-circuit voltage and internal resistance"},
};

static const sl_mode modes[] = {
    {"weak", SL_SET, HEALTH, 0.05, 0.95,
     "aged or sulphated: the value is the part of its cranking ability that is left", SL__PRACTICE},
    {"low charge", SL_SET, CHARGE, 0.0, 0.75, "left on, or not charged", SL__PRACTICE},
    {"shorted cell", SL_SET, SHORTED_CELLS, 1.0, 1.0,
     "a dead cell: one gives no voltage, and about 10.5 V are left", SL__PRACTICE},
    {"added resistance", SL_SERIES, CELL_STACK, 1e-3, 10.0, "a cracked connector between cells",
     SL__PRACTICE},
    {"open", SL_OPEN, CELL_STACK, 0.0, 0.0, "a broken connector between cells", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [DISCHARGED] = {"discharged", SL_FRACTION, "discharged: @ of its charge left"},
    [LOW_VOLTAGE] = {"low voltage", SL_VOLTAGE, "voltage falls to @ under load"},
    [REVERSED] = {"reversed", SL_VOLTAGE, "driven backwards by the others: @ across its posts"},
    [DRAINS] = {"drains", SL_TIME, "at this drain all flat in about @, from the charge it has"},
    [DRAINS_SLOWLY] = {"drains slowly", SL_NUMBER,
                       "at this drain all flat in over 100 days, from the charge it has"},
    [DRAINS_FAST] = {"drains fast", SL_TIME,
                     "at this current all flat in less than about @, from the charge it has"},
    [TAKES] = {"takes much", SL_CURRENT,
               "takes @, more than a battery takes for long: give it `surface_charge` here"},
    [SURFACE] = {"surface charge", SL_VOLTAGE,
                 "gives current with its surface charge on: that goes soon, and @ with it"},
    SL__HOT_SPOT_ROW,
};

/* Six cells at rest, at equal steps of charge from empty to full. */
#define OCV_POINTS 5
static const struct {
    double reference_c;
    double volts[OCV_POINTS];
} ocv_tables[] = {
    [FLOODED] = {26.7, {11.89, 12.06, 12.24, 12.45, 12.65}},
    [AGM] = {25.0, {11.80, 12.00, 12.30, 12.60, 12.80}},
    [GEL] = {25.0, {11.80, 12.00, 12.35, 12.65, 12.85}},
};
static const double OCV_PER_CELL_K = 0.2e-3; /* V/K, from memory */

/* Six cells: the voltage lost inside when the rated cold cranking current flows. */
static const double COLD_C = -18.0, COLD_DROP_V = 12.6 - 7.2;
static const double WARM_C = 25.0, WARM_DROP_V = 3.0;

/* A battery of six cells that falls below this has failed at any warm load test. */
static const double LOW_CELL_V = 9.6 / 6.0;
static const double LOW_CHARGE = 0.5;

static bool whole(double x)
{
    return x == floor(x);
}

static bool complete(double *p, sl__complaint *bad)
{
    if (isnan(p[CCA]) && isnan(p[RESISTANCE])) {
        *bad = (sl__complaint){
            CCA, "give `cca`, the SAE cold cranking rating on the label, or `resistance`"};
        return false;
    }
    if (!whole(p[CELLS])) {
        *bad = (sl__complaint){CELLS, "a battery has a whole number of cells, 1 to 15"};
        return false;
    }
    if (!whole(p[SHORTED_CELLS]) || p[SHORTED_CELLS] > p[CELLS]) {
        *bad = (sl__complaint){SHORTED_CELLS,
                               "must be a whole number, no more than the battery has `cells`"};
        return false;
    }
    return true;
}

static double open_circuit_v(const double *p, double celsius)
{
    const int type = (int)p[TYPE];
    const double *volts = ocv_tables[type].volts;
    const double at = p[CHARGE] * (OCV_POINTS - 1);
    const int below = at < OCV_POINTS - 1 ? (int)at : OCV_POINTS - 2;
    const double six_cells_v = volts[below] + (at - below) * (volts[below + 1] - volts[below]);
    return (p[CELLS] - p[SHORTED_CELLS]) *
           ((six_cells_v + p[SURFACE_CHARGE]) / 6.0 +
            OCV_PER_CELL_K * (celsius - ocv_tables[type].reference_c));
}

/* Weak acid conducts badly: little is lost near full, the resistance has about doubled at half
   charge, and an empty battery has ten times as much. From memory, both figures and the cube
   between. */
static const double EMPTY_RISE = 9.0;

static double resistance_ohm(const double *p, double celsius)
{
    if (!isnan(p[RESISTANCE])) {
        return p[RESISTANCE] / p[HEALTH];
    }
    const double left_out = 1.0 - p[CHARGE];
    const double empty = 1.0 + EMPTY_RISE * left_out * left_out * left_out;
    const double cold = (WARM_C - celsius) / (WARM_C - COLD_C);
    const double drop_v = WARM_DROP_V * pow(COLD_DROP_V / WARM_DROP_V, cold);
    return drop_v / p[CCA] * (p[CELLS] / 6.0) * empty / p[HEALTH];
}

static double comes_to(const double *p, double ambient_c, int32_t param)
{
    return param == RESISTANCE ? resistance_ohm(p, sl__temperature_or(p[TEMPERATURE], ambient_c))
                               : SL__NAN;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)state;
    const double celsius = sl__temperature_or(p[TEMPERATURE], ambient_c);
    law[CELL_STACK].form = SL__OHMIC;
    law[CELL_STACK].open_v = open_circuit_v(p, celsius);
    law[CELL_STACK].ohm = resistance_ohm(p, celsius);
}

static const double HOUR_S = 3600.0, DAY_S = 86400.0;
static const double RATED_HOURS = 20.0; /* a faster discharge than this yields less */
static const double LEAST_HOURS = 1.0;  /* in less it is cranked, not drained */
static const double LONGEST_DAYS = 100.0;
static const double LEAST_A = 1e-5; /* less is no drain */

/* Tells when nothing is left, where something drains it. */
static void notice_drain(const double *p, double gives_a, sl__notice_list *list)
{
    const double seconds = p[CHARGE] * p[CAPACITY] / gives_a * HOUR_S;
    if (!(gives_a > LEAST_A) || !(seconds > 0.0) || gives_a * LEAST_HOURS > p[CAPACITY]) {
        return; /* also where its capacity is not known */
    }
    if (gives_a * RATED_HOURS > p[CAPACITY]) {
        sl__notice(list, DRAINS_FAST, seconds);
    } else if (seconds > LONGEST_DAYS * DAY_S) {
        sl__notice(list, DRAINS_SLOWLY, 0.0);
    } else {
        sl__notice(list, DRAINS, seconds);
    }
}

/* What a battery takes for more than minutes, and what takes its surface charge off soon, as shares
   of the current that its capacity lasts an hour for; ten times that is about its cold cranking
   rating. From memory. */
static const double TAKES_MOST = 0.4, TAKES_OFF = 0.05, CRANKING_HOURS = 10.0;

/* Tells where the model, in which no time passes, is not what a meter shows after some minutes. */
static void notice_charge(const double *p, double takes_a, sl__notice_list *list)
{
    const double hour_a = isnan(p[CCA]) ? p[CAPACITY] : p[CCA] / CRANKING_HOURS;
    const double surface_v = p[SURFACE_CHARGE] * (p[CELLS] - p[SHORTED_CELLS]) / 6.0;
    if (takes_a > TAKES_MOST * hour_a) {
        sl__notice(list, TAKES, takes_a);
    } else if (surface_v > 0.0 && -takes_a > TAKES_OFF * hour_a) {
        sl__notice(list, SURFACE, surface_v);
    }
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    if (p[CHARGE] < LOW_CHARGE) {
        sl__notice(list, DISCHARGED, p[CHARGE]);
    }
    /* The current through a battery that gives current runs from negative to positive. */
    const double posts_v = flow[CELL_STACK].v + flow[CELL_STACK].added_v;
    if (flow[CELL_STACK].i < 0.0 && posts_v < LOW_CELL_V * p[CELLS]) {
        sl__notice(list, posts_v < 0.0 ? REVERSED : LOW_VOLTAGE, posts_v);
    }
    notice_drain(p, -flow[CELL_STACK].i, list);
    notice_charge(p, flow[CELL_STACK].i, list);
}

const sl__kind sl__kind_battery = {
    .about =
        {
            .name = "battery",
            .doc =
                "A lead-acid battery. Its voltage at rest follows from charge, its resistance "
                "from the cold cranking rating and temperature. Polarisation over minutes is left "
                "out.",
            .law = "v = E + i R. E is read between the points of a table over charge, plus surface "
                   "charge and 0.2 mV per cell and kelvin from the table's temperature. R = 3.0 V "
                   "/ CCA at 25 C and "
                   "5.4 V / CCA at -18 C for six cells, exponential in temperature, times "
                   "1 + 9 (1 - charge)^3.",
            .standing = "E: see `type`, temperature from memory; R at -18 C: computed from the SAE "
                        "J537 definition, 12.6 V to 7.2 V; R at 25 C: from memory; exponential: "
                        "an assumption; rise with lost charge: from memory; low voltage is noticed "
                        "below 1.6 V per cell, from the 9.6 "
                        "V of the half-CCA load test; discharged below 50 %: " SL__PRACTICE
                        "; taking much above 4 % of the cold cranking rating, surface charge "
                        "noticed where it gives 0.5 %: from memory",
            .check = "volts at rest: a trade table, an owner's manual and an engineering "
                     "group's list; volts at the rated cold cranking current: SAE J537, 7.2"
                     " V at -18 C",
            SL__TABLES(terminals, params, elements, modes),
            .usual = usual,
            .usual_count = SL__COUNT(usual),
            .uses = (const sl_use[]){SL_GIVES},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = 1,
            .example = "battery \"B1\" { \"B1 +\", \"B1 -\", cca = \"600 A\", charge = \"95 %\" }",
        },
    .complete = complete,
    .laws = laws,
    .comes_to = comes_to,
    .notice = notice,
};

/* lib/kinds/sensor_input.c: where a module feeds and reads a sensor. */
#include "kinds/ntc.h"

enum {
    REFERENCE_V,
    OUTPUT_RESISTANCE,
    INPUT_RESISTANCE,
    PULL_UP,
    SENSOR_RESISTANCE,
    SENSOR_BETA,
    POSITION,
    LEAST_SUPPLY,
    SUPPLY_RESISTANCE
};
enum { REFERENCE, SIGNAL, GROUND, SUPPLY };
enum { REGULATOR, PULL, INPUT, SUPPLY_INPUT };
enum { ON, OFF, BY_WIRE };
enum { WORKING, WITHOUT_SUPPLY };
enum { SEES_SHARE, SEES_OHM, SEES_CELSIUS, OUT_OF_RANGE };

static const sl_terminal terminals[] = {
    [REFERENCE] = {"reference", true, "5 V for the sensor"},
    [SIGNAL] = {"signal", false, "from the sensor"},
    [GROUND] = {"ground", false, "ground of the module, against which it measures"},
    [SUPPLY] = {"supply", true, "feed of the module, when its `position` is by wire"},
};

static const char *const positions[] = {"on", "off", "by wire", NULL};
static const char *const states[] = {"working", "without supply", NULL};

static const sl_param params[] = {
    [REFERENCE_V] = {"reference_voltage", SL_VOLTAGE, SL_DEFAULT, 5.0, 1.0, 60.0, NULL,
                     "it feeds its sensors with", SL__PRACTICE},
    [OUTPUT_RESISTANCE] = {"output_resistance", SL_RESISTANCE, SL_DEFAULT, 1.0, 1e-3, 1e4, NULL,
                           "of its reference; a limit of its current is not shown",
                           SL__FROM_MEMORY},
    [INPUT_RESISTANCE] = {"input_resistance", SL_RESISTANCE, SL_DEFAULT, 1e6, 100.0, 1e12, NULL,
                          "from signal to ground inside", "from memory: 0.1 to 1 Mohm"},
    [PULL_UP] = {"pull_up", SL_RESISTANCE, SL_DEFAULT, SL__NAN, 1.0, 1e8, NULL,
                 "from reference to signal inside, for a two-wire sensor: 2.2 kohm for instance; "
                 "none when not given",
                 ""},
    [SENSOR_RESISTANCE] = {"sensor_resistance", SL_RESISTANCE, SL_DEFAULT, SL__NAN, 1e-2, 1e8, NULL,
                           "at 20 C of the thermistor it expects; it then tells a temperature", ""},
    [SENSOR_BETA] = {"sensor_beta", SL_NUMBER, SL_DEFAULT, 3500.0, 100.0, 10000.0, NULL,
                     "beta of the thermistor it expects, in kelvin",
                     "as the thermistor's, from memory"},
    [POSITION] = {"position", SL_CHOICE, SL_DEFAULT, ON, ON, BY_WIRE, positions,
                  "whether the module feeds its sensors: on, off, or while there is voltage at "
                  "`supply`, which must then be connected",
                  SL__CONNECTED},
    [LEAST_SUPPLY] = {"least_supply", SL_VOLTAGE, SL_DEFAULT, 6.0, 1.0, 60.0, NULL,
                      "at `supply`, below which it feeds nothing",
                      "from memory: a regulator for 5 V wants 5.5 to 7 V"},
    [SUPPLY_RESISTANCE] = {"supply_resistance", SL_RESISTANCE, SL_DEFAULT, 2.4e3, 10.0, 1e8, NULL,
                           "from `supply` to ground: what the module draws for its inputs",
                           "from memory: 5 mA"},
};

static const sl_usual usual[] = {{PULL_UP, 2200.0}, {SENSOR_RESISTANCE, 2500.0}};

static const sl_element elements[] = {
    [REGULATOR] = {"reference", REFERENCE, GROUND, "its regulated supply for sensors"},
    [PULL] = {"pull-up", REFERENCE, SIGNAL, "feeds a two-wire sensor"},
    [INPUT] = {"input", SIGNAL, GROUND, "where it measures"},
    [SUPPLY_INPUT] = {"supply input", SUPPLY, GROUND, "by wire: what keeps it working"},
};

static const sl_mode modes[] = {
    {"no reference", SL_OPEN, REGULATOR, 0.0, 0.0, "its 5 V supply has failed", SL__PRACTICE},
    {"weak reference", SL_SERIES, REGULATOR, 1.0, 1e4, "a poor reference pin", SL__PRACTICE},
    {"pull-up open", SL_OPEN, PULL, 0.0, 0.0, "failed inside", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [SEES_SHARE] = {"sees", SL_FRACTION, "module sees @"},
    [SEES_OHM] = {"sees resistance", SL_RESISTANCE, "module sees @"},
    [SEES_CELSIUS] = {"sees temperature", SL_TEMPERATURE, "module sees @"},
    [OUT_OF_RANGE] = {"out of range", SL_FRACTION,
                      "module sees a signal out of range: @ of its reference"},
};

/* A share of the reference outside these is a fault to the module: from memory. */
static const double LEAST_SHARE = 0.02, GREATEST_SHARE = 0.98;

static bool complete(double *p, sl__complaint *bad)
{
    if (!isnan(p[SENSOR_RESISTANCE]) && isnan(p[PULL_UP])) {
        *bad = (sl__complaint){PULL_UP, "a thermistor needs a `pull_up` to be read"};
        return false;
    }
    return true;
}

/* From the current, so that a broken wire brings nothing. */
static int32_t wants(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    (void)ambient_c;
    (void)state;
    const bool fed = flow[SUPPLY_INPUT].i * p[SUPPLY_RESISTANCE] >= p[LEAST_SUPPLY];
    return p[POSITION] == ON || (p[POSITION] == BY_WIRE && fed) ? WORKING : WITHOUT_SUPPLY;
}

static double delay_s(const double *p, int32_t from, int32_t to)
{
    (void)p;
    (void)from;
    (void)to;
    return 1e-3; /* before anything that moves: from memory */
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    if (state == WORKING) {
        law[REGULATOR].form = SL__OHMIC;
        law[REGULATOR].open_v = p[REFERENCE_V];
        law[REGULATOR].ohm = p[OUTPUT_RESISTANCE];
    }
    if (p[POSITION] == BY_WIRE) {
        sl__law_resistor(&law[SUPPLY_INPUT], p[SUPPLY_RESISTANCE]);
    }
    sl__law_resistor(&law[INPUT], p[INPUT_RESISTANCE]);
    if (!isnan(p[PULL_UP])) {
        sl__law_resistor(&law[PULL], p[PULL_UP]);
    }
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    if (state != WORKING) {
        return;
    }
    /* It compares with its own reference, before whatever happens to that on the way. */
    const double reference_v = p[REFERENCE_V] + flow[REGULATOR].i * p[OUTPUT_RESISTANCE];
    const double share = flow[INPUT].v / reference_v;
    if (!(share >= LEAST_SHARE && share <= GREATEST_SHARE)) {
        sl__notice(list, OUT_OF_RANGE, share);
    } else if (isnan(p[PULL_UP])) {
        sl__notice(list, SEES_SHARE, share);
    } else {
        const double signal_a =
            (reference_v - flow[INPUT].v) / p[PULL_UP] - flow[INPUT].v / p[INPUT_RESISTANCE];
        const double ohm = signal_a > 0.0 ? flow[INPUT].v / signal_a : INFINITY;
        if (!(ohm < 1e12)) {
            sl__notice(list, OUT_OF_RANGE, share);
        } else if (isnan(p[SENSOR_RESISTANCE])) {
            sl__notice(list, SEES_OHM, ohm);
        } else {
            sl__notice(list, SEES_CELSIUS,
                       sl__ntc_celsius(p[SENSOR_RESISTANCE], p[SENSOR_BETA], ohm));
        }
    }
}

const sl__kind sl__kind_sensor_input = {
    .about =
        {
            .name = "sensor_input",
            .doc = "The place in a module that feeds and reads one sensor: a three-wire one by the "
                   "share of its reference, a two-wire one through a pull_up by its resistance or "
                   "temperature. What the module draws for it from its supply is shown by wire "
                   "only, and there the same whatever the sensor takes.",
            .law =
                "reference to ground: reference_voltage behind output_resistance; reference to "
                "signal: pull_up; signal to ground: input_resistance; without supply the reference "
                "feeds nothing",
            .standing = "Ohm's law; out of range below 2 % and above 98 % of the reference: from "
                        "memory",
            .check = "none published; dividers, and a lifted ground of 0.33 V that reads "
                     "3.3 % of span high, worked out by hand",
            SL__TABLES(terminals, params, elements, modes),
            .usual = usual,
            .usual_count = SL__COUNT(usual),
            .uses = (const sl_use[]){SL_GIVES, SL_LOAD_SENSOR, SL_LEAK, SL_LOAD_MODULE},
            SL__NOTICES(notices),
            .states = states,
            .state_count = SL__COUNT(states) - 1,
            .start_param = -1,
            .position_param = POSITION,
            .negative_post = -1,
            .example = "sensor_input \"A1\" { \"5 V\", \"TPS signal\", \"ECU ground\" }",
        },
    .complete = complete,
    .laws = laws,
    .wants = wants,
    .delay_s = delay_s,
    .notice = notice,
};

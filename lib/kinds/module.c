/* lib/kinds/module.c: a control module: it takes its power at any voltage it works at, resets
   below, and sleeps. */
#include "kinds/constant_power.h"
#include "kinds/rating.h"

#include <math.h>

enum {
    POWER,
    CURRENT,
    VOLTAGE,
    CLASS,
    WORKING,
    RESET_V,
    RECOVER_V,
    LOW_VOLTAGE,
    POSITION,
    SLEEP_CURRENT,
    RESET_CURRENT,
    WAKE_VOLTAGE,
    WAKE_RESISTANCE,
    RESET_TIME,
    START_TIME,
    SLEEP_TIME,
    STARTS
};
enum { SUPPLY, GROUND, WAKE };
enum { INSIDE, WAKE_INPUT };
enum { RESET, RUNNING, ASLEEP, UNPOWERED };
enum { CLASS_A, CLASS_B, CLASS_C, CLASS_D };
enum { RESETS, STAYS_OFF, DRAWS_LESS };
enum { IS_AWAKE, IS_ASLEEP, BY_WIRE };
enum {
    NOTICE_RESETS,
    NOTICE_LOW,
    NOTICE_CLOSE,
    NOTICE_STARVES,
    NOTICE_REVERSED,
    NOTICE_DEAD,
    NOTICE_ANSWERS
};

static const sl_terminal terminals[] = {
    [SUPPLY] = {"supply", false, "its feed"},
    [GROUND] = {"ground", false, "its ground"},
    [WAKE] = {"wake", true, "a wire that wakes it, from the key for instance"},
};

static const char *const classes[] = {"A", "B", "C", "D", NULL};
static const char *const lows[] = {"resets", "stays off", "draws less", NULL};
static const char *const positions[] = {"awake", "asleep", "by wire", NULL};
static const char *const states[] = {"reset", "running", "asleep", "no power", NULL};

/* Least working voltages of the classes of ISO 16750-2 for 12 V. */
static const double class_v[] = {
    [CLASS_A] = 6.0, [CLASS_B] = 8.0, [CLASS_C] = 9.0, [CLASS_D] = 10.5};

static const sl_param params[] = {
    [POWER] = SL__RATING_POWER_ROW(1e-3, 20000.0),
    [CURRENT] = SL__RATING_CURRENT_ROW(1e-4, 2000.0),
    [VOLTAGE] = SL__RATING_VOLTAGE_ROW,
    [CLASS] = {"class", SL_CHOICE, SL_DEFAULT, CLASS_B, CLASS_A, CLASS_D, classes,
               "supply class of ISO 16750-2 for 12 V: works from 6, 8, 9 or 10.5 V",
               "ISO 16750-2; C and D from memory"},
    [WORKING] = {"working", SL_VOLTAGE, SL_DERIVED, SL__NAN, 0.5, 60.0, NULL,
                 "the voltage from which it works as it should, instead of that of its `class`",
                 "its `class`"},
    [RESET_V] = {"reset", SL_VOLTAGE, SL_DEFAULT, 5.5, 0.1, 60.0, NULL,
                 "below this it resets; its power is constant down to here",
                 "from memory: 5 V inside and the drop of a regulator"},
    [RECOVER_V] = {"recover", SL_VOLTAGE, SL_DEFAULT, 6.0, 0.1, 60.0, NULL,
                   "from this on it starts again", SL__FROM_MEMORY},
    [LOW_VOLTAGE] = {"low_voltage", SL_CHOICE, SL_DEFAULT, RESETS, RESETS, DRAWS_LESS, lows,
                     "below `reset`. resets: and starts again by itself; stays off: until it has "
                     "been asleep; draws less: no reset, it goes on as a resistance",
                     SL__PRACTICE},
    [POSITION] = {"position", SL_CHOICE, SL_DEFAULT, IS_AWAKE, IS_AWAKE, BY_WIRE, positions,
                  "awake, asleep, or as its wake wire says", SL__CONNECTED},
    [SLEEP_CURRENT] = {"sleep_current", SL_CURRENT, SL_DEFAULT, 1e-3, 1e-9, 100.0, NULL,
                       "asleep, at `voltage`",
                       "from memory; a vehicle maker counts 10 mA for one module"},
    [RESET_CURRENT] = {"reset_current", SL_CURRENT, SL_DEFAULT, 20e-3, 1e-9, 100.0, NULL,
                       "in reset, at `voltage`", SL__FROM_MEMORY},
    [WAKE_VOLTAGE] = {"wake_voltage", SL_VOLTAGE, SL_DEFAULT, 4.0, 0.1, 60.0, NULL,
                      "on the wake wire, from which it wakes; it sleeps again below half of it",
                      SL__FROM_MEMORY},
    [WAKE_RESISTANCE] = {"wake_resistance", SL_RESISTANCE, SL_DEFAULT, 10e3, 1.0, 1e9, NULL,
                         "from the wake wire to ground inside", SL__FROM_MEMORY},
    [RESET_TIME] = {"reset_time", SL_TIME, SL_DEFAULT, 5e-3, 1e-6, 60.0, NULL,
                    "it lives on its capacitors before it resets", SL__FROM_MEMORY},
    [START_TIME] = {"start_time", SL_TIME, SL_DEFAULT, 0.2, 1e-6, 600.0, NULL,
                    "to start again, or to wake", SL__FROM_MEMORY},
    [SLEEP_TIME] = {"sleep_time", SL_TIME, SL_DEFAULT, 600.0, 1e-6, 86400.0, NULL, "to fall asleep",
                    "10 to 60 min, some 2 h: common practice"},
    [STARTS] = {"starts", SL_CHOICE, SL_DEFAULT, RUNNING, RESET, UNPOWERED, states,
                "its state before the condition is set up", SL__STARTS},
};

static const sl_element elements[] = {
    [INSIDE] = {"supply", SUPPLY, GROUND, "all the module takes"},
    [WAKE_INPUT] = {"wake input", WAKE, GROUND, "a resistance to ground"},
};

static const sl_mode modes[] = {
    {"dead", SL_OPEN, INSIDE, 0.0, 0.0, "no contact at a supply or ground pin, or failed inside",
     SL__PRACTICE},
    {"poor pin", SL_SERIES, INSIDE, 1e-3, 100.0, "a loose or corroded supply or ground pin",
     SL__PRACTICE},
    {"stays awake", SL_SET, POSITION, IS_AWAKE, IS_AWAKE, "does not go to sleep: a drain",
     SL__PRACTICE},
    {"does not wake", SL_SET, POSITION, IS_ASLEEP, IS_ASLEEP, "does not hear what wakes it",
     SL__PRACTICE},
    {"wake input open", SL_OPEN, WAKE_INPUT, 0.0, 0.0, "no contact at the wake pin", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [NOTICE_RESETS] = {"resets", SL_NUMBER, "resets"},
    [NOTICE_LOW] = {"below working", SL_VOLTAGE, "below its working voltage at @"},
    [NOTICE_CLOSE] = {"close to reset", SL_VOLTAGE, "close to its reset at @"},
    [NOTICE_STARVES] = {"starves", SL_VOLTAGE, "cannot have its power: pulls its supply down to @"},
    [NOTICE_REVERSED] = {"reversed", SL_NUMBER, "its supply is the wrong way round"},
    [NOTICE_DEAD] = {"dead", SL_NUMBER, "dead: no current reaches it"},
    [NOTICE_ANSWERS] = {"answers", SL_NUMBER, "answers"},
    SL__HOT_SPOT_ROW,
};

static const double CLOSE_TO_RESET = 1.05; /* of the reset voltage: a margin of 5 % */
static const double DEAD_V = 1.0; /* with less than this it has no power; its law stays the same */

static bool complete(double *p, sl__complaint *bad)
{
    if (!sl__rating_complete(p, (sl__rating){POWER, CURRENT, VOLTAGE}, bad)) {
        return false;
    }
    if (isnan(p[WORKING])) {
        p[WORKING] = class_v[(int)p[CLASS]];
    }
    if (p[RESET_V] > p[WORKING]) {
        *bad = (sl__complaint){RESET_V, "must not be above the voltage from which it works; see "
                                        "`working` and `class`"};
        return false;
    }
    if (p[RECOVER_V] <= p[RESET_V]) {
        *bad = (sl__complaint){RECOVER_V, "must be above `reset`"};
        return false;
    }
    return true;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    sl__law_resistor(&law[WAKE_INPUT], p[WAKE_RESISTANCE]);
    if (state == RUNNING || (state == UNPOWERED && p[LOW_VOLTAGE] == DRAWS_LESS)) {
        sl__law_constant_power(&law[INSIDE], p[POWER], p[RESET_V], p[RESET_CURRENT] / p[VOLTAGE]);
    } else {
        const double amps = p[state == ASLEEP ? SLEEP_CURRENT : RESET_CURRENT];
        sl__law_resistor(&law[INSIDE], p[VOLTAGE] / amps);
    }
}

/* Is something there to keep it awake? */
static bool called(const double *p, int32_t state, double wake_v)
{
    if (p[POSITION] == BY_WIRE) {
        return wake_v >= p[WAKE_VOLTAGE] * (state == ASLEEP ? 1.0 : 0.5);
    }
    return p[POSITION] == IS_AWAKE;
}

static int32_t wants(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    (void)ambient_c;
    const double wake_v = flow[WAKE_INPUT].i * p[WAKE_RESISTANCE];
    if (!called(p, state, wake_v)) {
        return ASLEEP;
    }
    const bool off = state == RESET || state == UNPOWERED, less = p[LOW_VOLTAGE] == DRAWS_LESS;
    if ((off || less) && !(fabs(flow[INSIDE].v) >= DEAD_V)) {
        return UNPOWERED;
    }
    if (less) {
        return RUNNING;
    }
    if (p[LOW_VOLTAGE] == STAYS_OFF && off) {
        return RESET;
    }
    return sl__converter_runs(!off, flow[INSIDE].v, p[RESET_V], p[RECOVER_V]) ? RUNNING : RESET;
}

static double delay_s(const double *p, int32_t from, int32_t to)
{
    (void)from;
    if (to == RUNNING) {
        return p[START_TIME];
    }
    return to == ASLEEP ? p[SLEEP_TIME] : p[RESET_TIME];
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    const double v = flow[INSIDE].v;
    if (v < SL__REVERSED_V) {
        sl__notice(list, NOTICE_REVERSED, 0.0);
    } else if (state == ASLEEP || v + flow[INSIDE].added_v < DEAD_V) {
        return;
    } else if (v < DEAD_V || flow[INSIDE].i == 0.0) {
        sl__notice(list, NOTICE_DEAD, 0.0);
    } else if (state == RESET) {
        sl__notice(list, NOTICE_RESETS, 0.0);
    } else if (v < p[RESET_V]) {
        sl__notice(list, NOTICE_STARVES, v);
    } else {
        const bool low = v < p[WORKING], close = v < CLOSE_TO_RESET * p[RESET_V];
        if (low) {
            sl__notice(list, NOTICE_LOW, v);
        }
        if (close) {
            sl__notice(list, NOTICE_CLOSE, v);
        }
        if (!low && !close && state == RUNNING) {
            sl__notice(list, NOTICE_ANSWERS, 0.0);
        }
    }
}

const sl__kind sl__kind_module = {
    .about =
        {
            .name = "module",
            .doc = "A control module. Behind too much resistance there is no voltage at which it "
                   "can have its power: then it resets, and when its supply recovers it starts "
                   "and resets again and again. For 24 V give `working`, `reset` and `recover`.",
            .law = "running: i = P / v down to `reset`, below a resistance; in reset and asleep: a "
                   "resistance of its own; against its polarity as in reset",
            .standing =
                "constant power: general physics of a switching regulator, a linear one "
                "takes less as the voltage falls; close to its reset within 5 %: " SL__PRACTICE,
            .check = "none published; constant power and least voltages against values "
                     "worked out by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LOAD_MODULE, SL_LOAD_COIL},
            SL__NOTICES(notices),
            .states = states,
            .state_count = SL__COUNT(states) - 1,
            .start_param = STARTS,
            .position_param = POSITION,
            .falls = true,
            .negative_post = -1,
            .example = "module \"ECU\" { \"fuse 7 out\", \"ground stud\", power = \"12 W\" }",
        },
    .complete = complete,
    .laws = laws,
    .wants = wants,
    .delay_s = delay_s,
    .notice = notice,
};

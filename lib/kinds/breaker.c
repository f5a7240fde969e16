/* lib/kinds/breaker.c: a circuit breaker: a strip of two metals that bends with its own heat. */
#include "kinds/kind.h"

#include <math.h>

enum {
    RATING,
    RESET,
    POSITION,
    RESISTANCE,
    HEATER,
    TRIP_LOAD,
    TRIP_TIME,
    RESET_TIME,
    LOAD,
    STARTS
};
enum { CONTACTS, HEATER_PATH };
enum { CLOSED, TRIPPED };
enum { MANUAL, AUTOMATIC, HELD };
enum { ON, OFF };
enum { NOTICE_TRIPPED, TRIPS, OVERLOADED };

static const sl_terminal terminals[] = {
    {"a", false, "the feed side"},
    {"b", false, "the load side"},
};

static const char *const resets[] = {"manual", "automatic", "held", NULL};
static const char *const positions[] = {"on", "off", NULL};
static const char *const states[] = {"closed", "tripped", NULL};

static const sl_param params[] = {
    [RATING] = {"rating", SL_CURRENT, SL_REQUIRED, SL__NAN, 0.1, 1000.0, NULL,
                "the current printed on it", ""},
    [RESET] = {"reset", SL_CHOICE, SL_DEFAULT, MANUAL, MANUAL, HELD, resets,
               "manual: stays open until somebody presses it; automatic: closes again when it has "
               "cooled, and trips again while the fault lasts; held: a heater across its contacts "
               "keeps it open until the voltage is taken away",
               "the three types of vehicle practice, from memory"},
    [POSITION] = {"position", SL_CHOICE, SL_DEFAULT, ON, ON, OFF, positions,
                  "off: opened by hand; that also resets a manual one", "in use; " SL__PRACTICE},
    [RESISTANCE] = {"resistance", SL_RESISTANCE, SL_DERIVED, SL__NAN, 1e-6, 1e3, NULL,
                    "of its strip and contacts, closed", "0.1 V at its rating, from memory"},
    [HEATER] = {"heater", SL_RESISTANCE, SL_DEFAULT, 100.0, 1.0, 1e5, NULL,
                "of the heater across the open contacts of a `held` one", SL__FROM_MEMORY},
    [TRIP_LOAD] = {"trip_load", SL_FRACTION, SL_DEFAULT, 1.35, 1.01, 10.0, NULL,
                   "of its rating: from here on it trips sooner or later",
                   "from memory: holds 100 %, trips at 135 % and more"},
    [TRIP_TIME] = {"trip_time", SL_TIME, SL_DEFAULT, SL__NAN, 1e-3, 1e5, NULL,
                   "until it trips with the present load, instead of that of the table: 600 s at "
                   "135 % of its rating, 60 s at 160 %, 20 s at 200 %, 3 s at 350 %, 1 s at 600 "
                   "%, in log-log between",
                   "from memory, within a factor of three; a cold day makes it longer"},
    [RESET_TIME] = {"reset_time", SL_TIME, SL_DEFAULT, 10.0, 1e-3, 1e5, NULL,
                    "until one that resets by itself has cooled", SL__FROM_MEMORY},
    [LOAD] = {"load", SL_NUMBER, SL_DERIVED, SL__NAN, 0.0, 1e9, NULL,
              "its current over its rating, as the answer has it; what is given here is not kept",
              "worked out"},
    [STARTS] = {"starts", SL_CHOICE, SL_DEFAULT, CLOSED, CLOSED, TRIPPED, states,
                "its state before the condition is set up", SL__STARTS},
};

static const sl_usual usual[] = {{TRIP_TIME, 10.0}};

static const sl_element elements[] = {
    [CONTACTS] = {"contacts", 0, 1, "the strip and its contacts"},
    [HEATER_PATH] = {"heater", 0, 1, "keeps a `held` one open"},
};

static const sl_mode modes[] = {
    {"tripped", SL_SET, STARTS, TRIPPED, TRIPPED, "left open after an overload", SL__PRACTICE},
    {"weak", SL_SET, TRIP_LOAD, 1.01, 1.2, "tired by many trips: opens below 135 %", SL__PRACTICE},
    {"burned contacts", SL_SERIES, CONTACTS, 1e-3, 10.0, "pitted by opening under load",
     SL__PRACTICE},
    {"contacts open", SL_OPEN, CONTACTS, 0.0, 0.0, "does not close any more", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [NOTICE_TRIPPED] = {"tripped", SL_NUMBER, "tripped"},
    [TRIPS] = {"trips", SL_FRACTION, "carries @ of its rating: trips"},
    [OVERLOADED] = {"overloaded", SL_FRACTION, "carries @ of its rating"},
    SL__HOT_SPOT_ROW,
};

static const double OVER = 1.1; /* worth noticing, though it holds */

static const struct {
    double load, seconds;
} trip_points[] = {{1.35, 600.0}, {1.6, 60.0}, {2.0, 20.0}, {3.5, 3.0}, {6.0, 1.0}};

/* Between two points straight in the logarithms; beyond the ends, as at them. */
static double trip_seconds(double load)
{
    if (load <= trip_points[0].load) {
        return trip_points[0].seconds;
    }
    for (int32_t n = 1; n < SL__COUNT(trip_points); n++) {
        if (load < trip_points[n].load) {
            const double along = log(load / trip_points[n - 1].load) /
                                 log(trip_points[n].load / trip_points[n - 1].load);
            return trip_points[n - 1].seconds *
                   pow(trip_points[n].seconds / trip_points[n - 1].seconds, along);
        }
    }
    return trip_points[SL__COUNT(trip_points) - 1].seconds;
}

static bool complete(double *p, sl__complaint *bad)
{
    (void)bad;
    if (isnan(p[RESISTANCE])) {
        p[RESISTANCE] = 0.1 / p[RATING];
    }
    if (isnan(p[LOAD])) {
        p[LOAD] = 0.0;
    }
    return true;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    if ((int)p[POSITION] == OFF) {
        return;
    }
    if (state == CLOSED) {
        sl__law_resistor(&law[CONTACTS], p[RESISTANCE]);
    } else if ((int)p[RESET] == HELD) {
        sl__law_resistor(&law[HEATER_PATH], p[HEATER]);
    }
}

/* How long it takes to trip depends on the load, so the load is kept where `delay_s` finds it. */
static double trim(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    (void)ambient_c;
    (void)state;
    const double load = fabs(flow[CONTACTS].i) / p[RATING];
    return isfinite(load) ? load : p[LOAD];
}

static int32_t wants(const double *p, double ambient_c, int32_t state, const sl__flow *flow)
{
    static const double LIVE_V = 1.0; /* across the heater: less does not keep it open */
    (void)ambient_c;
    if (state == CLOSED) {
        return fabs(flow[CONTACTS].i) >= p[TRIP_LOAD] * p[RATING] ? TRIPPED : CLOSED;
    }
    switch ((int)p[RESET]) {
    case MANUAL:
        return (int)p[POSITION] == OFF ? CLOSED : TRIPPED;
    case HELD:
        return fabs(flow[HEATER_PATH].v) > LIVE_V ? TRIPPED : CLOSED;
    default:
        return CLOSED;
    }
}

static double delay_s(const double *p, int32_t from, int32_t to)
{
    (void)from;
    if (to == CLOSED) {
        return p[RESET_TIME];
    }
    return isnan(p[TRIP_TIME]) ? trip_seconds(p[LOAD]) : p[TRIP_TIME];
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    const double load = fabs(flow[CONTACTS].i) / p[RATING];
    if (state == TRIPPED) {
        sl__notice(list, NOTICE_TRIPPED, 0.0);
    } else if (load >= p[TRIP_LOAD]) {
        sl__notice(list, TRIPS, load);
    } else if (load > OVER) {
        sl__notice(list, OVERLOADED, load);
    }
}

const sl__kind sl__kind_breaker = {
    .about =
        {
            .name = "breaker",
            .doc = "A thermal circuit breaker. Unlike a fuse it opens by itself here: the answer "
                   "is what is there once it has. One that resets by itself has no steady state "
                   "with a lasting fault: it cycles, which is reported as chatter with a period "
                   "of seconds.",
            .law = "closed: v = i R; tripped: open, or its heater. Trips once its current has been "
                   "`trip_load` times its rating for the trip time",
            .standing = "from memory",
            .check = "none published; times to trip and the limit of 135 %: from memory",
            SL__TABLES(terminals, params, elements, modes),
            .usual = usual,
            .usual_count = SL__COUNT(usual),
            .uses = (const sl_use[]){SL_PROTECTION, SL_LEAK},
            SL__NOTICES(notices),
            .states = states,
            .state_count = SL__COUNT(states) - 1,
            .start_param = STARTS,
            .position_param = POSITION,
            .negative_post = -1,
            .example = "breaker \"CB1\" { \"B1 +\", \"winch feed\", rating = \"30 A\" }",
        },
    .complete = complete,
    .laws = laws,
    .wants = wants,
    .delay_s = delay_s,
    .trim = trim,
    .trim_param = LOAD,
    .notice = notice,
};

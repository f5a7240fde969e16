/* lib/kinds/heater.c: a heating load: heated glass, glow plug, seat, or any fixed load. */
#include "kinds/conductor.h"

#include <math.h>

enum { POWER, VOLTAGE, RESISTANCE, COEFFICIENT, TEMPERATURE };
enum { BODY };
enum { HEAT, COLD };

static const sl_terminal terminals[] = {
    {"a", false, "the feed side"},
    {"b", false, "the ground side"},
};

static const sl_param params[] = {
    [POWER] = {"power", SL_POWER, SL_DERIVED, SL__NAN, 1e-3, 20000.0, NULL,
               "its rated power at `voltage`; give this or `resistance`",
               "follows from `resistance` and `voltage`"},
    [VOLTAGE] = {"voltage", SL_VOLTAGE, SL_DEFAULT, 12.0, 1.0, 60.0, NULL,
                 "the voltage at which the rating holds", SL__PRACTICE},
    [RESISTANCE] = {"resistance", SL_RESISTANCE, SL_DERIVED, SL__NAN, 1e-4, 1e6, NULL,
                    "its resistance at 20 C; give this or `power`",
                    "follows from `power` and `voltage`"},
    [COEFFICIENT] = {"coefficient", SL_NUMBER, SL_DEFAULT, 0.0, -0.003, 0.01, NULL,
                     "change of resistance per kelvin from 20 C",
                     "0, as for heating alloys: " SL__PRACTICE},
    [TEMPERATURE] = {"temperature", SL_TEMPERATURE, SL_DEFAULT, SL__NAN, -60.0, 300.0, NULL,
                     "of its wire; that of the circuit when not given", "the circuit's"},
};

static const sl_element elements[] = {
    [BODY] = {"body", 0, 1, "the heating wire"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, BODY, 0.0, 0.0, "burnt out or broken", SL__PRACTICE},
    {"added resistance", SL_SERIES, BODY, 1e-3, 1e3, "a poor joint in series", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [HEAT] = {"heat", SL_FRACTION, "heats at @ of its rated power"},
    [COLD] = {"cold", SL_NUMBER, "does not heat"},
    SL__HOT_SPOT_ROW,
};

static const double COLD_HEAT = 0.01;
/* With less of its voltage it is switched off, and nobody expects heat. */
static const double ON_SHARE = 0.05;

/* Ratings are printed rounded; further apart than this one of them is wrong. */
static const double AGREE = 0.03;

static bool complete(double *p, sl__complaint *bad)
{
    const double square = p[VOLTAGE] * p[VOLTAGE];
    if (isnan(p[POWER]) && isnan(p[RESISTANCE])) {
        *bad = (sl__complaint){POWER, "give `power`, its rating at `voltage`, or `resistance`"};
        return false;
    }
    if (isnan(p[RESISTANCE])) {
        p[RESISTANCE] = square / p[POWER];
    } else if (isnan(p[POWER])) {
        p[POWER] = square / p[RESISTANCE];
    } else if (fabs(square / p[RESISTANCE] - p[POWER]) > AGREE * p[POWER]) {
        *bad = (sl__complaint){RESISTANCE,
                               "`power`, `resistance` and `voltage` do not agree: power is voltage "
                               "squared over resistance; leave out `power` or `resistance`"};
        return false;
    }
    return true;
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)state;
    const double celsius = sl__temperature_or(p[TEMPERATURE], ambient_c);
    sl__law_resistor(&law[BODY], p[RESISTANCE] * sl__temperature_factor(p[COEFFICIENT], celsius));
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    /* From the current, so that a poor joint in series does not count as heat. Only its own
       temperature is known here, not that of the circuit. */
    const double celsius = sl__temperature_or(p[TEMPERATURE], 20.0);
    const double ohm = p[RESISTANCE] * sl__temperature_factor(p[COEFFICIENT], celsius);
    const double heat = flow[BODY].i * flow[BODY].i * ohm / p[POWER];
    const double volts = fabs(flow[BODY].v + flow[BODY].added_v);
    if (heat >= COLD_HEAT) {
        sl__notice(list, HEAT, heat);
    } else if (volts > ON_SHARE * p[VOLTAGE]) {
        sl__notice(list, COLD, 0.0);
    }
}

const sl__kind sl__kind_heater = {
    .about =
        {
            .name = "heater",
            .doc = "A heating load: heated glass, seat, glow plug, or any load that behaves as a "
                   "resistance. Heaters that limit themselves when hot are not shown.",
            .law = "v = i R, R = voltage squared / power, times 1 + coefficient (T - 20 C)",
            .standing = "Ohm's law; cold below 1 % of its power, with more than 5 % of its voltage "
                        "on it: " SL__PRACTICE,
            .check = "none published; Ohm's law at its rating",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LOAD_OTHER},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "heater \"H1\" { \"relay out\", \"body\", power = \"150 W\" }",
        },
    .complete = complete,
    .laws = laws,
    .notice = notice,
};

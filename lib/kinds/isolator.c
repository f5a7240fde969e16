/* lib/kinds/isolator.c: a diode battery isolator: two diodes from one charging source. */
#include "kinds/diode.h"

#include <math.h>

enum { RATED_CURRENT, TYPE, DROP, LEAK_RESISTANCE, TEMPERATURE, SHORTED };
enum { IN, OUT_A, OUT_B };
enum { DIODE_A, DIODE_B };
enum { NONE, A_SHORTED, B_SHORTED, BOTH_SHORTED };
enum { OVERLOADED };

static const sl_terminal terminals[] = {
    [IN] = {"in", false, "from the alternator"},
    [OUT_A] = {"A", false, "to the first battery"},
    [OUT_B] = {"B", false, "to the second battery"},
};

static const char *const type_choices[] = {"silicon", "schottky", NULL};
static const char *const shorted_choices[] = {"none", "A", "B", "both", NULL};

static const sl_param params[] = {
    [RATED_CURRENT] = {"rated_current", SL_CURRENT, SL_DEFAULT, 120.0, 1.0, 5000.0, NULL,
                       "of each diode", SL__FROM_MEMORY},
    [TYPE] = {"type", SL_CHOICE, SL_DEFAULT, SL__SILICON, SL__SILICON, SL__SCHOTTKY, type_choices,
              SL__DIODE_TYPE_DOC, SL__PRACTICE},
    [DROP] = {"drop", SL_VOLTAGE, SL_DERIVED, SL__NAN, 0.1, 5.0, NULL, SL__DIODE_DROP_DOC,
              SL__DIODE_DROP_STANDING},
    [LEAK_RESISTANCE] = {"leak_resistance", SL_RESISTANCE, SL_DEFAULT, 1e6, 0.1, 1e9, NULL,
                         "of a diode that blocks", SL__FROM_MEMORY},
    [TEMPERATURE] = {"temperature", SL_TEMPERATURE, SL_DEFAULT, SL__NAN, -60.0, 200.0, NULL,
                     "of the junctions, which their own loss warms; that of the circuit when not "
                     "given",
                     "the circuit's"},
    [SHORTED] = {"shorted", SL_CHOICE, SL_DEFAULT, NONE, NONE, BOTH_SHORTED, shorted_choices,
                 "a diode that has melted through conducts both ways", SL__SOUND},
};

static const sl_element elements[] = {
    [DIODE_A] = {"diode A", IN, OUT_A, "to the first battery"},
    [DIODE_B] = {"diode B", IN, OUT_B, "to the second battery"},
};

static const sl_mode modes[] = {
    {"A open", SL_OPEN, DIODE_A, 0.0, 0.0, "the first battery is not charged", SL__PRACTICE},
    {"B open", SL_OPEN, DIODE_B, 0.0, 0.0, "the second battery is not charged", SL__PRACTICE},
    {"A shorted", SL_SET, SHORTED, A_SHORTED, A_SHORTED,
     "the first battery feeds the second's loads", SL__PRACTICE},
    {"B shorted", SL_SET, SHORTED, B_SHORTED, B_SHORTED,
     "the second battery feeds the first's loads", SL__PRACTICE},
    {"both shorted", SL_SET, SHORTED, BOTH_SHORTED, BOTH_SHORTED, "the batteries are joined",
     SL__PRACTICE},
    {"poor contact A", SL_SERIES, DIODE_A, 1e-3, 1.0, "a loose nut on its stud", SL__PRACTICE},
    {"poor contact B", SL_SERIES, DIODE_B, 1e-3, 1.0, "a loose nut on its stud", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [OVERLOADED] = {"overloaded", SL_CURRENT, "carries @, more than its rating"},
    SL__HOT_SPOT_ROW,
};

static bool complete(double *p, sl__complaint *bad)
{
    (void)bad;
    if (isnan(p[DROP])) {
        p[DROP] = sl__diode_drop_v((int)p[TYPE]);
    }
    return true;
}

static bool shorted(const double *p, int32_t element)
{
    const int which = (int)p[SHORTED];
    return which == BOTH_SHORTED || which == (element == DIODE_A ? A_SHORTED : B_SHORTED);
}

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)state;
    const sl__junction junction = {(int)p[TYPE], p[RATED_CURRENT], p[DROP], p[LEAK_RESISTANCE],
                                   sl__temperature_or(p[TEMPERATURE], ambient_c)};
    for (int32_t e = DIODE_A; e <= DIODE_B; e++) {
        if (shorted(p, e)) {
            sl__law_resistor(&law[e], sl__diode_ohm(&junction));
        } else {
            sl__law_diode(&law[e], &junction);
        }
    }
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    const double most = fmax(fabs(flow[DIODE_A].i), fabs(flow[DIODE_B].i));
    if (most > p[RATED_CURRENT]) {
        sl__notice(list, OVERLOADED, most);
    }
}

const sl__kind sl__kind_isolator = {
    .about =
        {
            .name = "isolator",
            .doc = "A diode isolator: one alternator charges two batteries, and neither feeds the "
                   "other. What its diodes drop is missing at the batteries unless the alternator "
                   "senses behind them.",
            .law = SL__DIODE_LAW,
            .standing = SL__DIODE_STANDING,
            .check = "none published; 0.5 to 1.0 V from a tenth of its rating to all of it:"
                     " common practice, no source",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_SILICON, SL_SILICON},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "isolator \"ISO1\" { \"G1 stud\", \"B1 +\", \"B2 +\", "
                       "rated_current = \"120 A\" }",
        },
    .complete = complete,
    .laws = laws,
    .notice = notice,
};

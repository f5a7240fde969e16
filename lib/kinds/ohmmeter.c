/* lib/kinds/ohmmeter.c: an ohmmeter between two nodes. */
#include "kinds/kind.h"

#include <math.h>

enum { RANGE, TEST_VOLTAGE, LEAD_RESISTANCE };
enum { INPUT };
enum { READS, OVERLOAD };

/* The reference resistor of a range against its full scale: 3 V and 600 ohm give 1 mA into leads
   that touch. From memory. */
static const double REFERENCE = 5.0;

static const sl_terminal terminals[] = {
    {"red", false, "where the red lead is: the positive one"},
    {"black", false, "where the black lead is"},
};

static const sl_param params[] = {
    [RANGE] = {"range", SL_RESISTANCE, SL_DEFAULT, 600.0, 1.0, 1e9, NULL,
               "the most it shows; above, its display says OL",
               "from memory: the lowest range of a meter of 6000 counts"},
    [TEST_VOLTAGE] = {"test_voltage", SL_VOLTAGE, SL_DEFAULT, 3.0, 0.1, 15.0, NULL,
                      "of its own source, as it stands between open leads",
                      "from memory: 0.3 to 3 V, some 9 V"},
    [LEAD_RESISTANCE] = {"lead_resistance", SL_RESISTANCE, SL_DEFAULT, 0.2, 0.0, 100.0, NULL,
                         "of both leads and their probes; it is in every reading",
                         "from memory: 0.1 to 0.5 ohm"},
};

static const sl_element elements[] = {
    [INPUT] = {"input", 0, 1, "from lead to lead through its reference resistor and source"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, INPUT, 0.0, 0.0, "a broken lead", SL__PRACTICE},
    {"added resistance", SL_SERIES, INPUT, 0.1, 1e9, "a poor touch of a probe", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [READS] = {"reading", SL_RESISTANCE, "reads @"},
    [OVERLOAD] = {"overload", SL_NUMBER, "reads OL"},
};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    sl__law_resistor(&law[INPUT], REFERENCE * p[RANGE] + p[LEAD_RESISTANCE]);
    law[INPUT].open_v = p[TEST_VOLTAGE];
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    /* It compares the voltage at its input with that across its reference resistor. Whatever
       voltage the circuit has of its own is in both, and makes the answer false. */
    const double out_a = -flow[INPUT].i;
    const double reference_v = REFERENCE * p[RANGE] * out_a;
    const double ohm = (p[TEST_VOLTAGE] - reference_v) / out_a;
    if (out_a > 0.0 && fabs(ohm) <= p[RANGE]) {
        sl__notice(list, READS, ohm);
    } else {
        sl__notice(list, OVERLOAD, 0.0);
    }
}

const sl__kind sl__kind_ohmmeter = {
    .about =
        {
            .name = "ohmmeter",
            .doc = "An ohmmeter: a source of its own behind a reference resistor. It is right only "
                   "on a circuit without voltage of its own: on a live one what it shows is false, "
                   "and changes when its leads are swapped.",
            .law = "i = (v - test_voltage) / (5 range + lead_resistance); it shows the voltage at "
                   "its input over the current it sends out, which the reference resistor tells it",
            .standing = "Ohm's law; comparison with a reference resistor is a textbook method; the "
                        "reference of 5 times the range: from memory",
            .check = "none published; readings against values worked out by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LEAK},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "ohmmeter \"OHM\" { \"lamp socket -\", \"frame\", range = \"600 ohm\" }",
        },
    .laws = laws,
    .notice = notice,
};

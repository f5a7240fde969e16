/* lib/kinds/meter.c: a voltmeter between two nodes. */
#include "kinds/kind.h"

#include <math.h>

enum { INPUT_RESISTANCE, LEAD_RESISTANCE };
enum { INPUT };
enum { READS };

static const sl_terminal terminals[] = {
    {"red", false, "where the red lead is"},
    {"black", false, "where the black lead is"},
};

static const sl_param params[] = {
    [INPUT_RESISTANCE] = {"input_resistance", SL_RESISTANCE, SL_DEFAULT, 10e6, 1e3, 1e11, NULL,
                          "of the meter itself", SL__PRACTICE},
    [LEAD_RESISTANCE] = {"lead_resistance", SL_RESISTANCE, SL_DEFAULT, 0.0, 0.0, 1e6, NULL,
                         "of both leads; against the meter's own it is nothing",
                         "left out: 0.2 ohm of 10 Mohm is 2e-8"},
};

static const sl_element elements[] = {
    [INPUT] = {"input", 0, 1, "from lead to lead through the meter"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, INPUT, 0.0, 0.0, "a broken lead", SL__PRACTICE},
    {"added resistance", SL_SERIES, INPUT, 0.1, 1e9, "a poor touch of a probe", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [READS] = {"reading", SL_VOLTAGE, "reads @"},
};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    sl__law_resistor(&law[INPUT], p[INPUT_RESISTANCE] + p[LEAD_RESISTANCE]);
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    /* What it shows is the voltage at its own input: nothing when a lead is broken. */
    sl__notice(list, READS, flow[INPUT].i * p[INPUT_RESISTANCE]);
}

const sl__kind sl__kind_meter = {
    .about =
        {
            .name = "meter",
            .doc = "A voltmeter left in the circuit, or a gauge or module that takes as little "
                   "current.",
            .law = "i = v / (input_resistance + lead_resistance); it reads i input_resistance",
            .standing = "Ohm's law",
            .check = "none published; its input resistance, 10 Mohm, and readings worked "
                     "out from it",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LEAK},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "meter \"V1\" { \"B1 +\", \"B1 -\" }",
        },
    .laws = laws,
    .notice = notice,
};

/* lib/kinds/lamp_monitor.c: an output of a lighting module that looks whether its lamp is there. */
#include "kinds/kind.h"

#include <math.h>

enum {
    POSITION,
    RESISTANCE,
    LEAST_CURRENT,
    CHECK_RESISTANCE,
    CHECK_VOLTAGE,
    SENSE_RESISTANCE,
    WORKS_FROM
};
enum { SUPPLY, OUTPUT, GROUND };
enum { FEED, SENSE };
enum { OFF, ON };
enum { OUT_BY_CURRENT, OUT_BY_VOLTAGE };

static const sl_terminal terminals[] = {
    [SUPPLY] = {"supply", false, "feed of the module"},
    [OUTPUT] = {"output", false, "to the lamp"},
    [GROUND] = {"ground", false, "ground of the module, against which it measures"},
};

static const char *const positions[] = {"off", "on", NULL};

static const sl_param params[] = {
    [POSITION] = {"position", SL_CHOICE, SL_DEFAULT, OFF, OFF, ON, positions,
                  "whether the lamp is fed", "at rest; " SL__PRACTICE},
    [RESISTANCE] = {"resistance", SL_RESISTANCE, SL_DEFAULT, 20e-3, 1e-6, 10.0, NULL,
                    "from supply to output, fed", "from memory: 10 to 50 mohm"},
    [LEAST_CURRENT] = {"least_current", SL_CURRENT, SL_DEFAULT, 0.5, 1e-6, 100.0, NULL,
                       "fed, it reports a lamp out below this", SL__FROM_MEMORY},
    [CHECK_RESISTANCE] = {"check_resistance", SL_RESISTANCE, SL_DEFAULT, 10e3, 1.0, 1e9, NULL,
                          "not fed: from supply to output, for the current of the cold check; 1e9 "
                          "for a module without one",
                          "from memory: currents of about 1 mA"},
    [CHECK_VOLTAGE] = {"check_voltage", SL_VOLTAGE, SL_DEFAULT, 2.0, 0.01, 60.0, NULL,
                       "not fed, it reports a lamp out when its output rises above this",
                       SL__FROM_MEMORY},
    [SENSE_RESISTANCE] = {"sense_resistance", SL_RESISTANCE, SL_DEFAULT, 100e3, 1.0, 1e9, NULL,
                          "from output to ground inside the module", SL__FROM_MEMORY},
    [WORKS_FROM] = {"works_from", SL_VOLTAGE, SL_DEFAULT, 6.0, 0.1, 60.0, NULL,
                    "supply voltage from which it reports at all", SL__FROM_MEMORY},
};

static const sl_element elements[] = {
    [FEED] = {"feed", SUPPLY, OUTPUT, "the electronic switch, or the resistor of the check"},
    [SENSE] = {"sense", OUTPUT, GROUND, "where it measures its output"},
};

static const sl_mode modes[] = {
    {"stuck on", SL_SET, POSITION, ON, ON, "its switch has failed short", SL__PRACTICE},
    {"stuck off", SL_SET, POSITION, OFF, OFF, "does not switch on when it is asked", SL__PRACTICE},
    {"output open", SL_OPEN, FEED, 0.0, 0.0, "its switch has failed open", SL__PRACTICE},
    {"poor output", SL_SERIES, FEED, 1e-3, 100.0, "a poor contact at its output", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [OUT_BY_CURRENT] = {"lamp out", SL_CURRENT, "reports a lamp out: only @ flows"},
    [OUT_BY_VOLTAGE] = {"lamp out, not fed", SL_VOLTAGE,
                        "reports a lamp out: its check finds @ at the output"},
    SL__HOT_SPOT_ROW,
};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    sl__law_resistor(&law[FEED], p[POSITION] == ON ? p[RESISTANCE] : p[CHECK_RESISTANCE]);
    sl__law_resistor(&law[SENSE], p[SENSE_RESISTANCE]);
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    const double output_v = flow[SENSE].v + flow[SENSE].added_v;
    if (!(output_v + flow[FEED].v + flow[FEED].added_v >= p[WORKS_FROM])) {
        return;
    }
    const double lamp_a = flow[FEED].i - flow[SENSE].i;
    if (p[POSITION] == ON && lamp_a < p[LEAST_CURRENT]) {
        sl__notice(list, OUT_BY_CURRENT, lamp_a);
    } else if (p[POSITION] == OFF && output_v > p[CHECK_VOLTAGE]) {
        sl__notice(list, OUT_BY_VOLTAGE, output_v);
    }
}

const sl__kind sl__kind_lamp_monitor = {
    .about =
        {
            .name = "lamp_monitor",
            .doc = "An output of a lighting module that looks whether its lamp is there: fed, by "
                   "the current; not fed, by a small current that a cold filament shorts to "
                   "ground and that lifts an LED lamp, and may make it glow. What the module "
                   "itself draws is not shown: that is a `module` beside it.",
            .law = "supply to output: `resistance` fed, `check_resistance` not fed; output to "
                   "ground: `sense_resistance`",
            .standing = "Ohm's law; pulsed checks are shown as if they lasted",
            .check = "none published; its thresholds against values worked out by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_SILICON, SL_LEAK},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = POSITION,
            .negative_post = -1,
            .example = "lamp_monitor \"LM1\" { \"module feed\", \"brake lamp wire\", \"body\", "
                       "least_current = \"1 A\" }",
        },
    .laws = laws,
    .notice = notice,
};

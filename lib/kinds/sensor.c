/* lib/kinds/sensor.c: a three-wire sensor that gives a share of its reference voltage. */
#include "kinds/kind.h"

#include <math.h>

enum { OUTPUT, RESISTANCE };
enum { REFERENCE, SIGNAL, GROUND };
enum { UPPER, LOWER };
enum { STANDS };

static const sl_terminal terminals[] = {
    [REFERENCE] = {"reference", false, "5 V from a module"},
    [SIGNAL] = {"signal", false, "to the module"},
    [GROUND] = {"ground", false, "sensor ground"},
};

static const sl_param params[] = {
    [OUTPUT] = {"output", SL_FRACTION, SL_DEFAULT, 0.5, 0.01, 0.99, NULL,
                "its signal as a share of its reference, what it measures given",
                "half: to be set"},
    [RESISTANCE] = {"resistance", SL_RESISTANCE, SL_DEFAULT, 5e3, 1.0, 1e7, NULL,
                    "of the whole track, reference to ground", "from memory: 1 to 10 kohm"},
};

static const sl_element elements[] = {
    [UPPER] = {"upper track", REFERENCE, SIGNAL, "from reference to wiper"},
    [LOWER] = {"lower track", SIGNAL, GROUND, "from wiper to ground"},
};

static const sl_mode modes[] = {
    {"reference open", SL_OPEN, UPPER, 0.0, 0.0, "no contact at the reference pin", SL__PRACTICE},
    {"ground open", SL_OPEN, LOWER, 0.0, 0.0, "no contact at the ground pin", SL__PRACTICE},
    {"open", SL_OPEN, -1, 0.0, 0.0, "unplugged", SL__PRACTICE},
    {"poor reference", SL_SERIES, UPPER, 1.0, 1e5, "a poor reference pin", SL__PRACTICE},
    {"poor ground", SL_SERIES, LOWER, 1.0, 1e5, "a poor ground pin", SL__PRACTICE},
    {"stuck", SL_SET, OUTPUT, 0.01, 0.99, "does not follow what it measures", SL__PRACTICE},
};

static const sl_notice_def notices[] = {
    [STANDS] = {"stands", SL_FRACTION, "stands at @"},
};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)ambient_c;
    (void)state;
    sl__law_resistor(&law[UPPER], p[RESISTANCE] * (1.0 - p[OUTPUT]));
    sl__law_resistor(&law[LOWER], p[RESISTANCE] * p[OUTPUT]);
}

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    (void)state;
    (void)flow;
    sl__notice(list, STANDS, p[OUTPUT]);
}

const sl__kind sl__kind_sensor = {
    .about =
        {
            .name = "sensor",
            .doc = "A three-wire sensor of position or pressure. Its notice says what it measures; "
                   "what the module makes of it is that of a `sensor_input`. At a share x, a "
                   "sensor ground e volts above the module's reads e (1 - x) too high.",
            .law = "a divider: reference to signal R (1 - x), signal to ground R x",
            .standing = "Ohm's law",
            .check = "none published; a divider against values worked out by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LOAD_SENSOR, SL_LOAD_SENSOR},
            SL__NOTICES(notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "sensor \"TPS\" { \"5 V\", \"TPS signal\", \"sensor ground\", output = \"50 "
                       "%\" }",
        },
    .laws = laws,
    .notice = notice,
};

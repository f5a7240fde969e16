/* lib/kinds/thermistor.c: a two-wire temperature sensor whose resistance falls as it warms. */
#include "kinds/ntc.h"

enum { RESISTANCE, BETA, TEMPERATURE };
enum { BODY };

static const sl_terminal terminals[] = {
    {"signal", false, "to the module or gauge"},
    {"ground", false, "its ground: a wire, or where it is screwed in"},
};

static const sl_param params[] = {
    [RESISTANCE] = {"resistance", SL_RESISTANCE, SL_DEFAULT, 2500.0, 1e-2, 1e8, NULL, "at 20 C",
                    "from memory: 2 to 3 kohm for coolant and air"},
    [BETA] = {"beta", SL_NUMBER, SL_DEFAULT, 3500.0, 100.0, 10000.0, NULL,
              "how steeply it falls, in kelvin", "from memory: 3300 to 3900 K"},
    [TEMPERATURE] = {"temperature", SL_TEMPERATURE, SL_DEFAULT, SL__NAN, -60.0, 300.0, NULL,
                     "of what it measures; that of the circuit when not given", "the circuit's"},
};

static const sl_element elements[] = {
    [BODY] = {"body", 0, 1, "the thermistor"},
};

static const sl_mode modes[] = {
    {"open", SL_OPEN, BODY, 0.0, 0.0, "broken or unplugged: seems cold", SL__PRACTICE},
    {"added resistance", SL_SERIES, BODY, 1.0, 1e5, "a poor contact: seems colder", SL__PRACTICE},
    {"shorted", SL_SET, RESISTANCE, 0.1, 0.1, "shorted inside: seems hot", SL__PRACTICE},
};

static void laws(const double *p, double ambient_c, int32_t state, sl__law *law)
{
    (void)state;
    const double celsius = sl__temperature_or(p[TEMPERATURE], ambient_c);
    sl__law_resistor(&law[BODY], sl__ntc_ohm(p[RESISTANCE], p[BETA], celsius));
}

const sl__kind sl__kind_thermistor = {
    .about =
        {
            .name = "thermistor",
            .doc = "A two-wire temperature sensor for coolant, air or oil. What the module makes "
                   "of it is the notice of a `sensor_input` with a pull_up.",
            .law = "v = i R, R = R20 exp(beta (1 / T - 1 / 293.15 K)); its own heat is left out",
            .standing = "the usual law of thermistors",
            .check = "none published; its law against values worked out by hand",
            SL__TABLES(terminals, params, elements, modes),
            .uses = (const sl_use[]){SL_LOAD_SENSOR},
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example =
                "thermistor \"CTS\" { \"coolant signal\", \"engine\", temperature = \"90 C\" "
                "}",
        },
    .laws = laws,
};

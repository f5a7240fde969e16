/* lib/kinds/test_lamp.c: a lamp with a probe and a clip, or a larger lamp used as a load. */
#include "kinds/filament.h"

#include <math.h>

static const double USUAL_A = 0.25;

static const sl_terminal terminals[] = {
    {"probe", false, "where the probe touches"},
    {"clip", false, "where the clip is"},
};

static const sl_param params[] = {
    [SL__FILAMENT_POWER] = {"power", SL_POWER, SL_DERIVED, SL__NAN, 0.01, 2000.0, NULL,
                            "its rated power at `voltage`; give this or `current`",
                            "follows from `current` and `voltage`"},
    [SL__FILAMENT_CURRENT] = {"current", SL_CURRENT, SL_DERIVED, SL__NAN, 0.001, 200.0, NULL,
                              "its rated current at `voltage`; 0.25 A when neither this nor "
                              "`power` is given",
                              "0.2 to 0.3 A from memory and common practice"},
    [SL__FILAMENT_VOLTAGE] = {"voltage", SL_VOLTAGE, SL_DEFAULT, 12.0, 1.0, 60.0, NULL,
                              "the voltage at which the rating holds", SL__PRACTICE},
    [SL__FILAMENT_COLD_RATIO] = SL__FILAMENT_COLD_RATIO_ROW,
    [SL__FILAMENT_FULL_LIGHT] = SL__FILAMENT_FULL_LIGHT_ROW,
};

static bool complete(double *p, sl__complaint *bad)
{
    return sl__filament_complete(p, USUAL_A, bad);
}

const sl__kind sl__kind_test_lamp = {
    .about =
        {
            .name = "test_lamp",
            .doc = "A filament test lamp, or a larger lamp on two leads used to load a circuit. It "
                   "proves a path only for the current it draws itself.",
            .law = SL__FILAMENT_LAW,
            .standing = SL__FILAMENT_STANDING,
            .check = "none published; lamps behind a leftover resistance against solutions "
                     "by halving",
            SL__TABLES(terminals, params, sl__filament_elements, sl__filament_modes),
            .uses = (const sl_use[]){SL_LOAD_LAMP},
            SL__NOTICES(sl__filament_notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "test_lamp \"T1\" { \"socket +\", \"frame\" }",
        },
    .complete = complete,
    .laws = sl__filament_laws,
    .notice = sl__filament_notice,
};

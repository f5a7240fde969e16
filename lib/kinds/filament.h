/* lib/kinds/filament.h: a glowing filament: what lamp and test_lamp have in common. */
#ifndef SL_KINDS_FILAMENT_H
#define SL_KINDS_FILAMENT_H

#include "kinds/kind.h"

enum {
    SL__FILAMENT_POWER,
    SL__FILAMENT_CURRENT,
    SL__FILAMENT_VOLTAGE,
    SL__FILAMENT_COLD_RATIO,
    SL__FILAMENT_FULL_LIGHT,
    SL__FILAMENT_PARAM_COUNT
};

enum {
    SL__FILAMENT_LIGHT,
    SL__FILAMENT_DARK,
    SL__FILAMENT_BURNS_OUT,
    SL__FILAMENT_HOT_SPOT,
    SL__FILAMENT_NOTICE_COUNT
};

enum { SL__FILAMENT_MODE_COUNT = 2 };

extern const sl_notice_def sl__filament_notices[SL__FILAMENT_NOTICE_COUNT];
extern const sl_element sl__filament_elements[1];
extern const sl_mode sl__filament_modes[SL__FILAMENT_MODE_COUNT];

#define SL__FILAMENT_LAW                                                                           \
    "i = I0 (v / V0)^0.55, its resistance never below that of the cold filament; the same both "   \
    "ways round; light = (v / full_light)^3.4"
#define SL__FILAMENT_STANDING                                                                      \
    "lamp rerating exponents of handbooks; below 20 to 30 % of the rated voltage the current is "  \
    "an extrapolation; dark below 1 % light: common practice, no source; burns out above 1.3 "     \
    "times "                                                                                       \
    "full_light, where by the 12th power of handbooks 4 % of its life is left"

/* The rows that are the same for both. */
#define SL__FILAMENT_COLD_RATIO_ROW                                                                \
    {                                                                                              \
        "cold_ratio", SL_NUMBER, SL_DEFAULT, 10.0, 1.0, 20.0, NULL,                                \
            "resistance at the rated voltage over resistance cold", "10 to 16, from memory"        \
    }
#define SL__FILAMENT_FULL_LIGHT_ROW                                                                \
    {                                                                                              \
        "full_light", SL_VOLTAGE, SL_DERIVED, SL__NAN, 0.5, 80.0, NULL,                            \
            "the voltage at which its light counts as 100 %",                                      \
            "1.1 times `voltage` (28/24 times from 18 V up), from the reference voltages of 13.2 " \
            "V and "                                                                               \
            "28.0 V for 12 V and 24 V lamps in the UN lamp rules"                                  \
    }

/* usual_a: the rated current of a lamp that says neither power nor current, or NaN when it must. */
bool sl__filament_complete(double *p, double usual_a, sl__complaint *bad);
void sl__filament_laws(const double *p, double ambient_c, int32_t state, sl__law *law);
void sl__filament_notice(const double *p, int32_t state, const sl__flow *flow,
                         sl__notice_list *list);

#endif

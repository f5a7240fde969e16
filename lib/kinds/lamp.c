/* lib/kinds/lamp.c: a filament lamp. */
#include "kinds/filament.h"

#include <math.h>

static const sl_terminal terminals[] = {
    {"a", false, "the feed side"},
    {"b", false, "the ground side"},
};

static const sl_param params[] = {
    [SL__FILAMENT_POWER] = {"power", SL_POWER, SL_DERIVED, SL__NAN, 0.01, 2000.0, NULL,
                            "its rated power at `voltage`; give this or `current`",
                            "follows from `current` and `voltage`"},
    [SL__FILAMENT_CURRENT] = {"current", SL_CURRENT, SL_DERIVED, SL__NAN, 0.001, 200.0, NULL,
                              "its rated current at `voltage`; give this or `power`",
                              "follows from `power` and `voltage`"},
    [SL__FILAMENT_VOLTAGE] = {"voltage", SL_VOLTAGE, SL_DEFAULT, 12.0, 1.0, 60.0, NULL,
                              "the voltage at which the rating holds",
                              "rated power of 12 V lamps in the UN lamp rules"},
    [SL__FILAMENT_COLD_RATIO] = SL__FILAMENT_COLD_RATIO_ROW,
    [SL__FILAMENT_FULL_LIGHT] = SL__FILAMENT_FULL_LIGHT_ROW,
};

static bool complete(double *p, sl__complaint *bad)
{
    return sl__filament_complete(p, SL__NAN, bad);
}

/* Less than this share of its rated voltage is what leaks, or a ground lifted by others: nobody has
 * switched it on. */
static const double ON_SHARE = 0.05;

static void notice(const double *p, int32_t state, const sl__flow *flow, sl__notice_list *list)
{
    /* With what is in series with the filament: an open one leaves all of it across the lamp. */
    if (fabs(flow->v + flow->added_v) > ON_SHARE * p[SL__FILAMENT_VOLTAGE]) {
        sl__filament_notice(p, state, flow, list);
    }
}

const sl__kind sl__kind_lamp = {
    .about =
        {
            .name = "lamp",
            .doc = "A filament lamp; a lamp with two filaments is two of these. Cold it draws "
                   "about ten times its current for a moment: that is not shown.",
            .law = SL__FILAMENT_LAW,
            .standing = SL__FILAMENT_STANDING
            "; nothing is said of a lamp with less than 5 % of its voltage",
            .check = "power of 21 W at 13.5 V within the 26.5 W of the UN rule; ratios over"
                     " voltage worked out from the exponents",
            SL__TABLES(terminals, params, sl__filament_elements, sl__filament_modes),
            .uses = (const sl_use[]){SL_LOAD_LAMP},
            SL__NOTICES(sl__filament_notices),
            .start_param = -1,
            .position_param = -1,
            .negative_post = -1,
            .example = "lamp \"L1\" { \"brake switch out\", \"rear ground\", power = \"21 W\" }",
        },
    .complete = complete,
    .laws = sl__filament_laws,
    .notice = notice,
};

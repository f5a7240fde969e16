/* lib/kinds/usual_spread.c: how far a part of which nothing more is known may be off. */
#include <string.h>

#include "kinds/kind.h"
#include "strapline/spread.h"

#define IEC_60228                                                                                  \
    "up to 16 % over the bare metal: the greatest resistance IEC 60228 allows class 5 copper of "  \
    "1.5 mm2 (13.3 ohm/km, metal 11.5); 3 % below: " SL__FROM_MEMORY

static const struct {
    const char *kind, *param;
    double down, up; /* shares of the value */
    const char *standing;
} usual[] = {
    {"cable", "per_metre", 0.03, 0.16, IEC_60228},
    {"strap", "per_metre", 0.03, 0.16, IEC_60228},
    {"joint", "resistance", 0.5, 1.0,
     "post to clamp 0.05 to 0.2 mohm about 0.1: " SL__FROM_MEMORY ", taken for every joint"},
    {"fuse", "resistance", 0.15, 0.15, "cold resistance of blade fuses: " SL__FROM_MEMORY},
    {"breaker", "resistance", 0.25, 0.25, SL__FROM_MEMORY},
    {"switch", "resistance", 0.5, 1.0, SL__FROM_MEMORY},
    {"relay", "contact_resistance", 0.5, 1.0, SL__FROM_MEMORY},
    {"relay", "coil_resistance", 0.1, 0.1, "data sheets of mini ISO relays: " SL__FROM_MEMORY},
    {"battery", "cca", 0.1, 0.1, SL__FROM_MEMORY},
    {"battery", "resistance", 0.15, 0.15, SL__FROM_MEMORY},
    {"lamp", "power", 0.1, 0.1, "rated current within 10 %: lists of two lamp makers"},
    {"lamp", "current", 0.1, 0.1, "rated current within 10 %: lists of two lamp makers"},
    {"starter", "cranking_current", 0.15, 0.15, SL__FROM_MEMORY},
    {"starter", "contact_resistance", 0.5, 1.0, SL__FROM_MEMORY},
    {"alternator", "set_point", 0.015, 0.015,
     "14.0 to 14.4 V: between the middles of two published bands at 20 C"},
    {"resistor", "resistance", 0.05, 0.05,
     "the 5 % series of IEC 60063: the usual grade, " //
     SL__PRACTICE},
    {"heater", "power", 0.1, 0.1, SL__FROM_MEMORY},
    {"motor", "current", 0.15, 0.15, SL__FROM_MEMORY},
};

bool sl_kind_spread(const sl_kind *kind, int32_t param, sl_spread *out, const char **standing)
{
    if (!kind || param < 0 || param >= kind->param_count) {
        return false;
    }
    for (int32_t k = 0; k < SL__COUNT(usual); k++) {
        if (strcmp(usual[k].kind, kind->name) == 0 &&
            strcmp(usual[k].param, kind->params[param].name) == 0) {
            *out = (sl_spread){usual[k].down, usual[k].up, true};
            if (standing) {
                *standing = usual[k].standing;
            }
            return true;
        }
    }
    return false;
}

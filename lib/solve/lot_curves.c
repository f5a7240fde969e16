/* lib/solve/lot_curves.c: currents and slopes of curves in eight samples. */
#include <math.h>

#include "solve/lot_room.h"

_Static_assert(sizeof(sl__lanes_bent) <= sizeof(double) * SL__CURVE_ROOM * SL__LANES,
               "a bent law's numbers are the first of k");

void sl__lot_curve(const sl__lot *lot, int32_t c, int32_t l, double v, double *i, double *slope)
{
    const sl__law *law = &lot->stage->law[lot->stage->curve[c]];
    const double *from = sl__curve_numbers(lot, lot->stage->slot[c]);
    if (!(law->bent > 0.0)) {
        law->curve(law->table ? law->table : from + (ptrdiff_t)l * SL__CURVE_ROOM, v, i, slope);
        return;
    }
    double k[SL__CURVE_ROOM];
    for (int32_t n = 0; n < SL__CURVE_ROOM; n++) {
        k[n] = from[n * SL__LANES + l];
    }
    law->curve(k, v, i, slope);
}

/* Lamps that are off, mostly: a bent law is a line where no lane is beyond its knee. */
static bool before_knee(const sl__lanes_bent *law, const double *v, double *i, double *slope)
{
    bool before = true;
    for (int32_t l = 0; l < SL__LANES; l++) {
        before = before && fabs(v[l]) <= law->knee[l];
        i[l] = law->straight[l] * v[l];
        slope[l] = law->straight[l];
    }
    return before;
}

void sl__lot_bend(sl__lot *lot, unsigned lanes, unsigned slopes)
{
    const sl__stage *stage = lot->stage;
    for (int32_t c = 0; c < stage->curves; c++) {
        const int32_t k = stage->curve[c], slot = stage->slot[c];
        const double *v = sl__lanes_of(lot->curve_v, slot);
        double *i = sl__lanes_of(lot->curve_i, slot), *s = sl__lanes_of(lot->curve_s, slot);
        double *g = sl__lanes_of(lot->g, k), amps[SL__LANES], slope[SL__LANES];
        const bool is_bent = stage->law[k].bent > 0.0;
        if (is_bent && !before_knee((const void *)sl__curve_numbers(lot, slot), v, amps, slope)) {
            lot->plan->powers->bent((const void *)sl__curve_numbers(lot, slot), stage->law[k].bent,
                                    v, amps, slope);
        }
        for (int32_t l = 0; l < SL__LANES; l++) {
            if (!sl__has(lanes, l)) {
                continue;
            }
            if (!is_bent) {
                sl__lot_curve(lot, c, l, v[l], &amps[l], &slope[l]);
            }
            i[l] = amps[l];
            g[l] = s[l] = sl__has(slopes, l) ? slope[l] : s[l];
        }
    }
}

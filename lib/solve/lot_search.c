/* lib/solve/lot_search.c: how far to go along a step of Newton's, in single lanes.

   As newton.c does it, by the slope of the content; in its terms the branches that are not curved
   are one: the slope at a share of the step is the sum, over the curves, of what each carries there
   less what the rest of the network then carries, times its change of voltage. */
#include <math.h>

#include "solve/lot_room.h"

/* A step is gone until this share of the slope is left. */
#define SLOPE_LEFT 0.3
#define SEARCH_MOST 40

static double slope_at(const sl__lot *lot, int32_t l, double t)
{
    const sl__stage *stage = lot->stage;
    double slope = 0.0;
    for (int32_t c = 0; c < stage->curves; c++) {
        const int32_t slot = stage->slot[c];
        const double v = sl__lanes_of(lot->curve_v, slot)[l];
        const double dv = sl__lanes_of(lot->curve_aim, slot)[l] - v;
        const double port = sl__lanes_of(lot->curve_port, slot)[l];
        const double end =
            sl__lanes_of(lot->curve_i, slot)[l] + sl__lanes_of(lot->curve_s, slot)[l] * dv;
        double i, unused;
        sl__lot_curve(lot, c, l, v + t * dv, &i, &unused);
        slope += (i - (port + t * (end - port))) * dv;
    }
    return slope;
}

static double search(const sl__lot *lot, int32_t l)
{
    double low = 0.0, at_low = slope_at(lot, l, 0.0), high = 1.0, at_high = slope_at(lot, l, 1.0);
    const double left = -SLOPE_LEFT * at_low;
    if (!(at_low < 0.0)) { /* it does not go downhill */
        return 1.0;
    }
    for (int n = 0; n < SEARCH_MOST && at_high > left; n++) {
        /* Regula falsi, kept off the ends so that both move. */
        double part = at_low / (at_low - at_high);
        part = part < 0.1 ? 0.1 : part > 0.9 ? 0.9 : part;
        const double t = low + part * (high - low), slope = slope_at(lot, l, t);
        if (slope > 0.0) {
            high = t;
            at_high = slope;
        } else {
            low = t;
            at_low = slope;
            if (slope >= -left) {
                return t;
            }
        }
    }
    return high;
}

void sl__lot_search(const sl__lot *lot, unsigned lanes, double *share)
{
    for (int32_t l = 0; l < SL__LANES; l++) {
        share[l] = sl__has(lanes, l) ? search(lot, l) : 1.0;
    }
}

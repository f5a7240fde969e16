/* lib/solve/lot_search.c: how far to go along a step of Newton's, in single lanes.

   As newton.c does it, by the slope of the content; in its terms the branches that are not curved
   are one: the slope at a share of the step is the sum, over the curves, of what each carries there
   less what the rest of the network then carries, times its change of voltage. */
#include <math.h>

#include "solve/lot_room.h"
#include "solve/search.h"

/* A step is gone until this share of the slope is left. */
#define SLOPE_LEFT 0.3
#define SEARCH_MOST 40

/* A lane of a lot. */
typedef struct alone {
    const sl__lot *lot;
    int32_t lane;
} alone;

static double slope_at(const void *of, double t)
{
    const sl__lot *lot = ((const alone *)of)->lot;
    const int32_t l = ((const alone *)of)->lane;
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

static double search(const alone *a)
{
    const double down = slope_at(a, 0.0);
    if (!(down < 0.0)) { /* it does not go downhill */
        return 1.0;
    }
    return sl__search(slope_at, a, 0.0, down, 1.0, slope_at(a, 1.0), -SLOPE_LEFT * down,
                      SEARCH_MOST);
}

void sl__lot_search(const sl__lot *lot, unsigned lanes, double *share)
{
    for (int32_t l = 0; l < SL__LANES; l++) {
        share[l] = sl__has(lanes, l) ? search(&(alone){lot, l}) : 1.0;
    }
}

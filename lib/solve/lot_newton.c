/* lib/solve/lot_newton.c: one stage of eight samples, with the laws they have. */
#include <math.h>
#include <string.h>

#include "solve/lot_room.h"

/* Newton has arrived when no curve's voltage moves by more than this share of it, or of 1 V: its
   steps shrink by their squares, so what is left then is nothing. */
#define ARRIVED 1e-8
#define STEPS_MOST 30
/* After so many steps it may go to and fro between two sides of a bend: every other step is then
   halved. */
#define STEPS_FREE 6
/* The step whose slopes are those of the one before: by then they hardly change. */
#define SAME_SLOPES 3

/* Sources in links lift what hangs on them. */
static void lift(sl__lot *lot)
{
    const sl__stage *stage = lot->stage;
    for (int32_t n = 0; n < stage->lifts; n++) {
        for (int32_t i = 0; i < stage->lift[n].count; i++) {
            const int32_t k = stage->lift[n].branch[i];
            sl__set_lanes(sl__lanes_of(lot->offset, k), stage->offset[k]);
        }
    }
    for (int32_t n = 0; n < stage->lifts; n++) {
        const sl__plan_around *by = &stage->lift[n];
        const double *open_v = sl__lanes_of(lot->open_v, by->link);
        for (int32_t i = 0; i < by->count; i++) {
            double *offset = sl__lanes_of(lot->offset, by->branch[i]);
            for (int32_t l = 0; l < SL__LANES; l++) {
                offset[l] += by->sign[i] * (open_v[l] - stage->law[by->link].open_v);
            }
        }
    }
}

/* Currents and slopes of the curves where they are, in some lanes. */
static void bend(sl__lot *lot, unsigned lanes, bool same_slopes)
{
    const sl__stage *stage = lot->stage;
    for (int32_t c = 0; c < stage->curves; c++) {
        const int32_t k = stage->curve[c], slot = lot->plan->slot[k];
        const sl__law *law = lot->law + (ptrdiff_t)slot * SL__LANES;
        double *v = sl__lanes_of(lot->curve_v, slot), *i = sl__lanes_of(lot->curve_i, slot);
        double *s = sl__lanes_of(lot->curve_s, slot), *g = sl__lanes_of(lot->g, k);
        for (int32_t l = 0; l < SL__LANES; l++) {
            double slope;
            if (sl__has(lanes, l)) {
                sl__law_current(&law[l], v[l], &i[l], &slope);
                s[l] = same_slopes ? s[l] : slope;
                g[l] = s[l];
            }
        }
    }
}

static void put(sl__lot *lot, int32_t k, const double *amps)
{
    const sl__stage *stage = lot->stage;
    if (stage->from[k] >= 0) {
        double *y = sl__lanes_of(lot->y, stage->from[k]);
        for (int32_t l = 0; l < SL__LANES; l++) {
            y[l] -= amps[l];
        }
    }
    if (stage->to[k] >= 0) {
        double *y = sl__lanes_of(lot->y, stage->to[k]);
        for (int32_t l = 0; l < SL__LANES; l++) {
            y[l] += amps[l];
        }
    }
}

/* What would flow into each row if every row were at 0 V. */
static void drive(sl__lot *lot)
{
    const sl__stage *stage = lot->stage;
    double amps[SL__LANES];
    memset(lot->y, 0, (size_t)stage->rows * SL__LANES * sizeof *lot->y);
    for (int32_t n = 0; n < stage->driven; n++) {
        const double *g = sl__lanes_of(lot->g, stage->drive[n]);
        const double *open_v = sl__lanes_of(lot->open_v, stage->drive[n]);
        const double *offset = sl__lanes_of(lot->offset, stage->drive[n]);
        for (int32_t l = 0; l < SL__LANES; l++) {
            amps[l] = g[l] * (offset[l] - open_v[l]);
        }
        put(lot, stage->drive[n], amps);
    }
    for (int32_t n = 0; n < stage->fixed; n++) {
        put(lot, stage->fix[n], sl__lanes_of(lot->amp, stage->fix[n]));
    }
    for (int32_t c = 0; c < stage->curves; c++) {
        const int32_t k = stage->curve[c], slot = lot->plan->slot[k];
        const double *v = sl__lanes_of(lot->curve_v, slot), *i = sl__lanes_of(lot->curve_i, slot);
        const double *s = sl__lanes_of(lot->curve_s, slot);
        for (int32_t l = 0; l < SL__LANES; l++) {
            amps[l] = i[l] + s[l] * (sl__lanes_of(lot->offset, k)[l] - v[l]);
        }
        put(lot, k, amps);
    }
}

/* Moves the curves of some lanes to where the rows now are, or a share of the way. Returns the
   lanes that have arrived. */
static unsigned go(sl__lot *lot, unsigned lanes, double share)
{
    const sl__stage *stage = lot->stage;
    unsigned arrived = lanes;
    for (int32_t c = 0; c < stage->curves; c++) {
        const int32_t k = stage->curve[c], slot = lot->plan->slot[k];
        const int32_t a = stage->from[k], b = stage->to[k];
        double *v = sl__lanes_of(lot->curve_v, slot), *i = sl__lanes_of(lot->curve_i, slot);
        const double *s = sl__lanes_of(lot->curve_s, slot);
        for (int32_t l = 0; l < SL__LANES; l++) {
            if (!sl__has(lanes, l)) {
                continue;
            }
            const double now = (a < 0 ? 0.0 : sl__lanes_of(lot->y, a)[l]) -
                               (b < 0 ? 0.0 : sl__lanes_of(lot->y, b)[l]) +
                               sl__lanes_of(lot->offset, k)[l];
            const double step = now - v[l];
            if (!(fabs(step) <= ARRIVED * (1.0 + fabs(now)))) {
                arrived &= ~(1U << l);
            }
            i[l] += s[l] * step;
            v[l] = share == 1.0 ? now : v[l] + share * step;
        }
    }
    return arrived;
}

/* Keeps what is read of some lanes. */
static void keep(sl__lot *lot, unsigned lanes)
{
    const sl__stage *stage = lot->stage;
    for (int32_t n = 0; n < stage->needs; n++) {
        const int32_t row = stage->need[n];
        if (row < 0) {
            continue;
        }
        double *out = sl__lanes_of(lot->out, row);
        const double *y = sl__lanes_of(lot->y, row);
        for (int32_t l = 0; l < SL__LANES; l++) {
            out[l] = sl__has(lanes, l) ? y[l] : out[l];
        }
    }
}

/* Solves some lanes, Newton's way where there are curves. Lanes that find no answer leave. Each is
   done by itself: what it has then is kept, whatever the others still need. */
void sl__lot_step(sl__lot *lot, unsigned lanes)
{
    const sl__stage *stage = lot->stage;
    sl__lane_factor *factor = lot->factor[stage->factor];
    lanes &= lot->alive;
    lift(lot);
    for (int32_t n = 1; lanes && n <= STEPS_MOST; n++) {
        bend(lot, lanes, n == SAME_SLOPES);
        if (n != SAME_SLOPES) {
            int32_t dead[SL__LANES];
            sl__lane_factor_update(factor, lot->g, dead);
            for (int32_t l = 0; l < SL__LANES; l++) {
                lot->alive &=
                    sl__has(lanes, l) && dead[l] != stage->islands ? ~(1U << l) : SL__LANES_ALL;
            }
            lanes &= lot->alive;
        }
        drive(lot);
        sl__lane_factor_solve_along(factor, stage->ways, lot->y, lot->y);
        const unsigned arrived = go(lot, lanes, n > STEPS_FREE && n % 2 ? 0.5 : 1.0);
        keep(lot, arrived);
        lanes &= ~arrived;
    }
    lot->alive &= ~lanes;
}

/* lib/solve/lot_newton.c: one stage of eight samples, with the laws they have. */
#include <math.h>
#include <string.h>

#include "solve/lot_room.h"

/* Newton has arrived when no curve's voltage moves by more than this share of it, or of 1 V; or by
   somewhat more, if what is left after the step is less: steps go on shrinking as they did from the
   last one to this. */
#define ARRIVED 1e-13
#define ARRIVES 1e-7
#define LEFT 1e-16
/* Slopes stay those of the step before where no voltage moved by more: they hardly change, unless
   there is a bend; then steps do not become this much smaller each time. */
#define SAME_SLOPES 1e-3
#define SHRINKS 0.03
#define STEPS_MOST 40
/* After so many steps it may go to and fro between two sides of a bend: it is then told how far to
   go. */
#define STEPS_FREE 5

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

static sl__lot_mask mask_of(unsigned lanes)
{
    sl__lot_mask mask;
    for (int32_t l = 0; l < SL__LANES; l++) {
        mask.lane[l] = sl__has(lanes, l) ? -1 : 0;
    }
    return mask;
}

/* Rows at which the curves, going along their slopes, agree with the rest of the network. Lanes in
   which a falling curve leaves no such leave. */
static unsigned solve(sl__lot *lot, const sl__lot_net *net, unsigned lanes, unsigned slopes)
{
    const sl__stage *stage = lot->stage;
    const int32_t kernel = lot->plan->kernel;
    lot->plan->loops->drive(net);
    if (slopes) {
        int32_t dead[SL__LANES];
        sl__along_factor(stage->along, kernel, lot->along, lot->g, lot->y, dead);
        for (int32_t l = 0; l < SL__LANES; l++) {
            lot->alive &=
                sl__has(slopes, l) && dead[l] != stage->islands ? ~(1U << l) : SL__LANES_ALL;
        }
    } else {
        sl__along_solve(stage->along, kernel, lot->along, lot->y);
    }
    sl__set_lanes(sl__lanes_of(lot->y, lot->plan->most_rows), 0.0); /* the reference */
    return lanes & lot->alive;
}

/* The lanes that have arrived with a step of this size, after a last one of that. */
static unsigned arrived(unsigned lanes, const double *size, const double *last)
{
    unsigned there = 0;
    for (int32_t l = 0; l < SL__LANES; l++) {
        const bool arrives = size[l] <= ARRIVES && size[l] * size[l] <= LEFT * last[l];
        there |= arrives || size[l] <= ARRIVED ? lanes & 1U << l : 0;
    }
    return there;
}

/* The lanes that need new slopes after a step of this size. */
static unsigned bent(unsigned lanes, const double *size, const double *last)
{
    for (int32_t l = 0; l < SL__LANES; l++) {
        const bool same =
            size[l] <= SAME_SLOPES && (last[l] == 0.0 || size[l] <= SHRINKS * last[l]);
        lanes &= same ? ~(1U << l) : SL__LANES_ALL;
    }
    return lanes;
}

/* Solves some lanes, Newton's way where there are curves. Lanes that find no answer leave. Each is
   done by itself: what it has then is kept, whatever the others still need. */
void sl__lot_step(sl__lot *lot, unsigned lanes)
{
    const sl__lot_net net = sl__lot_net_of(lot);
    const sl__lot_kernels *loops = lot->plan->loops;
    double size[SL__LANES], last[SL__LANES], share[SL__LANES];
    lanes &= lot->alive;
    lift(lot);
    for (int32_t l = 0; l < SL__LANES; l++) {
        last[l] = 0.0;
        share[l] = 1.0;
    }
    for (int32_t n = 1; lanes && n <= STEPS_MOST; n++) {
        sl__lot_bend(lot, lanes, lanes & lot->stale);
        lanes = solve(lot, &net, lanes, lanes & lot->stale);
        loops->aim(&net, size);
        const unsigned there = arrived(lanes, size, last);
        if (n > STEPS_FREE) {
            sl__lot_search(lot, lanes & ~there, share);
        }
        const sl__lot_mask going = mask_of(lanes), done = mask_of(there);
        loops->go(&net, &going, share);
        loops->keep(&net, &done);
        lot->stale = (lot->stale & ~lanes) | bent(lanes, size, last);
        memcpy(last, size, sizeof last);
        lanes &= ~there;
    }
    lot->alive &= ~lanes;
}

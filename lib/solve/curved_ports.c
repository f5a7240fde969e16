/* lib/solve/curved_ports.c: Newton's method in lanes. */
#include "solve/curved_ports.h"

#include <math.h>
#include <string.h>

#include "numeric/dense.h"

#define ROUNDS_MOST 24
#define HALVINGS_MOST 12
/* A step this small, relative to the voltage of its port or to the greatest, is the last: what a
   curve is off its tangent over it is below the last place. */
#define STEP_LEAST 1e-8
#define STEP_NONE 1e-15
/* The same where curves do so much to each other that what a step leaves tells less of it. */
#define STEP_LEAST_WHOLE 1e-11
/* Where a port draws much beyond its line, one more is made: an open port has a current that is
   multiplied by thousands. */
#define POLISH 1
#define LARGE_A 10.0
/* As in near_ports.c. */
#define PIVOT_LEAST 1e-6
#define AGAIN_MOST 6
#define LEFT_BY_STEP 1e-4

#define LANES_KERNEL "solve/curved_steps.h"
#include "numeric/each_width.h"

const sl__lane_steps *sl__lane_steps_of(int32_t kernel)
{
    return &SL__OF_WIDTH(kernel, steps);
}

static double *lanes_of(double *array, int32_t k)
{
    return array + (ptrdiff_t)k * SL__LANES;
}

static bool has(unsigned lanes, int32_t l)
{
    return (lanes >> l & 1U) != 0;
}

/* Where everything begins: at the line of each curve, and what has changed as it was before. */
static void start(sl__lane_ports *p)
{
    for (int32_t k = 0; k < p->curves; k++) {
        for (int32_t l = 0; l < SL__LANES; l++) {
            lanes_of(p->u, k)[l] = p->curve[k].volt;
            lanes_of(p->i, k)[l] = p->curve[k].amp;
            lanes_of(p->slope, k)[l] = p->curve[k].slope;
        }
    }
    for (int32_t s = 0; s < p->slots; s++) {
        memcpy(lanes_of(p->u, p->curves + s), p->slot[s].apart, sizeof p->slot[s].apart);
    }
    memset(p->step, 0, (size_t)(p->curves + p->slots) * SL__LANES * sizeof *p->step);
}

/* A curve that a slot stands for goes along its line. */
static void follow_lines(sl__lane_ports *p)
{
    for (int32_t k = 0; p->any_off && k < p->curves; k++) {
        const sl__lane_curve *c = &p->curve[k];
        for (int32_t l = 0; p->off[k] && l < SL__LANES; l++) {
            if (has(p->off[k], l)) {
                lanes_of(p->slope, k)[l] = c->siemens;
                lanes_of(p->i, k)[l] = c->amp + c->siemens * (lanes_of(p->u, k)[l] - c->volt);
            }
        }
    }
}

static void bend_slots(sl__lane_ports *p, unsigned lanes)
{
    for (int32_t s = 0; s < p->slots; s++) {
        const sl__lane_slot *slot = &p->slot[s];
        const double *u = lanes_of(p->u, p->curves + s);
        double *i = lanes_of(p->i, p->curves + s), *slope = lanes_of(p->slope, p->curves + s);
        for (int32_t l = 0; l < SL__LANES; l++) {
            i[l] = slot->fixed[l] + slot->steep[l] * u[l];
            slope[l] = slot->steep[l];
            if (slot->curve[l] && has(lanes, l)) {
                sl__law_current(slot->curve[l], u[l], &i[l], &slope[l]);
            }
        }
    }
}

/* Currents and slopes where the ports are, in some lanes; others keep theirs. */
static void bend_curves(const sl__lanes_powers *powers, sl__lane_ports *p, unsigned lanes)
{
    for (int32_t k = 0; k < p->curves; k++) {
        const sl__law *law = p->curve[k].law;
        const double *u = lanes_of(p->u, k);
        double *i = lanes_of(p->i, k), *slope = lanes_of(p->slope, k);
        if (law->bent > 0.0) {
            powers->bent(&p->curve[k].bent, law->bent, u, i, slope);
            continue;
        }
        for (int32_t l = 0; l < SL__LANES; l++) {
            if (has(lanes, l)) {
                sl__law_current(law, u[l], &i[l], &slope[l]);
            }
        }
    }
}

/* Lanes in which some port draws much beyond its line. */
static unsigned large(const sl__lane_ports *p, unsigned lanes)
{
    unsigned large = 0;
    for (int32_t k = 0; k < p->curves + p->slots; k++) {
        for (int32_t l = 0; l < SL__LANES; l++) {
            large |= fabs(p->end_beyond[k * SL__LANES + l]) > LARGE_A ? 1U << l : 0U;
        }
    }
    return large & lanes;
}

/* What 1 A through a port puts across another one, in a lane. */
static double transfer(const sl__lane_ports *p, int32_t lane, int32_t k, int32_t l)
{
    const int32_t n = p->curves;
    if (k < n && l < n) {
        return p->z[(ptrdiff_t)k * n + l];
    }
    if (k >= n && l >= n) {
        return p->between[((k - n) * SL__SLOTS_MOST + (l - n)) * SL__LANES + lane];
    }
    const ptrdiff_t at = k < n ? (ptrdiff_t)(l - n) * n + k : (ptrdiff_t)(k - n) * n + l;
    return p->across[at * SL__LANES + lane];
}

/* Factors the whole system of a lane. False: it has no digits. *negative: its determinant is. */
static bool factor_alone(sl__lane_ports *p, int32_t lane, bool *negative)
{
    const int32_t all = p->curves + p->slots;
    double *most = p->one;
    memset(most, 0, (size_t)all * sizeof *most);
    for (int32_t k = 0; k < all; k++) {
        double *row = p->dense + (ptrdiff_t)k * all;
        for (int32_t l = 0; l < all; l++) {
            const double own = p->own[k * SL__LANES + lane];
            row[l] = k == l ? own : transfer(p, lane, k, l) * p->bends[l * SL__LANES + lane];
            most[l] = fmax(most[l], fabs(row[l]));
        }
    }
    if (sl__dense_factor(all, p->dense, p->pivot) != SL_OK) {
        return false;
    }
    bool sound = true;
    *negative = false;
    for (int32_t k = 0; k < all; k++) {
        const double pivot = p->dense[(ptrdiff_t)k * all + k];
        sound = sound && fabs(pivot) >= PIVOT_LEAST * most[k];
        *negative = *negative != ((pivot < 0.0) != (p->pivot[k] != k));
    }
    return sound;
}

/* Of some lanes those whose answer is no stable one: some current falls with rising voltage, and
   the determinant, positive before anything changes, has changed its sign. */
static unsigned unstable(sl__lane_ports *p, const sl__lane_steps *steps, unsigned lanes)
{
    unsigned falls = 0;
    for (int32_t k = 0; k < p->curves + p->slots; k++) {
        for (int32_t l = 0; l < SL__LANES; l++) {
            falls |= p->slope[k * SL__LANES + l] < 0.0 ? 1U << l : 0U;
        }
    }
    falls &= lanes;
    falls &= falls ? ~steps->dominated(p) : 0U; /* where it is, the determinant is positive */
    for (int32_t l = 0; falls && l < SL__LANES; l++) {
        bool negative = false;
        if (has(falls, l) && factor_alone(p, l, &negative) && !negative) {
            falls &= ~(1U << l);
        }
    }
    return falls;
}

/* What the step of a lane leaves of its imbalance, to `left`; returns the greatest. */
static double leaves_alone(const sl__lane_ports *p, int32_t lane, double *bent, double *left)
{
    const int32_t all = p->curves + p->slots;
    double greatest = 0.0;
    for (int32_t k = 0; k < all; k++) {
        bent[k] = p->bends[k * SL__LANES + lane] * p->step[k * SL__LANES + lane];
    }
    for (int32_t k = 0; k < all; k++) {
        const int32_t at = k * SL__LANES + lane;
        double sum = -p->f[at] - p->own[at] * p->step[at];
        for (int32_t l = 0; l < all; l++) {
            sum -= k == l ? 0.0 : transfer(p, lane, k, l) * bent[l];
        }
        left[k] = sum;
        greatest = fmax(greatest, fabs(sum));
    }
    return greatest;
}

/* Is the step of a lane the last one? */
static bool is_last(const sl__lane_ports *p, int32_t lane)
{
    const int32_t all = p->curves + p->slots;
    double most = 0.0;
    for (int32_t k = 0; k < all; k++) {
        most = fmax(most, fabs(p->u[k * SL__LANES + lane]));
    }
    for (int32_t k = 0; k < all; k++) {
        const double size = fabs(p->step[k * SL__LANES + lane]);
        if (!(size <= STEP_LEAST_WHOLE * fabs(p->u[k * SL__LANES + lane]) ||
              size <= STEP_NONE * most)) {
            return false;
        }
    }
    return true;
}

/* Newton's step of a lane in which curves do much to each other: of the whole system, put right
   once. False: there is none. */
static bool aim_alone(sl__lane_ports *p, int32_t lane, double most)
{
    const int32_t all = p->curves + p->slots;
    double *left = p->one + all, *bent = left + all;
    bool negative;
    if (!factor_alone(p, lane, &negative)) {
        return false;
    }
    for (int32_t k = 0; k < all; k++) {
        left[k] = -p->f[k * SL__LANES + lane];
        p->step[k * SL__LANES + lane] = 0.0;
    }
    for (int again = 0; again < 2; again++) {
        sl__dense_solve(all, p->dense, p->pivot, left);
        for (int32_t k = 0; k < all; k++) {
            p->step[k * SL__LANES + lane] += left[k];
        }
        if (!(leaves_alone(p, lane, bent, left) <= LEFT_BY_STEP * most)) {
            return false;
        }
    }
    return true;
}

/* The same for lanes that have no step by way of the slots. Returns those that have one now. */
static unsigned aim_each(sl__lane_ports *p, unsigned lanes, const double *most, unsigned *small)
{
    unsigned sound = 0;
    for (int32_t l = 0; l < SL__LANES; l++) {
        if (!has(lanes, l) || !aim_alone(p, l, most[l])) {
            continue;
        }
        sound |= 1U << l;
        const bool last = is_last(p, l);
        *small |= last ? 1U << l : 0U;
        for (int32_t at = l; at < (p->curves + p->slots) * SL__LANES; at += SL__LANES) {
            p->u[at] += p->step[at];
            if (last) {
                p->end_u[at] = p->u[at];
                p->end_i[at] = p->i[at] + p->slope[at] * p->step[at];
                p->end_beyond[at] = p->beyond[at] + p->bends[at] * p->step[at];
            }
        }
    }
    return sound;
}

/* How far each lane is. */
typedef struct progress {
    double size[SL__LANES]; /* of the imbalance that was left before the step */
    double share[SL__LANES];
    int halvings[SL__LANES], polish[SL__LANES];
} progress;

/* Lanes whose step led further away take half of it back, others of those on the way come to
 *takes: they are to step on. Returns lanes that give up. */
static unsigned judge(sl__lane_ports *p, const sl__lane_steps *steps, unsigned lanes,
                      const double *next, progress *at, unsigned *takes)
{
    double back[SL__LANES] = {0.0};
    unsigned lost = 0, halved = 0;
    for (int32_t l = 0; l < SL__LANES; l++) {
        if (!has(lanes, l)) {
            continue;
        }
        if (next[l] < at->size[l] || at->polish[l] > 0) {
            at->size[l] = next[l];
            at->share[l] = 1.0;
            at->halvings[l] = 0;
        } else if (at->halvings[l]++ < HALVINGS_MOST) {
            at->share[l] *= 0.5;
            back[l] = -at->share[l];
            halved |= 1U << l;
        } else {
            lost |= 1U << l;
        }
    }
    if (halved) {
        steps->move(p, back);
    }
    *takes = lanes & ~halved & ~lost;
    return lost;
}

unsigned sl__lane_ports_solve(int32_t kernel, sl__lane_ports *p, unsigned lanes)
{
    const sl__lane_steps *steps = sl__lane_steps_of(kernel);
    const sl__lanes_powers *powers = sl__lanes_powers_of(kernel);
    progress at = {.halvings = {0}};
    unsigned left = lanes, done = 0;
    for (int32_t l = 0; l < SL__LANES; l++) {
        at.size[l] = INFINITY;
        at.share[l] = 1.0;
    }
    start(p);
    for (int round = 0; round < ROUNDS_MOST && left; round++) {
        double next[SL__LANES];
        unsigned takes = 0, small = 0;
        if (round > 0) {
            bend_curves(powers, p, left);
        }
        bend_slots(p, left);
        follow_lines(p);
        steps->imbalance(p, next);
        left &= ~judge(p, steps, left, next, &at, &takes);
        const unsigned parted = steps->aim(p, takes, next, &small);
        left &= ~takes | parted | aim_each(p, takes & ~parted, next, &small);
        small &= left;
        const unsigned again = small ? large(p, small) : 0U;
        for (int32_t l = 0; l < SL__LANES; l++) {
            if (has(again, l) && at.polish[l]++ < POLISH) {
                small &= ~(1U << l);
            }
        }
        left &= ~small;
        done |= small ? small & ~unstable(p, steps, small) : 0U;
    }
    return done;
}

/* lib/numeric/transfer.c: several solves at once, refined in pairs, one in each lane of a vector.
 */
#include "numeric/transfer.h"

#include <string.h>

#define STEPS 2

typedef sl__lanes lanes;

/* Unevaluated sums, as in pair.h. */
typedef struct wide {
    lanes hi, lo;
} wide;

static inline void two_sum(const lanes *a, const lanes *b, wide *out)
{
    lanes s = *a + *b, bb = s - *a;
    out->lo = (*a - (s - bb)) + (*b - bb);
    out->hi = s;
}

/* `out` may be neither of them. */
static inline void quick_sum(const lanes *s, const lanes *low, wide *out)
{
    out->hi = *s + *low;
    out->lo = *low - (out->hi - *s);
}

/* k * a to the last place of a pair. */
static inline void scale(double k, const wide *a, wide *out)
{
    const double big = 0x1p27 * k + k, k_hi = big - (big - k), k_lo = k - k_hi;
    lanes t = 0x1p27 * a->hi + a->hi, a_hi = t - (t - a->hi), a_lo = a->hi - a_hi;
    lanes p = k * a->hi;
    lanes low = ((k_hi * a_hi - p) + k_hi * a_lo + k_lo * a_hi) + k_lo * a_lo;
    low += k * a->lo;
    quick_sum(&p, &low, out);
}

static inline void add(const wide *a, const wide *b, wide *out)
{
    wide s;
    two_sum(&a->hi, &b->hi, &s);
    s.lo += a->lo + b->lo;
    quick_sum(&s.hi, &s.lo, out);
}

static const lanes nothing;

/* left = what is sent into each row, less what leaves it through branches. */
static void balance(const sl__transfer_room *room, const lanes *into, const lanes *high,
                    const lanes *low)
{
    lanes *left = (lanes *)(void *)room->left;
    wide *sum = (wide *)(void *)room->sum;
    for (int32_t r = 0; r < room->rows; r++) {
        sum[r] = (wide){into[r], nothing};
    }
    for (int32_t e = 0; e < room->branches; e++) {
        const int32_t a = room->from[e], b = room->to[e];
        if (room->g[e] == 0.0 || a == b) {
            continue;
        }
        wide drop, amps;
        lanes minus = b < 0 ? nothing : -high[b];
        two_sum(a < 0 ? &nothing : &high[a], &minus, &drop);
        drop.lo += (a < 0 ? nothing : low[a]) - (b < 0 ? nothing : low[b]);
        scale(room->g[e], &drop, &amps);
        if (b >= 0) {
            add(&sum[b], &amps, &sum[b]);
        }
        if (a >= 0) {
            amps = (wide){-amps.hi, -amps.lo};
            add(&sum[a], &amps, &sum[a]);
        }
    }
    for (int32_t r = 0; r < room->rows; r++) {
        left[r] = sum[r].hi + sum[r].lo;
    }
}

void sl__transfer(const sl__transfer_room *room, const double *into, double *high, double *low)
{
    lanes *hi = (lanes *)(void *)high, *lo = (lanes *)(void *)low;
    sl__factor_solve_lanes(room->factor, into, high, room->work);
    memset(low, 0, (size_t)room->rows * sizeof *lo);
    for (int step = 0; step < STEPS; step++) {
        balance(room, (const lanes *)(const void *)into, hi, lo);
        sl__factor_solve_lanes(room->factor, room->left, room->step, room->work);
        const lanes *more = (const lanes *)(const void *)room->step;
        for (int32_t r = 0; r < room->rows; r++) {
            wide s, sum;
            two_sum(&hi[r], &more[r], &s);
            s.lo += lo[r];
            quick_sum(&s.hi, &s.lo, &sum);
            hi[r] = sum.hi;
            lo[r] = sum.lo;
        }
    }
}

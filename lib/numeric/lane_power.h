/* lib/numeric/lane_power.h: powers, exponentials and logarithms of eight numbers side by side, the
   same digits for every width of vector. Threads: any.

   exp and log are right to 1 unit in the last place, x^y to 1 + |y| / 16 of them, for all x > 0 and
   results that are normal numbers. Everything else (0, negative, subnormal, infinite, NaN, what
   overflows) is asked of the C library, lane by lane. */
#ifndef SL_NUMERIC_LANE_POWER_H
#define SL_NUMERIC_LANE_POWER_H

#include "numeric/lanes.h"

/* A line through 0 as far as the knee on either side, beyond it a power: each array has an entry a
   lane. y = straight x where |x| <= knee > 0, else sign(x) max(least, scale |x|^exponent). */
typedef struct sl__lanes_bent {
    double straight[SL__LANES], knee[SL__LANES], least[SL__LANES], scale[SL__LANES];
} sl__lanes_bent;

/* Arrays of [count][SL__LANES]; `to` may be x. */
typedef struct sl__lanes_powers {
    void (*power)(int32_t count, const double *x, double exponent, double *to);
    void (*exponential)(int32_t count, const double *x, double *to);
    void (*logarithm)(int32_t count, const double *x, double *to);

    /* y and its slope at x[LANES]; x is finite or NaN, and so then are they. */
    void (*bent)(const sl__lanes_bent *law, double exponent, const double *x, double *y,
                 double *slope);
} sl__lanes_powers;

/* Those of variant 1 to sl__lane_kernels(), the last of them the fastest. */
const sl__lanes_powers *sl__lanes_powers_of(int32_t kernel);

#endif

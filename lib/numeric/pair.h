/* lib/numeric/pair.h: numbers held as unevaluated sums hi + lo, about 32 digits.

   Voltages are kept as pairs because one unit in the last place of 12 V, across a cable of
   1e-5 ohm, is a current of 1e-10 A: without the low part, small currents are noise.
   Error-free transformations after Dekker, Numer. Math. 18 (1971), and Ogita, Rump and Oishi,
   SIAM J. Sci. Comput. 26 (2005). Must never be compiled with reassociating float options. */
#ifndef SL_NUMERIC_PAIR_H
#define SL_NUMERIC_PAIR_H

#include <math.h>
#include <stdint.h>

typedef struct sl__pair {
    double hi, lo; /* |lo| <= half a unit in the last place of hi */
} sl__pair;

/* a + b exactly. */
static inline sl__pair sl__two_sum(double a, double b)
{
    double s = a + b;
    double bb = s - a;
    return (sl__pair){s, (a - (s - bb)) + (b - bb)};
}

/* a * b exactly. */
static inline sl__pair sl__two_prod(double a, double b)
{
    double p = a * b;
    return (sl__pair){p, fma(a, b, -p)};
}

static inline sl__pair sl__pair_of(double a)
{
    return (sl__pair){a, 0.0};
}

static inline sl__pair sl__pair_neg(sl__pair a)
{
    return (sl__pair){-a.hi, -a.lo};
}

static inline sl__pair sl__pair_add(sl__pair a, sl__pair b)
{
    sl__pair s = sl__two_sum(a.hi, b.hi);
    sl__pair t = sl__two_sum(a.lo, b.lo);
    s = sl__two_sum(s.hi, s.lo + t.hi);
    return sl__two_sum(s.hi, s.lo + t.lo);
}

static inline sl__pair sl__pair_sub(sl__pair a, sl__pair b)
{
    return sl__pair_add(a, sl__pair_neg(b));
}

static inline sl__pair sl__pair_scale(sl__pair a, double k)
{
    sl__pair p = sl__two_prod(a.hi, k);
    return sl__two_sum(p.hi, fma(a.lo, k, p.lo));
}

static inline double sl__pair_value(sl__pair a)
{
    return a.hi + a.lo;
}

#endif

/* lib/numeric/pair.h: numbers held as unevaluated sums hi + lo, about 32 digits.

   Voltages are kept as pairs because one unit in the last place of 12 V, across a cable of
   1e-5 ohm, is a current of 1e-10 A: without the low part, small currents are noise.
   Error-free transformations after Dekker, Numer. Math. 18 (1971), and Ogita, Rump and Oishi,
   SIAM J. Sci. Comput. 26 (2005). Must never be compiled with options that let the compiler
   reassociate or contract arithmetic. */
#ifndef SL_NUMERIC_PAIR_H
#define SL_NUMERIC_PAIR_H

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

/* a + b exactly, where |a| >= |b| or a is 0. */
static inline sl__pair sl__quick_sum(double a, double b)
{
    double s = a + b;
    return (sl__pair){s, b - (s - a)};
}

/* a as the exact sum of two numbers of at most 26 bits, so that products of such are exact. */
static inline sl__pair sl__split(double a)
{
    double t = 0x1p27 * a + a;
    double high = t - (t - a);
    return (sl__pair){high, a - high};
}

/* a * b exactly, unless it comes near the ends of the range of a double. By splitting and not by
   fma(), which is a call into the C library on processors that may lack the instruction. */
static inline sl__pair sl__two_prod(double a, double b)
{
    double p = a * b;
    sl__pair x = sl__split(a), y = sl__split(b);
    return (sl__pair){p, ((x.hi * y.hi - p) + x.hi * y.lo + x.lo * y.hi) + x.lo * y.lo};
}

static inline sl__pair sl__pair_of(double a)
{
    return (sl__pair){a, 0.0};
}

static inline sl__pair sl__pair_neg(sl__pair a)
{
    return (sl__pair){-a.hi, -a.lo};
}

/* a + b, right to 2^-104 of |a| + |b|: what cancels was known no better. */
static inline sl__pair sl__pair_add(sl__pair a, sl__pair b)
{
    sl__pair s = sl__two_sum(a.hi, b.hi);
    return sl__quick_sum(s.hi, s.lo + (a.lo + b.lo));
}

static inline sl__pair sl__pair_sub(sl__pair a, sl__pair b)
{
    return sl__pair_add(a, sl__pair_neg(b));
}

static inline sl__pair sl__pair_scale(sl__pair a, double k)
{
    sl__pair p = sl__two_prod(a.hi, k);
    return sl__quick_sum(p.hi, a.lo * k + p.lo);
}

static inline double sl__pair_value(sl__pair a)
{
    return a.hi + a.lo;
}

#endif

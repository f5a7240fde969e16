/* lib/numeric/factor_lanes.c: several right-hand sides at once, one in each lane of a vector. */
#include "numeric/factor_lanes.h"

#include <string.h>

#include "numeric/factor_internal.h"

#define REAL sl__lanes
#define FUNCTION static
#define NAME(x) sides_##x
#include "numeric/factor_solve.h"

#ifdef SL__WIDE_KERNELS
#define REAL sl__lanes
#define FUNCTION static SL__AVX512
#define NAME(x) sides_avx512_##x
#include "numeric/factor_solve.h"

/* Of these vectors half as wide as the lanes make more than they save: there the plain ones are
   quicker. */
#define sides_avx2_solve sides_solve
#endif

void sl__factor_solve_lanes(const sl__factor *f, const double *b, double *x, double *work)
{
    sl__factor_solve_lanes_with(sl__lane_kernels(), f, b, x, work);
}

void sl__factor_solve_lanes_with(int32_t kernel, const sl__factor *f, const double *b, double *x,
                                 double *work)
{
    const sl__lanes *of = (const void *)b;
    sl__lanes *to = (void *)x, *room = (void *)work; /* x is room too: b is copied first */
#define SOLVE(variant) variant##_solve(f, of, to, room, to)
    SL__CHOOSE(SOLVE, sides)
#undef SOLVE
}

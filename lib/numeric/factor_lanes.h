/* lib/numeric/factor_lanes.h: several right-hand sides of one network solved at once, one in each
   lane of a vector.

   Each lane has, to the last bit, the digits of sl__factor_solve of its own right-hand side. Entry
   l of row r is at r * SL__LANES + l. */
#ifndef SL_NUMERIC_FACTOR_LANES_H
#define SL_NUMERIC_FACTOR_LANES_H

#include "numeric/factor.h"
#include "numeric/lanes.h"

/* Solves for SL__LANES right-hand sides at once. b and x may be one array; work has room for as
   much. Threads: any. */
void sl__factor_solve_lanes(const sl__factor *f, const double *b, double *x, double *work);

/* The same by variant 1 to sl__lane_kernels(), not the last of them: to compare them. */
void sl__factor_solve_lanes_with(int32_t kernel, const sl__factor *f, const double *b, double *x,
                                 double *work);

#endif

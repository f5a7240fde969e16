/* lib/numeric/factor_lanes.h: several solves at once, one in each lane of a vector: of one network
   with several right-hand sides, or of several networks of one shape.

   Each lane has, to the last bit, the digits of sl__factor_update and sl__factor_solve of its own
   network and right-hand side. Entry l of row r, or of branch r, is at r * SL__LANES + l. */
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

/* SL__LANES networks of the shape of f, whose numbers are left alone; f must outlive it. SL_OK or
   SL_E_NOMEM. Threads: one at a time. */
typedef struct sl__lane_factor sl__lane_factor;
sl_status sl__lane_factor_new(const sl__factor *f, sl__lane_factor **out);
void sl__lane_factor_free(sl__lane_factor *w);
void sl__lane_factor_use(sl__lane_factor *w, int32_t kernel); /* another variant, as above */

/* Factors with conductances g[branches * SL__LANES], each as for sl__factor_update.
   dead[SL__LANES], which may be NULL, receives the number of exactly zero pivots of each lane.
   Returns their sum. Allocates nothing. */
int32_t sl__lane_factor_update(sl__lane_factor *w, const double *g, int32_t *dead);

/* Solves A x = b, each lane its own; x and b may be one array. Allocates nothing. */
void sl__lane_factor_solve(sl__lane_factor *w, const double *b, double *x);

/* The same along marked ways (factor.h); what other rows have in x then means nothing. */
void sl__lane_factor_solve_along(sl__lane_factor *w, const uint8_t *ways, const double *b,
                                 double *x);

#endif

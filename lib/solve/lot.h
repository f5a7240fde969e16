/* lib/solve/lot.h: a case solved for eight sets of moved parameters at once, as far as only one
   reading is wanted.

   A plan is the way that the case takes with every value as it is: stage after stage, each a state
   of all relays and solenoids in a condition, until they are settled. A lot takes eight samples
   along that way, one in each lane: laws, factor, Newton, parts that adjust themselves, and at each
   stage the question which part moves next. A sample that goes another way, or of whose reading too
   little is left, leaves the lot: it is to be solved whole. So is everything where there is no
   plan.

   What comes out of a lane depends on that sample alone, to the last bit. It agrees with the whole
   solve to 1e-9 of the reading, as far as more is left of it than 1e-18 of the terms that it is the
   difference of; less is nothing. */
#ifndef SL_SOLVE_LOT_H
#define SL_SOLVE_LOT_H

#include "numeric/counter.h"
#include "solve/solve.h"

typedef struct sl__plan sl__plan;
typedef struct sl__lot sl__lot;

/* Makes a plan of a case for what may vary and a reading. *out is NULL, and the status SL_OK, where
   samples of it are to be solved whole. The case must stay as it is and outlive the plan. */
sl_status sl__plan_new(const sl_alloc *al, const sl_case *cs, const sl__vary *vary,
                       const sl_reading *of, sl__plan **out);
void sl__plan_free(sl__plan *plan);

/* States in which all parts end: [parts]. */
const int32_t *sl__plan_ends(const sl__plan *plan);

/* What one thread needs to work by a plan, which must outlive it. SL_OK or SL_E_NOMEM. */
sl_status sl__lot_new(const sl_alloc *al, const sl__plan *plan, sl__lot **out);
void sl__lot_free(sl__lot *lot);

/* Draws for SL__LANES samples from `first` on, of the `count` items that vary, the temperature
   last. The z of it is the lot's, [items + 1][SL__LANES], until the next draw. */
const double *sl__lot_draw(sl__lot *lot, uint64_t seed, int64_t first, int32_t count,
                           sl_shape shape);

/* Solves for z[items + 1][SL__LANES], the temperature last. Returns the lanes, as bits, that are
   answered in value[SL__LANES]. Allocates nothing. */
unsigned sl__lot_solve(sl__lot *lot, const double *z, double *value);

#endif

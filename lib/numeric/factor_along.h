/* lib/numeric/factor_along.h: eight networks of one shape, one in each lane, factored and solved as
   far as some rows are concerned.

   Currents come in at some rows, the voltages of some are wanted. Only what such a solve goes
   through is kept of the factor; everything else lies in a little room that is used again and again
   while the elimination goes on, so that it stays in the first cache. What is driven goes down
   along with the elimination.

   Rows are numbered in the order of elimination: sl__along_place tells which one is which. What is
   the reference's is number `rows`. The digits of a lane do not depend on the other lanes, nor on
   the variant; they are not those of sl__factor_solve. An array of lanes is
   double[count][SL__LANES]. Threads: a pattern, any; room, one at a time. */
#ifndef SL_NUMERIC_FACTOR_ALONG_H
#define SL_NUMERIC_FACTOR_ALONG_H

#include "numeric/factor.h"
#include "numeric/lanes.h"

typedef struct sl__along sl__along;

/* For blocks marked as sl__factor_mark_ways does it. The factor's numbers are not looked at, and it
   is not needed afterwards. SL_OK or SL_E_NOMEM. */
sl_status sl__along_new(const sl_alloc *al, const sl__factor *f, const uint8_t *ways,
                        sl__along **out);
void sl__along_free(sl__along *p);

/* Where each row went: place[rows]. */
void sl__along_place(const sl__factor *f, int32_t *place);

/* The rows that a solve goes through, numbered so, to row[rows]; returns how many. Others are not
   looked at. */
int32_t sl__along_rows(const sl__along *p, int32_t *row);

/* How many lane arrays of one number the room for it has. */
int32_t sl__along_room(const sl__along *p);

/* Factors with conductances g[branches], and solves: y[rows] holds what flows in, and then the
   voltages of the rows that are wanted; others mean nothing. dead[SL__LANES] receives how many
   pivots are exactly zero. Allocates nothing. */
void sl__along_factor(const sl__along *p, int32_t kernel, double *room, const double *g, double *y,
                      int32_t *dead);

/* Solves again with the factor that is in the room. */
void sl__along_solve(const sl__along *p, int32_t kernel, double *room, double *y);

#endif

/* lib/numeric/counter.h: random numbers by counting: number n of seed s is worked out from n and s
   alone, whichever thread asks, in whatever order.

   Source: Philox4x32-10 of J. K. Salmon, M. A. Moraes, R. O. Dror and D. E. Shaw, "Parallel random
   numbers: as easy as 1, 2, 3", SC 2011. */
#ifndef SL_NUMERIC_COUNTER_H
#define SL_NUMERIC_COUNTER_H

#include <stdint.h>

#include "numeric/lane_kernels.h"
#include "strapline/band.h"

/* Ten rounds. */
void sl__counter_block(const uint32_t counter[4], const uint32_t key[2], uint32_t out[4]);

/* Where in its spread, -1 to 1, number `variable` of a sample lies: in one of 2^32 steps. Four
   variables share a block. */
double sl__counter_draw(uint64_t seed, int64_t sample, int32_t variable, sl_shape shape);

/* The same numbers, to the last bit, of variables 0 ... count - 1 of sample[SL__LANES]:
   z[count][SL__LANES]. room: as much. */
void sl__counter_lanes(const sl__lanes_kernels *kernels, uint64_t seed, const int64_t *sample,
                       int32_t count, sl_shape shape, double *z, double *room);

#endif

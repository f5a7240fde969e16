/* tests/support/tangle.h: random circuits with curved parts. The same seed gives the same circuit
   on every machine. */
#ifndef SL_SUPPORT_TANGLE_H
#define SL_SUPPORT_TANGLE_H

#include <stdint.h>

#include "strapline/case.h"

/* A lamp, or the bare motor of a starter, from a node to another. */
void tangle_load(sl_circuit *c, const char *name, const char *from, const char *to,
                 uint64_t *random);

/* Eight posts and what goes wrong between them: batteries either way round, cables from nearly
   nothing to nearly open, strings of lamps with floating middles, loads fed from both sides and
   from behind, starters with their windings, relays held in a state. */
sl_circuit *tangle_knot(uint64_t seed);

/* A vehicle of netgen.h, 40 to 299 rows, in which `curved` of the loads, 4 to 20, are lamps, bare
   motors of starters, diodes and modules that draw a constant power. Part "b0" is branch 0, and so
   on; nodes are "n0" and so on, the reference "0". */
sl_circuit *tangle_vehicle(uint64_t seed, int32_t *curved);

#endif

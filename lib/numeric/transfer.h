/* lib/numeric/transfer.h: what currents sent into a network do to it, eight at a time and to the
   last places of a double even where voltages differ by less than their last place. */
#ifndef SL_NUMERIC_TRANSFER_H
#define SL_NUMERIC_TRANSFER_H

#include "numeric/factor_lanes.h"

/* A factored network and room to work in, each of rows * SL__LANES doubles but for `sum`, which has
   twice as much. */
typedef struct sl__transfer_room {
    const sl__factor *factor; /* of g */
    int32_t rows, branches;
    const int32_t *from, *to;
    const double *g;
    double *left, *step, *work, *sum;
} sl__transfer_room;

/* Lane l of row r is entry r * SL__LANES + l. Voltages high + low that the currents `into` cause,
   which sum to zero in a floating island. Of a solve and two steps of refinement, with currents
   balanced in pairs, a difference of two rows is right to the last places of a double as long as
   it is more than some 1e-24 of either. Allocates nothing. */
void sl__transfer(const sl__transfer_room *room, const double *into, double *high, double *low);

#endif

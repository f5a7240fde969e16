/* lib/circuit/spread.h: spreads as a circuit holds them, and what they make of a value. */
#ifndef SL_CIRCUIT_SPREAD_H
#define SL_CIRCUIT_SPREAD_H

#include "strapline/spread.h"

typedef struct sl__spread_record {
    sl_condition condition; /* SL_NONE: every one */
    sl_part part;           /* SL_NONE: the temperature */
    int32_t param;          /* 0 for the temperature */
    sl_spread spread;
} sl__spread_record;

/* The value at z of its spread: -1 the lowest, 0 as it is, 1 the highest. */
double sl__spread_value(const sl_spread *spread, double value, double z, double least,
                        double greatest);

#endif

/* lib/numeric/column.h: what 1 A through a branch, from its first end to its second, does to a
   network, to the last places of a double even where it is little. */
#ifndef SL_NUMERIC_COLUMN_H
#define SL_NUMERIC_COLUMN_H

#include "numeric/balance.h"
#include "numeric/factor.h"

/* A factored network and room to work in. */
typedef struct sl__column_room {
    sl__factor *factor; /* of g */
    int32_t rows, branches;
    const int32_t *from, *to;
    const double *g;
    double *b, *x;              /* [rows + 1] */
    sl__pair *v, *sum, *inject; /* [rows + 1] */
    sl__pair *i;                /* [branches] */
} sl__column_room;

/* volt[rows]: voltages; amp[branches]: currents, the branch's own among them. Returns the share of
   the 1 A that goes every other way, 1 - its own: right as long as more than some 1e-13 of it does.
 */
double sl__column(sl__column_room *room, int32_t branch, double *volt, double *amp);

#endif

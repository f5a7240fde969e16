/* lib/numeric/column.h: what 1 A through a branch, from its first end to its second, does to a
   network, to the last places of a double even where it is little. */
#ifndef SL_NUMERIC_COLUMN_H
#define SL_NUMERIC_COLUMN_H

#include <stddef.h>

#include "numeric/balance.h"
#include "numeric/factor_lanes.h"

/* Refined until no more than this is left: such a column may be multiplied by 1e5 A or so, and of
   its 1 A even 1e-20 A counts. */
#define SL__COLUMN_LEFT 1e-24
enum { SL__COLUMN_STEPS = 4 };

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

/* Such solves, SL__LANES at a time. */
typedef struct sl__columns sl__columns;

/* f, from, to and g must outlive it; f may be factored anew, g changed. SL_OK or SL_E_NOMEM.
   Threads: one at a time. */
sl_status sl__columns_new(const sl__factor *f, int32_t rows, int32_t branches, const int32_t *from,
                          const int32_t *to, const double *g, sl__columns **out);
void sl__columns_free(sl__columns *c);

/* Voltages high + low that currents cause. Lane l of a row is entry l of its SL__LANES: into[rows]
   of them lie one after the other, those of high and low are `apart` from each other. Currents sum
   to zero in a floating island. A difference of two rows, of which both the high and the low parts
   are subtracted, is right to the last places of a double where it is more than some 1e-24 of
   either. Allocates nothing. */
void sl__columns_into(sl__columns *c, const double *into, double *high, double *low,
                      ptrdiff_t apart);

/* rest[l] is what sl__column returns for branch[l], to the last bit; 1 to SL__LANES of them, with
   both ends in the network, or one at the reference. Allocates nothing. */
void sl__columns_rest(sl__columns *c, int32_t count, const int32_t *branch, double *rest);

/* The same by variant 1 to sl__lane_kernels(), not the last of them: to compare them. */
void sl__columns_into_with(int32_t kernel, sl__columns *c, const double *into, double *high,
                           double *low, ptrdiff_t apart);
void sl__columns_rest_with(int32_t kernel, sl__columns *c, int32_t count, const int32_t *branch,
                           double *rest);

#endif

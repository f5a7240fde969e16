/* lib/solve/curved.h: readings of faulted circuits with curved parts, eight cases at a time.

   As in near.h, curves stand in the healthy circuit as lines that touch them, and a case is a small
   system: what the curves are off their lines, and what has changed. Here eight cases are solved
   side by side, one in each lane of a vector, and nothing is solved for a fault beforehand: what
   1 A on any way does to what is to be known is had from a table, as in straight.h.

   Parts with states are held to be where they are in the healthy circuit, and asked, in every state
   that it passes through while it settles; parts that adjust themselves are asked too. Where any of
   them would do otherwise, the case is not answered here. No residual of the whole circuit is
   looked at: of a case whose ports hold to the last places, all else is a sum over the table. */
#ifndef SL_SOLVE_CURVED_H
#define SL_SOLVE_CURVED_H

#include "numeric/lanes.h"
#include "solve/straight.h"

typedef struct sl__curved sl__curved;

/* One thing that is wrong. */
typedef struct sl__curved_change {
    sl_node node, to; /* a leak of edit.value ohm between them; node == SL_NONE: the edit */
    sl_edit edit;
} sl__curved_change;

enum { SL__CHANGES_MOST = 8 };

typedef struct sl__curved_case {
    int32_t count;
    sl__curved_change change[SL__CHANGES_MOST];
} sl__curved_case;

/* The circuit in a condition, with edits that are in every case, solved and ready to be asked, with
   `notices` for what a person notices too. Its circuit must outlive it. *out is NULL where it
   cannot be answered so: something never settles, what is read or watched has no current of its
   own, or the tables would be too large. SL_OK, SL_E_NOMEM. */
sl_status sl__curved_new(const sl_circuit *circuit, sl_condition condition, const sl_edit *edits,
                         int32_t edit_count, const sl__straight_reading *readings, int32_t count,
                         bool notices, sl__curved **out);
void sl__curved_free(sl__curved *c);

/* The readings of 1 to SL__LANES cases: out[count][readings]; known[k] says whether row k is an
   answer, and nothing of what is there otherwise. Allocates nothing. Each row depends on nothing
   but its case. Within 1e-9 of a whole solve, and 1e-12 V or A. */
void sl__curved_run(sl__curved *c, int32_t count, const sl__curved_case *cases, double *out,
                    bool *known);

/* The same by variant 1 to sl__lane_kernels() (lanes.h), not the last of them: to compare them. */
void sl__curved_run_with(int32_t kernel, sl__curved *c, int32_t count, const sl__curved_case *cases,
                         double *out, bool *known);

/* Notices of a part in a case of the last run that is known, as sl_case_notices has them. */
int32_t sl__curved_notices(const sl__curved *c, int32_t which, sl_part part, sl_notice *out,
                           int32_t room);

#endif

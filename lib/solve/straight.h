/* lib/solve/straight.h: readings of a faulted circuit in closed form, where all its laws are
   straight lines.

   In such a circuit a fault of one element is a current t that flows from one of its ends to the
   other, on top of what was there; a reading becomes base + t w, w being what 1 A on that way does
   to it (whatif.h, effective.h). That the network is the same from either side (reciprocity) saves
   the solve for each fault: what 1 A at the leads of a reading does to the ends of an element is
   what 1 A through the element does to the reading, and there are few readings.

   Parts with states are held to be where they are in the good circuit, and asked: in every state
   that it passes through while it settles, each with the volts and amperes that the fault leaves
   it. When any of them would do otherwise, the case is not answered here. */
#ifndef SL_SOLVE_STRAIGHT_H
#define SL_SOLVE_STRAIGHT_H

#include "solve/solve.h"
#include "strapline/spread.h"

typedef struct sl__straight sl__straight;

/* What is read: volts or amperes, or the state of a part. */
typedef struct sl__straight_reading {
    sl_reading of;
    bool is_state; /* of.part, counted from 0; NaN for one without states */
} sl__straight_reading;

/* A place where something goes wrong to some degree. */
typedef struct sl__straight_fault {
    sl_node node, to; /* a leak of so many ohm between them; SL_NONE for an edit: */
    sl_part part;
    sl_change change;
    int32_t index;
} sl__straight_fault;

/* The circuit in a condition, with edits that are in every case, solved and ready to be asked. Its
   circuit must outlive it. *out is NULL where it cannot be answered so: it is curved, something in
   it adjusts itself or never settles, a reading or a part with states hangs on a link of 0 ohm, or
   the tables would be too large. SL_OK, SL_E_NOMEM. */
sl_status sl__straight_new(const sl_circuit *circuit, sl_condition condition, const sl_edit *edits,
                           int32_t edit_count, const sl__straight_reading *readings, int32_t count,
                           sl__straight **out);
void sl__straight_free(sl__straight *s);

/* The readings without a fault: [count]. */
const double *sl__straight_good(const sl__straight *s);

/* The faults that are going to be asked about, by their numbers; they must stay where they are.
   pairs: two of them together too. SL_OK or SL_E_NOMEM. */
sl_status sl__straight_list(sl__straight *s, int32_t count, const sl__straight_fault *fault,
                            bool pairs);

/* The readings with one of them in `count` degrees: out[count][readings]; known[c] says whether row
   c is an answer, and none of what is there otherwise. Allocates nothing. Each row depends on
   nothing but its degree. Within 1e-9 of a whole solve, and 1e-12 V or A; what is below its own
   rounding is 0. past_caches: for rows that nobody reads soon; after them comes
   sl__straight_finish, before another thread looks. */
void sl__straight_run(sl__straight *s, int32_t number, int32_t count, const double *degree,
                      bool past_caches, double *out, bool *known);

void sl__straight_finish(void);

/* Are pairs answered? Not where there are parts with states. */
bool sl__straight_pairs(const sl__straight *s);

/* The same with another fault, `later`, there too, which stays as it is. */
void sl__straight_run_pair(sl__straight *s, int32_t later, double later_degree, int32_t number,
                           int32_t count, const double *degree, double *out, bool *known);

#endif

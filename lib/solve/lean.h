/* lib/solve/lean.h: a few readings of a faulted circuit, without the rest of its answer. For
   sweeps, in which working out all that nobody reads would be most of the work. */
#ifndef SL_SOLVE_LEAN_H
#define SL_SOLVE_LEAN_H

#include "solve/solve.h"

/* Solves a case with `quick` set, like sl_case_solve. *lean: it settled, all of it from bases, and
   the two below may be asked until the case is changed; the public questions may not. Else nothing
   has been solved: call sl_case_solve. */
sl_status sl__lean_solve(sl_case *cs, bool *lean);

/* Node against node, in V; NaN where nothing joins them. False where so little is left of larger
   terms that only sl_case_solve can tell. */
bool sl__lean_between(const sl_case *cs, sl_node red, sl_node black, double *volts);

/* Current of an element in A, false as above and for one of 0 ohm. */
bool sl__lean_current(const sl_case *cs, sl_part part, int32_t element, double *amps);

#endif

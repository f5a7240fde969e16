/* lib/numeric/balance.h: branch currents and the balance of currents at each row, in pairs.

   One step of refinement is sl__pair_residual, sl__factor_solve of the residual, sl__pair_correct.
   After it the currents themselves are right to the last places of a double, down to currents whose
   drop is far below the last place of the voltages. The residual is summed branch by branch: an
   assembled matrix has already lost what this looks for.

   The limit of one step: the correction is a double, so 12 V leave some 1e-26 A in a cable of 1e-5
   ohm, and more where a whole section floats behind more than 1e8 ohm. Down to 1 pA even there
   takes three steps. */
#ifndef SL_NUMERIC_BALANCE_H
#define SL_NUMERIC_BALANCE_H

#include "numeric/pair.h"

#include <stdint.h>

/* i[e] = g[e] * ((v[from[e]] - v[to[e]]) + emf[e]), from `from` to `to`; exactly 0 where g is 0.
   SL__REFERENCE is at 0 V. emf may be NULL: no branch has one. */
void sl__pair_currents(int32_t branches, const int32_t *from, const int32_t *to, const double *g,
                       const sl__pair *emf, const sl__pair *v, sl__pair *i);

/* r[row] = inject[row] - the currents that leave the row through branches, summed in pairs and
   rounded at the end. inject may be NULL. work: rows pairs, contents lost. Returns the greatest
   |r|, in amperes. */
double sl__pair_residual(int32_t rows, int32_t branches, const int32_t *from, const int32_t *to,
                         const sl__pair *i, const sl__pair *inject, sl__pair *work, double *r);

/* v += dv, and i by the currents that dv drives. Correcting the currents, rather than working them
   out again from v, is cheaper, and it keeps what is below the last place even of a pair: 1 pA in
   1e-5 ohm is 1e-17 V. */
void sl__pair_correct(int32_t rows, int32_t branches, const int32_t *from, const int32_t *to,
                      const double *g, const double *dv, sl__pair *v, sl__pair *i);

#endif

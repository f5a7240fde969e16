/* lib/numeric/effective.h: what the network is to each of its branches, from one pass over a
   factor.

   Between the ends a and b of a branch of conductance g lies an effective resistance r, the branch
   itself being part of it; and of 1 A sent from a to b a share `rest` takes every way but the
   branch: rest = 1 - g r, 0 in a bridge. These two answer every change of the branch in closed
   form. With i0 the current of the branch before, and a resistance R put in series with it,

       node voltages change by  t w,  t = i0 g R / (1 + rest g R),  w = A^-1 (e_a - e_b)
       (an open, R without end:  t = i0 / rest)
       and the branch then carries  i0 / (1 + rest g R).

   (Rank-one update: Sherman and Morrison, Ann. Math. Statist. 21 (1950) 124.)

   Of 1 - g r nothing is left in a branch that hardly anything goes around: 1e-3 ohm to a meter of
   1e7 ohm. So `rest` is not subtracted but built up. Rows are points whose squared distances are
   their effective resistances; to a row k that was eliminated before its neighbours S, with
   conductances g_i, pivot d = sum g_i and p_i = g_i / d, the distance is

       r_kj = 1/d + X_j,   X_j = sum_{i in S} p_i r_ij - sum_{i<l in S} p_i p_l r_il >= 0,

   in which nothing much cancels, for resistances obey the triangle's inequality; and

       rest = (d - g)/d - g X_j

   where d - g, the sum of the others, is a sum again. What still cancels is told by an error.
   (Resistance distance: Klein and Randic, J. Math. Chem. 12 (1993) 81; inverse on the pattern of a
   factor: Takahashi, Fagan and Chen, 1973.) */
#ifndef SL_NUMERIC_EFFECTIVE_H
#define SL_NUMERIC_EFFECTIVE_H

#include "numeric/factor.h"

typedef struct sl__effective sl__effective;

/* Room for the passes over a factor, which must outlive it. SL_OK or SL_E_NOMEM. */
sl_status sl__effective_new(const sl__factor *f, sl__effective **out);
void sl__effective_free(sl__effective *e);

/* One pass after sl__factor_update(f, g) with g >= 0. Arrays have an entry per branch; each may be
   NULL. ohm: effective resistance between its ends. rest: as above. error: what rest may be out by,
   as a multiple of rest; 0 at a bridge, where rest is exactly 0; infinite where nothing is left of
   it. For a branch that joins a row to itself: 0, 1, 0. Within a floating island all is as
   elsewhere; a branch of g = 0 between islands has no meaning. Allocates nothing. */
void sl__effective_update(sl__effective *e, const double *g, double *ohm, double *rest,
                          double *error);

/* The same by variant 1 to sl__lane_kernels() (lanes.h), not the last of them: to compare them. */
void sl__effective_update_with(int32_t kernel, sl__effective *e, const double *g, double *ohm,
                               double *rest, double *error);

/* Effective resistance between any two rows (SL__REFERENCE allowed), by a sum of squares along the
   two ways up the elimination tree. Infinite when nothing joins them. Allocates nothing. */
double sl__effective_between(sl__effective *e, int32_t a, int32_t b);

/* ohm[k] = sl__effective_between(e, a[k], b[k]) to the last bit, SL__LANES pairs at a time: the
   nearer the two ways of the pairs that follow each other, the faster. Allocates nothing. */
void sl__effective_between_all(sl__effective *e, int32_t count, const int32_t *a, const int32_t *b,
                               double *ohm);

/* The same by another variant. */
void sl__effective_between_all_with(int32_t kernel, sl__effective *e, int32_t count,
                                    const int32_t *a, const int32_t *b, double *ohm);

#endif

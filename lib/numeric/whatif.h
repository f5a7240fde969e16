/* lib/numeric/whatif.h: what readings become while one branch changes, by the closed form of
   effective.h, for many changes at a time.

   A reading is a difference of two voltages, or anything else that follows the network in a
   straight line. `base` holds the readings of the unchanged network, `w` what 1 A through the
   branch does to them. Threads: any. */
#ifndef SL_NUMERIC_WHATIF_H
#define SL_NUMERIC_WHATIF_H

#include "numeric/factor_lanes.h"

/* A branch as it is in the unchanged network: its current, conductance and share of the rest. */
typedef struct sl__whatif {
    double amp, siemens, rest;
} sl__whatif;

/* Readings with ohm[0] .. ohm[count - 1] in series with a branch, INFINITY for an open:
   out[c * readings + r] = base[r] + t_c w[r]. An open in a bridge gives NaN where w is not 0: the
   two sides have nothing in common any more. */
void sl__whatif_series(sl__whatif branch, int32_t readings, const double *base, const double *w,
                       int32_t count, const double *ohm, double *out);

/* The same for a resistance laid between two rows with `apart` volts and `between_ohm` of effective
   resistance between them; ohm > 0. */
void sl__whatif_across(double apart, double between_ohm, int32_t readings, const double *base,
                       const double *w, int32_t count, const double *ohm, double *out);

/* The w of many readings and many branches or pairs of rows, SL__LANES readings a solve: reading r
   is the voltage of plus[r] against minus[r], pair k is from[k] to to[k]; SL__REFERENCE allowed in
   all four. w[k * readings + r] is what 1 A from from[k] to to[k] does to reading r. By reciprocity
   it is what 1 A at the reading does to the pair, so it is right to the last places of the greater
   of two voltages: where what goes around a branch is flagged by effective.h, take the column of
   the branch (column.h) instead. work: 2 * SL__LANES * (rows + 1) doubles. Allocates nothing. */
void sl__whatif_transfers(const sl__factor *f, int32_t readings, const int32_t *plus,
                          const int32_t *minus, int32_t pairs, const int32_t *from,
                          const int32_t *to, double *w, double *work);

/* The same for many branches, or pairs of rows, with the same resistances: branch k has
   w[k * readings + r], and its answers begin at out[k * count * readings]. Fastest for 8 readings
   and where `out` is a multiple of 64. The digits are those of the functions above. */
void sl__whatif_series_all(int32_t branches, const sl__whatif *branch, int32_t readings,
                           const double *base, const double *w, int32_t count, const double *ohm,
                           double *out);
void sl__whatif_across_all(int32_t pairs, const double *apart, const double *between_ohm,
                           int32_t readings, const double *base, const double *w, int32_t count,
                           const double *ohm, double *out);

#endif

/* lib/numeric/whatif.h: what readings become while one place of a network changes, by the closed
   form of effective.h, for many degrees of the change at a time.

   A reading is a difference of two voltages, or anything else that follows the network in a
   straight line. `base` holds the readings of the unchanged network, `w` what 1 A through the place
   does to them; a change is a current t through it on top of what was there, and makes of a reading
   base + t w. Threads: any.

   kernel: 1 to sl__lane_kernels(), which changes the speed alone.

   Arrays of readings have room for a multiple of SL__LANES, all of which may be read and written;
   whoever fills them has NaN for the base of what is no reading. */
#ifndef SL_NUMERIC_WHATIF_H
#define SL_NUMERIC_WHATIF_H

#include <stdbool.h>

#include "numeric/lanes.h"

/* A branch as it is in the unchanged network: its current, conductance and share of the rest; and
   t[count] of the resistances ohm[count] in series with it. */
typedef struct sl__whatif {
    double amp, siemens, rest;
} sl__whatif;
void sl__whatif_series(int32_t kernel, const sl__whatif *branch, int32_t count, const double *ohm,
                       double *t);

/* The same for resistances laid between two rows with `apart` volts and `between_ohm` of effective
   resistance between them. */
void sl__whatif_across(int32_t kernel, double apart, double between_ohm, int32_t count,
                       const double *ohm, double *t);

/* The least and the greatest of t[count], count > 0. */
void sl__whatif_range(int32_t kernel, int32_t count, const double *t, double *least,
                      double *greatest);

/* The w of 1 A out of one row into another, from what 1 A into either does to the readings: high
   parts and low parts are subtracted each for itself. */
typedef struct sl__whatif_row {
    const double *high, *low;
} sl__whatif_row;
void sl__whatif_w(int32_t kernel, int32_t readings, const sl__whatif_row *out,
                  const sl__whatif_row *into, double *w);

/* Lists in which[readings] the readings of which, somewhere between the t `least` and `greatest`,
   less than `share` of what they are made of may be left. A base of NaN is never listed. Returns
   how many there are. */
int32_t sl__whatif_cancelling(int32_t kernel, int32_t readings, const double *base, const double *w,
                              double least, double greatest, double share, int32_t *which);

/* Does no base + t[c] w come so near to 0 that the doubt in the change, as a multiple of it,
   exceeds that allowed in the value, as a multiple of it or `least`; or the whole value? */
typedef struct sl__whatif_doubt {
    double of_change, of_value, least;
} sl__whatif_doubt;
bool sl__whatif_sound(int32_t kernel, double base, double w, int32_t count, const double *t,
                      const sl__whatif_doubt *doubt);

/* Two changes at once. Of each: what current goes through the place for 1 V across it, `per_v`, and
   the volts that were there or would be without the place, `volt`: alone it has t = per_v volt. 1 A
   through either does `both_ohm` volts to the other. Of the first there are count[] degrees, the
   other one stays. t: currents of the two; size: what they are made of, made greater by as much as
   the two together magnify an error in that; not finite where too little is left to tell. */
typedef struct sl__whatif_pair {
    double volt, other_volt, other_per_v, both_ohm;
} sl__whatif_pair;
typedef struct sl__whatif_two {
    double *t[2], *size[2]; /* [count] each */
} sl__whatif_two;
void sl__whatif_pairs(int32_t kernel, const sl__whatif_pair *pair, int32_t count,
                      const double *per_v, const sl__whatif_two *out);

/* out[c * readings + r] = base[r] + t[0][c] w[0][r] + t[1][c] w[1][r], and known[c] becomes false
   where the doubt in a row is too great: doubt is that of a change, as a multiple of its size. What
   is below its own doubt is 0. */
void sl__whatif_pair_rows(int32_t kernel, int32_t readings, const double *base,
                          const double *const w[2], int32_t count, const sl__whatif_two *two,
                          const sl__whatif_doubt *doubt, double *out, bool *known);

/* out[c * readings + r] = base[r] + t[c] w[r], and nothing else is written. past_caches: for rows
   that nobody reads soon; whoever has them written so calls sl__whatif_finish before he lets
   another thread look. */
void sl__whatif_rows(int32_t kernel, int32_t readings, const double *base, const double *w,
                     int32_t count, const double *t, bool past_caches, double *out);
void sl__whatif_finish(void);

#endif

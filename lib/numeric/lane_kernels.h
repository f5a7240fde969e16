/* lib/numeric/lane_kernels.h: what is done to several samples side by side, for every width of
   vector that processors have. An array of lanes is double[count][SL__LANES]. Threads: any. */
#ifndef SL_NUMERIC_LANE_KERNELS_H
#define SL_NUMERIC_LANE_KERNELS_H

#include "numeric/lanes.h"

#include <stdbool.h>

/* A parameter that varies, and what it makes of a resistance: x = value + z (down or up), held
   between least and greatest, and the resistance is ohm + ohm_each x. */
typedef struct sl__lanes_spread {
    double value, down, up, least, greatest; /* down and up in the unit of the value */
    double ohm, ohm_each;
    int32_t z, to; /* from lane array z[z] to lane array to[to]; -1: in series with the next */
} sl__lanes_spread;

/* A network in lanes. */
typedef struct sl__lanes_net {
    const int32_t *from, *to; /* [branches] rows, or -1 */
    const bool *given;        /* [branches] */
    const double *g, *offset, *source, *amps;
} sl__lanes_net;

typedef struct sl__lanes_kernels {
    /* Values of spreads, or the conductances of what is in series. */
    void (*values)(int32_t count, const sl__lanes_spread *spread, const double *z, double *to);
    void (*ohmic)(int32_t count, const sl__lanes_spread *spread, const double *z, double *to);

    /* to *= the sum of c[k] T_k((x - middle) * scale), T_k the polynomials of Chebyshev. */
    void (*chebyshev)(int32_t count, const double *c, double middle, double scale, const double *x,
                      double *to);

    /* Uniform numbers between -1 and 1, as counter.h has them: four variables for
       each block of the counter. sample[SL__LANES] */
    void (*uniform)(uint64_t seed, const uint64_t *sample, int32_t variables, double *z);

    /* to = x (P(s) / Q(s)) / parts with s = square - x^2; `terms` coefficients each, lowest first.
     */
    void (*normal)(int32_t count, int32_t terms, const double *p, const double *q, double square,
                   double parts, const double *x, double *to);

    /* What is left over at each row, in A, to left[rows]: of currents given for a branch, or, where
       `given` is false, g (x[from] - x[to] + offset - source); in pairs on the way, as balance.h
       has it. room: as much as left. */
    void (*balance)(int32_t rows, int32_t branches, const sl__lanes_net *net, const double *x,
                    double *left, double *room);
} sl__lanes_kernels;

/* Those of variant 1 to sl__lane_kernels(), the last of them the fastest. */
const sl__lanes_kernels *sl__lanes_kernels_of(int32_t kernel);

#endif

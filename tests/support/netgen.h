/* tests/support/netgen.h: seeded networks of known character, for tests and benches. The same seed
   gives the same network on every machine. */
#ifndef SL_SUPPORT_NETGEN_H
#define SL_SUPPORT_NETGEN_H

#include <stdint.h>

enum { NETGEN_REFERENCE = -1 };

/* Branch e carries g[e] * (v[from] - v[to] + emf[e]) from `from` to `to`. */
typedef struct netgen {
    int32_t rows, branches;
    int32_t *from, *to; /* rows, or NETGEN_REFERENCE */
    double *g;          /* siemens */
    double *emf;        /* volts: zero but in batteries */
    double *inject;     /* rows: amperes drawn in from outside, negative in a constant load */
} netgen;

/* A stream of random numbers (splitmix64). */
uint64_t netgen_random(uint64_t *state);
double netgen_uniform(uint64_t *state, double low, double high);
double netgen_log_uniform(uint64_t *state, double low, double high); /* 0 < low < high */
int32_t netgen_below(uint64_t *state, int32_t end);                  /* 0..end-1 */

/* Like a vehicle, rows >= 8: a tree of power cables from a battery, a tree of grounds strapped to
   its negative post, which is the reference; loads from power to ground, 7 % more cables that close
   loops, voltmeters of 10 Mohm and leaks of 1e9..1e11 ohm to the reference. */
netgen netgen_vehicle(int32_t rows, uint64_t seed);

/* A sheet of side x side rows, bonded to the reference at one corner. */
netgen netgen_mesh(int32_t side, uint64_t seed);

/* 30 rows of a wired-up battery and 30 of a section of cables of about 1e-5 ohm, which is tied to
   the battery and to the reference only through isolation_ohm. */
netgen netgen_isolated(double isolation_ohm, uint64_t seed);

/* Anything: any number of islands, parallel branches, branches of g = 0, conductances
   1e-14..1e5. */
netgen netgen_any(int32_t rows, int32_t branches, uint64_t seed);

/* The currents that the batteries and the injections put into the rows: the b of A v = b. */
void netgen_currents_in(const netgen *net, double *b);

void netgen_free(netgen *net);

#endif

/* tests/support/plan.h: networks as lists of parts between numbered nodes: exactly known graphs,
   and seeded random ones. Node k is named "nK". */
#ifndef SL_SUPPORT_PLAN_H
#define SL_SUPPORT_PLAN_H

#include "build.h"

typedef enum plan_kind {
    PLAN_OHM,  /* resistor */
    PLAN_VOLT, /* source of voltage, `from` positive */
    PLAN_AMP   /* source of current, which feeds `from` */
} plan_kind;

typedef struct plan_part {
    plan_kind kind;
    int32_t from, to;
    double value;
} plan_part;

typedef struct plan {
    int32_t nodes, parts, room;
    plan_part *part;
} plan;

plan plan_start(int32_t nodes);
plan plan_copy(const plan *p);
void plan_free(plan *p);
void plan_add(plan *p, plan_kind kind, int32_t from, int32_t to, double value);
void plan_join(plan *p, int32_t from, int32_t to); /* by 1 ohm */

/* The circuit: nodes 0, 1, ... and parts 0, 1, ... have the same numbers there. */
build plan_build(const plan *p, int32_t reference);

/* Steps between nodes over the parts; distance has room for p->nodes. */
void plan_distances(const plan *p, int32_t from, int32_t *distance);

/* A connected network of resistors whose conductances lie in [low, high] siemens: a random tree and
   `extra` more parts between any two nodes. */
plan plan_random(int32_t nodes, int32_t extra, double low, double high, uint64_t *state);

/* Adds a link between two nodes chosen at random (PLAN_VOLT, or PLAN_OHM of 0 ohm) that closes no
   loop of links; false when it found none. */
bool plan_link(plan *p, plan_kind kind, double value, uint64_t *state);

/* Adds links of 0 ohm, sources of voltage within 24 V, and of current within `most_a`. */
void plan_sources(plan *p, int32_t links, int32_t volts, int32_t amps, double most_a,
                  uint64_t *state);

/* Two different nodes. */
void plan_two(int32_t nodes, uint64_t *state, int32_t *a, int32_t *b);

/* Graphs, every edge 1 ohm. */
plan plan_path(int32_t nodes);
plan plan_cycle(int32_t nodes);
plan plan_complete(int32_t nodes);
plan plan_bipartite(int32_t m, int32_t n); /* nodes 0..m-1 against m..m+n-1 */
plan plan_wheel(int32_t rim);              /* node 0 is the hub */
plan plan_grid(int32_t wide, int32_t high);
plan plan_hypercube(int32_t d);
plan plan_octahedron(void);
plan plan_petersen(int32_t n, int32_t skip); /* generalised: n outer nodes, then n inner ones */
plan plan_icosahedron(void);
plan plan_ladder(int32_t sections); /* in at node 0, ground is the last node */

/* Lattices that close on themselves, every edge 1 ohm; n cells each way, n >= 3. */
plan plan_torus(int32_t d, int32_t n); /* hypercubic */
plan plan_triangular(int32_t n);
plan plan_honeycomb(int32_t n); /* node 2c + s of cell c */
plan plan_kagome(int32_t n);    /* node 3c + s */
plan plan_bcc(int32_t n);       /* node 2c + s */
plan plan_fcc(int32_t n);       /* node 4c + s */

/* Index of the node of a cell (x, y, z) or (x, y) of a torus, coordinates taken round. */
int32_t plan_cell(int32_t n, int32_t x, int32_t y, int32_t z);

#endif

/* tests/support/modulegen.h: random vehicles with modules of constant power, and what can be said
   of them without the library: seen from the modules the rest is a small matrix. */
#ifndef SL_SUPPORT_MODULEGEN_H
#define SL_SUPPORT_MODULEGEN_H

#include <stdbool.h>
#include <stdint.h>

enum { MODULEGEN_NODES = 60, MODULEGEN_PORTS = 3 };

/* A source behind a resistance, a tree of feeds and a tree of grounds, resistors from one to the
   other, and modules between them. */
typedef struct modulegen {
    int32_t nodes; /* 0 is the reference, 1 the post behind the source's resistance */
    int32_t ports;
    double e, source_ohm;
    double g[MODULEGEN_NODES][MODULEGEN_NODES]; /* siemens from node to node */
    struct {
        int32_t from, to;
        double watts, fold_v; /* i = watts / v from fold_v up, a resistance below */
    } port[MODULEGEN_PORTS];
    double v0[MODULEGEN_PORTS];                 /* what the modules see: without load, V */
    double z[MODULEGEN_PORTS][MODULEGEN_PORTS]; /* and what an ampere into one changes, ohm */
} modulegen;

/* 5 to 60 nodes, two or three modules, all of which see a voltage the right way round. */
void modulegen_draw(modulegen *car, uint64_t *random);

/* Currents from no load up: each lowers every voltage, and that asks for more of each, so that they
   only rise, to the operating point of the highest voltages or past all of them. */
typedef enum modulegen_fate {
    MODULEGEN_RUNS,      /* v: where */
    MODULEGEN_COLLAPSES, /* some module below its fold_v */
    MODULEGEN_UNKNOWN
} modulegen_fate;
modulegen_fate modulegen_from_no_load(const modulegen *car, double v[MODULEGEN_PORTS]);

/* Is there an operating point with every module folded back? */
bool modulegen_folds(const modulegen *car);

/* Does a small push die out at these voltages? */
bool modulegen_stable(const modulegen *car, const double v[MODULEGEN_PORTS]);

#endif

/* tests/support/lot_bench.h: samples of a band in lots, beside each by itself and each solved
 * whole. */
#ifndef SL_SUPPORT_LOT_BENCH_H
#define SL_SUPPORT_LOT_BENCH_H

#include "analysis/band.h"

enum { LOT_SEED = 7 };

/* A case, its plans, and a lot of the first of them. */
typedef struct lot_bench {
    sl_case *cs;
    sl_band *band;
    sl__plans *plans;
    sl__lots *lots;
    sl__lot *lot;
    double *z, *other, *room;
} lot_bench;

/* count arrays of lanes, zeroed; the caller frees them. */
double *lot_lanes(int32_t count);

/* usual: what has no spread has the usual one of its kind. False: no such reading, or no plan. */
bool lot_open(const sl_circuit *c, sl_condition condition, const sl_reading *of, bool usual,
              lot_bench *b);
void lot_close(lot_bench *b);

/* What comes out of a lane does not depend on the others, nor on which lane it is. */
void lot_check_alone(lot_bench *b);

/* What comes out of a sample does not depend on those that are asked with it. */
void lot_check_gathering(lot_bench *b, int32_t samples);

/* What samples of a band did. */
typedef struct lot_tried {
    double worst; /* the greatest difference from whole solves, as a share of the reading */
    int64_t answered;
    uint64_t plans; /* that some of them took, as bits */
} lot_tried;

/* Solves the first samples both ways. */
lot_tried lot_check_whole(lot_bench *b, int32_t samples);

#endif

/* lib/numeric/effective_internal.h: what effective.c and effective_lanes.c share. */
#ifndef SL_NUMERIC_EFFECTIVE_INTERNAL_H
#define SL_NUMERIC_EFFECTIVE_INTERNAL_H

#include "base/arena.h"
#include "numeric/effective.h"
#include "numeric/factor_internal.h"
#include "numeric/lanes.h"

enum { SL__ABREAST = 16 }; /* pairs whose ways up the tree are gone together */

/* Where the things of a block begin. */
typedef struct sl__block_start {
    int64_t value, below, place, link;
    int32_t column;
    int32_t next; /* the block that its first row below is a column of; blocks at the end */
} sl__block_start;

struct sl__effective {
    sl__arena arena;
    sl_alloc al;
    const sl__factor *f;
    sl__block_start *at;   /* blocks */
    int32_t *block_of;     /* rows + 1: of a column */
    int32_t *column;       /* rows: of a row */
    int32_t most;          /* the greatest height of a block */
    double *fill;          /* values: of an entry, what elimination has added to it */
    double *ohm;           /* values: effective resistance between the two rows of an entry */
    double *others;        /* values: the sum of the other entries of its column / pivot */
    double *bow;           /* values: X */
    double *bow_most;      /* values: the terms it is made of */
    int32_t *parallel;     /* values: branches laid on it */
    double *square;        /* most x most: resistances among the rows of one block */
    double *share, *mean;  /* most: p, sum p r */
    double *y;             /* rows + 1: 0 between calls */
    int32_t *entry_column; /* branches: the column of its entry */
    double *abreast;       /* (rows + 1) x SL__ABREAST: 0 between calls; then room */
    uint64_t *marks;       /* a bit for each block: 0 between calls */
};

static inline int32_t sl__block_height(const sl__factor_block *b)
{
    return b->width + b->below;
}

#endif

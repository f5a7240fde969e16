/* lib/numeric/effective_internal.h: what effective.c and effective_lanes.c share. */
#ifndef SL_NUMERIC_EFFECTIVE_INTERNAL_H
#define SL_NUMERIC_EFFECTIVE_INTERNAL_H

#include "base/arena.h"
#include "numeric/effective.h"
#include "numeric/factor_internal.h"
#include "numeric/lanes.h"

enum { SL__ABREAST = 16 }; /* pairs whose ways up the tree are gone together */

/* Where the things of a block begin; there is one more for where all end. */
typedef struct sl__block_start {
    int64_t value, below, place, link;
    int32_t column, pairs;
    int32_t next; /* the block that its first row below is a column of; blocks at the end */
} sl__block_start;

/* Rows i < j of a block that is no twig, where `entry` is theirs and has one branch. */
typedef struct sl__pair_below {
    int32_t i, j, entry;
} sl__pair_below;

/* An entry with branches. */
typedef struct sl__effective_slot {
    int32_t row;      /* of its column: 0 is the first one below */
    int32_t parallel; /* branches laid on it */
    double ohm;       /* effective resistance */
    double others;    /* the sum of the other entries of its column / pivot */
    double bow;       /* X */
    double bow_most;  /* the terms it is made of */
} sl__effective_slot;

struct sl__effective {
    sl__arena arena;
    sl_alloc al;
    const sl__factor *f;
    sl__block_start *at;      /* blocks + 1 */
    int32_t *block_of;        /* rows + 1: of a column */
    int32_t *column;          /* rows: of a row */
    int32_t most;             /* the greatest height of a block */
    sl__pair_below *pair;     /* in the order of the blocks */
    double *fill;             /* values: what elimination has added to an entry with one branch */
    double *ohm;              /* values: effective resistance between the two rows of an entry */
    int32_t *slot_at;         /* rows + 1: where the slots of a column begin */
    sl__effective_slot *slot; /* branches at most, by column and row */
    int32_t *slot_of;         /* branches: -1 for one that joins a row to itself */
    int32_t *slot_column;     /* branches: the column of a slot */
    double *square;           /* most x most: resistances among the rows of one block */
    double *share, *mean;     /* most: p, sum p r */
    double *y;                /* rows + 1: 0 between calls */
    double *abreast;          /* (rows + 1) x SL__ABREAST: 0 between calls; then room */
    uint64_t *marks;          /* a bit for each block: 0 between calls */
};

/* Fills `fill`; then `ohm` and the slots. */
void sl__effective_fill(sl__effective *e);
void sl__effective_reach(sl__effective *e, int32_t kernel);

static inline bool sl__is_twig(const sl__factor_block *b)
{
    return b->width == 1 && b->below < SL__FEWEST_LINKED;
}

static inline int32_t sl__block_height(const sl__factor_block *b)
{
    return b->width + b->below;
}

#endif

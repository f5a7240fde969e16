/* lib/numeric/factor_internal.h: what the analysis of a factor leaves for its arithmetic.

   The reference is eliminated by nobody but is a row like any other: row `rows`, the last one, in
   which each column keeps its leak. So one rule serves off-diagonals and leaks alike.

   Columns are numbered in elimination order and grouped in blocks: runs of columns which share
   their rows below the run (the end of every elimination is one nearly full block; the twigs of a
   tree are blocks of one column). A block is stored column by column, `width` rows of the run
   first, then the rows below, the reference last:

       width {  .  .  .      entries on and above the diagonal are never read:
                g  .  .      a pivot is the sum of its column
                g  g  .
       below {  g  g  g
                s  s  s      <- reference (leaks)                                        */
#ifndef SL_NUMERIC_FACTOR_INTERNAL_H
#define SL_NUMERIC_FACTOR_INTERNAL_H

#include "numeric/factor.h"

/* Measured, all four: the speed changes little within a factor of two of any of them. */
enum {
    SL__WIDEST_BLOCK =
        48, /* columns: a block of some hundred rows still stays in the second cache */
    SL__FEWEST_PER_ZERO = 8, /* entries of a block for each zero stored to make it wider */
    SL__FEWEST_LINKED = 9,   /* rows below; a column with fewer has a place for each pair of them */
    SL__TWIG_LEVELS = 4,     /* lowest levels of the tree, eliminated level by level */
};

/* What a block adds to one block after it: its next rows below, up to `end`, are columns of that
   block, which lies at value_at and is `height` values a column. The next entries of `place` say
   where the rows below, from the first of these on, are in those columns. */
typedef struct sl__factor_link {
    int64_t value_at;
    int32_t height, end;
} sl__factor_link;

/* Values, rows below, links and places are in the order of the blocks and are read from end to end,
   so a block does not say where its own begin. A block of one column with few rows below has no
   links: its places are the values of all pairs of its rows, the first with the others, then the
   second. */
typedef struct sl__factor_block {
    int32_t width; /* columns */
    int32_t below; /* rows below the run, the reference included */
    int32_t links;
} sl__factor_block;

struct sl__factor {
    sl_alloc al;
    int32_t rows, branches, blocks;
    int32_t dead_rows;
    int64_t below_rows, links, places, values, fill;

    int32_t *row_of;         /* rows: the row that column k eliminates */
    sl__factor_block *block; /* blocks, ascending: every link points forward */
    int32_t *below_row;      /* below_rows */
    sl__factor_link *link;   /* links */
    int32_t *place;          /* places */
    int64_t *branch_at;      /* branches: its entry in value */

    double *value;         /* values: conductances left between column and row, siemens */
    double *inverse_pivot; /* rows: 0 where a floating island ends */
    double *work, *sum;    /* rows + 1 each */
    int32_t *dead_row;     /* rows, dead_rows used */
};

/* sl__factor_update by variant 1 to sl__lane_kernels() (lanes.h): the same digits. */
int32_t sl__factor_update_with(int32_t kernel, sl__factor *f, const double *g);

#endif

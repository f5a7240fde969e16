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

/* Columns of a block: one of some hundred rows then stays in the second cache. */
enum { SL__WIDEST_BLOCK = 48 };

/* What a block adds to one block after it: its next rows below, up to `end`, are columns of that
   block, which lies at value_at and is `height` values a column. Where the rows below, from the
   first of these on, are in those columns: the next entries of `place`. */
typedef struct sl__factor_link {
    int64_t value_at;
    int32_t height, end;
} sl__factor_link;

typedef struct sl__factor_block {
    int32_t first, width; /* the columns first..first+width-1 */
    int32_t below;        /* rows below the run, the reference included */
    int32_t links;
    int64_t value_at; /* width columns of width + below values */
    int64_t below_at; /* its rows below in below_row, ascending */
    int64_t link_at, place_at;
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

#endif

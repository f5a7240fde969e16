/* tests/support/tabled.h: the answers of a sweep as one table, however it was run, and tables
   beside each other. */
#ifndef SL_SUPPORT_TABLED_H
#define SL_SUPPORT_TABLED_H

#include "strapline/sweep.h"

#define TABLE_AGREE 1e-9        /* relative */
#define TABLE_AGREE_LEAST 1e-12 /* V or A */

typedef struct table {
    int64_t cases;
    int32_t readings;
    double *value;       /* [cases][readings] */
    sl_sweep_mark *mark; /* [cases] */
    sl_sweep_stats stats;
} table;

/* Of a size with a sweep, not filled in; and its end. */
table table_of(const sl_sweep *sweep);
void table_end(table *t);

/* A sweeper without edits of its own. */
sl_sweeper *table_sweeper(const sl_sweep *sweep, bool quick);

/* Filled in pieces of so many cases; backwards: the last of them first. */
table table_filled(const sl_sweep *sweep, bool quick, int64_t piece, bool backwards);

/* From rows; of a chatter the first end. */
table table_rows(const sl_sweep *sweep, bool quick);

/* Fails where two are not the same to the last bit. */
void table_same(const table *a, const table *b);

/* The worst difference, as a share of what is wanted and TABLE_AGREE_LEAST / TABLE_AGREE. Fails
   where a case has another status or outcome; says which case is the first to be too far off. */
double table_worst(const sl_sweep *sweep, const table *got, const table *wanted);

#endif

/* lib/analysis/tally.h: figures of a stream of numbers, in memory that does not grow with it. */
#ifndef SL_ANALYSIS_TALLY_H
#define SL_ANALYSIS_TALLY_H

#include <stdint.h>

/* The first numbers are kept; they set the range of the steps. */
#define SL__TALLY_FIRST 1024
#define SL__TALLY_STEPS 4096

typedef struct sl__tally {
    int64_t count;
    double mean, square; /* mean, and sum of squares of what differs from it */
    double least, greatest;
    double first[SL__TALLY_FIRST];
    double from, step; /* the steps start at `from`; step == 0: not yet set */
    int64_t below, above, in[SL__TALLY_STEPS];
} sl__tally;

/* The order of the numbers counts in the last places. */
void sl__tally_add(sl__tally *tally, double value);

/* The value that a share of the numbers, 0 to 1, lies below; exact while all are kept. */
double sl__tally_percentile(const sl__tally *tally, double share);

/* Standard deviation of one number (n - 1); 0 of fewer than two. */
double sl__tally_deviation(const sl__tally *tally);

#endif

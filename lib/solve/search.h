/* lib/solve/search.h: how far to go along a step. */
#ifndef SL_SOLVE_SEARCH_H
#define SL_SOLVE_SEARCH_H

/* A slope at a share of the step that rises all the way, or nearly. */
typedef double sl__slope(const void *of, double share);

/* A share between `low`, where the slope is at_low < 0, and `high`, where it is at_high, at which
   the slope lies between -left and left; after `most` tries the end above it. */
double sl__search(sl__slope *slope, const void *of, double low, double at_low, double high,
                  double at_high, double left, int most);

#endif

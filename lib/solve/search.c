/* lib/solve/search.c: regula falsi, kept off the ends so that both move. */
#include "solve/search.h"

double sl__search(sl__slope *slope, const void *of, double low, double at_low, double high,
                  double at_high, double left, int most)
{
    for (int n = 0; n < most && at_high > left; n++) {
        double share = at_low / (at_low - at_high);
        share = share < 0.1 ? 0.1 : share > 0.9 ? 0.9 : share;
        const double t = low + share * (high - low), at = slope(of, t);
        if (at > 0.0) {
            high = t;
            at_high = at;
        } else {
            low = t;
            at_low = at;
            if (at >= -left) {
                return t;
            }
        }
    }
    return high;
}

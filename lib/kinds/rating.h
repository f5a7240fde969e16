/* lib/kinds/rating.h: loads rated by a power or a current at a voltage. */
#ifndef SL_KINDS_RATING_H
#define SL_KINDS_RATING_H

#include "kinds/kind.h"

/* Where a kind keeps its rating. */
typedef struct sl__rating {
    int32_t power, current, voltage;
} sl__rating;

/* Works out power or current from the other and the voltage; false when neither is given, or both
   and they do not agree. */
bool sl__rating_complete(double *p, sl__rating at, sl__complaint *bad);

/* Is anything there to make a load of that rated voltage work? With what is in series with it: an
   open joint leaves all of it across the part. Of one that nobody has switched on nothing is said.
 */
static inline bool sl__rating_on(const sl__flow *flow, double rated_v)
{
    const double v = flow->v + flow->added_v;
    return v > 0.005 * rated_v || v < -0.005 * rated_v;
}

#define SL__RATING_ON "nothing is said of one with less than 0.5 % of its voltage"

/* The rows that are the same for all; the ranges are each kind's own. */
#define SL__RATING_POWER_ROW(least, greatest)                                                      \
    {                                                                                              \
        "power", SL_POWER, SL_DERIVED, SL__NAN, least, greatest, NULL,                             \
            "its rated power at `voltage`; give this or `current`",                                \
            "follows from `current` and `voltage`"                                                 \
    }
#define SL__RATING_CURRENT_ROW(least, greatest)                                                    \
    {                                                                                              \
        "current", SL_CURRENT, SL_DERIVED, SL__NAN, least, greatest, NULL,                         \
            "its rated current at `voltage`; give this or `power`",                                \
            "follows from `power` and `voltage`"                                                   \
    }
#define SL__RATING_VOLTAGE_ROW                                                                     \
    {                                                                                              \
        "voltage", SL_VOLTAGE, SL_DEFAULT, 12.0, 1.0, 60.0, NULL,                                  \
            "the voltage at which the rating holds", SL__PRACTICE                                  \
    }

#endif

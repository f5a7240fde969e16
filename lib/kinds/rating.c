/* lib/kinds/rating.c: power, current and voltage of a rating. */
#include "kinds/rating.h"

#include <math.h>

/* Ratings are printed rounded; further apart than this one of them is wrong. */
static const double AGREE = 0.03;

bool sl__rating_complete(double *p, sl__rating at, sl__complaint *bad)
{
    double *power = &p[at.power], *current = &p[at.current];
    const double volts = p[at.voltage];
    if (isnan(*power) && isnan(*current)) {
        *bad = (sl__complaint){at.power, "give `power` or `current`, its rating at `voltage`"};
        return false;
    }
    if (isnan(*current)) {
        *current = *power / volts;
    } else if (isnan(*power)) {
        *power = *current * volts;
    } else if (fabs(*current * volts - *power) > AGREE * *power) {
        *bad = (sl__complaint){at.current,
                               "`power`, `current` and `voltage` do not agree: power is voltage "
                               "times current; leave out `power` or `current`"};
        return false;
    }
    return true;
}

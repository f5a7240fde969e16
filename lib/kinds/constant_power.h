/* lib/kinds/constant_power.h: a converter: it takes the same power at every voltage it works at, so
   that its current falls as the voltage rises.

   Behind a source resistance R from E it finds v = (E + sqrt(E^2 - 4 P R)) / 2, or nothing when P
   exceeds E^2 / 4 R. Below the voltage at which it gives up it therefore folds back and draws as a
   resistance, and a kind that has this law leaves it, for another state, once that happened. */
#ifndef SL_KINDS_CONSTANT_POWER_H
#define SL_KINDS_CONSTANT_POWER_H

#include "kinds/kind.h"

/* i = watts / v from least_v up; below, the resistance that takes `watts` at least_v; against its
   polarity a conductance back_s. All > 0. */
void sl__law_constant_power(sl__law *law, double watts, double least_v, double back_s);

/* Whether a converter runs, given whether it did and the voltage at it: it stops below off_v and
   starts again from on_v up. */
static inline bool sl__converter_runs(bool running, double v, double off_v, double on_v)
{
    return v >= (running ? off_v : on_v);
}

#endif

/* lib/kinds/constant_power.c: the current of a converter. */
#include "kinds/constant_power.h"

enum { WATTS, LEAST_V, FOLDED_S, BACK_S };

/* The straight part the solver starts from, against the conductance at least_v. It is to be small:
   started from no load, the solver comes to the operating point of the highest voltage. */
static const double START = 1e-4;

static void curve(const double *k, double v, double *i, double *slope)
{
    if (v >= k[LEAST_V]) {
        *i = k[WATTS] / v;
        *slope = -*i / v;
    } else {
        *slope = v >= 0.0 ? k[FOLDED_S] : k[BACK_S];
        *i = *slope * v;
    }
}

void sl__law_constant_power(sl__law *law, double watts, double least_v, double back_s)
{
    law->form = SL__CURVE;
    law->curve = curve;
    law->k[WATTS] = watts;
    law->k[LEAST_V] = least_v;
    law->k[FOLDED_S] = watts / (least_v * least_v);
    law->k[BACK_S] = back_s;
    law->scale_s = START * law->k[FOLDED_S];
}

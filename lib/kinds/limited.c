/* lib/kinds/limited.c: a voltage held up to a limit of current. */
#include "kinds/limited.h"

#include <math.h>

enum { LIMIT_A, GIVE_V, GIVE_S, SOFT_S, LEAK_S, REVERSE_V, REVERSE_S };

static void limited_curve(const double *k, double v, double *i, double *slope)
{
    *i = k[LEAK_S] * v;
    *slope = k[LEAK_S];
    if (v < -k[GIVE_V]) {
        *i += k[SOFT_S] * (v + k[GIVE_V]) - k[LIMIT_A];
        *slope += k[SOFT_S];
    } else if (v < 0.0) {
        *i += k[GIVE_S] * v;
        *slope += k[GIVE_S];
    }
    if (v < k[REVERSE_V]) {
        *i += k[REVERSE_S] * (v - k[REVERSE_V]);
        *slope += k[REVERSE_S];
    }
}

void sl__law_limited(sl__law *law, const sl__limited *limited, double scale_s)
{
    law->form = SL__CURVE;
    law->curve = limited_curve;
    law->scale_s = scale_s;
    law->k[LIMIT_A] = limited->limit_a;
    law->k[GIVE_V] = limited->give_v;
    law->k[GIVE_S] = limited->limit_a / limited->give_v;
    law->k[SOFT_S] = limited->limit_a * limited->soft;
    law->k[LEAK_S] = limited->leak_s;
    law->k[REVERSE_V] = limited->reverse_v;
    law->k[REVERSE_S] = limited->reverse_s;
}

bool sl__at_limit(const sl__limited *limited, double i)
{
    return limited->limit_a > 0.0 && -i >= limited->limit_a;
}

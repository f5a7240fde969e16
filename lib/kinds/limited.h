/* lib/kinds/limited.h: what alternator, supply and converter have in common: a voltage held up to a
   limit of current.

   Two elements in series, joined at a node inside the part: this curve, from the outer terminal to
   the inside, and behind it a plain source of the voltage held without load. The curve gives way
   by `give_v` on the way to the limit, and beyond that no longer holds. It takes no current back.
 */
#ifndef SL_KINDS_LIMITED_H
#define SL_KINDS_LIMITED_H

#include "kinds/kind.h"

typedef struct sl__limited {
    double limit_a;   /* >= 0: the most it gives; 0: it gives nothing */
    double give_v;    /* > 0: what the voltage falls by from no current to the limit */
    double soft;      /* per volt: part of the limit it gives more for each volt below that */
    double leak_s;    /* > 0: conductance when it blocks */
    double reverse_v; /* < 0: outer terminal against inside, below which its diodes conduct */
    double reverse_s; /* conductance of those */
} sl__limited;

/* The law of the curve; scale_s is a typical conductance. */
void sl__law_limited(sl__law *law, const sl__limited *limited, double scale_s);

/* Does an element that follows the law, carrying i, give all it can? */
bool sl__at_limit(const sl__limited *limited, double i);

#endif

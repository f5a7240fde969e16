/* lib/kinds/diode.h: a semiconductor junction with its series resistance, for the kinds that have
   one. */
#ifndef SL_KINDS_DIODE_H
#define SL_KINDS_DIODE_H

#include "kinds/kind.h"

enum { SL__SILICON, SL__SCHOTTKY };

typedef struct sl__junction {
    int type;        /* SL__SILICON, SL__SCHOTTKY */
    double rated_a;  /* > 0 */
    double drop_v;   /* > 0: at the rated current and 20 C, series resistance included */
    double leak_ohm; /* > 0: beside the junction */
    double celsius;
} sl__junction;

/* The law of a junction, current from anode to cathode counted positive. */
void sl__law_diode(sl__law *law, const sl__junction *junction);

/* The series resistance alone: what is left of a junction that has melted. */
double sl__diode_ohm(const sl__junction *junction);

/* Usual drop of a type at its rated current. */
double sl__diode_drop_v(int type);

#define SL__DIODE_TYPE_DOC "silicon, or Schottky with its lower drop and greater leakage"
#define SL__DIODE_DROP_DOC                                                                         \
    "at the rated current and 20 C; 0.9 V for silicon, 0.5 V for Schottky when not given"
#define SL__DIODE_DROP_STANDING                                                                    \
    "common practice, no source: an isolator drops 0.5 to 1.0 V; the two values: from memory"
#define SL__DIODE_LAW                                                                              \
    "v = n k T / q x ln(1 + i / Is) + i R, beside a leakage; R takes 15 % of the drop at the "     \
    "rated current, n is 1.8 for silicon and 1.1 for Schottky, the rest of the drop falls by "     \
    "0.26 % per kelvin"
#define SL__DIODE_STANDING                                                                         \
    "general physics (Shockley's law with series resistance); n, the share of R, temperature and " \
    "leakage: from memory"

#endif

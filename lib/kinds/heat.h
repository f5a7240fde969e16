/* lib/kinds/heat.h: how hot a wire gets, and how soon.

   A wire is one body of metal at one temperature along its length. It gains i^2 R, R rising with
   temperature, and loses heat to calm air by convection from a horizontal cylinder and by
   radiation. Air is the only thing it loses heat to: what a lug at its end carries off is left out.
 */
#ifndef SL_KINDS_HEAT_H
#define SL_KINDS_HEAT_H

#include "kinds/kind.h"

typedef struct sl__wire {
    double ohm_m, per_k; /* at 20 C, and its change per kelvin */
    double heat_j;       /* to warm a metre by a kelvin */
    double outer_m;      /* diameter of what the air touches */
    double share;        /* of the loss to free air that it has where it lies */
} sl__wire;

/* Loss of a metre to air, in W. */
double sl__wire_loss(const sl__wire *wire, double air_c, double celsius);

/* The temperature at which it loses that many watts a metre; most_c when even there it cannot. */
double sl__wire_temperature(const sl__wire *wire, double air_c, double watts_m, double most_c);

/* The current that keeps it at a temperature for ever. */
double sl__wire_amps(const sl__wire *wire, double air_c, double celsius);

/* Seconds from the temperature of the air to another at a current; INFINITY when it stays below. */
double sl__wire_seconds(const sl__wire *wire, double air_c, double celsius, double amps);

/* Watts in a contact that gets hot while it lasts, or 0: see SL__CONTACT_HOT. Not defined: 0. */
double sl__contact_hot(const sl__flow *flow);

#define SL__CONTACT_HOT                                                                            \
    "a contact is called hot above 5 W and 0.1 V: a good one in a cranking circuit has more "      \
    "watts "                                                                                       \
    "for seconds, but keeps below the 0.1 V that makers allow; " SL__PRACTICE

#endif

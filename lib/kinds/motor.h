/* lib/kinds/motor.h: a direct-current motor turning a mechanical load, for the kinds that have one.

   The motor: v = flux(i) w + R i and torque = flux(i) |i|, with flux(i) = F |i| / (|i| + S): nearly
   proportional to the current while the iron is not saturated, F when it is. S = 0 is a magnet.
   The brushes are part of R, as in a resistance worked out from a locked-rotor test. The load: a
   torque to overcome at rest, and more of it the faster it turns. Below the current that overcomes
   it the motor is a resistance; above, its current follows from both laws together. */
#ifndef SL_KINDS_MOTOR_H
#define SL_KINDS_MOTOR_H

#include "kinds/kind.h"

typedef struct sl__motor {
    double ohm;          /* > 0: armature, field and brushes */
    double flux_nm_a;    /* > 0: newton metre per ampere, that is volt per radian a second */
    double saturation_a; /* >= 0: current that makes half of it; 0: a magnet */
} sl__motor;

typedef struct sl__drag {
    double rest_nm;  /* > 0: torque that starts it turning */
    double rise_nms; /* > 0: more for each radian a second */
} sl__drag;

/* Flux at a current of either sign, in N m/A. */
double sl__motor_flux(const sl__motor *motor, double i);

/* Torque at a current of either sign, in N m, >= 0. */
double sl__motor_torque(const sl__motor *motor, double i);

/* Speed at which the motor carries i at v, in radian a second; 0 when it carries nothing. Turning
   one way for v of either sign, as a series-wound machine does. */
double sl__motor_speed(const sl__motor *motor, double v, double i);

/* Voltage at which the motor carries i >= 0 against a load, in V: the law, written out. */
double sl__motor_voltage(const sl__motor *motor, const sl__drag *load, double i);

/* The law of the motor against a load, odd in v. scale_s is a typical conductance. */
void sl__law_motor(sl__law *law, const sl__motor *motor, const sl__drag *load, double scale_s);

#endif

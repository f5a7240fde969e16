/* lib/kinds/ntc.h: a thermistor: what it and the input that reads it have in common. */
#ifndef SL_KINDS_NTC_H
#define SL_KINDS_NTC_H

#include "kinds/kind.h"

#include <math.h>

#define SL__KELVIN 273.15
#define SL__NTC_REFERENCE_C 20.0

/* R = R20 exp(beta (1 / T - 1 / T20)), T in kelvin. */
static inline double sl__ntc_ohm(double ohm_20c, double beta_k, double celsius)
{
    return ohm_20c *
           exp(beta_k * (1.0 / (celsius + SL__KELVIN) - 1.0 / (SL__NTC_REFERENCE_C + SL__KELVIN)));
}

/* The temperature, in degrees Celsius, at which it has that resistance. */
static inline double sl__ntc_celsius(double ohm_20c, double beta_k, double ohm)
{
    return 1.0 / (1.0 / (SL__NTC_REFERENCE_C + SL__KELVIN) + log(ohm / ohm_20c) / beta_k) -
           SL__KELVIN;
}

#endif

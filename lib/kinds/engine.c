/* lib/kinds/engine.c: how much harder a cold engine is to turn. */
#include "kinds/engine.h"

/* Engine torque at a temperature against that at 20 C. The published table of the power an engine
   requires is of one speed, so it is one of torque; its 100 %, at 27 C, is taken to hold from 20 C,
   where cranking currents are given, and its last slope to go on. */
double sl__engine_cold_torque(double celsius)
{
    static const struct {
        double celsius, torque;
    } table[] = {{20.0, 1.0}, {0.0, 1.55}, {-17.8, 2.10}, {-28.9, 3.50}};
    if (celsius >= table[0].celsius) {
        return 1.0;
    }
    int32_t i = 1;
    while (i < SL__COUNT(table) - 1 && celsius < table[i].celsius) {
        i++;
    }
    double slope =
        (table[i].torque - table[i - 1].torque) / (table[i].celsius - table[i - 1].celsius);
    return table[i].torque + slope * (celsius - table[i].celsius);
}

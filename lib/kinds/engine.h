/* lib/kinds/engine.h: what a starter turns. */
#ifndef SL_KINDS_ENGINE_H
#define SL_KINDS_ENGINE_H

#include "kinds/kind.h"

/* Engine torque at a temperature against that at 20 C, at the same speed. */
double sl__engine_cold_torque(double celsius);

#endif

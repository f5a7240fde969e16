/* lib/kinds/conductor.h: a length of metal: what cable and strap have in common. */
#ifndef SL_KINDS_CONDUCTOR_H
#define SL_KINDS_CONDUCTOR_H

#include "kinds/kind.h"

enum {
    SL__CONDUCTOR_SIZE,
    SL__CONDUCTOR_LENGTH,
    SL__CONDUCTOR_MATERIAL,
    SL__CONDUCTOR_BASIS,
    SL__CONDUCTOR_PER_METRE,
    SL__CONDUCTOR_BROKEN_STRANDS,
    SL__CONDUCTOR_TEMPERATURE,
    SL__CONDUCTOR_PARAM_COUNT
};

enum { SL__CONDUCTOR_TERMINAL_COUNT = 2, SL__CONDUCTOR_MODE_COUNT = 4 };

extern const sl_terminal sl__conductor_terminals[SL__CONDUCTOR_TERMINAL_COUNT];
extern const sl_param sl__conductor_params[SL__CONDUCTOR_PARAM_COUNT];
extern const sl_element sl__conductor_elements[1];
extern const sl_mode sl__conductor_modes[SL__CONDUCTOR_MODE_COUNT];

#define SL__CONDUCTOR_LAW                                                                          \
    "v = i R, R = length x (ohm/m at 20 C) x (1 + a (T - 20 C)) / (1 - broken strands)"
#define SL__CONDUCTOR_STANDING                                                                     \
    "resistivity and a of copper: NBS Handbook 100; of the other metals: from memory; IEC 60228 "  \
    "class 5 and ISO 6722: their greatest allowed resistance"

bool sl__conductor_complete(double *p, sl__complaint *bad);
void sl__conductor_laws(const double *p, double ambient_c, int32_t state, sl__law *law);

/* Section of a solid wire of American gauge; 0, -1, -2, -3 stand for 1/0, 2/0, 3/0, 4/0. */
double sl__awg_mm2(int gauge);

/* What a resistance known at 20 C is multiplied by. */
double sl__temperature_factor(double per_k, double celsius);

#endif

/// strapline/sensitivity.h: how much a reading moves with each parameter of each part.
///
/// All of them together cost little more than one solve (and one more for each part that adjusts
/// itself). They are derivatives at the answer: of small changes, every relay and solenoid held as
/// it is. Source of the method: S. W. Director and R. A. Rohrer, "The generalized adjoint network
/// and network sensitivities", IEEE Trans. Circuit Theory 16 (1969) 318-323.
#ifndef STRAPLINE_SENSITIVITY_H
#define STRAPLINE_SENSITIVITY_H

#include "strapline/spread.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct sl_effects sl_effects;

/// Finds the effects on a reading of a solved case, in the view that is chosen. The case keeps its
/// answers; the effects do not need it any more afterwards, but its circuit.
/// @return SL_OK; SL_E_ARG (not solved, or no such node, part or element); SL_W_FLOATING,
/// SL_W_UNDETERMINED (there is no such reading: *out is untouched); SL_E_CONVERGENCE (a load whose
/// current falls with voltage leaves no slope, or parts that adjust themselves leave each other
/// free); SL_E_NOMEM. Messages are with the case. Free with sl_effects_free.
SL_API sl_status sl_effects_find(sl_case *cs, const sl_reading *of, sl_effects **out);
SL_API void sl_effects_free(sl_effects *effects);

/// The reading itself, in V or A.
SL_API double sl_effects_reading(const sl_effects *effects);

/// What the reading moves by for each unit of a parameter, all that follows from the parameter
/// moving with it. Where the parameter stands at the end of its range, towards the inside.
/// 0 where the reading does not depend on it. NaN where it is not defined: a choice, a parameter
/// that is not set or that the part works out from its currents, one that cannot be moved alone
/// (another that is given says what it must be), one of a loop without resistance, or no such part.
/// For part SL_NONE: by each kelvin of the temperature of the circuit or condition.
SL_API double sl_effects_param(const sl_effects *effects, sl_part part, int32_t param);

/// What the reading moves by for each ohm put in series with an element, V/ohm or A/ohm; NaN in a
/// loop without resistance.
SL_API double sl_effects_series(const sl_effects *effects, sl_part part, int32_t element);

#ifdef __cplusplus
}
#endif
#endif

/// strapline/spread.h: how far the parameters of a circuit may be off, and what a reading is.
///
/// A spread belongs to a parameter of a part, or to the temperature, in every condition or in one.
/// It never changes what sl_case_solve finds; sensitivity.h and band.h ask for it.
#ifndef STRAPLINE_SPREAD_H
#define STRAPLINE_SPREAD_H

#include "strapline/case.h"

#ifdef __cplusplus
extern "C" {
#endif

/// How far below and above its value a parameter may be. Both are >= 0 and finite; `down` and `up`
/// of 0 say that it is exact. Where the least or greatest value the parameter allows comes first,
/// it ends there.
typedef struct sl_spread {
    double down, up; ///< in the unit of the parameter, or as shares of the size of its value
    bool relative;   ///< shares
} sl_spread;

/// Gives a parameter a spread; a later one for the same takes its place.
/// @param condition where it holds; SL_NONE: in every condition that has none of its own
/// @param part the part; SL_NONE: the temperature (param is not looked at; a relative spread is
///        refused)
/// @return SL_OK; SL_E_ARG (no such condition, part or parameter; a choice has no spread);
///         SL_E_VALUE (not finite, below 0, or a share of 1 or more below); SL_E_NOMEM.
SL_API sl_status sl_circuit_set_spread(sl_circuit *circuit, sl_condition condition, sl_part part,
                                       int32_t param, const sl_spread *spread);

/// The spread that was given for a parameter in a condition, by the rules above.
/// @return whether there is one; *out is untouched when not.
SL_API bool sl_circuit_spread(const sl_circuit *circuit, sl_condition condition, sl_part part,
                              int32_t param, sl_spread *out);

/// The usual spread of a parameter of a kind, for one of which nothing is known, and where the
/// figure comes from (static storage; may be NULL). Any thread.
/// @return whether there is one.
SL_API bool sl_kind_spread(const sl_kind *kind, int32_t param, sl_spread *out,
                           const char **standing);

/// What is read: the voltage of red against black, or a current.
typedef struct sl_reading {
    sl_part part;       ///< SL_NONE: a voltage
    int32_t element;    ///< of that part; -1: the current into its first terminal
    sl_node red, black; ///< for a voltage
} sl_reading;

/// A reading of a solved case, in V or A. @return as sl_case_between and sl_case_element.
SL_API sl_status sl_case_reading(const sl_case *cs, const sl_reading *of, double *value);

#ifdef __cplusplus
}
#endif
#endif

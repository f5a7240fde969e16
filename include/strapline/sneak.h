/// strapline/sneak.h: paths that were never meant, in a circuit with all parts good, and in one
/// that has lost a conductor.
///
/// Every condition is tried as it is, and with each switch in turn in each of its other positions.
/// Two clues are looked for. A load, or the coil of a relay, that has voltage in such a state and
/// has none once every other load is unplugged: it is fed through another load, past its own
/// switch. And a load or coil whose current flows one way in one state and the other way in
/// another. Then every cable, strap, joint, fuse and breaker is opened in turn in each of these
/// states: a load or coil that has voltage only then, and has none once every other load is
/// unplugged, is fed through another load by what was lost: a shared ground. The clues are those of
/// sneak circuit analysis (RADC-TR-89-223): H, power dome, ground dome.
#ifndef STRAPLINE_SNEAK_H
#define STRAPLINE_SNEAK_H

#include "strapline/circuit.h"

#ifdef __cplusplus
extern "C" {
#endif

/// A state: a condition and, when not SL_NONE, a switch that is moved and a conductor that is open
/// in it.
typedef struct sl_switching {
    sl_condition condition;
    sl_part moved;
    int32_t position; ///< the choice of its position that it is moved to
    sl_part lost;     ///< a part that only conducts or guards, all of it open
} sl_switching;

typedef enum sl_sneak_type {
    SL_SNEAK_THROUGH,  ///< fed through another load
    SL_SNEAK_REVERSES, ///< carries current both ways
    SL_SNEAK_LOST      ///< fed through another load while a conductor is open, and off with it good
} sl_sneak_type;

typedef struct sl_sneak {
    sl_sneak_type type;
    sl_part part;
    int32_t element;
    int32_t states;     ///< different states in which it is so, a switch moved to where it is
                        ///< already being none; of a reversal, those of the rarer way;
                        ///< of a lost conductor, with it open
    sl_switching where; ///< fed through another: where the voltage is greatest; SL_SNEAK_REVERSES:
                        ///< where the current is greatest one way, and `other` the other way; a
                        ///< condition as it is goes before one with a switch moved
    double volts;       ///< across the element there
    double amps;        ///< through it there
    sl_part through; ///< a load that takes the voltage away when it alone is unplugged, the first
                     ///< of them; SL_NONE when it takes several; of a reversal SL_NONE
    sl_part also;    ///< a second such load, the first in series with it; SL_NONE: no other
    sl_switching other; ///< of a reversal
    double other_amps;
} sl_sneak;

/// Voltages and currents below these are nothing: what shared grounds with all parts good drop.
#define SL_SNEAK_LEAST_V 0.5
#define SL_SNEAK_LEAST_A 1e-3

/// Finds them: writes at most `room`, in the order of the parts, those of lost conductors last and
/// in the order of the conductors; and how many there are to *count.
/// States without an answer are passed over; of those that chatter, the first end is taken.
/// Cost: states x (loads that are ever fed + 1) solves, states x the conductors that carry current
/// in them, and one for each load and sneak path. `progress` is called now and then, and false
/// stops; it may be NULL.
/// @return SL_OK, SL_E_REFERENCE, SL_E_NOMEM; SL_E_STOPPED by `progress`: *count and out[] then
/// tell of what was done.
SL_API sl_status sl_circuit_find_sneaks(const sl_circuit *circuit,
                                        bool (*progress)(void *user, int64_t done, int64_t of),
                                        void *user, sl_sneak *out, int32_t room, int32_t *count);

#ifdef __cplusplus
}
#endif
#endif

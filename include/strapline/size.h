/// strapline/size.h: the smallest standard conductor that does the work of one in a circuit.
#ifndef STRAPLINE_SIZE_H
#define STRAPLINE_SIZE_H

#include "strapline/limits.h"

#ifdef __cplusplus
extern "C" {
#endif

/// Why a size will not do; bits.
#define SL_SIZE_DROP 1u  ///< it loses more than allowed
#define SL_SIZE_HEAT 2u  ///< its insulation gets too hot, here or in air of 30 C
#define SL_SIZE_FUSE 4u  ///< the fuse ahead lets more pass than the wire bears
#define SL_SIZE_SHORT 8u ///< a short at its far end does not open the fuse for certain
#define SL_SIZE_OFF 16u  ///< it has less than half the present current: a relay opens, a load stops

/// A fuse opens for certain from this part of its rating on (ISO 8820-3, within 600 s; from
/// memory).
#define SL_FUSE_OPENS 1.35

#define SL_SIZE_ROOM 40
#define SL_NO_GAUGE 100

typedef struct sl_size_row {
    double mm2;
    int32_t gauge;    ///< American gauge, 0, -1, -2, -3 for 1/0 ... 4/0; SL_NO_GAUGE: a size in mm2
    double current_a; ///< through it, with this size in the circuit; of a chatter the greater
    double drop_v;    ///< over it
    double ampacity_a; ///< with its bundle, in air of 30 C
    double celsius;    ///< its metal, when the current flows for ever
    double seconds; ///< until its insulation is at its limit, where that is within its duty; else
                    ///< NaN
    double short_a; ///< through the fuse with a short at the far end; NaN: no fuse, or no steady
                    ///< state
    uint32_t fails; ///< SL_SIZE_... bits; 0: it will do
} sl_size_row;

typedef struct sl_size {
    sl_part load; ///< whose current it carries
    int32_t element;
    sl_use load_use;
    sl_side side;     ///< feed or return
    double length_m;  ///< of the conductor
    double run_m;     ///< of all wires of its run: those on the path with the same current
    double shared_m;  ///< of all other wires on the path, which carry other currents too
    double shared_v;  ///< what those lose
    double run_v;     ///< allowed over the run; NaN when the limit is for one wire
    double allowed_v; ///< allowed over this conductor: of run_v its part by length
    double nominal_v;
    const sl_limit *limit; ///< NULL: as asked
    double limit_c;        ///< what its insulation bears
    double duty_s;         ///< how long the current flows at most
    double air_c;
    sl_part fuse; ///< the one with the least rating on the way to it; SL_NONE: none
    double fuse_a;
    int32_t fuses;  ///< whose currents come together in it: on the return side, of all loads that
                    ///< come back through it; else 1, or 0 for none
    double fuses_a; ///< what they let pass together, and loads without a fuse take; never more than
                    ///< a fuse that guards them all. NaN without fuses
    sl_size_row present;           ///< as it is in the circuit
    sl_size_row row[SL_SIZE_ROOM]; ///< sizes in mm2 rising, then gauges, thin to thick
    int32_t row_count;
    int32_t best_mm2, best_gauge; ///< rows; -1: none will do
    const char *why;              ///< after a failure: what is wrong; static
} sl_size;

typedef struct sl_size_question {
    sl_part part;            ///< a cable or strap
    double drop_v;           ///< allowed over the run in V, above 0; NaN: not said
    double drop_part;        ///< the same as a part of the nominal voltage; NaN: not said
    const sl_limit_set *set; ///< used when neither is said; else it may be NULL
} sl_size_question;

/// Tries every listed size (IEC 60228 class 5, American gauges) in the place of a conductor, each
/// by solving the circuit anew, and once more with a short at its far end.
/// @param edits faults; may be NULL when count is 0
/// @return SL_OK; SL_E_ARG, SL_E_VALUE with out->why; what sl_case_solve returns for the circuit as
/// it is; SL_E_NOMEM. Cost: some 60 solves, and a path
/// for each load that takes more than the one the conductor feeds.
SL_API sl_status sl_size_conductor(const sl_circuit *circuit, sl_condition condition,
                                   const sl_edit *edits, int32_t count, const sl_size_question *ask,
                                   sl_size *out);

/// The rule of ABYC E-11: section = 10.75 ohm circular mil/ft x current x length / drop, in mm2;
/// the length is out and back. Arguments > 0. Pure.
SL_API double sl_size_by_rule(double amps, double metres, double volts);

#ifdef __cplusplus
}
#endif
#endif

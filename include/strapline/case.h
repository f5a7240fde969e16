/// strapline/case.h: one question to a circuit, and its answer.
///
/// A case is a circuit held in one condition, with faults and instruments added; solving it gives
/// the settled state of every relay, every node voltage and every current, with a proof of how good
/// they are. A case does not change its circuit. The circuit must stay as it is while cases of it
/// are in use, and must outlive them.
#ifndef STRAPLINE_CASE_H
#define STRAPLINE_CASE_H

#include "strapline/circuit.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct sl_case sl_case;

/// A case of a circuit in a condition. @return SL_OK, SL_E_ARG, SL_E_REFERENCE, SL_E_NOMEM.
SL_API sl_status sl_case_new(const sl_circuit *circuit, sl_condition condition, sl_case **out);
SL_API void sl_case_free(sl_case *cs);

/// What the last failed call on this case found wrong. Owned by the case.
SL_API const char *sl_case_message(const sl_case *cs);

/// Adds faults. Undo with sl_case_clear, which removes all edits and keeps what is attached; the
/// answers are then those of the healthy circuit, to the last bit.
SL_API sl_status sl_case_edit(sl_case *cs, const sl_edit *edits, int32_t count);
SL_API void sl_case_clear(sl_case *cs);

/// Puts an instrument or another part across existing nodes. Its number continues after the parts
/// of the circuit. @return as sl_circuit_add; SL_E_NAME also for a node the circuit does not have.
SL_API sl_status sl_case_attach(sl_case *cs, const sl_part_def *def, sl_part *out);

/// Solves. The first solve, and one after an attachment, after more faults in series than before,
/// or after a change of which links have no resistance, may allocate; a repeated solve does not.
/// @return SL_OK; SL_E_CONTRADICTION, SL_E_CONVERGENCE, SL_E_QUALITY, SL_E_VALUE, SL_E_NOMEM with
/// a message that names the parts; the answers are then not to be read.
SL_API sl_status sl_case_solve(sl_case *cs);

/// Lets faults be answered from the healthy circuit: it is solved and factored once for each state
/// of its relays, and then a fault costs a small dense system. What that cannot answer well (a part
/// of the circuit cut off, a joint of 0 ohm, a cable that hardly anything goes around) is solved
/// whole. Answers agree with those of whole solves to 1e-9 of each voltage and current, carry the
/// same proof, and do not depend on what was solved before; they are not the same to the last bit.
/// Off at first. Takes some memory: a few columns of voltages per state and curved part.
SL_API void sl_case_set_quick(sl_case *cs, bool quick);

/// Steady states found since sl_case_set_quick: from the healthy circuit, and whole.
typedef struct sl_effort {
    int64_t quick, whole;
} sl_effort;
SL_API sl_effort sl_case_effort(const sl_case *cs);

/// How relays and solenoids ended.
typedef enum sl_outcome {
    SL_SETTLED,
    SL_TIMING,  ///< settled, but another order of operation ends in another state
    SL_CHATTERS ///< no steady state: view 0 and view 1 are its two ends
} sl_outcome;
SL_API sl_outcome sl_case_outcome(const sl_case *cs);

/// Chooses which end of a chattering circuit the queries below speak of: 0 or 1.
SL_API sl_status sl_case_view(sl_case *cs, int32_t view);

/// Period of the chatter in seconds, from the operate and release times; 0 when settled.
SL_API double sl_case_period_s(const sl_case *cs);

/// Voltage of a node against the reference, in V. @return SL_OK; SL_W_FLOATING: *volts is NaN.
SL_API sl_status sl_case_node(const sl_case *cs, sl_node node, double *volts);

/// Voltage of red against black, in V; defined inside an island even where that island floats.
/// @return SL_OK; SL_W_FLOATING: nothing joins the two, *volts is NaN.
SL_API sl_status sl_case_between(const sl_case *cs, sl_node red, sl_node black, double *volts);

/// What a part does.
typedef struct sl_part_answer {
    double current_a; ///< into the first terminal, out of the others; NaN when not defined
    double drop_v;    ///< first terminal against the second; NaN when nothing joins them
    double power_w;   ///< taken from the circuit by all its elements; below 0: given to it
    int32_t state;    ///< index into the kind's states, or -1
    bool chatters;    ///< its state changes without end
} sl_part_answer;

/// @return SL_OK; SL_W_UNDETERMINED: in a loop of zero-ohm links, current and power are NaN.
SL_API sl_status sl_case_part(const sl_case *cs, sl_part part, sl_part_answer *out);

/// Current and voltage of one element of a part, from its first to its second terminal, with what
/// faults have put in series with it. *drop_v is NaN when nothing joins the two.
SL_API sl_status sl_case_element(const sl_case *cs, sl_part part, int32_t element,
                                 double *current_a, double *drop_v);

/// The value a part uses in this case for a parameter: circuit, condition and faults applied. Of
/// one that is not set, what its law comes to (a battery's resistance at its temperature, the
/// temperature around the part), of origin SL_WORKED_OUT; NaN where the part does without it.
SL_API sl_status sl_case_part_value(const sl_case *cs, sl_part part, int32_t param, double *value);

/// Where that value comes from. What follows from values that a condition or a fault changed, or
/// from the currents (the warmth of a conductor), is SL_WORKED_OUT. @return SL_OK; SL_E_ARG: not
/// solved, no such part or parameter.
SL_API sl_status sl_case_part_origin(const sl_case *cs, sl_part part, int32_t param,
                                     sl_origin *origin);

/// sl_kind_lacks of a part by its values in this case; false when it is not solved, or has no such
/// part.
SL_API bool sl_case_part_lacks(const sl_case *cs, sl_part part, sl_lack_of of, int32_t index);

typedef struct sl_notice {
    int32_t index; ///< into the kind's notices
    double value;
} sl_notice;

/// What a person notices of a part: writes at most `room` notices, returns how many there are.
SL_API int32_t sl_case_notices(const sl_case *cs, sl_part part, sl_notice *out, int32_t room);

/// The proof a solution carries.
typedef struct sl_quality {
    double residual;      ///< greatest |sum of currents| at a node / greatest current there
    double power_balance; ///< |sum of all powers| / sum of their sizes
    sl_node worst;        ///< the node of `residual`, or SL_NONE
    int32_t iterations;   ///< of the nonlinear parts, in the last state
    int32_t flips;        ///< relays and solenoids that moved
} sl_quality;
SL_API void sl_case_quality(const sl_case *cs, sl_quality *out);

/// Above either of these a solution is an error, not a number. Currents below the floor count as
/// the floor when residuals are made relative; so does, in a path of less than 10 microhm, what
/// the voltage floor would drive through it: less than that the digits of its ends do not tell.
#define SL_QUALITY_LIMIT 1e-9
#define SL_CURRENT_FLOOR_A 1e-12
#define SL_VOLTAGE_FLOOR_V 1e-17

#ifdef __cplusplus
}
#endif
#endif

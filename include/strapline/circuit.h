/// strapline/circuit.h: a circuit: nodes, parts, conditions. What is asked of it is in case.h.
///
/// Nodes, parts and conditions are numbered from 0 in the order they are made and are never
/// removed. All text given is copied. After a failure, sl_circuit_message says what was wrong, with
/// the part, the value, what was allowed and what to do.
#ifndef STRAPLINE_CIRCUIT_H
#define STRAPLINE_CIRCUIT_H

#include "strapline/kind.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct sl_circuit sl_circuit;
typedef int32_t sl_node;
typedef int32_t sl_part;
typedef int32_t sl_condition;

#define SL_NONE (-1)

/// An empty circuit. `alloc` may be NULL; it is copied, its user data must outlive the circuit.
/// @return SL_OK or SL_E_NOMEM. Free with sl_circuit_free, after every case made from it.
SL_API sl_status sl_circuit_new(const sl_alloc *alloc, sl_circuit **out);
SL_API void sl_circuit_free(sl_circuit *circuit);

/// What the last failed call on this circuit found wrong; "" at first. Owned by the circuit.
SL_API const char *sl_circuit_message(const sl_circuit *circuit);

/// The node of that name, made when it is new. @return SL_OK, SL_E_ARG (empty name), SL_E_NOMEM.
SL_API sl_status sl_circuit_node(sl_circuit *circuit, const char *name, sl_node *out);

/// The node, part or condition of that name, or SL_NONE.
SL_API sl_node sl_circuit_find_node(const sl_circuit *circuit, const char *name);
SL_API sl_part sl_circuit_find_part(const sl_circuit *circuit, const char *name);
SL_API sl_condition sl_circuit_find_condition(const sl_circuit *circuit, const char *name);

SL_API int32_t sl_circuit_node_count(const sl_circuit *circuit);
SL_API int32_t sl_circuit_part_count(const sl_circuit *circuit);
SL_API int32_t sl_circuit_condition_count(const sl_circuit *circuit);
SL_API const char *sl_circuit_node_name(const sl_circuit *circuit, sl_node node);
SL_API const char *sl_circuit_part_name(const sl_circuit *circuit, sl_part part);
SL_API const char *sl_circuit_condition_name(const sl_circuit *circuit, sl_condition condition);
SL_API const sl_kind *sl_circuit_part_kind(const sl_circuit *circuit, sl_part part);

/// The node that a terminal of a part ends on.
SL_API sl_node sl_circuit_part_node(const sl_circuit *circuit, sl_part part, int32_t terminal);

/// Where a meter lead can go.
typedef enum sl_reach {
    SL_TEST_POINT, ///< a node that was named, or a terminal every part of its kind has outside
    SL_UNUSED,     ///< a terminal that was left out, and that the part may not have at all
    SL_INSIDE      ///< inside its part, or of something that part does not have: no lead gets there
} sl_reach;

/// Whether a lead reaches a node. A node counts as named unless it is a terminal's own,
/// "PART.TERMINAL", with nothing else on it. Of a number that is no node, SL_INSIDE.
/// Cost: the parts.
SL_API sl_reach sl_circuit_node_reach(const sl_circuit *circuit, sl_node node);

/// sl_kind_lacks of a part by its values in the circuit; false when there is no such part.
SL_API bool sl_circuit_part_lacks(const sl_circuit *circuit, sl_part part, sl_lack_of of,
                                  int32_t index);

/// Whether a mode of a part's kind opens, or puts resistance into, a path to a terminal that is not
/// used (SL_UNUSED): nothing can come of it. False when there is no such part or mode.
/// Cost: the parts.
SL_API bool sl_circuit_mode_is_unused(const sl_circuit *circuit, sl_part part, int32_t mode);

/// A part to be added.
typedef struct sl_part_def {
    const char *kind;
    const char *name;
    const char *const *nodes; ///< a node name per terminal of the kind; NULL where left out
    const double *values; ///< a value per parameter of the kind, in its unit; NaN where left out
    const double *points; ///< for a kind that takes them: V, A, V, A, ... with V rising; else NULL
    int32_t point_count;  ///< pairs in `points`
} sl_part_def;

/// Adds a part, with the nodes it needs.
/// @return SL_OK; SL_E_NAME (unknown kind, repeated part name); SL_E_ARG (missing terminal, both
/// ends of an element on one node); SL_E_VALUE (value out of range, missing, or in conflict);
/// SL_E_NOMEM. On failure the circuit is as it was.
SL_API sl_status sl_circuit_add(sl_circuit *circuit, const sl_part_def *def, sl_part *out);

/// Where a parameter's value comes from. The standing of a default and of what is worked out is in
/// the parameter's description; the last two are of a case only.
typedef enum sl_origin {
    SL_GIVEN,
    SL_BY_DEFAULT,
    SL_WORKED_OUT,
    SL_NOT_SET,
    SL_BY_CONDITION,
    SL_BY_FAULT
} sl_origin;

/// The value of a parameter as the part uses it, and where it comes from (either may be NULL).
SL_API sl_status sl_circuit_part_value(const sl_circuit *circuit, sl_part part, int32_t param,
                                       double *value, sl_origin *origin);

/// Makes a node the reference. Without it, the negative post of the first battery is.
SL_API sl_status sl_circuit_set_reference(sl_circuit *circuit, sl_node node);
SL_API sl_node sl_circuit_reference(const sl_circuit *circuit);

/// The temperature of every part that has none of its own, in degrees Celsius, -60 to 200; 20 at
/// first.
SL_API sl_status sl_circuit_set_temperature(sl_circuit *circuit, double celsius);

/// A change to a part: what conditions and faults are made of.
typedef struct sl_edit {
    sl_part part;
    sl_change change;
    int32_t index; ///< parameter (SL_SET) or element (SL_OPEN, SL_SERIES; -1: all, or the only one)
    double value;  ///< for SL_SET in the parameter's unit; for SL_SERIES in ohm, > 0
} sl_edit;

/// Adds a condition. Before the first one, condition 0 is an unnamed "rest" without edits, which
/// the first added condition replaces. @return SL_OK, SL_E_NAME (repeated), SL_E_NOMEM.
SL_API sl_status sl_circuit_add_condition(sl_circuit *circuit, const char *name, sl_condition *out);

/// Adds an edit to a condition. @return SL_OK, SL_E_ARG, SL_E_VALUE, SL_E_NOMEM.
SL_API sl_status sl_condition_edit(sl_circuit *circuit, sl_condition condition,
                                   const sl_edit *edit);

/// Sets the temperature of a condition, as sl_circuit_set_temperature.
SL_API sl_status sl_condition_set_temperature(sl_circuit *circuit, sl_condition condition,
                                              double celsius);

/// Sets the speed of the engine, in revolutions per minute, for every part the circuit has that
/// turns with it: an edit of the parameter its kind names as `engine_speed`. Later edits of single
/// parts hold against it. @return SL_OK, SL_E_ARG, SL_E_VALUE (out of range; no such part),
/// SL_E_NOMEM. On failure the condition is as it was.
SL_API sl_status sl_condition_set_engine_speed(sl_circuit *circuit, sl_condition condition,
                                               double rpm);

/// Relays and solenoids start this condition as they settled in `before` (an earlier condition).
SL_API sl_status sl_condition_after(sl_circuit *circuit, sl_condition condition,
                                    sl_condition before);

#ifdef __cplusplus
}
#endif
#endif

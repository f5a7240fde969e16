/// strapline/sweep.h: many cases as one value: faults x severities x conditions, and readings.
///
/// A sweep lists conditions, faults and readings; nothing is solved while it is made. Its cases are
/// numbered, and a sweeper answers any run of them, row by row in that order:
///
///     case = condition * (1 + faults + pairs) + place
///     place 0: the good circuit; then every fault; then, when asked for, every pair, in the order
///     of the later fault of the pair, then of the earlier one
///
/// Memory depends on the faults and readings, never on the number of cases: rows go to a function
/// as they are found. A sweep must not change while sweepers of it are in use, and its circuit must
/// not change while the sweep is.
///
/// Threads: several threads may each run a sweeper of their own on one sweep at the same time, when
/// the allocator of the circuit may be called by several threads (the one of the C library may).
/// The answer to a case depends on nothing but the case, so the digits are the same however cases
/// are shared out.
#ifndef STRAPLINE_SWEEP_H
#define STRAPLINE_SWEEP_H

#include "strapline/case.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct sl_sweep sl_sweep;

/// An empty sweep of a circuit. @return SL_OK, SL_E_REFERENCE, SL_E_NOMEM. Free with sl_sweep_free,
/// after its sweepers; the circuit must outlive it.
SL_API sl_status sl_sweep_new(const sl_circuit *circuit, sl_sweep **out);
SL_API void sl_sweep_free(sl_sweep *sweep);

/// What the last failed call on this sweep found wrong. Owned by the sweep.
SL_API const char *sl_sweep_message(const sl_sweep *sweep);
SL_API const sl_circuit *sl_sweep_circuit(const sl_sweep *sweep);

/// Adds a condition; a sweep to which none is added runs all conditions of the circuit.
/// @return SL_OK, SL_E_ARG, SL_E_NOMEM.
SL_API sl_status sl_sweep_add_condition(sl_sweep *sweep, sl_condition condition);

/// What is read in every case.
typedef enum sl_sweep_quantity {
    SL_SWEEP_VOLTAGE,         ///< node `a` against node `b`, V
    SL_SWEEP_CURRENT,         ///< into the first terminal of part `a`, A
    SL_SWEEP_DROP,            ///< of part `a`, V
    SL_SWEEP_POWER,           ///< taken by part `a`, W
    SL_SWEEP_STATE,           ///< of part `a`, counted from 0
    SL_SWEEP_ELEMENT_CURRENT, ///< of element `b` of part `a`, A
    SL_SWEEP_ELEMENT_DROP     ///< across element `b` of part `a`, V
} sl_sweep_quantity;

/// Groups of readings, for contrasts: the best of each group is looked for.
#define SL_SWEEP_GROUPS 4

typedef struct sl_sweep_reading {
    sl_sweep_quantity quantity;
    int32_t a, b;
    int32_t group; ///< 0 to SL_SWEEP_GROUPS - 1
} sl_sweep_reading;

/// Adds a reading. @return SL_OK, SL_E_ARG, SL_E_NOMEM.
SL_API sl_status sl_sweep_add_reading(sl_sweep *sweep, const sl_sweep_reading *reading);
SL_API int32_t sl_sweep_reading_count(const sl_sweep *sweep);

/// NULL when the index is out of range. Owned by the sweep, until a reading is added.
SL_API const sl_sweep_reading *sl_sweep_reading_at(const sl_sweep *sweep, int32_t index);

/// Where a fault comes from.
typedef enum sl_fault_type {
    SL_FAULT_GIVEN,  ///< edits of the caller's
    SL_FAULT_MODE,   ///< a mode of a part's kind
    SL_FAULT_LEAK,   ///< a resistance from one node to another, which belongs to no part
    SL_FAULT_SWAPPED ///< two conductors in each other's place at one end
} sl_fault_type;

typedef struct sl_fault {
    sl_fault_type type;
    const char *name; ///< SL_FAULT_GIVEN: as given; else NULL
    sl_part part;     ///< SL_FAULT_MODE, SL_FAULT_SWAPPED; else SL_NONE
    int32_t mode;     ///< SL_FAULT_MODE; else -1
    sl_part other;    ///< SL_FAULT_SWAPPED; else SL_NONE
    sl_node node, to; ///< SL_FAULT_LEAK: its ends; SL_FAULT_SWAPPED: where `part` and `other`
                      ///< should end; else SL_NONE
    double value;     ///< of a mode, in its unit; of a leak, in ohm
} sl_fault;

/// Adds a fault made of edits, under a name (copied, need not be unique).
/// @return SL_OK, SL_E_ARG, SL_E_VALUE, SL_E_NOMEM.
SL_API sl_status sl_sweep_add_edits(sl_sweep *sweep, const char *name, const sl_edit *edits,
                                    int32_t count);

/// Adds a mode of a part's kind with a value of the caller's; it is ignored where the mode has
/// none.
/// @return SL_OK, SL_E_ARG, SL_E_VALUE (outside the range of the mode), SL_E_NOMEM.
SL_API sl_status sl_sweep_add_mode(sl_sweep *sweep, sl_part part, int32_t mode, double value);

/// Adds every mode of a part's kind that the part has (sl_circuit_part_lacks) and that is not of a
/// pin without a wire (sl_circuit_mode_is_unused), each with
/// `severities` values, 1 to 1000. Values lie in the range of the mode, its ends included, at equal
/// ratios where the range spans a factor of 10 or more and at equal steps elsewhere; one value lies
/// in the middle. All are rounded to three digits, so that they can be written down. What comes in
/// sizes (a conductor's section, a fuse's rating) takes the next smaller size instead, IEC 60228 or
/// the usual fuse ratings, and no other value; a part whose size is not given, or is the smallest,
/// has no such fault.
/// @return SL_OK, SL_E_ARG, SL_E_NOMEM; after a failure the sweep is as it was.
SL_API sl_status sl_sweep_add_modes(sl_sweep *sweep, sl_part part, int32_t severities);

/// The values that sl_sweep_add_modes takes from a range: writes `count` of them.
SL_API void sl_sweep_severities(double least, double greatest, int32_t count, double *out);

/// Adds a leak from a node to another one. @return SL_OK, SL_E_ARG (no such node, or the same),
/// SL_E_VALUE (ohm outside 1e-6 to 1e12), SL_E_NOMEM.
SL_API sl_status sl_sweep_add_leak(sl_sweep *sweep, sl_node node, sl_node to, double ohm);

/// Adds the exchange of two conductors: the end of `part` that is on `node` goes to `to`, and that
/// of `other` on `to` goes to `node`. Parts of one element between two terminals only. What
/// conditions change of the two is not carried over.
/// @return SL_OK, SL_E_ARG (one of them does not end there, or would have both ends on one node),
/// SL_E_NOMEM.
SL_API sl_status sl_sweep_add_swap(sl_sweep *sweep, sl_part part, sl_node node, sl_part other,
                                   sl_node to);

/// Adds the exchange of every two wires, and of every two joints, that are on different terminals
/// of a part, as they can be mistaken at a plug, a switch or a battery. None that is there already,
/// told of another part; nor those that come from one node, which are alike. Parts that only
/// conduct have none.
/// @return SL_OK, SL_E_ARG (no such part), SL_E_NOMEM; after a failure the sweep is as it was.
SL_API sl_status sl_sweep_add_swaps(sl_sweep *sweep, sl_part part);

/// Whether pairs of faults are run too. Faults that stand next to each other in the sweep and are
/// of one part (or node) are not paired with each other: a part fails in one way at a time.
SL_API void sl_sweep_set_pairs(sl_sweep *sweep, bool pairs);

SL_API int32_t sl_sweep_fault_count(const sl_sweep *sweep);

/// @return SL_OK, SL_E_ARG. Texts are owned by the sweep.
SL_API sl_status sl_sweep_fault_at(const sl_sweep *sweep, int32_t index, sl_fault *out);

/// Number of cases, and which one a number is.
typedef struct sl_sweep_case {
    sl_condition condition;
    int32_t fault, second; ///< indices of faults; SL_NONE where there is none
} sl_sweep_case;
SL_API int64_t sl_sweep_case_count(const sl_sweep *sweep);

/// Cases of each condition: they follow each other.
SL_API int64_t sl_sweep_condition_cases(const sl_sweep *sweep);

/// @return SL_OK, SL_E_ARG.
SL_API sl_status sl_sweep_case_at(const sl_sweep *sweep, int64_t index, sl_sweep_case *out);

/// The node that feeds come from: in the first condition, all parts good, the positive post of a
/// battery that stands highest above the reference; without a battery, the node that does.
/// @return SL_OK; SL_E_REFERENCE when no node is above it; as sl_case_solve.
SL_API sl_status sl_circuit_find_feed(const sl_circuit *circuit, sl_node *out);

/// A notice of a part, in a row.
typedef struct sl_sweep_notice {
    sl_part part;
    int32_t index; ///< into the notices of its kind
    double value;
} sl_sweep_notice;

/// One answer. A case that chatters has two rows, one for each end; every other has one.
typedef struct sl_sweep_row {
    int64_t index; ///< of the case
    sl_sweep_case what;
    sl_status status;    ///< below 0: there is no answer, `message` says why, `value` is all NaN
    const char *message; ///< "" when there is an answer
    sl_outcome outcome;
    int32_t end;                   ///< 0, or 1 for the other end of a chatter
    double period_s;               ///< of the chatter, else 0
    const double *value;           ///< one per reading; NaN where not defined
    const sl_sweep_notice *notice; ///< [notice_count], in the order of the parts
    int32_t notice_count;          ///< 0 unless notices are asked for
} sl_sweep_row;

/// Takes a row, which is valid during the call only. @return false to stop.
typedef bool sl_sweep_sink(void *user, const sl_sweep_row *row);

typedef struct sl_sweeper sl_sweeper;

/// What is the same in every case of a sweeper.
typedef struct sl_sweep_setup {
    const sl_edit *edits; ///< come before those of the faults: [edit_count], copied; may be NULL
    int32_t edit_count;
    bool notices; ///< rows carry what a person notices
    bool quick;   ///< cases are answered from the healthy circuit where they can be, see
                  ///< sl_case_set_quick: within 1e-9, and much sooner when no power is read
} sl_sweep_setup;

/// Something that answers cases of a sweep; one thread at a time. `setup` may be NULL.
/// @return SL_OK, SL_E_ARG, SL_E_VALUE, SL_E_NOMEM. Free with sl_sweeper_free.
SL_API sl_status sl_sweeper_new(const sl_sweep *sweep, const sl_sweep_setup *setup,
                                sl_sweeper **out);
SL_API void sl_sweeper_free(sl_sweeper *sweeper);

/// Answers `count` cases from `first` on, or up to the last. `*done` (may be NULL) becomes the
/// number of cases whose rows have all been taken: the run goes on from first + *done.
/// Once a condition has been met, a case without a leak or a swap allocates nothing more unless its
/// solve does (see sl_case_solve).
/// @return SL_OK, also when the sink has stopped it; SL_E_ARG; SL_E_NOMEM, when it can be gone on
/// with from there.
SL_API sl_status sl_sweeper_run(sl_sweeper *sweeper, int64_t first, int64_t count,
                                sl_sweep_sink *sink, void *user, int64_t *done);

/// What a case came to, without its readings.
typedef struct sl_sweep_mark {
    sl_status status; ///< below 0: there is no answer, and its values are NaN; a row says why
    sl_outcome outcome;
} sl_sweep_mark;

/// Answers cases as sl_sweeper_run does, with the same digits and the same stops and starts, into
/// arrays of the caller's: values[count][readings], and marks[count], which may be NULL. Of a case
/// that chatters the values are those of its first end; sl_sweeper_run has the other one, and the
/// period. Notices are not had in this way. With `quick`, and where the circuit of a condition is
/// straight (see sl_sweep_stats), cases that follow each other and differ in one fault are answered
/// together, at some nanoseconds a case and without a call for each.
/// @return SL_OK; SL_E_ARG; SL_E_NOMEM, when *done (may be NULL) cases are there and it can be gone
/// on with from there.
SL_API sl_status sl_sweeper_fill(sl_sweeper *sweeper, int64_t first, int64_t count, double *values,
                                 sl_sweep_mark *marks, int64_t *done);

/// What a sweeper has done so far.
typedef struct sl_sweep_stats {
    int64_t cases;       ///< answered
    int64_t full_solves; ///< of which some steady state at least by solving the whole circuit
    int64_t
        circuits_made; ///< of which with a circuit prepared anew: the first of a condition, leaks
    int64_t without;   ///< that have no answer
    int64_t chattering;
    int64_t closed_forms; ///< of which by a formula from the good circuit: `quick`, nothing in the
                          ///< circuit is curved or adjusts itself, no part with states moves
                          ///< otherwise than in the good circuit, and one element has changed,
                          ///< or two where there are no parts with states
    int64_t by_ports; ///< of which by what is curved and what has changed alone, eight at a time:
                      ///< `quick`, and no part with states moves otherwise
} sl_sweep_stats;
SL_API void sl_sweeper_stats(const sl_sweeper *sweeper, sl_sweep_stats *out);

#ifdef __cplusplus
}
#endif
#endif

/* lib/analysis/sweep.h: how a sweep is held. */
#ifndef SL_ANALYSIS_SWEEP_H
#define SL_ANALYSIS_SWEEP_H

#include "base/message.h"
#include "strapline/sweep.h"

/* A fault of the sweep; its edits, when given, are edit[edit_at ...]. */
typedef struct sl__swept_fault {
    sl_fault about;
    char *name; /* owned; about.name */
    int32_t edit_at, edit_count;
    int32_t run;        /* the first of the faults of one part or node that this one stands among */
    int64_t pairs_past; /* pairs whose later fault is this one or an earlier one */
} sl__swept_fault;

struct sl_sweep {
    sl_alloc al;
    const sl_circuit *circuit;
    sl__message message;
    sl_condition *condition; /* [condition_room], condition_count in use; none: all */
    int32_t condition_count, condition_room;
    sl_sweep_reading *reading; /* [reading_room], reading_count in use */
    int32_t reading_count, reading_room;
    sl__swept_fault *fault; /* [fault_room], fault_count in use */
    int32_t fault_count, fault_room;
    sl_edit *edit; /* [edit_room], edit_count in use */
    int32_t edit_count, edit_room;
    bool pairs;
};

/* Readings without the rest of the answer, see solve/lean.h: are all of a sweep of that sort; and
   the values of a case that was solved so. False: some can only be told by the whole answer. */
bool sl__sweep_can_be_lean(const sl_sweep *sweep);
bool sl__sweep_read_lean(const sl_sweep *sweep, const sl_case *cs, double *values);

/* A fault of no sort, to fill in; and the end of the list of faults: the name is copied. */
extern const sl_fault sl__no_fault;
sl_status sl__sweep_append(sl_sweep *sweep, const sl_fault *about, const sl_edit *edits,
                           int32_t count);

/* Forgets every fault from number `count` on. */
void sl__sweep_truncate(sl_sweep *sweep, int32_t count);

/* The edit that a mode is, with a value. */
sl_edit sl__mode_edit(const sl_kind *kind, sl_part part, int32_t mode, double value);

/* Does a mode change what comes in sizes: a section, a rating? */
bool sl__mode_is_of_size(const sl_kind *kind, const sl_mode *mode);

/* The next smaller size that a part can have by such a mode; NaN when it has none. */
double sl__smaller_size(const sl_circuit *circuit, sl_part part, const sl_mode *mode);

#endif

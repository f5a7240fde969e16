/// strapline/contrast.h: what faults change beside the good circuit, with its loads and without.
///
/// For each case of a sweep a contrast tells which readings differ from the good circuit in the
/// same condition, what a person notices that was not there, or no longer, and what the same leads
/// show when the loads are unplugged while every switch stays as it is: the meter alone.
#ifndef STRAPLINE_CONTRAST_H
#define STRAPLINE_CONTRAST_H

#include "strapline/sweep.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct sl_contrast sl_contrast;

/// Whether a kind is there to use power and can be unplugged (a lamp, a motor, a module): one of
/// its elements is a load by its use, other than a coil or a sensor, and none is a source. Any
/// thread.
SL_API bool sl_kind_is_load(const sl_kind *kind);

/// Edits that unplug every part whose kind is a load: writes at most `room` of them, returns how
/// many there are.
SL_API int32_t sl_circuit_unplug(const sl_circuit *circuit, sl_edit *out, int32_t room);

/// The same and, after those, edits that stop the engine, so that no alternator charges: with them
/// a meter is the only thing that draws current, but for coils and what leaks.
SL_API int32_t sl_circuit_quiet(const sl_circuit *circuit, sl_edit *out, int32_t room);

/// A contrast over the cases of a sweep. `alone` are the edits that leave the meter alone (copied;
/// none: nothing is said of it). A difference counts from `change_v` volts on, > 0.
/// @return SL_OK, SL_E_ARG, SL_E_VALUE, SL_E_NOMEM. One thread at a time; free with
/// sl_contrast_free, before the sweep.
SL_API sl_status sl_contrast_new(const sl_sweep *sweep, const sl_edit *alone, int32_t alone_count,
                                 double change_v, sl_contrast **out);
SL_API void sl_contrast_free(sl_contrast *contrast);

/// A reading of voltage that differs. Leads that nothing joins have NaN, and a meter on them shows
/// 0: as 0 they are compared.
typedef struct sl_contrast_reading {
    int32_t reading;              ///< of the sweep; SL_NONE: none differs, or none in such a way
    double good, now;             ///< V, loads as the condition has them
    double alone_good, alone_now; ///< V, loads unplugged; NaN also when there is no answer
} sl_contrast_reading;

/// Readings that differ by no more than this share more than the first of them are its equals.
#define SL_CONTRAST_SAME 0.02

typedef enum sl_symptom_type {
    SL_APPEARS,
    SL_DISAPPEARS,
    SL_CHANGES,
    SL_STARTS_TO_CHATTER ///< the state of the part changes without end: in the rows of both ends
} sl_symptom_type;

/// Something a person notices that is not as in the good circuit.
typedef struct sl_symptom {
    sl_symptom_type type;
    sl_part part;
    int32_t index;    ///< into the notices of its kind; SL_NONE of a chatter
    double good, now; ///< NaN where it is not noticed
} sl_symptom;

/// A notice changes when its value moves by more than this share of what it was.
#define SL_SYMPTOM_SHARE 0.1

typedef struct sl_contrast_row {
    const sl_sweep_row *row; ///< of the faulted circuit; one end of it when it chatters
    sl_status good_status;   ///< below 0: the good circuit has no answer, and nothing is compared
    /// For each group the reading that differs most, of equals the first; one that floats to a
    /// meter alone counts for half; those across a faulty part, where they differ, go before all
    /// others, as they name it: with the loads on, and to a meter alone with the loads unplugged.
    sl_contrast_reading best[SL_SWEEP_GROUPS], alone[SL_SWEEP_GROUPS];
    /// A reading differs with the loads on, between leads that something joins, and none does to a
    /// meter alone: no reading of the sweep finds this fault in this condition unless its current
    /// flows.
    bool load_only;
    const sl_symptom *symptom; ///< [symptom_count]: what appears, disappears, changes
    int32_t symptom_count;
} sl_contrast_row;

typedef bool sl_contrast_sink(void *user, const sl_contrast_row *row);

/// Contrasts `count` cases from `first` on, as sl_sweeper_run.
SL_API sl_status sl_contrast_run(sl_contrast *contrast, int64_t first, int64_t count,
                                 sl_contrast_sink *sink, void *user, int64_t *done);

/// What both of its sweepers have done.
SL_API void sl_contrast_stats(const sl_contrast *contrast, sl_sweep_stats *out);

#ifdef __cplusplus
}
#endif
#endif

/// strapline/limits.h: how much voltage may be lost: named sets of limits, and judging by them.
///
/// Publishers disagree, so limits come in sets, each with its source, and a caller chooses one. All
/// of it is constant, lives as long as the program, and may be read by any thread.
#ifndef STRAPLINE_LIMITS_H
#define STRAPLINE_LIMITS_H

#include "strapline/path.h"

#ifdef __cplusplus
extern "C" {
#endif

/// What a limit is for.
typedef enum sl_limit_scope {
    SL_LIMIT_STEP,   ///< one step of a path
    SL_LIMIT_FEED,   ///< the feed side, from the source to the load's part
    SL_LIMIT_RETURN, ///< the return side, from the load's part to the source
    SL_LIMIT_BOTH,   ///< both sides together
    SL_LIMIT_CABLES, ///< both sides together, but for switches, relays, solenoids and fuses
    SL_LIMIT_SOURCE  ///< the least voltage across each source while the load works
} sl_limit_scope;

#define SL_USE_BIT(use) (1u << (use))

/// One limit. Of `volts`, `per_100_a` and `part` one is given, the others are NaN.
typedef struct sl_limit {
    sl_limit_scope scope;
    uint32_t uses;    ///< SL_LIMIT_STEP: bits of the uses of steps it is for
    uint32_t loads;   ///< bits of the uses of loads it is for; SL_USE_BIT(SL_GIVES): charging
    double nominal_v; ///< 6, 12 or 24; 0: any
    double volts;
    double per_100_a;       ///< V for every 100 A
    double part;            ///< of the nominal voltage
    double over_m, up_to_m; ///< of the wire's length: above, up to
    double over_c, up_to_c; ///< of temperature, of the source for SL_LIMIT_SOURCE: above, up to
    const char *text;       ///< what it is for, in words
    const char *condition;  ///< how to measure
    const char *source;     ///< who says so
    const char *standing; ///< how sure that is: "published, verified", "common practice, no source"
} sl_limit;

/// A named set. Where several of its limits fit, the first counts.
typedef struct sl_limit_set {
    const char *name;
    const char *about;
    const sl_limit *limit;
    int32_t limit_count;
} sl_limit_set;

/// Number of sets, and one of them; NULL when out of range. Set 0 is the one to take when nobody
/// chose.
SL_API int32_t sl_limit_set_count(void);
SL_API const sl_limit_set *sl_limit_set_at(int32_t index);

/// The set of that name, or NULL.
SL_API const sl_limit_set *sl_limit_set_find(const char *name);

typedef enum sl_ruling {
    SL_WITHIN,
    SL_OVER,
    SL_UNJUDGED,       ///< not above the limit, but with too little current to say that it is good;
                       ///< or above it at an end of a chatter for the current alone, as below,
                       ///< which the good circuit has for a moment only
    SL_UNLIMITED,      ///< the set has no limit for this, or there is no figure
    SL_OVER_BY_CURRENT ///< above the limit for the current alone: its resistance is as good as in
                       ///< the good circuit, where it is within the limit
} sl_ruling;

typedef struct sl_judgement {
    const sl_limit *limit; ///< NULL: none
    double value_v;        ///< what is judged; NaN when not defined
    double limit_v;        ///< the limit at this current and nominal voltage; NaN: none
    double good_a;         ///< the current there (of a side: through the load) in the good circuit;
                           ///< NaN when not known
    double celsius; ///< SL_LIMIT_SOURCE: the temperature the limit is for, of the source itself
    sl_ruling verdict;
} sl_judgement;

/// Below this part of the current a good circuit has, a small drop proves nothing.
#define SL_ENOUGH_CURRENT 0.5

/// Judges a step. `good` is a solved case of the same circuit without faults, in the same
/// condition: the step's current is held against what it has there, and its drop, where that is
/// over, against what its good resistance would lose with the present current. NULL when not known:
/// then any current counts as enough, and every drop over its limit as bad. A wire whose length is
/// not known has no limit by length. Pure. @return SL_OK; SL_E_ARG (index).
SL_API sl_status sl_path_judge_step(const sl_path *path, const sl_limit_set *set,
                                    const sl_case *good, int32_t step, sl_judgement *out);

/// Judges a side, both, or the source, as above, by the current of the load. For SL_LIMIT_SOURCE
/// value_v is the lowest voltage of the sources on the path, and limits by temperature go by its
/// own. @return SL_OK; SL_E_ARG (scope).
SL_API sl_status sl_path_judge(const sl_path *path, const sl_limit_set *set, const sl_case *good,
                               sl_limit_scope scope, sl_judgement *out);

#ifdef __cplusplus
}
#endif
#endif

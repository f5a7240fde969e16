/// strapline/band.h: between which limits a reading lies when every part is as good as its spread.
///
/// Three ways to say it, after "worst case analysis" as space engineering writes it
/// (ECSS-Q-HB-30-01A): the extreme values, the root sum square of the single effects, and samples
/// at random (Monte Carlo). The parameters that vary are taken to be independent of each other.
#ifndef STRAPLINE_BAND_H
#define STRAPLINE_BAND_H

#include "strapline/sensitivity.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct sl_band sl_band;

/// Which parameters vary: those with a spread of their own, and with `usual` also those that have
/// none but a usual one (sl_kind_spread). Exact is what a fault has set, what is not set, and what
/// has a spread of 0.
/// The case (its condition, faults and attached parts) is solved and lent to the band: it must
/// outlive it, and nothing else may be asked of it while the band is in use.
/// @return SL_OK; SL_E_ARG; what sl_case_solve and sl_effects_find return. Messages are with the
/// case. Free with sl_band_free.
SL_API sl_status sl_band_new(sl_case *cs, const sl_reading *of, bool usual, sl_band **out);
SL_API void sl_band_free(sl_band *band);

/// What the last failed call on this band found wrong. Owned by the band.
SL_API const char *sl_band_message(const sl_band *band);

/// The reading with every value as it is; the first end where it chatters.
SL_API double sl_band_nominal(const sl_band *band);

/// Whether it has no steady state with every value as it is. *other: the reading at the other end
/// then, NaN where it has none; else the same as sl_band_nominal. May be NULL.
SL_API bool sl_band_chatters(const sl_band *band, double *other);

/// A parameter that varies.
typedef struct sl_varied {
    sl_part part;           ///< SL_NONE: the temperature
    int32_t param;          ///< 0 for the temperature
    double value;           ///< as it is
    double low, high;       ///< how far it goes
    double slope;           ///< what the reading moves by for each unit, at first
    double at_low, at_high; ///< the reading with only this one at its ends; NaN: no answer there;
                            ///< the first end where it chatters
    bool turns;             ///< both ends move the reading the same way, or the slope at an extreme
                            ///< corner goes the other way: the corners may miss the extreme
    const char *standing;   ///< where a usual spread comes from; "" for a given one
} sl_varied;

SL_API int32_t sl_band_count(const sl_band *band);

/// Parameter k of those that vary: parts in their order, the temperature last. `at_low`, `at_high`
/// and `turns` are NaN and false before sl_band_worst. @return SL_OK or SL_E_ARG.
SL_API sl_status sl_band_varied(const sl_band *band, int32_t k, sl_varied *out);

/// The extreme values. What chatters counts with both its ends.
typedef struct sl_worst {
    double low, high;   ///< the reading at the two corners that the slopes point to
    double beyond_low;  ///< the lowest and highest seen anywhere: at those corners, with one
    double beyond_high; ///< parameter at its end, or at the corner that the slopes of a corner
                        ///< point to; the same as low and high where nothing turns
    int32_t turning;    ///< how many parameters turn
    int32_t moved;      ///< parts whose state at a corner is another than as it is
    int32_t unsolved;   ///< corners and ends without an answer
    int32_t looked;     ///< cases with an answer: those corners and ends, and as it is
    int32_t chatters;   ///< how many of them have no steady state
    bool low_chatters;  ///< beyond_low is of one of those
    bool high_chatters; ///< beyond_high is
} sl_worst;

/// Finds them: two solves at the corners, each with its slopes; two for each parameter alone; and
/// two at the corners that those point to, which sees relays that slopes do not.
/// @return SL_OK; SL_E_CONVERGENCE and others of sl_case_solve when a corner has no answer.
SL_API sl_status sl_band_worst(sl_band *band, sl_worst *out);

/// A part whose state at the low or the high corner is another: the k-th of `moved`.
/// @return SL_OK or SL_E_ARG.
typedef struct sl_moved {
    sl_part part;
    int32_t before, low, high; ///< states: as it is, at the low corner, at the high corner
} sl_moved;
SL_API sl_status sl_band_moved(const sl_band *band, int32_t k, sl_moved *out);

/// The root sum square of the effects that slopes and spreads give, below and above.
SL_API void sl_band_rss(const sl_band *band, double *low, double *high);

/// How samples lie between their ends.
typedef enum sl_shape {
    SL_UNIFORM, ///< all alike; half of them on either side where the sides differ
    SL_NORMAL   ///< the ends are three standard deviations away, and cut off
} sl_shape;

typedef struct sl_draw {
    int64_t samples; ///< 1 to 10^12
    uint64_t seed;   ///< the same seed gives the same samples
    sl_shape shape;
    int32_t threads;        ///< 1 to 256; the result is the same to the last bit
    double least, greatest; ///< a sample outside fails; -INFINITY and INFINITY for no limit
    /// Called now and then, by the calling thread; false stops. May be NULL.
    bool (*progress)(void *user, int64_t done, int64_t of);
    void *user;
} sl_draw;

/// What the samples show. Memory does not grow with their number: mean and deviation are summed as
/// samples come, percentiles come from 4096 equal steps over the range of the first 1024 samples
/// and as much again on either side, straight lines between; beyond them, to the extreme seen.
/// A sample without a steady state gives two readings, one of either end of its chatter: both go
/// into mean, deviation, extremes and percentiles, and it fails when either of them does.
typedef struct sl_drawn {
    int64_t samples;  ///< drawn; fewer than asked when stopped
    int64_t unsolved; ///< without an answer, or without such a reading (at either end of a
                      ///< chatter); not counted below
    int64_t chatters; ///< without a steady state
    int64_t failed;   ///< outside least ... greatest
    int64_t whole;    ///< solved one by one and whole, as sl_case_solve does, with its proof; the
                      ///< others went eight at a time, and agree with that to 1e-9
    double mean, deviation;
    double least, greatest;
    double percentile[7];         ///< 0.1, 2.5, 10, 50, 90, 97.5, 99.9 %
    double step;                  ///< how fine those are, in V or A
    double share;                 ///< failed / solved
    double share_low, share_high; ///< its 95 % interval, after E. B. Wilson, J. Am. Stat. Assoc.
                                  ///< 22 (1927) 209-212
} sl_drawn;

/// Draws. @return SL_OK; SL_E_ARG; SL_E_NOMEM; SL_E_CONVERGENCE when no sample has an answer.
SL_API sl_status sl_band_draw(sl_band *band, const sl_draw *how, sl_drawn *out);

/// In how many samples of the last draw a part ended in a state; state -1: in how many it chatters,
/// which count in none of its states. 0 for a part without states.
SL_API int64_t sl_band_ended(const sl_band *band, sl_part part, int32_t state);

/// A reading of one sample: what sl_band_draw makes of sample number `index`, from 0.
/// @return as sl_case_solve and sl_case_reading. The case then holds that sample until the next
/// call on the band; where it chatters, *value is of its first end, and sl_case_view has the other.
SL_API sl_status sl_band_sample(sl_band *band, uint64_t seed, sl_shape shape, int64_t index,
                                double *value);

/// The reading at a corner: parameter k at z[k] of its spread, -1 the low end, 0 as it is, 1 the
/// high end; of its first end where it chatters. @return as sl_case_solve and sl_case_reading.
SL_API sl_status sl_band_corner(sl_band *band, const double *z, double *value);

#ifdef __cplusplus
}
#endif
#endif

/* lib/analysis/band.h: how a band is held. */
#ifndef SL_ANALYSIS_BAND_H
#define SL_ANALYSIS_BAND_H

#include "solve/lot.h"
#include "strapline/band.h"

struct sl_band {
    sl_alloc al;
    sl_case *cs;
    sl_reading of;
    sl__message message;
    sl__arena arena;
    sl__vary vary;     /* all but the temperature; the case's while something is off */
    sl_varied *varied; /* [count] the temperature last */
    int32_t count;
    double nominal, other; /* as it is; the other end of a chatter */
    bool chatters;         /* as it is */
    int32_t *state;        /* [parts] as it is */
    int32_t *state_at; /* [parts + 1] the states of a part are state_at[p] ... in `ended`, and one
                          more: it chatters */
    int64_t *ended;
    sl_moved *moved; /* [parts], moved_count in use */
    int32_t moved_count;
    double *z;        /* [count] scratch */
    sl__plans *plans; /* how samples go; NULL: not wanted yet */
};

/* Puts parameter k of the band at z, in what a case varies by. */
void sl__band_place(const sl_band *band, sl__vary *vary, int32_t k, double z);

/* Solves a case that varies, and reads it. */
sl_status sl__band_solve(const sl_band *band, sl_case *cs, double *value);

/* The same with both ends where it chatters: end[1] is NaN where the other end has no such reading,
   and the same as end[0] where it settles. The case shows its first end after it. */
sl_status sl__band_ends(const sl_band *band, sl_case *cs, double end[2]);

/* sl_band_corner with both ends. */
sl_status sl__band_corner(sl_band *band, const double *z, double end[2]);

#endif

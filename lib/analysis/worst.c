/* lib/analysis/worst.c: the extreme values, and whether the corners can be trusted. */
#include <math.h>

#include "analysis/band.h"

/* What is less than this share of the band is rounding, no direction. */
#define NOTHING 1e-6

/* Takes in a case that has just been solved, with both ends where it chatters. */
static void note(const sl_band *band, sl_worst *out, const double end[2])
{
    const bool chatters = band->cs->outcome == SL_CHATTERS;
    const double low = fmin(end[0], end[1]), high = fmax(end[0], end[1]);
    if (low < out->beyond_low || (chatters && low == out->beyond_low)) {
        out->beyond_low = low;
        out->low_chatters = chatters;
    }
    if (high > out->beyond_high || (chatters && high == out->beyond_high)) {
        out->beyond_high = high;
        out->high_chatters = chatters;
    }
    out->looked++;
    out->chatters += chatters;
    out->unsolved += isnan(end[1]);
}

/* As it is: what there is before anything is off. */
static sl_worst start(const sl_band *band)
{
    const double low = fmin(band->nominal, band->other), high = fmax(band->nominal, band->other);
    return (sl_worst){.beyond_low = low,
                      .beyond_high = high,
                      .looked = 1,
                      .chatters = band->chatters,
                      .low_chatters = band->chatters,
                      .high_chatters = band->chatters,
                      .unsolved = isnan(band->other)};
}

/* Whether moving a parameter from one end to the other by this slope is more than nothing. */
static bool tells(const sl_varied *v, double slope, double width)
{
    return fabs(slope * (v->high - v->low)) > NOTHING * width;
}

/* Slopes at a corner that has just been solved. Those that point elsewhere make their parameters
   turn. Returns whether there are any; band->z then is the corner they point to. */
static sl_status look_round(sl_band *band, double sign, double width, bool *elsewhere)
{
    sl_effects *effects;
    *elsewhere = false;
    sl_status st = sl_effects_find(band->cs, &band->of, &effects);
    if (st != SL_OK) {
        return sl__fail(&band->message, st, "%s", sl_case_message(band->cs));
    }
    for (int32_t k = 0; k < band->count; k++) {
        sl_varied *v = &band->varied[k];
        double slope = sl_effects_param(effects, v->part, v->param);
        if (slope * sign * band->z[k] < 0.0 && tells(v, slope, width)) {
            v->turns = true;
            *elsewhere = true;
            band->z[k] = -band->z[k];
        }
    }
    sl_effects_free(effects);
    return SL_OK;
}

/* Parts that ended a corner in another state. */
static void note_moved(sl_band *band, bool high)
{
    const int32_t *state = band->cs->answer[0].state;
    for (sl_part p = 0; p < band->cs->parts; p++) {
        if (state[p] == band->state[p]) {
            continue;
        }
        int32_t k = 0;
        while (k < band->moved_count && band->moved[k].part != p) {
            k++;
        }
        if (k == band->moved_count) {
            band->moved[band->moved_count++] =
                (sl_moved){p, band->state[p], band->state[p], band->state[p]};
        }
        *(high ? &band->moved[k].high : &band->moved[k].low) = state[p];
    }
}

/* One corner: its reading at both ends, its states. */
static sl_status corner(sl_band *band, double sign, double end[2])
{
    for (int32_t k = 0; k < band->count; k++) {
        const sl_varied *v = &band->varied[k];
        band->z[k] = v->slope * sign < 0.0 || (v->slope == 0.0 && sign < 0.0) ? -1.0 : 1.0;
    }
    sl_status st = sl__band_corner(band, band->z, end);
    if (st == SL_OK) {
        note_moved(band, sign > 0.0);
        return SL_OK;
    }
    sl__message why = band->message;
    return sl__fail(&band->message, st, "at the %s corner: %s", sign > 0.0 ? "high" : "low",
                    why.text);
}

/* Is the corner what its slopes say? Where not, the one they point to is looked at as well. */
static sl_status prove(sl_band *band, double sign, double width, sl_worst *out)
{
    double end[2];
    bool elsewhere;
    sl_status st = corner(band, sign, end);
    if (st == SL_OK) {
        st = look_round(band, sign, width, &elsewhere);
    }
    if (st == SL_OK && elsewhere) {
        if (sl__band_corner(band, band->z, end) == SL_OK) {
            note(band, out, end);
        } else {
            out->unsolved++;
        }
    }
    return st;
}

/* Each parameter alone at its ends. */
static void look_at_each(sl_band *band, double width, sl_worst *out)
{
    for (int32_t k = 0; k < band->count; k++) {
        band->z[k] = 0.0;
    }
    for (int32_t k = 0; k < band->count; k++) {
        sl_varied *v = &band->varied[k];
        for (int end = -1; end <= 1; end += 2) {
            double *at = end < 0 ? &v->at_low : &v->at_high, read[2];
            band->z[k] = end;
            if (sl__band_corner(band, band->z, read) == SL_OK) {
                *at = read[0];
                note(band, out, read);
            } else {
                *at = SL__NAN;
                out->unsolved++;
            }
        }
        band->z[k] = 0.0;
        double low = v->at_low - band->nominal, high = v->at_high - band->nominal;
        bool against = low * high > 0.0 || low * v->slope > 0.0 || high * v->slope < 0.0;
        double least = low * high > 0.0 ? fmin(fabs(low), fabs(high)) : fmax(fabs(low), fabs(high));
        v->turns = v->turns || (against && least > NOTHING * width);
    }
}

/* The corner where every parameter is at that of its ends which, alone, does most: where relays
   move, slopes do not tell. */
static void look_by_ends(sl_band *band, double sign, sl_worst *out)
{
    double end[2];
    for (int32_t k = 0; k < band->count; k++) {
        const sl_varied *v = &band->varied[k];
        band->z[k] = (v->at_high - v->at_low) * sign < 0.0 ? -1.0 : 1.0;
    }
    if (sl__band_corner(band, band->z, end) == SL_OK) {
        note(band, out, end);
        note_moved(band, sign > 0.0);
    } else {
        out->unsolved++;
    }
}

sl_status sl_band_worst(sl_band *band, sl_worst *out)
{
    sl_worst found = start(band);
    double end[2];
    band->moved_count = 0;
    for (int32_t k = 0; k < band->count; k++) {
        band->varied[k].turns = false;
    }
    sl_status st = corner(band, -1.0, end);
    if (st == SL_OK) {
        found.low = fmin(end[0], end[1]);
        note(band, &found, end);
        st = corner(band, 1.0, end);
    }
    if (st != SL_OK) {
        return st;
    }
    found.high = fmax(end[0], end[1]);
    note(band, &found, end);
    double width = found.beyond_high - found.beyond_low;
    if ((st = prove(band, -1.0, width, &found)) != SL_OK ||
        (st = prove(band, 1.0, width, &found)) != SL_OK) {
        return st;
    }
    look_at_each(band, width, &found);
    look_by_ends(band, -1.0, &found);
    look_by_ends(band, 1.0, &found);
    for (int32_t k = 0; k < band->count; k++) {
        found.turning += band->varied[k].turns;
    }
    found.moved = band->moved_count;
    *out = found;
    return SL_OK;
}

sl_status sl_band_moved(const sl_band *band, int32_t k, sl_moved *out)
{
    if (k < 0 || k >= band->moved_count) {
        return SL_E_ARG;
    }
    *out = band->moved[k];
    return SL_OK;
}

/* lib/solve/straight_run.c: faults of one place in many degrees, in closed form. */
#include <math.h>
#include <string.h>

#include "solve/straight_internal.h"

/* What a fault comes to in each degree. */
typedef struct points {
    double t[SL__STRAIGHT_CHUNK], amp[SL__STRAIGHT_CHUNK], doubt[SL__STRAIGHT_CHUNK];
    double doubt_most; /* no doubt is more */
    bool all;          /* amp and doubt are there too */
} points;

/* A row of readings with a bridge taken out: one side has nothing to do with the other. */
static void write_bridge(const sl__straight *s, const sl__place *p, double *out)
{
    for (int32_t r = 0; r < s->readings; r++) {
        out[r] = fabs(s->w[r]) * p->siemens > 0.5 ? SL__NAN : s->good[r];
    }
    for (int32_t n = s->share_of[p->element]; n >= 0; n = s->share[n].next) {
        const sl__straight_share *share = &s->share[n];
        out[share->reading] = share->alone ? share->others : s->good[share->reading];
    }
}

/* The readings of the current of the faulted element itself are left as they are good: its own law
   knows them better. */
static void leave_shares(const sl__straight *s, const sl__place *p)
{
    for (int32_t n = s->share_of[p->element]; n >= 0; n = s->share[n].next) {
        s->w[s->share[n].reading] = 0.0;
    }
}

static void write_shares(const sl__straight *s, const sl__place *p, int32_t count, const points *is,
                         double *out, bool *known)
{
    const sl__straight_base *at = &s->at[s->bases - 1];
    const double own = p->siemens > 0.0 ? 1.0 - p->rest : 0.0;
    for (int32_t n = s->share_of[p->element]; n >= 0; n = s->share[n].next) {
        const sl__straight_share *share = &s->share[n];
        const int32_t r = share->reading;
        const sl__whatif_row a = sl__straight_row(at, p->a, r), b = sl__straight_row(at, p->b, r);
        const double w = (a.high[0] - b.high[0]) + (a.low[0] - b.low[0]);
        for (int32_t c = 0; c < count; c++) {
            double *value = &out[(ptrdiff_t)c * s->readings + r];
            const double amp = share->sign * is->amp[c];
            if (share->alone) {
                *value = share->others + amp;
                continue;
            }
            const double before = s->good[r] - share->sign * p->amp;
            const double size = fabs(s->good[r]) + fabs(is->t[c]) * (fabs(w) + own) + fabs(amp);
            *value = (before + is->t[c] * (w - share->sign * own)) + amp;
            known[c] =
                known[c] && (isnan(is->t[c]) || (is->doubt[c] + SL__ROUNDING) * size <=
                                                    SL__DOUBT * fabs(*value) + SL__DOUBT_LEAST);
        }
    }
}

/* Looks at a reading whose change cancels what it was: below its own rounding it is 0, and where
   the rounding matters it is not known. */
static void look_at(const sl__straight *s, int32_t r, int32_t count, const points *is, double *out,
                    bool *known)
{
    for (int32_t c = 0; c < count; c++) {
        const double change = is->t[c] * s->w[r], size = fabs(s->good[r] + change);
        const double off = (is->doubt[c] + SL__ROUNDING) * fabs(change);
        known[c] = known[c] && (isnan(is->t[c]) || off <= SL__DOUBT * size + SL__DOUBT_LEAST);
        if (size <= off && size > 0.0) {
            out[(ptrdiff_t)c * s->readings + r] = 0.0;
        }
    }
}

/* Takes points one by one. */
static void set_point(points *is, int32_t c, const sl__point *point)
{
    is->t[c] = point->t;
    is->amp[c] = point->amp;
    is->doubt[c] = point->doubt;
    is->doubt_most = point->doubt > is->doubt_most ? point->doubt : is->doubt_most;
}

/* All of what a resistance comes to that grows. */
static void complete(const sl__place *p, int32_t count, const double *degree, points *is)
{
    for (int32_t c = 0; c < count && !is->all; c++) {
        sl__point point;
        sl__straight_grown(p, degree[c], &point);
        set_point(is, c, &point);
    }
    is->all = true;
}

/* The readings that may cancel. Most do not, which is seen without the doubt of each degree. */
static void look(const sl__straight *s, const sl__place *p, int32_t count, const double *degree,
                 points *is, double least, double greatest, double *out, bool *known)
{
    const sl__whatif_doubt doubt = {is->doubt_most + SL__ROUNDING, SL__DOUBT, SL__DOUBT_LEAST};
    const int32_t found = sl__whatif_cancelling(s->kernel, s->readings, s->good, s->w, least,
                                                greatest, doubt.of_change / SL__DOUBT, s->which);
    for (int32_t n = 0; n < found; n++) {
        const int32_t r = s->which[n];
        if (!sl__whatif_sound(s->kernel, s->good[r], s->w[r], count, is->t, &doubt)) {
            complete(p, count, degree, is);
            look_at(s, r, count, is, out, known);
        }
    }
}

/* Of an open bridge, which is told by t = NaN, the rows are written apart. */
static void write_rows(const sl__straight *s, int32_t count, const points *is, bool past_caches,
                       double *out, double *least, double *greatest)
{
    double t[SL__STRAIGHT_CHUNK];
    const double *from = is->t;
    if (is->all) {
        for (int32_t c = 0; c < count; c++) {
            t[c] = isnan(is->t[c]) ? 0.0 : is->t[c];
        }
        from = t;
    }
    sl__whatif_range(s->kernel, count, from, least, greatest);
    sl__whatif_rows(s->kernel, s->readings, s->good, s->w, count, from, past_caches, out);
}

static void write_points(const sl__straight *s, const sl__place *p, int32_t count,
                         const double *degree, points *is, bool past_caches, double *out,
                         bool *known)
{
    const bool shared = p->element >= 0 && s->share_of[p->element] >= 0, full = is->all;
    double least, greatest;
    if (shared) {
        leave_shares(s, p);
    }
    write_rows(s, count, is, past_caches, out, &least, &greatest);
    look(s, p, count, degree, is, least, greatest, out, known);
    if (shared) {
        complete(p, count, degree, is);
        write_shares(s, p, count, is, out, known);
    }
    for (int32_t c = 0; c < count && full; c++) {
        if (isnan(is->t[c]) && known[c]) {
            write_bridge(s, p, out + (ptrdiff_t)c * s->readings);
        }
    }
}

/* A resistance more, in series or across, fails nowhere on the way to the last base, and where
   there are no parts with states moves none. */
static bool only_last_counts(const sl__straight *s, const sl__straight_fault *fault)
{
    return s->watched == 0 && (fault->node != SL_NONE || fault->change == SL_SERIES);
}

void sl__straight_find_w(const sl__straight *s, int32_t b, const sl__place *p, double *w)
{
    const sl__straight_base *at = &s->at[b];
    const sl__whatif_row from = sl__straight_row(at, p->a, 0), to = sl__straight_row(at, p->b, 0);
    sl__whatif_w(s->kernel, at->outputs, &from, &to, w);
}

/* The points of what grows. False: it does not. */
static bool grow(const sl__straight *s, const sl__place *p, int32_t count, const double *degree,
                 points *is)
{
    is->all = false;
    is->doubt_most = p->rest == 0.0 ? 0.0 : p->error;
    if (p->element < 0) {
        sl__whatif_across(s->kernel, p->apart, p->ohm, count, degree, is->t);
        return true;
    }
    const sl__whatif branch = {p->amp, p->siemens, p->rest};
    sl__whatif_series(s->kernel, &branch, count, degree, is->t);
    return p->siemens > 0.0;
}

/* The points of whatever it is, base after base; s->w remains that of the last. */
static void find_points(const sl__straight *s, const sl__straight_fault *fault, const sl__place *p,
                        int32_t count, const double *degree, points *is, bool *known)
{
    *is = (points){.all = true};
    for (int32_t b = only_last_counts(s, fault) ? s->bases - 1 : 0; b < s->bases; b++) {
        sl__place here = *p;
        is->doubt_most = 0.0;
        if (b < s->bases - 1 && !sl__straight_find(s, b, fault, &here)) {
            memset(known, 0, (size_t)count * sizeof *known);
            return;
        }
        sl__straight_find_w(s, b, &here, s->w);
        for (int32_t c = 0; c < count; c++) {
            sl__point point = {0.0, 0.0, 0.0};
            known[c] = known[c] && sl__straight_point(s, b, fault, degree[c], &here,
                                                      s->w + s->at[b].readings, &point);
            set_point(is, c, &point);
        }
    }
}

static void run_chunk(const sl__straight *s, const sl__straight_fault *fault, const sl__place *p,
                      int32_t count, const double *degree, bool past_caches, double *out,
                      bool *known)
{
    points is;
    if (only_last_counts(s, fault) && grow(s, p, count, degree, &is)) {
        if (isnan(is.doubt_most)) {
            memset(known, 0, (size_t)count * sizeof *known);
        }
        sl__straight_find_w(s, s->bases - 1, p, s->w);
    } else {
        find_points(s, fault, p, count, degree, &is, known);
    }
    write_points(s, p, count, degree, &is, past_caches, out, known);
}

void sl__straight_run(sl__straight *s, int32_t number, int32_t count, const double *degree,
                      bool past_caches, double *out, bool *known)
{
    const sl__place *p = sl__straight_place(s, number);
    memset(known, p != NULL, (size_t)count * sizeof *known);
    for (int32_t done = 0; done < count && p; done += SL__STRAIGHT_CHUNK) {
        const int32_t left = count - done;
        const int32_t now = left < SL__STRAIGHT_CHUNK ? left : SL__STRAIGHT_CHUNK;
        run_chunk(s, &s->fault[number], p, now, degree + done, past_caches,
                  out + (ptrdiff_t)done * s->readings, known + done);
    }
}

void sl__straight_finish(void)
{
    sl__whatif_finish();
}

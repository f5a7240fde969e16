/* lib/solve/straight_run.c: faults of one place in many degrees, in closed form. */
#include <float.h>
#include <math.h>
#include <string.h>

#include "numeric/whatif.h"
#include "solve/straight_internal.h"

/* Rounding of a change in a reading, relative, apart from that of the share of the rest. */
#define ROUNDING (12.0 * DBL_EPSILON)
/* Of an answer this much may be in doubt, relative, and in V or A. */
#define DOUBT 3e-10
#define DOUBT_LEAST 3e-13
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

static void write_shares(const sl__straight *s, const sl__place *p, int32_t count,
                         const sl__point *is, double *out, bool *known)
{
    const double own = p->siemens > 0.0 ? 1.0 - p->rest : 0.0;
    for (int32_t n = s->share_of[p->element]; n >= 0; n = s->share[n].next) {
        const sl__straight_share *share = &s->share[n];
        const int32_t r = share->reading;
        for (int32_t c = 0; c < count; c++) {
            double *value = &out[(ptrdiff_t)c * s->readings + r];
            const double amp = share->sign * is[c].amp;
            if (share->alone) {
                *value = share->others + amp;
                continue;
            }
            const double w = sl__straight_w(&s->at[s->bases - 1], p, r);
            const double before = s->good[r] - share->sign * p->amp;
            const double size = fabs(s->good[r]) + fabs(is[c].t) * (fabs(w) + own) + fabs(amp);
            *value = (before + is[c].t * (w - share->sign * own)) + amp;
            known[c] = known[c] && (isnan(is[c].t) || (is[c].doubt + ROUNDING) * size <=
                                                          DOUBT * fabs(*value) + DOUBT_LEAST);
        }
    }
}

/* Looks at a reading whose change cancels what it was: below its own rounding it is 0, and where
   the rounding matters it is not known. */
static void look_at(const sl__straight *s, int32_t r, int32_t count, const sl__point *is,
                    double *out, bool *known)
{
    for (int32_t c = 0; c < count; c++) {
        double *value = &out[(ptrdiff_t)c * s->readings + r];
        const double size = fabs(*value), changed = fabs(is[c].t * s->w[r]);
        const double off = (is[c].doubt + ROUNDING) * changed;
        known[c] = known[c] && (isnan(is[c].t) || off <= DOUBT * size + DOUBT_LEAST);
        if (size <= off && size > 0.0) {
            *value = 0.0;
        }
    }
}

/* The points of a run lie between these. */
typedef struct range {
    double least, greatest, doubt;
} range;

/* Is so much left of a reading over the whole range that what cancels does not matter? One that has
   no value has none to lose. */
static inline bool is_safe(const range *in, double good, double w)
{
    const double low = in->least * w, high = in->greatest * w;
    const double most = fabs(low) > fabs(high) ? fabs(low) : fabs(high);
    const double size = (in->doubt + ROUNDING) / DOUBT * (fabs(good) + most);
    const double one = good + low, other = good + high;
    const double least = one < other ? one : other, greatest = one < other ? other : one;
    return (least >= size) | (greatest <= -size) | (good != good);
}

static bool all_are_safe(const sl__straight *s, const range *in)
{
    bool safe = true;
    for (int32_t r = 0; r < s->readings; r++) {
        safe &= is_safe(in, s->good[r], s->w[r]);
    }
    return safe;
}

/* Every reading that may cancel. */
static void look_at_all(const sl__straight *s, int32_t count, const sl__point *is, double *out,
                        bool *known)
{
    range in = {is[0].t, is[0].t, is[0].doubt};
    for (int32_t c = 1; c < count; c++) {
        in.least = is[c].t < in.least ? is[c].t : in.least;
        in.greatest = is[c].t > in.greatest ? is[c].t : in.greatest;
        in.doubt = is[c].doubt > in.doubt ? is[c].doubt : in.doubt;
    }
    for (int32_t r = 0; r < s->readings; r++) {
        if (!is_safe(&in, s->good[r], s->w[r])) {
            look_at(s, r, count, is, out, known);
        }
    }
}

/* Rows of a resistance that grows in series with a conductance, or of a leak. False: it is neither.
 */
static bool write_grown(const sl__straight *s, const sl__straight_fault *fault, const sl__place *p,
                        int32_t count, const double *degree, double *out)
{
    const int32_t n = s->readings;
    if (fault->node != SL_NONE) {
        sl__whatif_across(p->apart, p->ohm, n, s->good, s->w, count, degree, out);
        return true;
    }
    if (fault->change == SL_SERIES && p->siemens > 0.0) {
        const sl__whatif branch = {p->amp, p->siemens, p->rest};
        sl__whatif_series(branch, n, s->good, s->w, count, degree, out);
        return true;
    }
    return false;
}

/* Rows of any points. */
static void write_rows(const sl__straight *s, int32_t count, const sl__point *is, double *out)
{
    const sl__whatif as_it_is = {1.0, 1.0, 0.0};
    double t[SL__STRAIGHT_CHUNK] = {0.0};
    for (int32_t c = 0; c < count; c++) {
        t[c] = isnan(is[c].t) ? 0.0 : is[c].t;
    }
    sl__whatif_series(as_it_is, s->readings, s->good, s->w, count, t, out);
}

/* Resistances, of which the least and the greatest tell that all rows are right as they are. */
static bool is_plain(const sl__straight *s, const sl__place *p, int32_t count, const double *degree)
{
    double least = degree[0], most = degree[0];
    for (int32_t c = 1; c < count; c++) {
        least = degree[c] < least ? degree[c] : least;
        most = degree[c] > most ? degree[c] : most;
    }
    sl__point a, b;
    if ((p->element >= 0 && s->share_of[p->element] >= 0) || !sl__straight_grown(p, least, &a) ||
        !sl__straight_grown(p, most, &b)) {
        return false;
    }
    const range in = {a.t < b.t ? a.t : b.t, a.t < b.t ? b.t : a.t, b.doubt};
    return all_are_safe(s, &in);
}

/* Writes rows with their points in the last base. */
static void write_points(sl__straight *s, const sl__straight_fault *fault, const sl__place *p,
                         int32_t count, const double *degree, const sl__point *is, double *out,
                         bool *known)
{
    if (p->element >= 0) {
        leave_shares(s, p);
    }
    if (!write_grown(s, fault, p, count, degree, out)) {
        write_rows(s, count, is, out);
    }
    look_at_all(s, count, is, out, known);
    if (p->element >= 0) {
        write_shares(s, p, count, is, out, known);
    }
    for (int32_t c = 0; c < count; c++) {
        if (isnan(is[c].t) && known[c]) {
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

/* Such a one, all of whose rows are right by their ends. False: the long way. */
static bool run_plain(sl__straight *s, const sl__straight_fault *fault, int32_t count,
                      const double *degree, double *out)
{
    sl__place p = {.element = -1};
    return only_last_counts(s, fault) && sl__straight_place(s, s->bases - 1, fault, &p) &&
           is_plain(s, &p, count, degree) && write_grown(s, fault, &p, count, degree, out);
}

static void run_chunk(sl__straight *s, const sl__straight_fault *fault, int32_t count,
                      const double *degree, double *out, bool *known)
{
    if (run_plain(s, fault, count, degree, out)) {
        return;
    }
    sl__place p = {.element = -1};
    sl__point is[SL__STRAIGHT_CHUNK] = {{0.0, 0.0, 0.0}};
    const int32_t first = only_last_counts(s, fault) ? s->bases - 1 : 0;
    for (int32_t b = first; b < s->bases; b++) {
        if (!sl__straight_place(s, b, fault, &p)) {
            memset(known, 0, (size_t)count * sizeof *known);
            return;
        }
        memset(is, 0, sizeof is);
        sl__straight_points(s, b, fault, count, degree, &p, is, known);
    }
    write_points(s, fault, &p, count, degree, is, out, known);
}

void sl__straight_run(sl__straight *s, const sl__straight_fault *fault, int32_t count,
                      const double *degree, double *out, bool *known)
{
    for (int32_t done = 0; done < count; done += SL__STRAIGHT_CHUNK) {
        const int32_t left = count - done;
        const int32_t now = left < SL__STRAIGHT_CHUNK ? left : SL__STRAIGHT_CHUNK;
        for (int32_t c = 0; c < now; c++) {
            known[done + c] = true;
        }
        run_chunk(s, fault, now, degree + done, out + (ptrdiff_t)done * s->readings, known + done);
    }
}

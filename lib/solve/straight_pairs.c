/* lib/solve/straight_pairs.c: two faults at once, one of them in many degrees, in closed form.

   A fault k alone drives t_k = q_k e_k, with e_k volts at its place and a conductance q_k that
   depends on its degree. Beside another one it sees z t_l volts more, z being what 1 A through
   either place does to the other:

       t_k = q_k (e_k + z t_l),   t_l = q_l (e_l + z t_k),

   two equations, of which 1 - q_k q_l z^2 is left to divide by: all of it where the faults have
   little to do with each other, nothing where the two cut something off that neither does alone.
   How much a change may be out by is told by that, and what is in doubt is not answered. */
#include <math.h>
#include <string.h>

#include "numeric/column.h"
#include "solve/straight_internal.h"

bool sl__straight_pairs(const sl__straight *s)
{
    return s->watched == 0;
}

/* Is it one of those whose currents these equations tell: a leak, or more resistance, or an open,
   in a conductance? */
static bool is_told(const sl__straight_fault *fault, const sl__place *p)
{
    return p && (p->element < 0 ||
                 (p->siemens > 0.0 && !isnan(p->error) &&
                  (fault->change == SL_SERIES || (fault->change == SL_OPEN && p->rest > 0.0))));
}

/* Volts at a place. */
static double volts_at(const sl__place *p)
{
    return p->element < 0 ? p->apart : p->amp / p->siemens;
}

/* The conductance of each degree. */
static void find_per_v(const sl__straight *s, const sl__straight_fault *fault, const sl__place *p,
                       int32_t count, const double *degree, double *per_v)
{
    if (p->element < 0) {
        sl__whatif_across(s->kernel, 1.0, p->ohm, count, degree, per_v);
    } else if (fault->change == SL_SERIES) {
        const sl__whatif branch = {p->siemens, p->siemens, p->rest};
        sl__whatif_series(s->kernel, &branch, count, degree, per_v);
    } else {
        for (int32_t c = 0; c < count; c++) {
            per_v[c] = p->siemens / p->rest;
        }
    }
}

static void send(double *into, int32_t row, int32_t lane, double amp)
{
    if (row >= 0) {
        into[(ptrdiff_t)row * SL__LANES + lane] += amp;
    }
}

/* Columns of a later fault and of those that follow it. */
static void find_columns(sl__straight *s, int32_t number)
{
    const sl__straight_base *at = &s->at[s->bases - 1];
    sl__later *l = &s->later;
    const int32_t left = s->faults - number;
    l->first = number;
    l->end = number + (left < SL__LANES ? left : SL__LANES);
    memset(l->into, 0, (size_t)at->base->net.rows * sizeof(sl__lanes));
    for (int32_t n = l->first; n < l->end; n++) {
        const sl__place *p = sl__straight_place(s, n);
        if (is_told(&s->fault[n], p)) {
            send(l->into, p->a, n - l->first, 1.0);
            send(l->into, p->b, n - l->first, -1.0);
        }
    }
    sl__columns_into(at->columns, l->into, l->high, l->low, SL__LANES);
}

/* What 1 A through the later fault does across a place. */
static double between(const sl__straight *s, int32_t later, const sl__place *p)
{
    const sl__later *l = &s->later;
    const ptrdiff_t lane = later - l->first;
    const ptrdiff_t a = (ptrdiff_t)p->a * SL__LANES + lane, b = (ptrdiff_t)p->b * SL__LANES + lane;
    const double high = (p->a < 0 ? 0.0 : l->high[a]) - (p->b < 0 ? 0.0 : l->high[b]);
    const double low = (p->a < 0 ? 0.0 : l->low[a]) - (p->b < 0 ? 0.0 : l->low[b]);
    return high + low;
}

/* Is a current read that only the law of the faulted element itself knows well? */
static bool is_read(const sl__straight *s, const sl__place *p)
{
    return p->element >= 0 && s->share_of[p->element] >= 0;
}

/* The later fault, ready to be met by others. NULL: it is not one of those. */
static const sl__place *take_later(sl__straight *s, int32_t later)
{
    const sl__place *p = sl__straight_place(s, later);
    sl__later *l = &s->later;
    if (!is_told(&s->fault[later], p) || is_read(s, p)) {
        return NULL;
    }
    if (later < l->first || later >= l->end) {
        find_columns(s, later);
    }
    if (l->of != later) {
        l->of = later;
        sl__straight_find_w(s, s->bases - 1, p, l->w);
    }
    return p;
}

void sl__straight_run_pair(sl__straight *s, int32_t later, double later_degree, int32_t number,
                           int32_t count, const double *degree, double *out, bool *known)
{
    const sl__place *other = take_later(s, later), *p = sl__straight_place(s, number);
    const bool told = other && is_told(&s->fault[number], p) && !is_read(s, p) &&
                      (p->element < 0 || p->element != other->element);
    memset(known, told, (size_t)count * sizeof *known);
    if (!told) {
        return;
    }
    double room[5][SL__STRAIGHT_CHUNK];
    const sl__whatif_two two = {{room[0], room[1]}, {room[2], room[3]}};
    sl__whatif_pair pair = {.volt = volts_at(p), .other_volt = volts_at(other)};
    pair.both_ohm = between(s, later, p);
    find_per_v(s, &s->fault[later], other, 1, &later_degree, &pair.other_per_v);
    /* three times: see what a quotient makes of errors above and below */
    const sl__whatif_doubt doubt = {3.0 * (p->error + other->error + SL__ROUNDING), SL__DOUBT,
                                    SL__DOUBT_LEAST};
    const double *const w[2] = {s->w, s->later.w};
    sl__straight_find_w(s, s->bases - 1, p, s->w);
    for (int32_t done = 0; done < count; done += SL__STRAIGHT_CHUNK) {
        const int32_t left = count - done;
        const int32_t now = left < SL__STRAIGHT_CHUNK ? left : SL__STRAIGHT_CHUNK;
        find_per_v(s, &s->fault[number], p, now, degree + done, room[4]);
        sl__whatif_pairs(s->kernel, &pair, now, room[4], &two);
        sl__whatif_pair_rows(s->kernel, s->readings, s->good, w, now, &two, &doubt,
                             out + (ptrdiff_t)done * s->readings, known + done);
    }
}

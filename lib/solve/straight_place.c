/* lib/solve/straight_place.c: where faults are in a base, and what the network is to them there. */
#include <math.h>

#include "numeric/effective.h"
#include "solve/straight_internal.h"

/* With more than this the share of the rest, as a multiple of it, may matter. */
#define REST_ERROR_MOST 1e-14
/* A column tells less than this of 1 A as nothing. */
#define REST_LEAST 1e-13
/* Faults that are looked for together, when the first of them is asked about: those after it will
   be asked about next, and what they need is worked out for several at once. */
enum { AHEAD = 48 };

/* Does the part lack what the edit is of? */
static bool lacks(const sl_case *cs, const sl__straight_fault *fault)
{
    return fault->change != SL_SET &&
           sl_circuit_part_lacks(cs->circuit, fault->part, SL_LACKS_ELEMENT, fault->index);
}

/* The element that an edit is of: the one it names, or the only one; a parameter's is the first. */
static bool find_edited(const sl__straight *s, const sl__straight_fault *fault, int32_t *element)
{
    const int32_t first = s->cs->branch_at[fault->part], last = s->cs->branch_at[fault->part + 1];
    const bool named = fault->change != SL_SET && fault->index >= 0;
    *element = named ? first + fault->index : first;
    return (named || last == first + 1 || (fault->change == SL_SET && last > first)) &&
           !lacks(s->cs, fault);
}

/* Is the share of the rest not known well enough by the pass over the factor? */
static bool is_rough(const sl__base *base, int32_t k)
{
    return base->net.g[k] > 0.0 && base->rest[k] != 0.0 && base->error[k] > REST_ERROR_MOST;
}

/* Does that matter to what is read, however much resistance comes in series with the element? Not
   where so much of a reading is left, or so little of it changed, that an answer is known well
   enough. */
static bool matters(const sl__straight *s, int32_t k)
{
    const sl__straight_base *at = &s->at[s->bases - 1];
    const sl__base *base = at->base;
    const sl__whatif_row from = sl__straight_row(at, base->net.from[k], 0);
    const sl__whatif_row to = sl__straight_row(at, base->net.to[k], 0);
    const double open = sl__pair_value(base->answer.i[k]) / base->rest[k];
    const double doubt = base->error[k] + SL__ROUNDING;
    sl__whatif_w(s->kernel, s->readings, &from, &to, s->w);
    const int32_t found =
        sl__whatif_cancelling(s->kernel, s->readings, s->good, s->w, fmin(open, 0.0),
                              fmax(open, 0.0), doubt / SL__DOUBT, s->which);
    bool known = isfinite(doubt);
    for (int32_t n = 0; n < found; n++) {
        known = known && doubt * fabs(open * s->w[s->which[n]]) <= SL__DOUBT_LEAST;
    }
    return !known;
}

/* With an error of more than this it may be a bridge, and opening it cuts something off. */
#define BRIDGE_ERROR 0.1

/* Must it be known better for a fault of this element? In a pair it matters in more ways than one.
 */
static bool must_refine(const sl__straight *s, int32_t b, const sl__straight_fault *fault,
                        int32_t k)
{
    const bool readings_only =
        s->watched == 0 && !s->later.into && b == s->bases - 1 && s->share_of[k] < 0 &&
        (fault->change == SL_SERIES ||
         (fault->change == SL_OPEN && s->at[b].base->error[k] < BRIDGE_ERROR));
    return is_rough(s->at[b].base, k) && (!readings_only || matters(s, k));
}

/* Knows it better, once for all. */
static void refine(const sl__straight_base *at, int32_t count, const int32_t *element)
{
    double rest[SL__LANES] = {0.0};
    sl__columns_rest(at->columns, count, element, rest);
    for (int32_t n = 0; n < count; n++) {
        const int32_t k = element[n];
        at->rest[k] = rest[n] > 0.0 ? rest[n] : at->base->rest[k];
        at->error[k] = rest[n] >= REST_LEAST ? SL__COLUMN_LEFT / rest[n] : SL__NAN;
    }
}

/* All but the resistance between the rows. */
static bool find_leak(const sl__straight_base *at, const sl__straight_fault *fault, sl__place *out)
{
    const sl__answer *answer = &at->base->answer;
    const sl__network *net = &at->base->net;
    if (answer->island[fault->node] != answer->island[fault->to]) {
        return false;
    }
    *out = (sl__place){
        .element = -1, .a = net->row[fault->node], .b = net->row[fault->to], .rest = 1.0};
    out->apart =
        sl__pair_value(sl__pair_sub(answer->node_v[fault->node], answer->node_v[fault->to]));
    return true;
}

static bool find_element(const sl__straight *s, int32_t b, const sl__straight_fault *fault,
                         int32_t k, sl__place *out)
{
    const sl__base *base = s->at[b].base;
    const sl__network *net = &base->net;
    if (net->link[k]) {
        return false;
    }
    *out = (sl__place){.element = k,
                       .a = net->from[k],
                       .b = net->to[k],
                       .amp = sl__pair_value(base->answer.i[k]),
                       .siemens = net->g[k],
                       .apart = base->answer.u[k],
                       .rest = 1.0};
    if (net->g[k] > 0.0) {
        const bool better = must_refine(s, b, fault, k);
        if (better && s->at[b].rest[k] == 0.0) {
            refine(&s->at[b], 1, &k);
        }
        out->rest = better ? s->at[b].rest[k] : base->rest[k];
        out->error = better ? s->at[b].error[k] : base->error[k];
        out->ohm = base->ohm[k];
    } else if (!isnan(out->apart) && out->a != out->b) {
        out->ohm = sl__effective_between(base->effective, out->a, out->b);
    }
    return true;
}

static bool find(const sl__straight *s, int32_t b, const sl__straight_fault *fault, sl__place *p)
{
    int32_t element = -1;
    return fault->node != SL_NONE
               ? find_leak(&s->at[b], fault, p)
               : find_edited(s, fault, &element) && find_element(s, b, fault, element, p);
}

bool sl__straight_find(const sl__straight *s, int32_t b, const sl__straight_fault *fault,
                       sl__place *p)
{
    const bool found = find(s, b, fault, p);
    if (found && p->element < 0 && p->a != p->b) {
        p->ohm = sl__effective_between(s->at[b].base->effective, p->a, p->b);
    }
    return found;
}

/* Refines what the faults of these numbers need, several at a time. */
static void refine_ahead(const sl__straight *s, int32_t first, int32_t end)
{
    const sl__straight_base *at = &s->at[s->bases - 1];
    int32_t element[SL__LANES], count = 0;
    for (int32_t n = first; n < end; n++) {
        int32_t k = -1;
        if (s->fault[n].node != SL_NONE || !find_edited(s, &s->fault[n], &k) ||
            at->base->net.link[k] || at->rest[k] > 0.0 ||
            !must_refine(s, s->bases - 1, &s->fault[n], k)) {
            continue;
        }
        bool listed = false;
        for (int32_t l = 0; l < count; l++) {
            listed = listed || element[l] == k;
        }
        if (!listed) {
            element[count++] = k;
        }
        if (count == SL__LANES) {
            refine(at, count, element);
            count = 0;
        }
    }
    if (count > 0) {
        refine(at, count, element);
    }
}

static void look_ahead(sl__straight *s, int32_t first)
{
    const int32_t end = s->faults - first < AHEAD ? s->faults : first + AHEAD, last = s->bases - 1;
    int32_t leak[AHEAD], a[AHEAD] = {0}, b[AHEAD] = {0}, leaks = 0;
    double ohm[AHEAD];
    refine_ahead(s, first, end);
    for (int32_t n = first; n < end; n++) {
        sl__kept_place *kept = &s->place[n];
        kept->is = find(s, last, &s->fault[n], &kept->at) ? SL__FOUND : SL__NOT_FOUND;
        if (kept->is == SL__FOUND && kept->at.element < 0 && kept->at.a != kept->at.b) {
            a[leaks] = kept->at.a;
            b[leaks] = kept->at.b;
            leak[leaks++] = n;
        }
    }
    sl__effective_between_all(s->at[last].base->effective, leaks, a, b, ohm);
    for (int32_t l = 0; l < leaks; l++) {
        s->place[leak[l]].at.ohm = ohm[l];
    }
}

const sl__place *sl__straight_place(sl__straight *s, int32_t number)
{
    const sl__kept_place *kept = &s->place[number];
    if (kept->is == SL__NOT_LOOKED_FOR) {
        look_ahead(s, number);
    }
    return kept->is == SL__FOUND ? &kept->at : NULL;
}

sl_status sl__straight_list(sl__straight *s, int32_t count, const sl__straight_fault *fault,
                            bool pairs)
{
    sl__arena *a = &s->arena;
    s->place = sl__arena_take(a, count, sizeof *s->place);
    s->fault = fault;
    s->faults = s->place ? count : 0;
    s->later = (sl__later){.of = -1};
    if (pairs && sl__straight_pairs(s)) {
        const sl__straight_base *at = &s->at[s->bases - 1];
        const int64_t lanes = ((int64_t)at->base->net.rows + 1) * SL__LANES;
        s->later.into = sl__straight_vectors(a, lanes);
        s->later.high = sl__straight_vectors(a, lanes);
        s->later.low = sl__straight_vectors(a, lanes);
        s->later.w = sl__straight_vectors(a, at->stride);
    }
    return a->failed ? SL_E_NOMEM : SL_OK;
}

/* lib/solve/straight_points.c: what a fault comes to in a base: the current it drives, and whether
   parts with states would stay as they are. */
#include <float.h>
#include <math.h>
#include <string.h>

#include "solve/straight_internal.h"

/* Through a bridge to what has no other way there flows nothing but rounding. */
#define BRIDGE_MOST_A 1e-20

/* The law of an element that a parameter makes, in a base. False: it cannot be, or does more. */
static bool set(const sl__straight *s, int32_t b, const sl__straight_fault *fault, double degree,
                sl__law *law)
{
    const sl__base *base = s->at[b].base;
    const sl__part *part = sl__case_part(s->cs, fault->part);
    const sl__kind *kind = part->kind;
    double value[SL__PARAMS_ROOM];
    sl__message why = {""};
    if (kind->about.param_count > SL__PARAMS_ROOM || kind->about.state_count > 0 ||
        part->table_at >= 0) {
        return false;
    }
    sl__laws_given(s->cs, base->condition, fault->part);
    s->cs->given[fault->index] = degree;
    if (sl__parts_complete(kind, "", s->cs->given, value, &why) != SL_OK ||
        (kind->trim && (!kind->trims || kind->trims(value)))) {
        return false;
    }
    memset(law, 0, (size_t)kind->about.element_count * sizeof *law);
    kind->laws(value, s->celsius[b], -1, law);
    return true;
}

static bool is_same(const sl__law *a, const sl__law *b)
{
    return a->form == b->form && a->open_v == b->open_v && a->ohm == b->ohm && a->amp == b->amp;
}

/* What a parameter makes of the first element of its part. False: it changes another one too. */
static bool find_set(const sl__straight *s, int32_t b, const sl__straight_fault *fault,
                     double degree, sl__change *out)
{
    const sl__base *base = s->at[b].base;
    const int32_t first = s->cs->branch_at[fault->part], last = s->cs->branch_at[fault->part + 1];
    sl__law law[SL__ELEMENTS_MOST];
    if (!set(s, b, fault, degree, law)) {
        return false;
    }
    for (int32_t k = first + 1; k < last; k++) {
        if (!base->open[k] && !is_same(&law[k - first], &base->law[k])) {
            return false;
        }
    }
    if (base->open[first] || is_same(law, &base->law[first])) {
        *out = (sl__change){.form = SL__NOTHING};
        return true;
    }
    switch (law->form) {
    case SL__ABSENT:
        *out = (sl__change){.form = SL__OPENED};
        return true;
    case SL__FIXED:
        *out = (sl__change){.form = SL__FED, .amp = law->amp};
        return true;
    case SL__OHMIC:
        *out = (sl__change){.form = SL__STRAIGHT, .ohm = law->ohm, .open_v = law->open_v};
        return law->ohm > 0.0;
    default:
        return false;
    }
}

/* More resistance in the element, `ratio` of what it has. */
static bool solve_series(const sl__place *p, double ratio, sl__point *out)
{
    const double rest = p->rest * ratio;
    *out = (sl__point){p->amp * ratio / (1.0 + rest), p->amp / (1.0 + rest), 0.0};
    out->doubt = p->rest == 0.0 ? 0.0 : p->error * rest / (1.0 + rest);
    return !isnan(out->doubt);
}

/* Another resistance in its place, `ratio` of the one it has. Not 1 more the change of it: of an
   element that hardly anything goes through nothing would be left. */
static bool solve_ratio(const sl__place *p, double ratio, sl__point *out)
{
    const double rest = p->rest * ratio, all = p->siemens * p->ohm + rest;
    *out = (sl__point){p->amp * (ratio - 1.0) / all, p->amp / all, 0.0};
    out->doubt = p->rest == 0.0 ? 0.0 : p->error * rest / all;
    return !isnan(out->doubt);
}

/* A straight law in place of the one there is. */
static bool solve_law(const sl__straight_base *at, const sl__place *p, const sl__change *c,
                      sl__point *out)
{
    if (p->siemens > 0.0 && c->open_v == at->base->law[p->element].open_v) {
        return solve_ratio(p, p->siemens * c->ohm, out);
    }
    if (isnan(p->apart) || (p->siemens == 0.0 && p->amp != 0.0)) {
        return false;
    }
    const double draws = (p->apart - c->open_v) / c->ohm, more = draws - p->amp;
    const double all = p->rest + p->ohm / c->ohm;
    const double size = fabs(p->apart / c->ohm) + fabs(c->open_v / c->ohm) + fabs(p->amp);
    *out = (sl__point){-more / all, p->amp + more * p->rest / all, p->error};
    out->doubt += more == 0.0 ? 0.0 : DBL_EPSILON * size / fabs(more);
    return !isnan(out->doubt);
}

/* False: it cannot be told. An open bridge without current is told by t = NaN. */
static bool solve_change(const sl__straight_base *at, const sl__place *p, const sl__change *c,
                         sl__point *out)
{
    *out = (sl__point){0.0, p->amp, 0.0};
    switch (c->form) {
    case SL__OPENED:
        if (p->siemens > 0.0 && p->rest == 0.0) {
            *out = (sl__point){SL__NAN, 0.0, 0.0};
            return fabs(p->amp) <= BRIDGE_MOST_A;
        }
        *out = (sl__point){p->amp / p->rest, 0.0, p->error};
        return !isnan(p->error) && (p->siemens > 0.0 || p->amp == 0.0);
    case SL__FED:
        *out = (sl__point){p->amp - c->amp, c->amp, 0.0};
        return p->siemens == 0.0 && !isnan(p->apart);
    case SL__STRAIGHT:
        return solve_law(at, p, c, out);
    case SL__SERIES:
        return p->siemens > 0.0 ? solve_series(p, p->siemens * c->ohm, out) : p->amp == 0.0;
    default:
        return true;
    }
}

/* Would every part with states stay as it is in a base? */
static bool is_content(const sl__straight *s, int32_t b, const sl__place *p, const sl__change *c,
                       const sl__point *is, const double *w)
{
    const sl__base *base = s->at[b].base;
    int32_t n = 0;
    if (isnan(is->t) && s->watched > 0) {
        return false;
    }
    for (int32_t q = 0; q < s->cs->stateful_count; q++) {
        const sl_part part = s->cs->stateful[q];
        const sl__part *record = sl__case_part(s->cs, part);
        const int32_t first = s->cs->branch_at[part], last = s->cs->branch_at[part + 1];
        sl__flow flow[SL__ELEMENTS_MOST] = {{0.0, 0.0, 0.0}};
        sl__flow good[SL__ELEMENTS_MOST] = {{0.0, 0.0, 0.0}};
        for (int32_t k = first; k < last; k++, n++) {
            const double u = base->answer.u[k], i = sl__pair_value(base->answer.i[k]);
            const double rise = is->t * w[n];
            sl__flow *now = &flow[k - first];
            good[k - first] = (sl__flow){u, i, 0.0};
            *now = (sl__flow){u + rise, i + base->net.g[k] * rise, 0.0};
            if (k == p->element) {
                now->i = is->amp;
                if (c->form == SL__SERIES) {
                    now->v = p->siemens > 0.0 ? base->law[k].open_v + is->amp / p->siemens : now->v;
                    now->added_v = c->ohm * is->amp;
                }
            }
        }
        const double *value = s->value[b] + record->value_at;
        const int32_t state = base->state[part];
        if (record->kind->wants(value, s->celsius[b], state, flow) !=
            record->kind->wants(value, s->celsius[b], state, good)) {
            return false;
        }
    }
    return true;
}

bool sl__straight_grown(const sl__place *p, double ohm, sl__point *is)
{
    if (p->element < 0) {
        *is = (sl__point){-p->apart / (ohm + p->ohm), 0.0, 0.0};
        return true;
    }
    return p->siemens > 0.0 && solve_series(p, p->siemens * ohm, is);
}

bool sl__straight_point(const sl__straight *s, int32_t b, const sl__straight_fault *fault,
                        double degree, const sl__place *p, const double *w, sl__point *is)
{
    sl__change now = {.form = fault->change == SL_OPEN ? SL__OPENED : SL__SERIES, .ohm = degree};
    *is = (sl__point){0.0, p->amp, 0.0};
    if (p->element < 0) {
        now.form = SL__NOTHING;
        sl__straight_grown(p, degree, is);
    } else if ((fault->change == SL_SET && !find_set(s, b, fault, degree, &now)) ||
               !solve_change(&s->at[b], p, &now, is)) {
        return false;
    }
    return s->watched == 0 || is_content(s, b, p, &now, is, w);
}

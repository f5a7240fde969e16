/* lib/solve/near_ports.c: the small dense system of what is curved or changed. */
#include <math.h>
#include <string.h>

#include "numeric/dense.h"
#include "solve/near.h"

#define STEPS_MOST 40
#define HALVINGS_MOST 12
/* With less going around an element that is no bridge, `rest` would be rounding. */
#define REST_LEAST 1e-13
/* A step this small, relative to the voltage of its port and to the greatest, is the last but for
   POLISH more with the same matrix: an open port has a current that is multiplied by thousands. */
#define POLISH 2
#define LARGE_A 10.0
#define STEP_LEAST 1e-11
#define STEP_NONE 1e-15
/* Of a column of the system, at least this share must be left when it is eliminated: what is lost
   counts in the answer that many times. */
#define PIVOT_LEAST 1e-6
/* A step is put right, so many times at most, until it leaves this share of the imbalance. */
#define AGAIN_MOST 6
#define LEFT_BY_STEP 1e-4

bool sl__same_law(const sl__law *a, const sl__law *b)
{
    return a->form == b->form && a->open_v == b->open_v && a->ohm == b->ohm && a->amp == b->amp &&
           a->curve == b->curve && a->table == b->table &&
           (a->form != SL__CURVE || memcmp(a->k, b->k, sizeof a->k) == 0);
}

static bool is_link(const sl__law *law, bool open)
{
    return !open && law->form == SL__OHMIC && law->ohm == 0.0;
}

/* Resistance that faults have put in series with an element. */
static double series_of(const sl_case *cs, int32_t element)
{
    double ohm = 0.0;
    for (int32_t k = cs->elements; k < cs->branches; k++) {
        ohm += cs->branch[k].series_with == element ? cs->branch[k].series_ohm : 0.0;
    }
    return ohm;
}

/* Can the base speak of a change of this element? */
static bool reachable(const sl__base *base, const sl_case *cs, int32_t k)
{
    const sl_kind *kind = &sl__case_part(cs, cs->branch[k].part)->kind->about;
    const sl_element *ends = &kind->elements[k - cs->branch_at[cs->branch[k].part]];
    sl_node a = sl__case_terminal(cs, cs->branch[k].part, ends->from);
    sl_node b = sl__case_terminal(cs, cs->branch[k].part, ends->to);
    return base->answer.island[a] == base->answer.island[b] &&
           !is_link(&base->law[k], base->open[k]) &&
           !is_link(&cs->branch[k].law, cs->branch[k].open);
}

/* Is the element not as it is in the base? Its part must be among those that may have changed. */
static bool is_changed(const sl_case *cs, const sl__base *base, int32_t k)
{
    const sl__branch *branch = &cs->branch[k];
    return branch->open != base->open[k] || !sl__same_law(&branch->law, &base->law[k]) ||
           (cs->branches > cs->elements && series_of(cs, k) > 0.0);
}

/* Where the steps begin: as in the base. */
static void start(const sl__base *base, sl__port *p)
{
    p->origin = p->law && p->law->form == SL__OHMIC ? p->law->open_v : 0.0;
    p->u = base->answer.u[p->element] - p->origin;
}

static bool take_column(sl__base *base, sl__port *p)
{
    p->column = sl__base_ask(base, p->element);
    return p->column->rest == 0.0 || p->column->rest >= REST_LEAST;
}

/* Adds what has changed of one part to the ports. */
static bool add_part(sl_case *cs, sl__base *base, sl_part part, sl__ports *all)
{
    sl__laws_of(cs, part);
    for (int32_t k = cs->branch_at[part]; k < cs->branch_at[part + 1]; k++) {
        if (!is_changed(cs, base, k)) {
            continue;
        }
        int32_t p = 0;
        while (p < all->count && all->port[p].element != k) {
            p++;
        }
        if (p < all->count && all->port[p].changed) {
            continue; /* its part is listed twice */
        }
        bool spare = base->slot[k] < 0 || base->slot[k] >= base->columns - SL__SPARE_COLUMNS;
        all->spare += spare;
        if (p == SL__PORTS_MOST || all->spare > SL__SPARE_COLUMNS || !reachable(base, cs, k)) {
            return false;
        }
        all->port[p] = (sl__port){.element = k,
                                  .law = cs->branch[k].open ? NULL : &cs->branch[k].law,
                                  .series_ohm = series_of(cs, k),
                                  .changed = true};
        start(base, &all->port[p]);
        all->count += p == all->count;
        if (!take_column(base, &all->port[p])) {
            return false;
        }
    }
    return true;
}

/* Has what conducts no more cut the circuit in two? */
static bool is_cut(sl__base *base, const sl__ports *all)
{
    int32_t open[SL__PORTS_MOST], count = 0;
    for (int32_t p = 0; p < all->count; p++) {
        const sl__port *port = &all->port[p];
        if (port->changed && base->net.g[port->element] > 0.0 && sl__is_open(port->law)) {
            open[count++] = port->element;
        }
    }
    return count > 0 && sl__base_splits(base, count, open);
}

/* Lists the curves, and then what else has changed. False: too much, or not for the base to say. */
static bool list_ports(sl_case *cs, sl__base *base, sl__ports *all)
{
    all->count = all->spare = 0;
    for (int32_t c = 0; c < base->curves; c++) {
        int32_t k = base->curve[c];
        all->port[c] = (sl__port){.element = k, .law = &base->law[k]};
        start(base, &all->port[c]);
        (void)take_column(base, &all->port[c]); /* with nothing around it its current stays */
    }
    all->count = base->curves;
    for (int32_t n = 0; n < cs->edit_count; n++) {
        if (!add_part(cs, base, cs->edit[n].part, all)) {
            return false;
        }
    }
    for (int32_t t = 0; t < cs->trimming_count; t++) {
        if (!add_part(cs, base, cs->trimming[t], all)) {
            return false;
        }
    }
    return !is_cut(base, all);
}

/* What 1 A through a port puts across an element. */
static double transfer(const sl__base *base, const sl__base_column *column, int32_t element)
{
    double g = base->net.g[element];
    if (g > 0.0) { /* from the current: voltages may differ by less than their last place */
        return column->amp[element] / g;
    }
    return sl__at_row(column->volt, base->net.from[element]) -
           sl__at_row(column->volt, base->net.to[element]);
}

#define Z(all, k, l) (all)->z[(k)*SL__PORTS_MOST + (l)]

/* Between curves they stay as they are. The diagonal is left 0: it is apart in the equations. */
static void fill_transfers(sl__base *base, sl__ports *all)
{
    for (int32_t k = base->transfers ? base->curves : 0; k < all->count; k++) {
        for (int32_t l = 0; l < k; l++) {
            Z(all, k, l) = Z(all, l, k) = transfer(base, all->port[k].column, all->port[l].element);
        }
        Z(all, k, k) = 0.0;
    }
    base->transfers = true;
}

/* Current and slope of a port's new law. */
static void bend(const sl__base *base, sl__port *p)
{
    p->i = p->slope = 0.0;
    if (!p->law) {
        return;
    }
    if (!p->changed && p->u == base->answer.u[p->element]) { /* as it was: every solve starts so */
        p->i = sl__pair_value(base->answer.i[p->element]);
        p->slope = base->slope[p->element];
        return;
    }
    if (p->law->form == SL__OHMIC) {
        p->i = p->u / p->law->ohm;
        p->slope = 1.0 / p->law->ohm;
    } else if (p->law->form == SL__FIXED) {
        p->i = p->law->amp;
    } else if (p->law->form == SL__CURVE) {
        sl__law_current(p->law, p->u, &p->i, &p->slope);
    }
}

/* How far the equations are from holding: all->f. Returns the greatest. */
static double imbalance(const sl__base *base, sl__ports *all)
{
    const int32_t n = all->count;
    double beyond[SL__PORTS_MOST] = {0};
    for (int32_t k = 0; k < n; k++) {
        sl__port *p = &all->port[k];
        bend(base, p);
        double away = (p->origin - base->answer.u[p->element]) + p->u + p->series_ohm * p->i;
        double more = p->i - sl__pair_value(base->answer.i[p->element]);
        double g = base->net.g[p->element];
        p->beyond = beyond[k] = more - g * away;
        p->bends = p->slope - g * (1.0 + p->series_ohm * p->slope);
        all->f[k] = p->column->rest * away + p->column->ohm * more;
    }
    sl__dense_add_columns(n, n, all->z, SL__PORTS_MOST, beyond, all->f);
    double greatest = 0.0;
    for (int32_t k = 0; k < n; k++) {
        double size = fabs(all->f[k]);
        greatest = size <= greatest ? greatest : size; /* NaN is the greatest */
    }
    return greatest;
}

static double own_slope(const sl__port *p)
{
    return p->column->rest * (1.0 + p->series_ohm * p->slope) + p->column->ohm * p->slope;
}

/* Factors all->m, n x n. False where hardly anything is left of a column: what has changed cuts
   the circuit in two, and whether a little still holds it together only a whole solve can tell. */
static bool factor(sl__ports *all, int32_t n)
{
    double most[SL__PORTS_MOST] = {0};
    for (int32_t k = 0; k < n; k++) {
        for (int32_t l = 0; l < n; l++) {
            most[l] = fmax(most[l], fabs(all->m[k * n + l]));
        }
    }
    if (sl__dense_factor(n, all->m, all->pivot) != SL_OK) {
        return false;
    }
    bool sound = true;
    for (int32_t k = 0; k < n; k++) {
        sound = sound && fabs(all->m[k * n + k]) >= PIVOT_LEAST * most[k];
    }
    return sound;
}

/* Newton's step to all->step. False when there is none. */
static bool aim(sl__ports *all)
{
    const int32_t n = all->count;
    for (int32_t k = 0; k < n; k++) {
        for (int32_t l = 0; l < n; l++) {
            all->m[k * n + l] = Z(all, k, l) * all->port[l].bends;
        }
        all->m[k * n + k] = own_slope(&all->port[k]);
        all->step[k] = -all->f[k];
    }
    if (!factor(all, n)) {
        return false;
    }
    sl__dense_solve(n, all->m, all->pivot, all->step);
    return true;
}

/* The system without what curves do to each other but through what has changed: they stand in the
   base with their slopes and leave them by little. Lists what has changed, and factors what is left
   for it once the curves are eliminated. */
static bool part(sl__ports *all)
{
    const int32_t n = all->count;
    int32_t m = 0;
    for (int32_t k = 0; k < n; k++) {
        all->own[k] = 1.0 / own_slope(&all->port[k]);
        if (all->port[k].changed) {
            all->changed[m++] = k;
        }
    }
    all->changes = m;
    for (int32_t a = 0; a < m; a++) {
        const int32_t s = all->changed[a];
        for (int32_t b = 0; b < m; b++) {
            const int32_t t = all->changed[b];
            double sum = a == b ? own_slope(&all->port[s]) : Z(all, s, t) * all->port[t].bends;
            for (int32_t c = 0; c < n; c++) {
                sum -= all->port[c].changed ? 0.0
                                            : Z(all, s, c) * all->port[c].bends * all->own[c] *
                                                  Z(all, c, t) * all->port[t].bends;
            }
            all->m[a * m + b] = sum;
        }
    }
    return factor(all, m);
}

/* x = solution of that system for a right-hand side. */
static void solve_parted(sl__ports *all, const double *right, double *x)
{
    const int32_t n = all->count, m = all->changes;
    double changed[SL__PORTS_MOST];
    for (int32_t a = 0; a < m; a++) {
        const int32_t s = all->changed[a];
        changed[a] = right[s];
        for (int32_t c = 0; c < n; c++) {
            changed[a] -= all->port[c].changed
                              ? 0.0
                              : Z(all, s, c) * all->port[c].bends * all->own[c] * right[c];
        }
    }
    sl__dense_solve(m, all->m, all->pivot, changed);
    for (int32_t c = 0; c < n; c++) {
        double left = right[c];
        for (int32_t a = 0; a < m; a++) {
            left -= Z(all, c, all->changed[a]) * all->port[all->changed[a]].bends * changed[a];
        }
        x[c] = left * all->own[c];
    }
    for (int32_t a = 0; a < m; a++) {
        x[all->changed[a]] = changed[a];
    }
}

/* What a step leaves of the imbalance as far as the slopes say, to `left`; returns the greatest. */
static double leaves(const sl__ports *all, double *left)
{
    const int32_t n = all->count;
    double bent[SL__PORTS_MOST] = {0}, greatest = 0.0;
    for (int32_t k = 0; k < n; k++) {
        left[k] = -all->f[k] - own_slope(&all->port[k]) * all->step[k];
        bent[k] = -(all->port[k].bends * all->step[k]);
    }
    sl__dense_add_columns(n, n, all->z, SL__PORTS_MOST, bent, left);
    for (int32_t k = 0; k < n; k++) {
        greatest = fmax(greatest, fabs(left[k]));
    }
    return greatest;
}

/* Newton's step by way of that system: what it leaves is put right by itself, a few times. */
static bool aim_parted(sl__ports *all, double size)
{
    double left[SL__PORTS_MOST] = {0}, more[SL__PORTS_MOST];
    if (!part(all)) {
        return false;
    }
    for (int32_t k = 0; k < all->count; k++) {
        left[k] = -all->f[k];
    }
    solve_parted(all, left, all->step);
    for (int again = 0; leaves(all, left) > LEFT_BY_STEP * size; again++) {
        if (again == AGAIN_MOST) {
            return false;
        }
        solve_parted(all, left, more);
        for (int32_t k = 0; k < all->count; k++) {
            all->step[k] += more[k];
        }
    }
    return true;
}

static void move(sl__ports *all, double share)
{
    for (int32_t k = 0; k < all->count; k++) {
        all->port[k].u += share * all->step[k];
    }
}

static bool is_small(const sl__ports *all)
{
    double most = 0.0;
    for (int32_t k = 0; k < all->count; k++) {
        double size = fabs(all->port[k].u);
        most = size > most ? size : most;
    }
    for (int32_t k = 0; k < all->count; k++) {
        double size = fabs(all->step[k]);
        if (!(size <= STEP_LEAST * fabs(all->port[k].u) || size <= STEP_NONE * most)) {
            return false;
        }
    }
    return true;
}

/* The same sign as before the change: with a falling curve, an answer that is no stable one. */
static bool is_stable(sl__ports *all)
{
    bool falls = false;
    for (int32_t k = 0; k < all->count; k++) {
        falls = falls || all->port[k].slope < 0.0;
    }
    if (!falls) {
        return true;
    }
    if (!aim(all)) {
        return false;
    }
    bool positive = true;
    for (int32_t k = 0; k < all->count; k++) {
        positive = positive == (all->m[k * all->count + k] > 0.0);
        positive = positive == (all->pivot[k] == k);
    }
    return positive;
}

/* Does a port draw much beyond its line? */
static bool is_large(const sl__ports *all)
{
    bool large = false;
    for (int32_t k = 0; k < all->count; k++) {
        large = large || fabs(all->port[k].beyond) > LARGE_A;
    }
    return large;
}

/* Newton's steps, halved while they lead further away, until they are small; then a few more. */
static bool descend(const sl__base *base, sl__ports *all)
{
    double size = imbalance(base, all);
    int32_t polish = POLISH;
    for (int n = 0; n < STEPS_MOST; n++) {
        if (!aim_parted(all, size) && !aim(all)) {
            return false;
        }
        move(all, 1.0);
        double next = imbalance(base, all), share = 1.0;
        bool done = polish < POLISH || is_small(all);
        for (int h = 0; h < HALVINGS_MOST && !done && !(next < size); h++) {
            share *= 0.5;
            move(all, -share);
            next = imbalance(base, all);
        }
        if (!done && !(next < size)) {
            return false;
        }
        if (done && (polish-- == 0 || !is_large(all))) {
            return true;
        }
        size = next;
    }
    return false;
}

bool sl__ports_solve(sl_case *cs, sl__base *base)
{
    sl__ports *all = base->ports;
    if (base->curves > SL__PORTS_MOST || !list_ports(cs, base, all)) {
        return false;
    }
    fill_transfers(base, all);
    if (all->count == 0) {
        return true;
    }
    return descend(base, all) && is_stable(all);
}

/* lib/solve/near.c: the answer to a faulted circuit, from a base. */
#include "solve/near.h"

#include <math.h>
#include <string.h>

#include "numeric/dense.h"

#define STEPS_MOST 40
#define HALVINGS_MOST 12
/* With less going around an element that is no bridge, `rest` would be rounding. */
#define REST_LEAST 1e-13
/* A step this small, relative to the voltage of its port and to the greatest, is the last but for
   POLISH more with the same matrix: an open port has a current that is multiplied by thousands. */
#define POLISH 2
#define STEP_LEAST 1e-11
#define STEP_NONE 1e-16
/* Of terms that cancel this much must be left, unless they are so small, in V or A. */
#define LEFT_LEAST 1e-4
#define SIZE_LEAST 1e-7

static bool same_law(const sl__law *a, const sl__law *b)
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

/* Lists the curves and what has changed. False: too much, or not for the base to say. */
static bool list_ports(sl_case *cs, sl__base *base, sl__ports *all)
{
    int32_t spare = 0;
    all->count = 0;
    for (int32_t k = 0; k < cs->elements; k++) {
        const sl__branch *branch = &cs->branch[k];
        bool changed = branch->open != base->open[k] || !same_law(&branch->law, &base->law[k]);
        double series = cs->branches > cs->elements ? series_of(cs, k) : 0.0;
        bool curve = base->law[k].form == SL__CURVE;
        if (!changed && series == 0.0 && !curve) {
            continue;
        }
        spare += base->slot[k] < 0 || base->slot[k] >= base->columns - SL__SPARE_COLUMNS;
        if (all->count == SL__PORTS_MOST || spare > SL__SPARE_COLUMNS || !reachable(base, cs, k)) {
            return false;
        }
        all->port[all->count++] = (sl__port){.element = k,
                                             .law = branch->open ? NULL : &branch->law,
                                             .series_ohm = series,
                                             .u = base->answer.u[k]};
    }
    for (int32_t p = 0; p < all->count; p++) {
        const sl__base_column *column = sl__base_ask(base, all->port[p].element);
        if (column->rest != 0.0 && column->rest < REST_LEAST) {
            return false;
        }
        all->port[p].column = column;
    }
    return true;
}

static double row_of(const double *volt, int32_t row)
{
    return row < 0 ? 0.0 : volt[row];
}

/* What 1 A through a port puts across an element. */
static double transfer(const sl__base *base, const sl__base_column *column, int32_t element)
{
    double g = base->net.g[element];
    if (g > 0.0) { /* from the current: voltages may differ by less than their last place */
        return column->amp[element] / g;
    }
    return row_of(column->volt, base->net.from[element]) -
           row_of(column->volt, base->net.to[element]);
}

static void fill_transfers(const sl__base *base, sl__ports *all)
{
    for (int32_t k = 0; k < all->count; k++) {
        for (int32_t l = 0; l < all->count; l++) {
            all->z[k * all->count + l] =
                k == l ? all->port[k].column->ohm
                       : transfer(base, all->port[l].column, all->port[k].element);
        }
    }
}

/* Current and slope of a port's new law. */
static void bend(sl__port *p)
{
    p->i = p->slope = 0.0;
    if (!p->law) {
        return;
    }
    if (p->law->form == SL__OHMIC) {
        p->i = (p->u - p->law->open_v) / p->law->ohm;
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
    for (int32_t k = 0; k < all->count; k++) {
        sl__port *p = &all->port[k];
        bend(p);
        double away = p->u + p->series_ohm * p->i - base->answer.u[p->element];
        double more = p->i - sl__pair_value(base->answer.i[p->element]);
        double g = base->net.g[p->element];
        p->beyond = more - g * away;
        p->bends = p->slope - g * (1.0 + p->series_ohm * p->slope);
        all->f[k] = p->column->rest * away + p->column->ohm * more;
    }
    double greatest = 0.0;
    for (int32_t k = 0; k < all->count; k++) {
        for (int32_t l = 0; l < all->count; l++) {
            all->f[k] += k == l ? 0.0 : all->z[k * all->count + l] * all->port[l].beyond;
        }
        double size = fabs(all->f[k]);
        greatest = size <= greatest ? greatest : size; /* NaN is the greatest */
    }
    return greatest;
}

/* Newton's step to all->step. False when there is none. */
static bool aim(sl__ports *all)
{
    int32_t n = all->count;
    for (int32_t k = 0; k < n; k++) {
        const sl__port *p = &all->port[k];
        for (int32_t l = 0; l < n; l++) {
            all->m[k * n + l] = all->z[k * n + l] * all->port[l].bends;
        }
        all->m[k * n + k] =
            p->column->rest * (1.0 + p->series_ohm * p->slope) + p->column->ohm * p->slope;
        all->step[k] = -all->f[k];
    }
    if (sl__dense_factor(n, all->m, all->pivot) != SL_OK) {
        return false;
    }
    sl__dense_solve(n, all->m, all->pivot, all->step);
    return true;
}

/* The same with the matrix of the last step. */
static void aim_again(sl__ports *all)
{
    for (int32_t k = 0; k < all->count; k++) {
        all->step[k] = -all->f[k];
    }
    sl__dense_solve(all->count, all->m, all->pivot, all->step);
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
        most = fmax(most, fabs(all->port[k].u));
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

/* Newton's steps, halved while they lead further away. */
static bool solve(const sl__base *base, sl__ports *all)
{
    double size = imbalance(base, all);
    bool done = all->count == 0;
    for (int n = 0; n < STEPS_MOST && !done; n++) {
        if (!aim(all)) {
            return false;
        }
        move(all, 1.0);
        done = is_small(all);
        double next = imbalance(base, all), share = 1.0;
        for (int h = 0; h < HALVINGS_MOST && !done && !(next < size); h++) {
            share *= 0.5;
            move(all, -share);
            next = imbalance(base, all);
        }
        if (!done && !(next < size)) {
            return false;
        }
        size = next;
    }
    for (int n = 0; n < POLISH && done && all->count > 0; n++) {
        aim_again(all);
        move(all, 1.0);
        imbalance(base, all);
    }
    return done && is_stable(all);
}

/* Of terms that large, is so little left that it is mostly rounding? */
static bool is_lost(double left, double size)
{
    return size > SIZE_LEAST && fabs(left) < LEFT_LEAST * size;
}

/* Rows and nodes: what the ports draw beyond their lines, each with its column. False where little
   is left of a voltage. */
static bool spread(const sl_case *cs, const sl__base *base, const sl__ports *all,
                   sl__answer *answer)
{
    const sl__network *net = &base->net;
    double *size = cs->scale;
    bool sound = true;
    memset(cs->x, 0, (size_t)net->rows * sizeof *cs->x);
    memset(size, 0, (size_t)net->rows * sizeof *size);
    for (int32_t p = 0; p < all->count; p++) {
        const double *volt = all->port[p].column->volt, beyond = all->port[p].beyond;
        for (int32_t row = 0; beyond != 0.0 && row < net->rows; row++) {
            double v = beyond * volt[row];
            cs->x[row] -= v;
            size[row] += fabs(v);
        }
    }
    for (int32_t row = 0; row < net->rows; row++) {
        answer->row_v[row] = sl__pair_add(base->answer.row_v[row], sl__pair_of(cs->x[row]));
    }
    for (sl_node n = 0; n < base->nodes; n++) {
        sl__pair rise = sl__pair_of(row_of(cs->x, net->row[n]));
        answer->node_v[n] = sl__pair_add(base->answer.node_v[n], rise);
        answer->island[n] = base->answer.island[n];
        sound = sound && !is_lost(answer->node_v[n].hi, row_of(size, net->row[n]));
    }
    return sound;
}

/* What flows in the elements beyond the base, and how large the terms of that are. */
static void add_flows(sl__base *base, const sl__ports *all)
{
    double *added = base->added, *size = base->size;
    memset(added, 0, (size_t)base->elements * sizeof *added);
    memset(size, 0, (size_t)base->elements * sizeof *size);
    for (int32_t p = 0; p < all->count; p++) {
        const double *amp = all->port[p].column->amp, beyond = all->port[p].beyond;
        for (int32_t k = 0; beyond != 0.0 && k < base->elements; k++) {
            double i = beyond * amp[k];
            added[k] -= i;
            size[k] += fabs(i);
        }
    }
}

/* Elements: as the lines say, then what the ports know better. False where so little is left of a
   current that it is mostly rounding. */
static bool flow(const sl_case *cs, sl__base *base, const sl__ports *all, sl__answer *answer)
{
    const sl__network *net = &base->net;
    const double *added = base->added;
    bool sound = true;
    add_flows(base, all);
    for (int32_t k = 0; k < base->elements; k++) {
        double u = net->g[k] > 0.0 ? added[k] / net->g[k]
                                   : row_of(cs->x, net->from[k]) - row_of(cs->x, net->to[k]);
        answer->u[k] = base->answer.u[k] + u;
        answer->i[k] = sl__pair_add(base->answer.i[k], sl__pair_of(added[k]));
        answer->loop[k] = base->answer.loop[k];
        sound = sound && (base->slot[k] >= 0 || !is_lost(answer->i[k].hi, base->size[k]));
    }
    for (int32_t p = 0; p < all->count; p++) {
        answer->u[all->port[p].element] = all->port[p].u;
        answer->i[all->port[p].element] = sl__pair_of(all->port[p].i);
    }
    return sound;
}

/* The nodes that faults have made, each at the end of a resistance in series. */
static void flow_series(const sl_case *cs, sl__answer *answer)
{
    for (int32_t k = cs->elements; k < cs->branches; k++) {
        const sl__branch *branch = &cs->branch[k];
        sl__pair i = answer->i[branch->series_with];
        sl__pair drop = sl__pair_scale(i, branch->series_ohm);
        answer->i[k] = i;
        answer->u[k] = sl__pair_value(drop);
        answer->loop[k] = false;
        answer->node_v[branch->to] = sl__pair_sub(answer->node_v[branch->from], drop);
        answer->island[branch->to] = answer->island[branch->from];
    }
}

/* What is left over at the rows, relative to the greatest current at each. */
static void balance(sl_case *cs, const sl__base *base, sl__answer *answer)
{
    const sl__network *net = &base->net;
    double *left = cs->b, *size = cs->x;
    for (int32_t row = 0; row < net->rows; row++) {
        left[row] = 0.0;
        size[row] = SL_CURRENT_FLOOR_A;
    }
    for (int32_t k = 0; k < base->elements; k++) {
        double i = sl__pair_value(answer->i[k]);
        for (int end = 0; end < 2 && !net->link[k]; end++) {
            int32_t row = end ? net->to[k] : net->from[k];
            if (row >= 0) {
                left[row] += end ? i : -i;
                size[row] = fmax(size[row], fabs(i));
            }
        }
    }
    answer->quality.residual = 0.0;
    answer->quality.worst = SL_NONE;
    for (sl_node n = 0; n < base->nodes; n++) {
        int32_t row = net->row[n];
        double share = row < 0 ? 0.0 : fabs(left[row]) / size[row];
        if (!(share <= answer->quality.residual)) {
            answer->quality.residual = share;
            answer->quality.worst = n;
        }
    }
}

sl_status sl__near(sl_case *cs, sl__base *base, sl__answer *answer, bool *done)
{
    *done = false;
    if (!base->sound || !list_ports(cs, base, base->ports)) {
        return SL_OK;
    }
    fill_transfers(base, base->ports);
    if (!solve(base, base->ports)) {
        return SL_OK;
    }
    if (!spread(cs, base, base->ports, answer) || !flow(cs, base, base->ports, answer)) {
        return SL_OK;
    }
    flow_series(cs, answer);
    balance(cs, base, answer);
    sl__flow_links(cs, &base->net, base->nodes, answer);
    memcpy(answer->state, cs->state, (size_t)cs->parts * sizeof *answer->state);
    answer->quality.iterations = 0;
    *done = sl__prove(cs, answer) == SL_OK;
    return SL_OK;
}

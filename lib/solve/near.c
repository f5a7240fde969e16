/* lib/solve/near.c: the answer to a faulted circuit, from a base. */
#include "solve/near.h"

#include <math.h>
#include <string.h>

/* Of terms that cancel this much must be left, unless they are so small, in V or A. */
#define LEFT_LEAST 1e-4
#define SIZE_LEAST 1e-7

bool sl__is_lost(double left, double size)
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
        sl__pair rise = sl__pair_of(sl__at_row(cs->x, net->row[n]));
        answer->node_v[n] = sl__pair_add(base->answer.node_v[n], rise);
        answer->island[n] = base->answer.island[n];
        sound = sound && !sl__is_lost(answer->node_v[n].hi, sl__at_row(size, net->row[n]));
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
    for (int32_t p = 0; p < all->count; p++) { /* ports know better */
        base->size[all->port[p].element] = 0.0;
    }
    for (int32_t k = 0; k < base->elements; k++) {
        double u = net->g[k] > 0.0
                       ? added[k] / net->g[k]
                       : sl__at_row(cs->x, net->from[k]) - sl__at_row(cs->x, net->to[k]);
        answer->u[k] = base->answer.u[k] + u;
        answer->i[k] = sl__pair_add(base->answer.i[k], sl__pair_of(added[k]));
        answer->loop[k] = base->answer.loop[k];
        sound = sound && !sl__is_lost(answer->i[k].hi, base->size[k]);
    }
    for (int32_t p = 0; p < all->count; p++) {
        answer->u[all->port[p].element] = all->port[p].origin + all->port[p].u;
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

/* Only the elements that may move a part. False where that takes the whole answer. */
static bool flow_watched(const sl__base *base, sl__answer *answer)
{
    const sl__network *net = &base->net;
    const sl__ports *all = base->ports;
    for (int32_t w = 0; w < base->watched; w++) {
        int32_t k = base->watch[w], a = net->from[k], b = net->to[k];
        double i = sl__pair_value(base->answer.i[k]), u = base->answer.u[k], size = 0.0;
        bool is_port = false;
        for (int32_t p = 0; p < all->count; p++) {
            const sl__port *port = &all->port[p];
            const sl__base_column *column = port->column;
            if (port->element == k) {
                i = port->i;
                u = port->origin + port->u;
                is_port = true;
                break;
            }
            double amp = port->beyond * column->amp[k];
            i -= amp;
            u -= port->beyond * (sl__at_row(column->volt, a) - sl__at_row(column->volt, b));
            size += fabs(amp);
        }
        if (net->link[k] || (!is_port && sl__is_lost(i, size))) {
            return false;
        }
        answer->i[k] = sl__pair_of(i);
        answer->u[k] = u;
    }
    return true;
}

/* Do the same parts adjust themselves as in the base, which watches them? */
static bool trims_the_same(const sl_case *cs, const sl__base *base)
{
    return cs->trimming_count == base->trimming_count &&
           memcmp(cs->trimming, base->trimming,
                  (size_t)cs->trimming_count * sizeof *cs->trimming) == 0;
}

sl_status sl__near(sl_case *cs, sl__base *base, sl__answer *answer, bool *done)
{
    *done = false;
    if (!base->sound || !trims_the_same(cs, base) || !sl__ports_solve(cs, base)) {
        return SL_OK;
    }
    cs->quick.last = base;
    cs->quick.whose = answer;
    if (cs->quick.lean && flow_watched(base, answer)) {
        flow_series(cs, answer);
        memcpy(answer->state, cs->state, (size_t)cs->parts * sizeof *answer->state);
        *done = true;
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
    *done = sl__prove(cs, base->net.g, base->elements, answer) == SL_OK;
    return SL_OK;
}

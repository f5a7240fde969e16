/* lib/solve/steady.c: one state of every relay: voltages and currents, and the proof of them. */
#include <math.h>
#include <string.h>

#include "numeric/balance.h"
#include "solve/solve.h"

/* Refinement ends when currents balance to this, relative to the greatest current at the node, or
   when a step no longer helps. */
#define BALANCED 4e-16
#define REFINE_MOST 12

/* Right-hand side: what the sources would drive into each row if every row were at 0 V. */
static void drive(const sl_case *cs, double *b)
{
    const sl__network *net = &cs->net;
    memset(b, 0, (size_t)net->rows * sizeof *b);
    for (int32_t k = 0; k < cs->branches; k++) {
        const sl__law *law = &cs->branch[k].law;
        double i = law->form == SL__FIXED ? law->amp : net->g[k] * sl__pair_value(net->emf[k]);
        if (i != 0.0 && net->from[k] >= 0) {
            b[net->from[k]] -= i;
        }
        if (i != 0.0 && net->to[k] >= 0) {
            b[net->to[k]] += i;
        }
    }
}

/* Voltage of a branch as the difference of its rows and what its sources add. */
static sl__pair branch_voltage(const sl_case *cs, const sl__answer *answer, int32_t k)
{
    const sl__network *net = &cs->net;
    sl__pair a = net->from[k] < 0 ? sl__pair_of(0.0) : answer->row_v[net->from[k]];
    sl__pair b = net->to[k] < 0 ? sl__pair_of(0.0) : answer->row_v[net->to[k]];
    return sl__pair_add(sl__pair_sub(a, b), net->emf[k]);
}

/* Currents of the curves at the present voltages. */
static void bend(sl_case *cs, sl__answer *answer)
{
    int32_t port = 0;
    for (int32_t k = 0; k < cs->branches; k++) {
        const sl__law *law = &cs->branch[k].law;
        if (law->form == SL__CURVE) {
            sl__pair v = branch_voltage(cs, answer, k);
            double i, slope;
            sl__law_current(law, v.hi, &i, &slope);
            answer->i[k] = sl__two_sum(i, slope * v.lo);
            if (port < cs->ports.count && cs->ports.branch[port] == k) {
                cs->ports.slope[port++] = slope - law->scale_s;
            }
        }
    }
}

/* Currents of every branch but the links, from the voltages. */
static void flow(sl_case *cs, sl__answer *answer)
{
    const sl__network *net = &cs->net;
    sl__pair_currents(cs->branches, net->from, net->to, net->g, net->emf, answer->row_v, answer->i);
    for (int32_t k = 0; k < cs->branches; k++) {
        if (cs->branch[k].law.form == SL__FIXED) {
            answer->i[k] = sl__pair_of(cs->branch[k].law.amp);
        }
    }
    bend(cs, answer);
}

/* The greatest residual at a row relative to the greatest current there; sets *worst. */
static double imbalance(const sl_case *cs, const sl__answer *answer, const double *r,
                        int32_t *worst)
{
    const sl__network *net = &cs->net;
    for (int32_t row = 0; row < net->rows; row++) {
        cs->scale[row] = SL_CURRENT_FLOOR_A;
    }
    for (int32_t k = 0; k < cs->branches; k++) {
        double size = fabs(answer->i[k].hi);
        if (net->from[k] >= 0) {
            cs->scale[net->from[k]] = fmax(cs->scale[net->from[k]], size);
        }
        if (net->to[k] >= 0) {
            cs->scale[net->to[k]] = fmax(cs->scale[net->to[k]], size);
        }
    }
    double greatest = 0.0;
    *worst = -1;
    for (int32_t row = 0; row < net->rows; row++) {
        double share = fabs(r[row]) / cs->scale[row];
        if (!(share <= greatest)) {
            greatest = share;
            *worst = row;
        }
    }
    return greatest;
}

/* Corrects voltages and currents by their residual until it is gone. */
static void refine(sl_case *cs, sl__answer *answer)
{
    sl__network *net = &cs->net;
    bool curves = cs->ports.count > 0;
    double before = INFINITY;
    int32_t worst;
    flow(cs, answer);
    for (int step = 0; step < REFINE_MOST; step++) {
        sl__pair_residual(net->rows, cs->branches, net->from, net->to, answer->i, NULL, cs->sum,
                          cs->b);
        double share = imbalance(cs, answer, cs->b, &worst);
        if (step > 0 && (share <= BALANCED || !(share < before))) {
            break;
        }
        before = share;
        sl__factor_solve(net->factor, cs->b, cs->x);
        if (curves) {
            sl__ports_correct(cs, cs->x);
        }
        sl__pair_correct(net->rows, cs->branches, net->from, net->to, net->g, cs->x, answer->row_v,
                         answer->i);
        if (curves) {
            bend(cs, answer);
        }
    }
}

/* Currents of the links, from the leaves of each class to its root: what enters a node leaves it.
 */
static void flow_links(sl_case *cs, sl__answer *answer)
{
    const sl__network *net = &cs->net;
    for (sl_node n = 0; n < cs->nodes; n++) {
        cs->sum[n] = sl__pair_of(0.0);
    }
    for (int32_t k = 0; k < cs->branches; k++) {
        if (!net->link[k]) {
            sl__pair *from = &cs->sum[cs->branch[k].from], *to = &cs->sum[cs->branch[k].to];
            *from = sl__pair_add(*from, answer->i[k]);
            *to = sl__pair_sub(*to, answer->i[k]);
        }
    }
    for (int32_t q = cs->nodes - 1; q >= 0; q--) {
        sl_node n = net->order[q], up = net->up_node[n];
        if (up >= 0) {
            sl__pair leaving = cs->sum[n];
            cs->sum[up] = sl__pair_add(cs->sum[up], leaving);
            bool along = cs->branch[net->up_link[n]].from == n;
            answer->i[net->up_link[n]] = along ? sl__pair_neg(leaving) : leaving;
        }
    }
}

/* Voltages of nodes and branches from those of rows. */
static void spread(sl_case *cs, sl__answer *answer)
{
    const sl__network *net = &cs->net;
    int32_t home = net->island[net->rows];
    for (sl_node n = 0; n < cs->nodes; n++) {
        int32_t row = net->row[n];
        sl__pair base = row < 0 ? sl__pair_of(0.0) : answer->row_v[row];
        answer->node_v[n] = sl__pair_add(base, net->offset[n]);
        int32_t island = net->island[row < 0 ? net->rows : row];
        answer->island[n] = island == home ? SL__REFERENCE : island;
    }
    for (int32_t k = 0; k < cs->branches; k++) {
        const sl__branch *branch = &cs->branch[k];
        bool joined = answer->island[branch->from] == answer->island[branch->to];
        sl__pair u = sl__pair_sub(answer->node_v[branch->from], answer->node_v[branch->to]);
        answer->u[k] = joined ? sl__pair_value(u) : SL__NAN;
        answer->loop[k] = net->loop[k];
    }
}

/* Every answer is proved before it is given out. */
static sl_status prove(sl_case *cs, sl__answer *answer)
{
    const sl__network *net = &cs->net;
    sl_quality *quality = &answer->quality;
    int32_t worst;
    sl__pair_residual(net->rows, cs->branches, net->from, net->to, answer->i, NULL, cs->sum, cs->b);
    quality->residual = imbalance(cs, answer, cs->b, &worst);
    quality->worst = SL_NONE;
    for (sl_node n = 0; worst >= 0 && n < cs->nodes && quality->worst == SL_NONE; n++) {
        quality->worst = net->row[n] == worst ? n : SL_NONE;
    }
    sl__pair balance = sl__pair_of(0.0);
    double size = 0.0;
    for (int32_t k = 0; k < cs->branches; k++) {
        double i = sl__pair_value(answer->i[k]);
        if (i != 0.0) {
            /* Also between islands, whose levels are arbitrary but the same for every branch. */
            sl__pair u =
                sl__pair_sub(answer->node_v[cs->branch[k].from], answer->node_v[cs->branch[k].to]);
            sl__pair power = sl__two_prod(sl__pair_value(u), i);
            balance = sl__pair_add(balance, power);
            size += fabs(sl__pair_value(u)) * fmax(fabs(i), SL_CURRENT_FLOOR_A);
        }
    }
    quality->power_balance = size > 0.0 ? fabs(sl__pair_value(balance)) / size : 0.0;
    if (quality->residual <= SL_QUALITY_LIMIT && quality->power_balance <= SL_QUALITY_LIMIT) {
        return SL_OK;
    }
    return sl__fail(&cs->message, SL_E_QUALITY,
                    "the currents at node \"%s\" balance to %g, the powers to %g; allowed: %g",
                    quality->worst == SL_NONE ? "?" : sl__case_node_name(cs, quality->worst),
                    quality->residual, quality->power_balance, SL_QUALITY_LIMIT);
}

sl_status sl__steady(sl_case *cs, sl__answer *answer)
{
    sl__laws_update(cs);
    sl_status st = sl__network_update(cs);
    if (st != SL_OK || (st = sl__ports_find(cs)) != SL_OK) {
        return st;
    }
    sl__network *net = &cs->net;
    answer->quality.iterations = 0;
    drive(cs, cs->b);
    sl__factor_solve(net->factor, cs->b, cs->x);
    if (cs->ports.count > 0) {
        st = sl__ports_solve(cs, cs->x, &answer->quality.iterations);
        if (st != SL_OK) {
            return st;
        }
        drive(cs, cs->b);
        sl__ports_draw(cs, cs->b);
        sl__factor_solve(net->factor, cs->b, cs->x);
    }
    for (int32_t row = 0; row < net->rows; row++) {
        answer->row_v[row] = sl__pair_of(cs->x[row]);
    }
    refine(cs, answer);
    flow_links(cs, answer);
    spread(cs, answer);
    memcpy(answer->state, cs->state, (size_t)cs->parts * sizeof *answer->state);
    return prove(cs, answer);
}

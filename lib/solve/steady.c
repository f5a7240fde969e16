/* lib/solve/steady.c: one state of every relay: voltages and currents, and the proof of them. */
#include <math.h>
#include <string.h>

#include "solve/near.h"

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

/* Currents of the links, from the leaves of each class to its root: what enters a node leaves it.
 */
void sl__flow_links(const sl_case *cs, const sl__network *net, int32_t nodes, sl__answer *answer)
{
    if (net->links == 0) {
        return;
    }
    for (sl_node n = 0; n < cs->nodes; n++) {
        cs->sum[n] = sl__pair_of(0.0);
    }
    for (int32_t k = 0; k < cs->branches; k++) {
        if (k >= cs->elements || !net->link[k]) {
            sl__pair *from = &cs->sum[cs->branch[k].from], *to = &cs->sum[cs->branch[k].to];
            *from = sl__pair_add(*from, answer->i[k]);
            *to = sl__pair_sub(*to, answer->i[k]);
        }
    }
    for (int32_t q = nodes - 1; q >= 0; q--) {
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

/* Every answer is proved before it is given out: the currents by what is left over at the rows, the
   powers here. Currents that the digits do not tell count as the floors, as they do at the rows. */
sl_status sl__prove(sl_case *cs, const double *g, int32_t elements, sl__answer *answer)
{
    sl_quality *quality = &answer->quality;
    sl__pair balance = sl__pair_of(0.0);
    double size = 0.0;
    for (int32_t k = 0; k < cs->branches; k++) {
        double i = sl__pair_value(answer->i[k]);
        if (i != 0.0) {
            double u = answer->u[k];
            if (isnan(u)) { /* between islands: levels are arbitrary, the same for every branch */
                u = sl__pair_value(sl__pair_sub(answer->node_v[cs->branch[k].from],
                                                answer->node_v[cs->branch[k].to]));
            }
            balance = sl__pair_add(balance, sl__two_prod(u, i));
            double told = k < elements ? g[k] * SL_VOLTAGE_FLOOR_V : 0.0;
            size += fabs(u) * fmax(fabs(i), fmax(told, SL_CURRENT_FLOOR_A));
        }
    }
    quality->power_balance = size == 0.0 ? 0.0 : fabs(sl__pair_value(balance)) / size;
    if (quality->residual <= SL_QUALITY_LIMIT && quality->power_balance <= SL_QUALITY_LIMIT) {
        return SL_OK;
    }
    return sl__fail(&cs->message, SL_E_QUALITY,
                    "the currents at node \"%s\" balance to %g, the powers to %g; allowed: %g",
                    quality->worst == SL_NONE ? "?" : sl__case_node_name(cs, quality->worst),
                    quality->residual, quality->power_balance, SL_QUALITY_LIMIT);
}

sl_status sl__steady_whole(sl_case *cs, sl__answer *answer)
{
    sl__laws_update(cs);
    sl_status st = sl__network_update(cs);
    if (st != SL_OK) {
        return st;
    }
    sl__curves_find(cs);
    sl__network *net = &cs->net;
    drive(cs, cs->b);
    sl__factor_solve(net->factor, cs->b, cs->x);
    for (int32_t row = 0; row < net->rows; row++) {
        answer->row_v[row] = sl__pair_of(cs->x[row]);
    }
    if ((st = sl__newton(cs, answer)) != SL_OK) {
        return st;
    }
    sl__flow_links(cs, &cs->net, cs->nodes, answer);
    spread(cs, answer);
    memcpy(answer->state, cs->state, (size_t)cs->parts * sizeof *answer->state);
    return sl__prove(cs, net->g, cs->branches, answer);
}

sl_status sl__steady(sl_case *cs, sl__answer *answer)
{
    if (cs->quick.recording) {
        sl_status st = sl__steady_whole(cs, answer);
        cs->quick.missed = cs->quick.missed || st != SL_OK;
        return st;
    }
    if (!cs->quick.on || !cs->quick.made || cs->edit_count == 0 || cs->vary) {
        return sl__steady_whole(cs, answer);
    }
    sl__base *base = sl__base_of(cs);
    bool done = false;
    sl_status st = base ? sl__near(cs, base, answer, &done) : SL_OK;
    cs->quick.effort.quick += done;
    cs->quick.effort.whole += !done;
    return done || st != SL_OK ? st : sl__steady_whole(cs, answer);
}

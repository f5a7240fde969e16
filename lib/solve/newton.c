/* lib/solve/newton.c: row voltages at which all currents balance, to the last places of a pair.

   Straight branches need little: a correction by the residual. With curved ones the same correction
   is Newton's step, their slopes standing in the factor as conductances. How far to go along it is
   told by the content, the sum over all branches of the integral of i dv: its slope along a step is
   the sum of i times the change of v, and where no curve falls that slope rises all the way, so
   that its zero can be found. Going there converges from anywhere. Where falling curves leave no
   minimum nearby they count as rising by as much: the step still goes downhill, and a minimum of
   the content is a stable operating point. (Content: W. Millar, Phil. Mag. 42 (1951) 1150.) */
#include <float.h>
#include <math.h>

#include "numeric/balance.h"
#include "solve/search.h"
#include "solve/solve.h"

/* Done when currents balance to this, relative to the greatest current at the row, or when they
   balance closely and a step no longer helps. */
#define BALANCED 4e-16
#define CLOSE 1e-12
#define STRAIGHT_MOST 40
#define CURVED_MOST 400

/* A step is gone until this share of the slope of the content is left. Of curves that were made to
   rise the factor knows too little, and the search must do its part. */
#define SLOPE_LEFT 0.3
#define SLOPE_LEFT_RISING 0.01
#define SEARCH_MOST 60

/* A curve that is made to rise counts with at least this share of its typical conductance. */
#define RISE_LEAST 1e-9

/* Currents this close are equal but for rounding. */
#define ROUNDING 1e-14

void sl__curves_find(sl_case *cs)
{
    const sl__network *net = &cs->net;
    cs->curves.count = 0;
    for (int32_t k = 0; k < cs->branches; k++) {
        if (cs->branch[k].law.form == SL__CURVE) {
            cs->curves.branch[cs->curves.count++] = k;
        }
    }
    cs->curves.rows = false;
    for (int32_t c = 0; c < cs->curves.count; c++) {
        int32_t k = cs->curves.branch[c];
        cs->curves.rows = cs->curves.rows || net->from[k] != net->to[k];
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

/* Currents and slopes of the curves at the present voltages. */
static void bend(sl_case *cs, sl__answer *answer)
{
    for (int32_t c = 0; c < cs->curves.count; c++) {
        int32_t k = cs->curves.branch[c];
        const sl__law *law = &cs->branch[k].law;
        sl__pair v = branch_voltage(cs, answer, k);
        double i, slope;
        sl__law_current(law, v.hi, &i, &slope);
        answer->i[k] = sl__two_sum(i, slope * v.lo);
        cs->curves.v[c] = v.hi;
        cs->curves.slope[c] = slope;
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

/* What is left over at each row, to cs->b. */
static void residual(sl_case *cs, const sl__answer *answer)
{
    const sl__network *net = &cs->net;
    sl__pair_residual(net->rows, cs->branches, net->from, net->to, answer->i, NULL, cs->sum, cs->b);
}

static void raise(double *greatest, double size)
{
    *greatest = size > *greatest ? size : *greatest;
}

/* The greatest residual relative to the greatest current at its row, or to what floor_v drives
   through a branch there, and which row that is; NaN where there is one. */
static double imbalance(sl_case *cs, const sl__answer *answer, double floor_v, int32_t *worst)
{
    const sl__network *net = &cs->net;
    for (int32_t row = 0; row < net->rows; row++) {
        cs->scale[row] = SL_CURRENT_FLOOR_A;
    }
    for (int32_t k = 0; k < cs->branches; k++) {
        double size = fmax(fabs(answer->i[k].hi), net->g[k] * floor_v);
        if (net->from[k] >= 0) {
            raise(&cs->scale[net->from[k]], size);
        }
        if (net->to[k] >= 0) {
            raise(&cs->scale[net->to[k]], size);
        }
    }
    double greatest = 0.0;
    *worst = -1;
    for (int32_t row = 0; row < net->rows && !isnan(greatest); row++) {
        double share = fabs(cs->b[row]) / cs->scale[row];
        if (!(share <= greatest)) {
            greatest = share;
            *worst = row;
        }
    }
    return greatest;
}

/* What a step changes of the voltage of a branch. */
static double change(const sl_case *cs, int32_t k)
{
    const sl__network *net = &cs->net;
    double a = net->from[k] < 0 ? 0.0 : cs->x[net->from[k]];
    double b = net->to[k] < 0 ? 0.0 : cs->x[net->to[k]];
    return a - b;
}

/* A step in cs->x, and how steeply the content goes down along it. */
typedef struct along {
    const sl_case *cs;
    const sl__answer *answer;
    double down;
} along;

/* Slope of the content at a share t of the step. It is -down at first; as far as the branches are
   straight, it is gone at t = 1. What the curves add is told apart from rounding, that of their
   voltages too, which would lead the search astray once a step is small. */
static double slope_at(const void *of, double t)
{
    const along *step = of;
    const sl_case *cs = step->cs;
    const sl__answer *answer = step->answer;
    double slope = (t - 1.0) * step->down;
    for (int32_t c = 0; c < cs->curves.count; c++) {
        int32_t k = cs->curves.branch[c];
        double dv = change(cs, k), before = answer->i[k].hi, v = cs->curves.v[c], i, unused;
        sl__law_current(&cs->branch[k].law, v + t * dv, &i, &unused);
        double bent = i - before - t * cs->net.g[k] * dv;
        double rounded = ROUNDING * (fabs(i) + fabs(before)) + DBL_EPSILON * fabs(cs->net.g[k] * v);
        if (fabs(bent) > rounded) {
            slope += bent * dv;
        }
    }
    return slope;
}

/* Newton's step from the residual in cs->b to cs->x. Returns how steeply the content goes down
   along it; 0 when it does not. */
static double aim(sl_case *cs, bool rising)
{
    sl__network *net = &cs->net;
    for (int32_t c = 0; c < cs->curves.count; c++) {
        int32_t k = cs->curves.branch[c];
        double slope = cs->curves.slope[c];
        net->g[k] = rising ? fmax(fabs(slope), RISE_LEAST * cs->branch[k].law.scale_s) : slope;
    }
    if (sl__factor_update(net->factor, net->g) != net->islands) {
        return 0.0; /* a falling curve has made a pivot negative */
    }
    sl__factor_solve(net->factor, cs->b, cs->x);
    double down = 0.0;
    for (int32_t k = 0; k < cs->branches; k++) {
        if (net->g[k] != 0.0) {
            double dv = change(cs, k);
            down += net->g[k] * dv * dv;
        }
    }
    return down;
}

/* How much of the step to take, until the slope that is left is small. */
static double search(const along *step, double left)
{
    double low = 0.0, at_low = -step->down, high = 1.0, at_high = slope_at(step, 1.0);
    for (int n = 0; n < SEARCH_MOST && at_high < -left; n++) {
        low = high;
        at_low = at_high;
        high *= 2.0;
        at_high = slope_at(step, high);
    }
    return sl__search(slope_at, step, low, at_low, high, at_high, left, SEARCH_MOST);
}

/* One step from the residual in cs->b. */
static void step(sl_case *cs, sl__answer *answer)
{
    sl__network *net = &cs->net;
    if (cs->curves.rows) {
        double down = aim(cs, false);
        double left = SLOPE_LEFT * down;
        if (!(down > 0.0)) {
            down = aim(cs, true);
            left = SLOPE_LEFT_RISING * down;
        }
        double t = search(&(along){cs, answer, down}, left);
        for (int32_t row = 0; row < net->rows && t != 1.0; row++) {
            cs->x[row] *= t;
        }
    } else {
        sl__factor_solve(net->factor, cs->b, cs->x);
    }
    sl__pair_correct(net->rows, cs->branches, net->from, net->to, net->g, cs->x, answer->row_v,
                     answer->i);
    bend(cs, answer);
}

/* A node of a row, or SL_NONE. */
static sl_node node_of(const sl_case *cs, int32_t row)
{
    for (sl_node n = 0; row >= 0 && n < cs->nodes; n++) {
        if (cs->net.row[n] == row) {
            return n;
        }
    }
    return SL_NONE;
}

/* Behind more than some 1e13 times the resistance of a cable, a section as a whole can be out by
   more than its residual tells; further steps bring it home. */
#define STIFF 1e13
#define STEPS_STIFF 3

/* Steps that are taken whatever the residual says; once at least, for what comes from the factor
   is no pair yet. */
static int32_t steps_at_least(const sl_case *cs)
{
    double least = INFINITY, greatest = 0.0;
    for (int32_t k = 0; k < cs->branches; k++) {
        double g = cs->net.g[k];
        if (g > 0.0) {
            least = g < least ? g : least;
            greatest = g > greatest ? g : greatest;
        }
    }
    return greatest >= STIFF * least ? STEPS_STIFF : 1;
}

sl_status sl__newton(sl_case *cs, sl__answer *answer)
{
    const bool curved = cs->curves.rows;
    const int32_t most = curved ? CURVED_MOST : STRAIGHT_MOST;
    double before = INFINITY, share = INFINITY;
    int32_t worst = -1, n = 0;
    bool done = false;
    flow(cs, answer);
    residual(cs, answer);
    const int32_t fewest = curved ? 1 : steps_at_least(cs);
    while (!done && n < most) {
        step(cs, answer);
        residual(cs, answer);
        n++;
        before = share;
        share = imbalance(cs, answer, 0.0, &worst);
        bool stuck = !(share < before) && n >= fewest && share > BALANCED;
        if (stuck && share >= CLOSE) { /* by more than the digits of voltages can tell? */
            share = imbalance(cs, answer, SL_VOLTAGE_FLOOR_V, &worst);
        }
        done = n >= fewest && (share <= BALANCED || (stuck && share < CLOSE));
    }
    answer->quality.iterations = curved ? n : 0;
    answer->quality.residual = share;
    answer->quality.worst = node_of(cs, worst);
    if (done || share <= SL_QUALITY_LIMIT) {
        return SL_OK;
    }
    return sl__fail(&cs->message, SL_E_CONVERGENCE,
                    "no operating point found: the currents at node \"%s\" are out by %g A",
                    sl__case_node_name(cs, answer->quality.worst), fabs(cs->b[worst]));
}

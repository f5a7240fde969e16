/* lib/solve/ports.c: the curved branches, seen from the linear rest of the network.

   Each curve is split into a straight part, of its typical conductance, which is in the factor, and
   the rest h(v). The linear network then shows the curves voltages v = v0 - Z j for currents j =
   h(v) drawn at its ports. The sum of co-contents, a function of j, has the gradient Z (j - h(v));
   it is convex when no curve falls, whatever the split. Newton's step, (I + h' Z) dj = h - j, goes
   downhill on it, and a search along the step for the zero of a rising function makes it converge
   from anywhere. Where curves fall, it still has minima, and each is a stable operating point.
   (Co-content of nonlinear networks: W. Millar, Phil. Mag. 42 (1951) 1150.) */
#include <float.h>
#include <math.h>
#include <string.h>

#include "numeric/dense.h"
#include "solve/solve.h"

#define NEWTON_MOST 100
#define SEARCH_MOST 60
/* The full step is taken when it leaves at most this share of the slope; else the search goes on
   until this is reached. */
#define SLOPE_LEFT 0.3
/* Good enough to hand over to the refinement, which works on all nodes and in pairs. */
#define CLOSE_RELATIVE 1e-9
#define CLOSE_A 1e-12

/* Room for the ports of this state. */
static sl_status make_room(sl_case *cs, int32_t count)
{
    sl__ports *p = &cs->ports;
    if (count <= p->room) {
        return SL_OK;
    }
    sl__arena *a = &p->arena;
    sl__arena_clear(a);
    p->room = 0;
    if (count > 20000) { /* its square is counted in 32 bits */
        return sl__fail(&cs->message, SL_E_NOMEM, "%d curved parts: more than 20000", (int)count);
    }
    p->branch = sl__arena_take(a, count, sizeof *p->branch);
    p->z = sl__arena_take(a, count * count, sizeof *p->z);
    p->m = sl__arena_take(a, count * count, sizeof *p->m);
    p->pivot = sl__arena_take(a, count, sizeof *p->pivot);
    p->j = sl__arena_take(a, count, sizeof *p->j);
    p->v = sl__arena_take(a, count, sizeof *p->v);
    p->h = sl__arena_take(a, count, sizeof *p->h);
    p->slope = sl__arena_take(a, count, sizeof *p->slope);
    p->dj = sl__arena_take(a, count, sizeof *p->dj);
    p->dv = sl__arena_take(a, count, sizeof *p->dv);
    p->r = sl__arena_take(a, count, sizeof *p->r);
    if (a->failed) {
        return sl__fail(&cs->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    p->room = count;
    return SL_OK;
}

sl_status sl__ports_find(sl_case *cs)
{
    const sl__network *net = &cs->net;
    int32_t count = 0;
    for (int32_t k = 0; k < cs->branches; k++) {
        count += cs->branch[k].law.form == SL__CURVE && net->from[k] != net->to[k];
    }
    sl_status st = make_room(cs, count);
    if (st != SL_OK) {
        return st;
    }
    cs->ports.count = 0;
    for (int32_t k = 0; k < cs->branches; k++) {
        if (cs->branch[k].law.form == SL__CURVE && net->from[k] != net->to[k]) {
            cs->ports.branch[cs->ports.count++] = k;
        }
    }
    return SL_OK;
}

/* Voltage of a port in row voltages x, without the source in the branch. */
static double across(const sl__network *net, const double *x, int32_t k)
{
    double a = net->from[k] < 0 ? 0.0 : x[net->from[k]];
    double b = net->to[k] < 0 ? 0.0 : x[net->to[k]];
    return a - b;
}

/* A current drawn by a branch leaves one row and enters the other. */
static void inject(const sl__network *net, double *b, int32_t k, double current)
{
    if (net->from[k] >= 0) {
        b[net->from[k]] -= current;
    }
    if (net->to[k] >= 0) {
        b[net->to[k]] += current;
    }
}

/* Column after column of Z: the voltages that 1 A out of one port makes at every port. */
static void fill_z(sl_case *cs)
{
    const sl__network *net = &cs->net;
    sl__ports *p = &cs->ports;
    for (int32_t c = 0; c < p->count; c++) {
        memset(cs->b, 0, (size_t)net->rows * sizeof *cs->b);
        inject(net, cs->b, p->branch[c], -1.0);
        sl__factor_solve(net->factor, cs->b, cs->b);
        for (int32_t r = 0; r < p->count; r++) {
            p->z[r * p->count + c] = across(net, cs->b, p->branch[r]);
        }
    }
}

/* What a curve draws above its straight part, and the slope of that. */
static double curved(const sl_case *cs, int32_t port, double v, double *slope)
{
    const sl__law *law = &cs->branch[cs->ports.branch[port]].law;
    double i;
    sl__law_current(law, v, &i, slope);
    *slope -= law->scale_s;
    return i - law->scale_s * v;
}

static void times_z(const sl__ports *p, const double *j, double *v)
{
    for (int32_t r = 0; r < p->count; r++) {
        double sum = 0.0;
        for (int32_t c = 0; c < p->count; c++) {
            sum += p->z[r * p->count + c] * j[c];
        }
        v[r] = sum;
    }
}

/* Evaluates every curve; r = h - j. Is that small at every port? */
static bool evaluate(const sl_case *cs, sl__ports *p)
{
    bool close = true;
    for (int32_t k = 0; k < p->count; k++) {
        p->h[k] = curved(cs, k, p->v[k], &p->slope[k]);
        p->r[k] = p->h[k] - p->j[k];
        double size = fabs(p->h[k]) + cs->branch[p->branch[k]].law.scale_s * fabs(p->v[k]);
        close = close && fabs(p->r[k]) <= CLOSE_RELATIVE * size + CLOSE_A;
    }
    return close;
}

/* Slope of the co-content along the step, at a share t of it. Rises with t when no curve falls. */
static double slope_along(const sl_case *cs, const sl__ports *p, double t)
{
    double sum = 0.0, unused;
    for (int32_t k = 0; k < p->count; k++) {
        double h = curved(cs, k, p->v[k] - t * p->dv[k], &unused);
        sum += p->dv[k] * (p->j[k] + t * p->dj[k] - h);
    }
    return sum;
}

/* How much of the step to take: where the slope along it has nearly gone. */
static double search(const sl_case *cs, const sl__ports *p)
{
    double at_0 = 0.0;
    for (int32_t k = 0; k < p->count; k++) {
        at_0 -= p->dv[k] * p->r[k];
    }
    double low = 0.0, f_low = at_0, high = 1.0, f_high = slope_along(cs, p, 1.0);
    for (int n = 0; n < SEARCH_MOST && f_high < SLOPE_LEFT * at_0; n++) {
        low = high;
        f_low = f_high;
        high *= 2.0;
        f_high = slope_along(cs, p, high);
    }
    for (int n = 0; n < SEARCH_MOST && f_high > -SLOPE_LEFT * at_0; n++) {
        /* Regula falsi, kept off the ends so that both move. */
        double share = f_low / (f_low - f_high);
        share = share < 0.1 ? 0.1 : share > 0.9 ? 0.9 : share;
        double t = low + share * (high - low);
        double f = slope_along(cs, p, t);
        if (f > 0.0) {
            high = t;
            f_high = f;
        } else {
            low = t;
            f_low = f;
            if (f >= SLOPE_LEFT * at_0) {
                return t;
            }
        }
    }
    return high;
}

/* Newton's matrix, I + h' Z, at the present slopes, factored. A falling curve may be given level
   instead: with no slope below zero the step goes downhill for certain. */
static sl_status factor_slopes(const sl_case *cs, sl__ports *p, bool level)
{
    int32_t n = p->count;
    for (int32_t r = 0; r < n; r++) {
        double least = -cs->branch[p->branch[r]].law.scale_s;
        double slope = level && p->slope[r] < least ? least : p->slope[r];
        for (int32_t c = 0; c < n; c++) {
            p->m[r * n + c] = slope * p->z[r * n + c] + (r == c ? 1.0 : 0.0);
        }
    }
    return sl__dense_factor(n, p->m, p->pivot);
}

/* What rounding can make of r' Z dj. Ports in series share their current, and Z then knows only
   the sum of what is put into each: the rest of r moves no voltage, and r' Z r is 0. */
static double noise(const sl__ports *p)
{
    double sum = 0.0;
    for (int32_t r = 0; r < p->count; r++) {
        double size = 0.0;
        for (int32_t c = 0; c < p->count; c++) {
            size += fabs(p->z[r * p->count + c] * p->dj[c]);
        }
        sum += fabs(p->r[r]) * size;
    }
    return sum * (p->count + 8) * DBL_EPSILON;
}

/* A step that goes downhill; Newton's own when it does. *flat: as far as can be told it changes
   currents only, and no voltage. */
static sl_status find_step(const sl_case *cs, sl__ports *p, bool *flat)
{
    for (int level = 0; level < 2; level++) {
        if (factor_slopes(cs, p, level) != SL_OK) {
            continue;
        }
        double downhill = 0.0;
        for (int32_t k = 0; k < p->count; k++) {
            p->dj[k] = p->r[k];
        }
        sl__dense_solve(p->count, p->m, p->pivot, p->dj);
        times_z(p, p->dj, p->dv);
        for (int32_t k = 0; k < p->count; k++) {
            downhill += p->dv[k] * p->r[k];
        }
        double least = noise(p);
        *flat = fabs(downhill) <= least;
        if (downhill >= -least) {
            return SL_OK;
        }
    }
    return SL_E_CONVERGENCE;
}

static sl_status newton_step(const sl_case *cs, sl__ports *p)
{
    bool flat = false;
    if (find_step(cs, p, &flat) != SL_OK) {
        return SL_E_CONVERGENCE;
    }
    double t = flat ? 1.0 : search(cs, p);
    for (int32_t k = 0; k < p->count; k++) {
        p->j[k] += t * p->dj[k];
        p->v[k] -= t * p->dv[k];
    }
    return SL_OK;
}

sl_status sl__ports_solve(sl_case *cs, const double *x, int32_t *iterations)
{
    sl__ports *p = &cs->ports;
    fill_z(cs);
    for (int32_t k = 0; k < p->count; k++) {
        p->j[k] = 0.0;
        p->v[k] = across(&cs->net, x, p->branch[k]) + sl__pair_value(cs->net.emf[p->branch[k]]);
    }
    int32_t n = 0;
    bool close = evaluate(cs, p);
    for (; !close && n < NEWTON_MOST; n++) {
        if (newton_step(cs, p) != SL_OK) {
            break;
        }
        close = evaluate(cs, p);
    }
    *iterations = n;
    if (close) {
        return SL_OK;
    }
    int32_t worst = 0;
    for (int32_t k = 1; k < p->count; k++) {
        worst = fabs(p->r[k]) > fabs(p->r[worst]) ? k : worst;
    }
    return sl__fail(&cs->message, SL_E_CONVERGENCE,
                    "no operating point found: \"%s\" is out by %g A",
                    sl__case_part_name(cs, cs->branch[p->branch[worst]].part), fabs(p->r[worst]));
}

void sl__ports_draw(const sl_case *cs, double *b)
{
    for (int32_t k = 0; k < cs->ports.count; k++) {
        inject(&cs->net, b, cs->ports.branch[k], cs->ports.j[k]);
    }
}

void sl__ports_correct(sl_case *cs, double *dx)
{
    const sl__network *net = &cs->net;
    sl__ports *p = &cs->ports;
    if (factor_slopes(cs, p, false) != SL_OK) {
        return;
    }
    for (int32_t k = 0; k < p->count; k++) {
        p->dj[k] = p->slope[k] * across(net, dx, p->branch[k]);
    }
    sl__dense_solve(p->count, p->m, p->pivot, p->dj);
    memset(cs->b, 0, (size_t)net->rows * sizeof *cs->b);
    for (int32_t k = 0; k < p->count; k++) {
        inject(net, cs->b, p->branch[k], p->dj[k]);
    }
    sl__factor_solve(net->factor, cs->b, cs->b);
    for (int32_t row = 0; row < net->rows; row++) {
        dx[row] += cs->b[row];
    }
}

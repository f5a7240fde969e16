/* tests/bench/factor_bench.c: the factor beside KLU, speed and accuracy in one run.

   factor_bench           the tables
   factor_bench --quick   few repeats of the smaller networks; times mean nothing then

   Either way the solutions are checked, and the exit status is 1 if one is wrong; never if one is
   slow. Only ratios of one run are worth comparing. */
#include "base/memory.h"
#include "klu_side.h"
#include "numeric/balance.h"
#include "numeric/factor_along.h"
#include "truth.h"

#include <amd.h>
#include <klu.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define VOLTAGE_TOLERANCE 4e-15 /* relative, raw */
#define CURRENT_TOLERANCE 1e-15 /* relative, refined */
#define LEAST_CURRENT 1e-12     /* amperes */

enum { MOST_ROUNDS = 64, STEPS = 3 };

static int failures = 0;

static void check(const char *network, const char *what, double got, double most)
{
    if (!(got <= most)) {
        printf("WRONG: %s: %s is %.2g, allowed %.2g\n", network, what, got, most);
        failures++;
    }
}

/* The two solvers behind one face: x holds b, and then x. */
static void solve_klu(void *solver, double *x)
{
    klu *k = solver;
    klu_solve(k->symbolic, k->numeric, k->a->n, 1, x, &k->common);
}

static void solve_ours(void *solver, double *x)
{
    sl__factor_solve(solver, x, x);
}

static double factor_klu_us(klu *k, const double *b, double *x, int32_t repeats)
{
    double start = now_us();
    for (int32_t i = 0; i < repeats; i++) {
        klu_refactor(k->a->start, k->a->row, k->a->value, k->symbolic, k->numeric, &k->common);
        memcpy(x, b, (size_t)k->a->n * sizeof *x);
        solve_klu(k, x);
    }
    return (now_us() - start) / repeats;
}

static double factor_ours_us(sl__factor *f, const double *g, const double *b, double *x,
                             int32_t repeats)
{
    double start = now_us();
    for (int32_t i = 0; i < repeats; i++) {
        sl__factor_update(f, g);
        sl__factor_solve(f, b, x);
    }
    return (now_us() - start) / repeats;
}

/* SL__LANES networks of one shape at once, here all alike, and every row of them is wanted. */
typedef struct abreast {
    sl__along *along;
    int32_t rows, *place; /* of each row */
    double *room, *g, *b, *y;
} abreast;

static double *in_every_lane(const double *v, int32_t count)
{
    double *all = cells(count * SL__LANES, sizeof *all);
    for (int32_t k = 0; k < count * SL__LANES; k++) {
        all[k] = v[k / SL__LANES];
    }
    return all;
}

static abreast abreast_of(const sl__factor *f, const netgen *net, const double *b)
{
    const int32_t rows = net->rows, blocks = sl__factor_blocks(f);
    abreast w = {.rows = rows, .place = cells(rows, sizeof *w.place)};
    uint8_t *ways = cells(blocks, sizeof *ways);
    memset(ways, SL__WAY_IN | SL__WAY_OUT, (size_t)blocks);
    if (sl__along_new(&sl__default_alloc, f, ways, &w.along) < 0) {
        exit(1);
    }
    sl__along_place(f, w.place);
    w.room = cells(sl__along_room(w.along) * SL__LANES, sizeof *w.room);
    w.g = in_every_lane(net->g, net->branches);
    w.b = in_every_lane(b, rows);
    w.y = cells(rows * SL__LANES, sizeof *w.y);
    free(ways);
    return w;
}

static void abreast_end(abreast *w)
{
    sl__along_free(w->along);
    free(w->place);
    free(w->room);
    free(w->g);
    free(w->b);
    free(w->y);
}

static double factor_abreast_us(abreast *w, int32_t repeats)
{
    const int32_t kernel = sl__lane_kernels();
    int32_t dead[SL__LANES];
    double start = now_us();
    for (int32_t i = 0; i < repeats; i++) {
        for (int32_t r = 0; r < w->rows; r++) {
            memcpy(w->y + w->place[r] * SL__LANES, w->b + r * SL__LANES, SL__LANES * sizeof *w->y);
        }
        sl__along_factor(w->along, kernel, w->room, w->g, w->y, dead);
    }
    return (now_us() - start) / repeats / SL__LANES;
}

static void compare_speed(const char *name, netgen net, int32_t rounds, int32_t repeats)
{
    matrix a = assemble(&net);
    klu tuned = klu_of(&a, 1), plain = klu_of(&a, 0);
    sl__factor *f = NULL;
    double *b = cells(net.rows, sizeof *b), *x = cells(net.rows, sizeof *x);
    double *y = cells(net.rows, sizeof *y);
    if (sl__factor_new(NULL, net.rows, net.branches, net.from, net.to, &f) < 0) {
        exit(1);
    }
    netgen_currents_in(&net, b);
    abreast w = abreast_of(f, &net, b);
    double t_tuned[MOST_ROUNDS], t_plain[MOST_ROUNDS], t_ours[MOST_ROUNDS], t_lanes[MOST_ROUNDS];
    for (int32_t i = 0; i < rounds; i++) {
        t_plain[i] = factor_klu_us(&plain, b, x, repeats);
        t_tuned[i] = factor_klu_us(&tuned, b, x, repeats);
        t_ours[i] = factor_ours_us(f, net.g, b, y, repeats);
        t_lanes[i] = factor_abreast_us(&w, repeats);
    }
    double us_tuned = median(t_tuned, rounds), us_plain = median(t_plain, rounds);
    double us_ours = median(t_ours, rounds), apart = 0.0;
    double us_lanes = median(t_lanes, rounds), differ = 0.0;
    for (int32_t r = 0; r < net.rows; r++) {
        const double lane = w.y[w.place[r] * SL__LANES + r % SL__LANES];
        differ = fmax(differ, fabs(lane - y[r]) / (fabs(y[r]) + 1e-6));
        apart = fmax(apart, fabs(x[r] - y[r]) / (fabs(y[r]) + 1e-6));
    }
    check(name, "distance from KLU", apart, 1e-6);
    check(name, "distance of a lane", differ, 2.0 * VOLTAGE_TOLERANCE);
    printf("%-9s %6d %8d %9lld | %10.1f %10.1f %10.1f | %7.2f %7.2f | %10.1f %7.1f\n", name,
           (int)net.rows, (int)net.branches, (long long)sl__factor_fill(f), us_ours, us_tuned,
           us_plain, us_ours / us_tuned, us_ours / us_plain, us_lanes, us_tuned / us_lanes);
    abreast_end(&w);
    sl__factor_free(f);
    klu_end(&tuned);
    klu_end(&plain);
    matrix_free(&a);
    netgen_free(&net);
    free(b);
    free(x);
    free(y);
}

static void compare_analysis(const char *name, netgen net, int32_t rounds)
{
    matrix a = assemble(&net);
    int *order = cells(a.n, sizeof *order);
    double t_amd[MOST_ROUNDS], t_klu[MOST_ROUNDS], t_ours[MOST_ROUNDS];
    klu_common common;
    klu_defaults(&common);
    common.btf = 0;
    for (int32_t i = -1; i < rounds; i++) { /* round -1 only makes the heap warm */
        int32_t k = i < 0 ? 0 : i;
        sl__factor *f = NULL;
        double start = now_us();
        amd_order(a.n, a.start, a.row, order, NULL, NULL);
        t_amd[k] = now_us() - start;
        start = now_us();
        klu_symbolic *symbolic = klu_analyze(a.n, a.start, a.row, &common);
        t_klu[k] = now_us() - start;
        start = now_us();
        if (sl__factor_new(NULL, net.rows, net.branches, net.from, net.to, &f) < 0) {
            exit(1);
        }
        t_ours[k] = now_us() - start;
        sl__factor_free(f);
        klu_free_symbolic(&symbolic, &common);
    }
    double us_amd = median(t_amd, rounds), us_klu = median(t_klu, rounds);
    double us_ours = median(t_ours, rounds);
    printf("%-9s | %10.0f %10.0f %10.0f | %7.2f\n", name, us_ours, us_klu, us_amd,
           us_ours / us_klu);
    matrix_free(&a);
    netgen_free(&net);
    free(order);
}

/* Worst relative errors: of voltages, and of the currents above LEAST_CURRENT straight from them
   and after each step. */
typedef struct errors {
    double voltage, current[STEPS + 1];
} errors;

/* What is known of a network, and room for a solution of it. */
typedef struct trial {
    const netgen *net;
    wide *v, *i; /* truth */
    double *x;
    sl__pair *pair_v, *pair_i, *emf, *inject, *work;
} trial;

static trial trial_of(const netgen *net)
{
    int32_t n = net->rows, m = net->branches;
    trial t = {net,
               cells(n, sizeof(wide)),
               cells(m, sizeof(wide)),
               cells(n, sizeof(double)),
               cells(n, sizeof(sl__pair)),
               cells(m, sizeof(sl__pair)),
               cells(m, sizeof(sl__pair)),
               cells(n, sizeof(sl__pair)),
               cells(n, sizeof(sl__pair))};
    wide *b = cells(n, sizeof *b);
    truth_currents_in(net, b);
    truth_solve(net, b, t.v);
    truth_currents(net, t.v, t.i);
    for (int32_t e = 0; e < m; e++) {
        t.emf[e] = sl__pair_of(net->emf[e]);
    }
    for (int32_t r = 0; r < n; r++) {
        t.inject[r] = sl__pair_of(net->inject[r]);
    }
    free(b);
    return t;
}

static void trial_free(trial *t)
{
    free(t->v);
    free(t->i);
    free(t->x);
    free(t->pair_v);
    free(t->pair_i);
    free(t->emf);
    free(t->inject);
    free(t->work);
}

static double worst_current(const trial *t)
{
    double worst = 0.0;
    for (int32_t e = 0; e < t->net->branches; e++) {
        if (fabs((double)t->i[e]) > LEAST_CURRENT) {
            wide i = (wide)t->pair_i[e].hi + (wide)t->pair_i[e].lo;
            worst = fmax(worst, truth_error(i, t->i[e]));
        }
    }
    return worst;
}

static void try_solver(trial *t, void (*solve)(void *, double *), void *solver, errors *worst)
{
    const netgen *net = t->net;
    netgen_currents_in(net, t->x);
    solve(solver, t->x);
    for (int32_t r = 0; r < net->rows; r++) {
        worst->voltage = fmax(worst->voltage, truth_error((wide)t->x[r], t->v[r]));
        t->pair_v[r] = sl__pair_of(t->x[r]);
    }
    sl__pair_currents(net->branches, net->from, net->to, net->g, t->emf, t->pair_v, t->pair_i);
    worst->current[0] = fmax(worst->current[0], worst_current(t));
    for (int32_t step = 1; step <= STEPS; step++) {
        sl__pair_residual(net->rows, net->branches, net->from, net->to, t->pair_i, t->inject,
                          t->work, t->x);
        solve(solver, t->x);
        sl__pair_correct(net->rows, net->branches, net->from, net->to, net->g, t->x, t->pair_v,
                         t->pair_i);
        worst->current[step] = fmax(worst->current[step], worst_current(t));
    }
}

static void try_network(netgen net, errors *ours, errors *theirs)
{
    trial t = trial_of(&net);
    matrix a = assemble(&net);
    klu k = klu_of(&a, 1);
    sl__factor *f = NULL;
    if (sl__factor_new(NULL, net.rows, net.branches, net.from, net.to, &f) < 0) {
        exit(1);
    }
    sl__factor_update(f, net.g);
    try_solver(&t, solve_ours, f, ours);
    if (k.numeric) { /* rounding may leave it a pivot of zero */
        try_solver(&t, solve_klu, &k, theirs);
    }
    sl__factor_free(f);
    klu_end(&k);
    matrix_free(&a);
    trial_free(&t);
    netgen_free(&net);
}

static void print_errors(const char *name, const errors *ours, const errors *theirs)
{
    printf("%-12s | %9.1e %9.1e | %9.1e %9.1e %9.1e | %9.1e %9.1e %9.1e\n", name, ours->voltage,
           theirs->voltage, ours->current[0], ours->current[1], ours->current[3],
           theirs->current[0], theirs->current[1], theirs->current[3]);
    check(name, "worst voltage", ours->voltage, VOLTAGE_TOLERANCE);
    check(name, "worst current after three steps", ours->current[3], CURRENT_TOLERANCE);
}

/* What one step costs beside the factor and the solution it refines. */
static void time_step(netgen net, int32_t rounds, int32_t repeats)
{
    trial t = trial_of(&net);
    sl__factor *f = NULL;
    double t_step[MOST_ROUNDS], t_factor[MOST_ROUNDS];
    if (sl__factor_new(NULL, net.rows, net.branches, net.from, net.to, &f) < 0) {
        exit(1);
    }
    double *b = cells(net.rows, sizeof *b);
    netgen_currents_in(&net, b);
    for (int32_t i = 0; i < rounds; i++) {
        t_factor[i] = factor_ours_us(f, net.g, b, t.x, repeats);
        double start = now_us();
        for (int32_t k = 0; k < repeats; k++) {
            for (int32_t r = 0; r < net.rows; r++) {
                t.pair_v[r] = sl__pair_of(t.x[r]);
            }
            sl__pair_currents(net.branches, net.from, net.to, net.g, t.emf, t.pair_v, t.pair_i);
            sl__pair_residual(net.rows, net.branches, net.from, net.to, t.pair_i, t.inject, t.work,
                              b);
            sl__factor_solve(f, b, b);
            sl__pair_correct(net.rows, net.branches, net.from, net.to, net.g, b, t.pair_v,
                             t.pair_i);
        }
        t_step[i] = (now_us() - start) / repeats;
        netgen_currents_in(&net, b);
    }
    double us_step = median(t_step, rounds), us_factor = median(t_factor, rounds);
    printf("%d rows: currents and one step %.1f us, factor and solution %.1f us, ratio %.2f\n",
           (int)net.rows, us_step, us_factor, us_step / us_factor);
    sl__factor_free(f);
    free(b);
    trial_free(&t);
    netgen_free(&net);
}

static void speed_tables(int quick)
{
    printf(
        "Factor again and solve: median time in microseconds, and ratios of the times.\n"
        "Networks: v = vehicle-like, m = mesh. KLU tuned: btf off, scaling off. Lanes: each of\n"
        "%d networks of one shape at once, every row of them wanted, and how many of them in the\n"
        "time of KLU tuned.\n\n"
        "%-9s %6s %8s %9s | %10s %10s %10s | %7s %7s | %10s %7s\n",
        SL__LANES, "network", "rows", "branches", "L entries", "ours us", "tuned us", "default us",
        "/tuned", "/deflt", "lanes us", "tuned/");
    int32_t rounds = quick ? 1 : 41;
    compare_speed("v60", netgen_vehicle(60, 1), rounds, quick ? 2 : 400);
    compare_speed("v300", netgen_vehicle(300, 1), rounds, quick ? 2 : 60);
    compare_speed("v1000", netgen_vehicle(1000, 1), rounds, quick ? 1 : 10);
    compare_speed("m30x30", netgen_mesh(30, 1), rounds, quick ? 1 : 10);
    if (!quick) {
        compare_speed("v10000", netgen_vehicle(10000, 1), 9, 1);
        compare_speed("m100x100", netgen_mesh(100, 1), 21, 1);
        compare_speed("m316x316", netgen_mesh(316, 1), 5, 1);
    }
    printf("\nAnalysis: median time in microseconds, warm heap; ratio to klu_analyze, which also\n"
           "orders. Ours includes finding the pattern from the list of branches.\n\n"
           "%-9s | %10s %10s %10s | %7s\n",
           "network", "ours us", "KLU us", "AMD us", "/KLU");
    rounds = quick ? 1 : 21;
    compare_analysis("v60", netgen_vehicle(60, 1), rounds);
    compare_analysis("v300", netgen_vehicle(300, 1), rounds);
    compare_analysis("v1000", netgen_vehicle(1000, 1), rounds);
    if (!quick) {
        compare_analysis("v10000", netgen_vehicle(10000, 1), 9);
        compare_analysis("m100x100", netgen_mesh(100, 1), 9);
        compare_analysis("m316x316", netgen_mesh(316, 1), 3);
    }
}

static void accuracy_tables(int quick)
{
    uint64_t seeds = quick ? 3 : 50;
    printf(
        "\nWorst relative errors over %d networks a line, against 34-digit arithmetic: of node\n"
        "voltages straight from the solver, and of branch currents above %.0e A in pairs, from\n"
        "those voltages (raw) and after one and three steps of refinement with the same solver.\n"
        "iso R: 30 of 60 rows are cables of about 1e-5 ohm behind isolation of about R ohm.\n\n"
        "%-12s | %19s | %29s | %29s\n%-12s | %9s %9s | %9s %9s %9s | %9s %9s %9s\n",
        (int)seeds, LEAST_CURRENT, "", "voltages", "currents, ours", "currents, KLU", "network",
        "ours", "KLU", "raw", "1 step", "3 steps", "raw", "1 step", "3 steps");
    for (double ohm = 1e7; ohm < 2e14; ohm *= 10.0) {
        errors ours = {0}, theirs = {0};
        char name[32];
        snprintf(name, sizeof name, "iso %.0e", ohm);
        for (uint64_t seed = 1; seed <= seeds; seed++) {
            try_network(netgen_isolated(ohm, seed), &ours, &theirs);
        }
        print_errors(name, &ours, &theirs);
    }
    errors ours = {0}, theirs = {0};
    for (uint64_t seed = 1; seed <= seeds; seed++) {
        try_network(netgen_vehicle(60, seed), &ours, &theirs);
    }
    print_errors("v60", &ours, &theirs);
    check("v60", "worst current after one step", ours.current[1], CURRENT_TOLERANCE);
    ours = theirs = (errors){0};
    for (uint64_t seed = 1; seed <= (quick ? 1 : 5); seed++) {
        try_network(netgen_vehicle(300, seed), &ours, &theirs);
    }
    print_errors("v300", &ours, &theirs);
    check("v300", "worst current after one step", ours.current[1], CURRENT_TOLERANCE);
    printf("\nThe price of pairs:\n");
    time_step(netgen_vehicle(300, 1), quick ? 1 : 41, quick ? 2 : 60);
    time_step(netgen_vehicle(1000, 1), quick ? 1 : 41, quick ? 1 : 10);
}

int main(int argc, char **argv)
{
    int quick = argc > 1 && strcmp(argv[1], "--quick") == 0;
    if (argc > 2 || (argc == 2 && !quick)) {
        fputs("usage: factor_bench [--quick]\n", stderr);
        return 2;
    }
    speed_tables(quick);
    accuracy_tables(quick);
    return failures > 0;
}

/* tests/bench/table_bench.c: a table of a sweep by the public calls: every branch of a network with
   25 resistances in series, and shorts between nodes, beside KLU, which factors again and solves
   for each case.

   table_bench           the tables
   table_bench --quick   the smaller sweep, once; times mean nothing then

   Either way cases picked at random are compared with whole solves, and the exit status is 1 if one
   differs; never if one is slow. Only ratios of one run are worth comparing. */
#include "klu_side.h"
#include "rig.h"
#include "strapline/sweep.h"

#include <klu.h>
#include <math.h>
#include <stdbool.h>

enum { SEVERITIES = 25, METERS = 8, CHECKS = 400, ROUNDS = 7 };

#define AGREE 1e-9    /* relative */
#define AGREE_V 1e-12 /* or absolute */

static void node_name(char *name, size_t size, int32_t row)
{
    if (row < 0) {
        snprintf(name, size, "ref");
    } else {
        snprintf(name, size, "n%d", (int)row);
    }
}

/* A network as a circuit: resistors b0, b1, ... and the battery, an ideal source at "post". */
static sl_circuit *circuit_of(const netgen *net)
{
    sl_circuit *c = rig_circuit(NULL);
    char a[16], b[16], nodes[40], values[64], name[16];
    for (int32_t e = 0; e < net->branches; e++) {
        node_name(a, sizeof a, net->from[e]);
        node_name(b, sizeof b, net->to[e]);
        if (net->emf[e] != 0.0) {
            snprintf(nodes, sizeof nodes, "post %s", a);
            snprintf(values, sizeof values, "voltage=%.17g", net->emf[e]);
            rig_part(c, "source", "E", nodes, values);
            snprintf(a, sizeof a, "post");
        }
        snprintf(nodes, sizeof nodes, "%s %s", a, b);
        snprintf(name, sizeof name, "b%d", (int)e);
        snprintf(values, sizeof values, "resistance=%.17g", 1.0 / net->g[e]);
        rig_part(c, "resistor", name, nodes, values);
    }
    if (sl_circuit_set_reference(c, sl_circuit_find_node(c, "ref")) != SL_OK) {
        exit(1);
    }
    return c;
}

static void must(sl_status status)
{
    if (status < 0) {
        fprintf(stderr, "%s\n", sl_status_text(status));
        exit(1);
    }
}

static sl_node node_of(const sl_circuit *c, int32_t row)
{
    char name[16];
    node_name(name, sizeof name, row);
    return sl_circuit_find_node(c, name);
}

/* Series resistances in every branch, then shorts between random nodes; some voltages, or all. */
static sl_sweep *sweep_of(const sl_circuit *c, const netgen *net, int32_t faults, bool all)
{
    sl_sweep *sweep = NULL;
    uint64_t random = 7;
    must(sl_sweep_new(c, &sweep));
    for (int32_t f = 0; f < faults; f++) {
        char name[16];
        snprintf(name, sizeof name, "b%d", (int)f);
        const int32_t a = netgen_below(&random, net->rows);
        const int32_t b = (a + 1 + netgen_below(&random, net->rows - 1)) % net->rows;
        for (int32_t k = 0; k < SEVERITIES; k++) {
            const double ohm = pow(10.0, -4.0 + 10.0 * k / (SEVERITIES - 1));
            if (f < net->branches) {
                const sl_edit edit = rig_series(c, name, NULL, ohm);
                must(sl_sweep_add_edits(sweep, name, &edit, 1));
            } else {
                must(sl_sweep_add_leak(sweep, node_of(c, a), node_of(c, b), ohm));
            }
        }
    }
    for (int32_t m = 0; m < (all ? net->rows : METERS); m++) {
        const sl_node red = node_of(c, all ? m : netgen_below(&random, net->rows));
        const sl_sweep_reading volts = {SL_SWEEP_VOLTAGE, red, sl_circuit_reference(c), 0};
        must(sl_sweep_add_reading(sweep, &volts));
    }
    return sweep;
}

static sl_sweeper *sweeper_of(const sl_sweep *sweep, bool quick)
{
    sl_sweeper *w = NULL;
    const sl_sweep_setup setup = {NULL, 0, false, quick};
    must(sl_sweeper_new(sweep, &setup, &w));
    return w;
}

typedef struct check {
    const double *table;
    int32_t readings;
    double worst;
} check;

static bool compare(void *user, const sl_sweep_row *row)
{
    check *c = user;
    for (int32_t r = 0; r < c->readings; r++) {
        const double got = c->table[row->index * c->readings + r], want = row->value[r];
        const double off = fabs(got - want) / (fabs(want) + AGREE_V / AGREE);
        c->worst = off <= c->worst ? c->worst : off;
    }
    return true;
}

/* Cases picked at random, solved whole. */
static double worst_of(const sl_sweep *sweep, const double *table, int64_t cases)
{
    check c = {table, sl_sweep_reading_count(sweep), 0.0};
    sl_sweeper *w = sweeper_of(sweep, false);
    uint64_t random = 3;
    for (int32_t n = 0; n < CHECKS; n++) {
        must(sl_sweeper_run(w, netgen_below(&random, (int32_t)cases), 1, compare, &c, NULL));
    }
    sl_sweeper_free(w);
    return c.worst;
}

static double klu_case_us(const netgen *net, int32_t cases)
{
    matrix a = assemble(net);
    klu k = klu_of(&a, 1);
    double *x = cells(net->rows, sizeof *x), times[ROUNDS];
    for (int32_t i = 0; i < ROUNDS; i++) {
        double start = now_us();
        for (int32_t c = 0; c < cases; c++) {
            klu_refactor(a.start, a.row, a.value, k.symbolic, k.numeric, &k.common);
            netgen_currents_in(net, x);
            klu_solve(k.symbolic, k.numeric, a.n, 1, x, &k.common);
        }
        times[i] = (now_us() - start) / cases;
    }
    free(x);
    klu_end(&k);
    matrix_free(&a);
    return median(times, ROUNDS);
}

static int table(int32_t rows, int32_t faults, bool all, bool quick)
{
    netgen net = netgen_vehicle(rows, 1);
    sl_circuit *c = circuit_of(&net);
    sl_sweep *sweep = sweep_of(c, &net, faults, all);
    const int64_t cases = sl_sweep_case_count(sweep);
    const int32_t readings = sl_sweep_reading_count(sweep);
    double *values = cells((int32_t)(cases * readings), sizeof *values);
    sl_sweep_mark *marks = cells((int32_t)cases, sizeof *marks);
    double first[ROUNDS], again[ROUNDS];
    sl_sweep_stats stats = {0};
    for (int32_t i = 0; i < (quick ? 1 : ROUNDS); i++) {
        double start = now_us();
        sl_sweeper *w = sweeper_of(sweep, true);
        must(sl_sweeper_fill(w, 0, cases, values, marks, NULL));
        first[i] = (now_us() - start) / (double)cases;
        sl_sweeper_stats(w, &stats);
        start = now_us();
        must(sl_sweeper_fill(w, 0, cases, values, marks, NULL));
        again[i] = (now_us() - start) / (double)cases;
        sl_sweeper_free(w);
    }
    const double worst = worst_of(sweep, values, cases);
    printf("%d nodes, %d branches, %d faults x %d, %d voltages: %lld of %lld cases in closed form; "
           "%d against whole solves: worst %.1e, allowed %.0e\n",
           (int)rows, (int)net.branches, (int)faults, SEVERITIES, (int)readings,
           (long long)stats.closed_forms, (long long)stats.cases, CHECKS, worst, AGREE);
    if (!quick) {
        const double klu_us = klu_case_us(&net, rows <= 300 ? 2000 : 20);
        const double once = median(first, ROUNDS), twice = median(again, ROUNDS);
        printf("   KLU %.2f us a case; with a new sweeper %.4f us, KLU / ours %.0f; again %.4f us, "
               "KLU / ours %.0f; writes %.2f GB/s\n",
               klu_us, once, klu_us / once, twice, klu_us / twice,
               (double)readings * sizeof(double) / twice * 1e-3);
    }
    free(values);
    free(marks);
    sl_sweep_free(sweep);
    sl_circuit_free(c);
    netgen_free(&net);
    return !(worst <= AGREE) || stats.closed_forms < cases / 2;
}

int main(int argc, char **argv)
{
    const bool quick = argc > 1 && strcmp(argv[1], "--quick") == 0;
    int failed = table(300, 600, false, quick);
    if (!quick) {
        failed += table(300, 600, true, quick);
        failed += table(5000, 10000, false, quick);
    }
    return failed ? 1 : 0;
}

/* tests/bench/table_bench.c: a table of a sweep by the public calls: every branch of a network with
   25 resistances in series, and shorts between nodes, or two of these at a time; beside KLU, which
   factors again and solves for each case.

   table_bench           the tables
   table_bench --quick   the smallest one, once; times mean nothing then

   Either way cases picked at random are compared with 34 digits, or in large networks with whole
   solves, and the exit status is 1 if one differs; never if one is slow. KLU and the calls take
   turns; only ratios of one run are worth comparing. */
#include "klu_side.h"
#include "rig.h"
#include "strapline/sweep.h"
#include "truth.h"

#include <klu.h>
#include <math.h>
#include <stdbool.h>

#ifdef __SSE2__
#include <emmintrin.h>
#endif

enum { MOST_SEVERITIES = 25, METERS = 8, MOST_ROUNDS = 101, AGAIN = 5 };

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

/* A network and what is asked of it. */
typedef struct question {
    netgen net;
    sl_circuit *circuit;
    sl_sweep *sweep;
    int32_t faults, severities, readings;
    int32_t *a,
        *b; /* [faults] the rows that a short joins; -1, -1 in a branch, which has its number */
    int32_t *meter; /* [readings] rows, read against the reference */
    double ohm[MOST_SEVERITIES];
    int64_t cases;
    double *values;
    sl_sweep_mark *marks;
} question;

static void add_faults(question *q, uint64_t *random)
{
    for (int32_t f = 0; f < q->faults; f++) {
        const bool branch = f < q->net.branches;
        char name[16];
        snprintf(name, sizeof name, "b%d", (int)f);
        q->a[f] = branch ? -1 : netgen_below(random, q->net.rows);
        q->b[f] = branch ? -1 : (q->a[f] + 1 + netgen_below(random, q->net.rows - 1)) % q->net.rows;
        for (int32_t k = 0; k < q->severities; k++) {
            const sl_edit edit = rig_series(q->circuit, branch ? name : "b0", NULL, q->ohm[k]);
            must(branch ? sl_sweep_add_edits(q->sweep, name, &edit, 1)
                        : sl_sweep_add_leak(q->sweep, node_of(q->circuit, q->a[f]),
                                            node_of(q->circuit, q->b[f]), q->ohm[k]));
        }
    }
}

/* What a table is of: series resistances in every branch, then shorts between random nodes, each in
   so many severities, alone or two at a time; some voltages, or all. */
typedef struct scope {
    int32_t rows, faults, severities;
    bool pairs, all;
} scope;

static question question_of(const scope *of)
{
    const int32_t rows = of->rows, faults = of->faults;
    const bool all = of->all;
    question q = {.net = netgen_vehicle(rows, 1), .faults = faults, .severities = of->severities};
    uint64_t random = 7;
    q.readings = all ? rows : METERS;
    q.circuit = circuit_of(&q.net);
    q.a = cells(faults, sizeof *q.a);
    q.b = cells(faults, sizeof *q.b);
    q.meter = cells(q.readings, sizeof *q.meter);
    must(sl_sweep_new(q.circuit, &q.sweep));
    for (int32_t k = 0; k < q.severities; k++) {
        q.ohm[k] = pow(10.0, -4.0 + 10.0 * k / (q.severities - 1));
    }
    add_faults(&q, &random);
    for (int32_t m = 0; m < q.readings; m++) {
        q.meter[m] = all ? m : netgen_below(&random, rows);
        const sl_sweep_reading volts = {SL_SWEEP_VOLTAGE, node_of(q.circuit, q.meter[m]),
                                        sl_circuit_reference(q.circuit), 0};
        must(sl_sweep_add_reading(q.sweep, &volts));
    }
    sl_sweep_set_pairs(q.sweep, of->pairs);
    q.cases = sl_sweep_case_count(q.sweep);
    q.values = cells((int32_t)(q.cases * q.readings), sizeof *q.values);
    q.marks = cells((int32_t)q.cases, sizeof *q.marks);
    memset(q.values, 0, (size_t)(q.cases * q.readings) * sizeof *q.values);
    return q;
}

static void question_end(question *q)
{
    sl_sweep_free(q->sweep);
    sl_circuit_free(q->circuit);
    netgen_free(&q->net);
    free(q->a);
    free(q->b);
    free(q->meter);
    free(q->values);
    free(q->marks);
}

static sl_sweeper *sweeper_of(const question *q, bool quick)
{
    sl_sweeper *w = NULL;
    const sl_sweep_setup setup = {NULL, 0, false, quick};
    must(sl_sweeper_new(q->sweep, &setup, &w));
    return w;
}

static double off_by(double got, double want)
{
    const double off = fabs(got - want) / (fabs(want) + AGREE_V / AGREE);
    return off >= 0.0 ? off : INFINITY;
}

/* A copy of a network, with room for two branches more, that are not there. */
static netgen copy_of(const netgen *net)
{
    const int32_t m = net->branches;
    netgen copy = *net;
    copy.branches = m + 2;
    copy.from = cells(m + 2, sizeof *copy.from);
    copy.to = cells(m + 2, sizeof *copy.to);
    copy.g = cells(m + 2, sizeof *copy.g);
    copy.emf = cells(m + 2, sizeof *copy.emf);
    copy.inject = cells(net->rows, sizeof *copy.inject);
    memcpy(copy.from, net->from, (size_t)m * sizeof *copy.from);
    memcpy(copy.to, net->to, (size_t)m * sizeof *copy.to);
    memcpy(copy.g, net->g, (size_t)m * sizeof *copy.g);
    memcpy(copy.emf, net->emf, (size_t)m * sizeof *copy.emf);
    memcpy(copy.inject, net->inject, (size_t)net->rows * sizeof *copy.inject);
    return copy;
}

/* A fault of the sweep in a network; `spare` is a branch that is not there. */
static void spoil(const question *q, netgen *net, int32_t fault, int32_t spare)
{
    const int32_t f = fault / q->severities, k = fault % q->severities;
    if (f < q->net.branches) {
        net->g[f] = 1.0 / (1.0 / q->net.g[f] + q->ohm[k]);
    } else {
        net->from[spare] = q->a[f];
        net->to[spare] = q->b[f];
        net->g[spare] = 1.0 / q->ohm[k];
    }
}

/* Cases picked at random, against 34 digits: the worst difference. */
static double worst_of_truth(const question *q, int32_t checks)
{
    const int32_t rows = q->net.rows;
    wide *b = cells(rows, sizeof *b), *v = cells(rows, sizeof *v);
    uint64_t random = 3;
    double worst = 0.0;
    for (int32_t n = 0; n < checks; n++) {
        const int32_t index = 1 + netgen_below(&random, (int32_t)q->cases - 1);
        netgen net = copy_of(&q->net);
        sl_sweep_case what;
        sl_sweep_case_at(q->sweep, index, &what);
        spoil(q, &net, what.fault, q->net.branches);
        if (what.second != SL_NONE) {
            spoil(q, &net, what.second, q->net.branches + 1);
        }
        truth_currents_in(&net, b);
        truth_solve(&net, b, v);
        for (int32_t r = 0; r < q->readings; r++) {
            const double got = q->values[(int64_t)index * q->readings + r];
            worst = fmax(worst, off_by(got, (double)v[q->meter[r]]));
        }
        netgen_free(&net);
    }
    free(b);
    free(v);
    return worst;
}

typedef struct check {
    const question *q;
    double worst;
} check;

static bool compare(void *user, const sl_sweep_row *row)
{
    check *c = user;
    for (int32_t r = 0; r < c->q->readings; r++) {
        const double got = c->q->values[row->index * c->q->readings + r];
        c->worst = fmax(c->worst, off_by(got, row->value[r]));
    }
    return true;
}

/* The same against whole solves. */
static double worst_of_solves(const question *q, int32_t checks)
{
    check c = {q, 0.0};
    sl_sweeper *w = sweeper_of(q, false);
    uint64_t random = 3;
    for (int32_t n = 0; n < checks; n++) {
        must(sl_sweeper_run(w, netgen_below(&random, (int32_t)q->cases), 1, compare, &c, NULL));
    }
    sl_sweeper_free(w);
    return c.worst;
}

/* Processor time: others may be at work on this machine. To ask for it is to call the system, after
   which a run of some microseconds is slower: such a one is timed by the wall. */
static double used_us(void)
{
    return (double)clock() * (1e6 / CLOCKS_PER_SEC);
}

typedef struct peer {
    matrix a;
    klu k;
    double *x;
} peer;

static double klu_us(peer *p, const netgen *net, int32_t cases)
{
    const double start = used_us();
    for (int32_t c = 0; c < cases; c++) {
        klu_refactor(p->a.start, p->a.row, p->a.value, p->k.symbolic, p->k.numeric, &p->k.common);
        netgen_currents_in(net, p->x);
        klu_solve(p->k.symbolic, p->k.numeric, p->a.n, 1, p->x, &p->k.common);
    }
    return (used_us() - start) / cases;
}

/* What this machine takes to write as much past its caches. */
static double write_us(double *out, int64_t count)
{
    const double start = used_us();
#ifdef __SSE2__
    const __m128d some = _mm_set1_pd(1.0);
    const int64_t first = (uintptr_t)out % 16 != 0;
    for (int64_t k = first; k + 2 <= count; k += 2) {
        _mm_stream_pd(out + k, some);
    }
    _mm_sfence();
#else
    memset(out, 1, (size_t)count * sizeof *out);
#endif
    return used_us() - start;
}

static double fill_us(const question *q, sl_sweeper *w)
{
    double (*clock_of)(void) = q->cases * q->readings < 1 << 18 ? now_us : used_us;
    const double start = clock_of();
    must(sl_sweeper_fill(w, 0, q->cases, q->values, q->marks, NULL));
    return clock_of() - start;
}

static void race(const question *q, int32_t rounds, int32_t klu_cases)
{
    static double solve[MOST_ROUNDS], make[MOST_ROUNDS], again[MOST_ROUNDS], write[MOST_ROUNDS];
    peer p = {.a = assemble(&q->net), .x = cells(q->net.rows, sizeof(double))};
    p.k = klu_of(&p.a, 1);
    for (int32_t i = 0; i < rounds; i++) {
        double some[AGAIN];
        solve[i] = klu_us(&p, &q->net, klu_cases);
        write[i] = write_us(q->values, q->cases * q->readings);
        const double start = used_us();
        sl_sweeper *w = sweeper_of(q, true);
        fill_us(q, w);
        make[i] = used_us() - start;
        for (int32_t n = 0; n < AGAIN; n++) {
            some[n] = fill_us(q, w);
        }
        again[i] = median(some, AGAIN);
        sl_sweeper_free(w);
    }
    const double each = median(solve, rounds), all = each * (double)q->cases;
    const double new_us = median(make, rounds), old_us = median(again, rounds);
    printf("   KLU %.2f us a case; with a new sweeper %.0f us, KLU / ours %.0f; again %.0f us or "
           "%.2f ns a case, KLU / ours %.0f\n",
           each, new_us, all / new_us, old_us, old_us * 1e3 / (double)q->cases, all / old_us);
    if (q->readings > METERS) {
        const double bytes = (double)(q->cases * q->readings) * sizeof(double);
        printf("   writes %.1f GB/s; past the caches this machine writes %.1f: %.0f %%\n",
               bytes / old_us * 1e-3, bytes / median(write, rounds) * 1e-3,
               100.0 * median(write, rounds) / old_us);
    }
    free(p.x);
    klu_end(&p.k);
    matrix_free(&p.a);
}

static int table(scope of, bool quick)
{
    question q = question_of(&of);
    const bool small = of.rows <= 300;
    const int32_t checks = small ? 400 : 40;
    sl_sweeper *w = sweeper_of(&q, true);
    sl_sweep_stats stats;
    fill_us(&q, w);
    sl_sweeper_stats(w, &stats);
    sl_sweeper_free(w);
    const double worst = small ? worst_of_truth(&q, checks) : worst_of_solves(&q, checks);
    printf("%d nodes, %d branches, %d faults x %d%s, %d voltages: %lld of %lld cases in closed "
           "form; %d against %s: worst %.1e, allowed %.0e\n",
           (int)of.rows, (int)q.net.branches, (int)of.faults, (int)of.severities,
           of.pairs ? ", alone and in pairs" : "", (int)q.readings, (long long)stats.closed_forms,
           (long long)stats.cases, (int)checks, small ? "34 digits" : "whole solves", worst, AGREE);
    if (!quick) {
        race(&q, !small ? 5 : of.all || of.pairs ? 25 : MOST_ROUNDS, small ? 50 : 10);
    }
    question_end(&q);
    return worst > AGREE || stats.closed_forms < q.cases / 2;
}

int main(int argc, char **argv)
{
    const bool quick = argc > 1 && strcmp(argv[1], "--quick") == 0;
    int failed = table((scope){300, 600, 25, false, false}, quick);
    failed += table((scope){300, quick ? 50 : 500, 2, true, false}, quick);
    if (!quick) {
        failed += table((scope){300, 600, 25, false, true}, quick);
        failed += table((scope){5000, 10000, 25, false, false}, quick);
    }
    return failed ? 1 : 0;
}

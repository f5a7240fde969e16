/* tests/bench/quick_bench.c: faults in a network with 20 lamps, each branch with 25 resistances in
   series: answered from the healthy circuit, solved whole, and by Newton's method with KLU, which
   starts each case from the one before.

   quick_bench           the table
   quick_bench --quick   fewer faults, once; times mean nothing then

   What is raced is a case as a whole, and eight voltages of each by the calls of a sweep. Either
   way the three are compared, and the exit status is 1 if they differ; never if one is slow. Only
   ratios of one run are worth comparing. */
#include "klu_side.h"
#include "netgen.h"
#include "rig.h"
#include "strapline/sweep.h"

#include <klu.h>
#include <math.h>
#include <stdbool.h>

enum { ROWS = 300, LAMPS = 20, SEVERITIES = 25, VOLTAGES = 8 };

#define AGREE 1e-6 /* the peer stops at 1e-8 */
#define STEP_LEAST 1e-8
#define LAMP_COLD 10.0 /* hot resistance / cold */

/* A vehicle whose first loads are lamps of 12 V; nodes are "n0" and so on, the reference "ref". */
typedef struct car {
    netgen net;
    sl_circuit *circuit;
    int32_t lamp[LAMPS]; /* branches */
    double watts[LAMPS];
} car;

static void node_name(char *name, size_t size, int32_t row)
{
    if (row < 0) {
        snprintf(name, size, "ref");
    } else {
        snprintf(name, size, "n%d", (int)row);
    }
}

static car car_of(uint64_t seed)
{
    car c = {.net = netgen_vehicle(ROWS, seed), .circuit = rig_circuit(NULL)};
    char a[16], b[16], nodes[40], values[80], name[16];
    int32_t lamps = 0;
    for (int32_t e = 0; e < c.net.branches; e++) {
        node_name(a, sizeof a, c.net.from[e]);
        node_name(b, sizeof b, c.net.to[e]);
        snprintf(nodes, sizeof nodes, "%s %s", a, b);
        snprintf(name, sizeof name, "b%d", (int)e);
        double ohm = 1.0 / c.net.g[e];
        bool load = c.net.from[e] >= 0 && c.net.from[e] < ROWS / 2 && c.net.to[e] >= ROWS / 2;
        if (load && lamps < LAMPS && ohm > 2.0 && ohm < 100.0) {
            c.lamp[lamps] = e;
            c.watts[lamps] = 144.0 / ohm;
            snprintf(values, sizeof values, "power=%.17g", c.watts[lamps++]);
            rig_part(c.circuit, "lamp", name, nodes, values);
        } else if (c.net.emf[e] != 0.0) {
            snprintf(nodes, sizeof nodes, "post ref");
            snprintf(values, sizeof values, "voltage=%.17g", c.net.emf[e]);
            rig_part(c.circuit, "source", "E", nodes, values);
            snprintf(nodes, sizeof nodes, "post %s", b);
            snprintf(values, sizeof values, "resistance=%.17g", ohm);
            rig_part(c.circuit, "resistor", name, nodes, values);
        } else {
            snprintf(values, sizeof values, "resistance=%.17g", ohm);
            rig_part(c.circuit, "resistor", name, nodes, values);
        }
    }
    if (sl_circuit_set_reference(c.circuit, sl_circuit_find_node(c.circuit, "ref")) != SL_OK) {
        exit(1);
    }
    return c;
}

static void car_end(car *c)
{
    sl_circuit_free(c->circuit);
    netgen_free(&c->net);
}

/* The law of the lamps, for the peer: as the kind says, of a lamp of 12 V. */
static double lamp_amps(const car *c, int32_t l, double v, double *slope)
{
    const double rated = c->watts[l] / 12.0, cold = LAMP_COLD * rated / 12.0;
    const double knee = 12.0 * pow(LAMP_COLD, -1.0 / 0.45), size = fabs(v);
    if (size <= knee) {
        *slope = cold;
        return cold * v;
    }
    double amps = rated * pow(size / 12.0, 0.55);
    *slope = 0.55 * amps / size;
    return copysign(amps, v);
}

/* Newton's method: lamps as the lines that touch them, KLU for each step. */
typedef struct peer {
    const car *c;
    matrix a;
    klu k;
    double *fixed;       /* values of the matrix without the lamps */
    int place[LAMPS][4]; /* entries of a lamp: both diagonals, both others */
    int fault[4];        /* those of the faulted branch */
    double *x, *b, *drive;
    int64_t iterations;
} peer;

static int entry_of(const matrix *a, int row, int column)
{
    for (int p = a->start[column]; p < a->start[column + 1]; p++) {
        if (a->row[p] == row) {
            return p;
        }
    }
    return -1;
}

static void entries_of(const matrix *a, int from, int to, int place[4])
{
    place[0] = from < 0 ? -1 : entry_of(a, from, from);
    place[1] = to < 0 ? -1 : entry_of(a, to, to);
    place[2] = from < 0 || to < 0 ? -1 : entry_of(a, from, to);
    place[3] = from < 0 || to < 0 ? -1 : entry_of(a, to, from);
}

static void add_branch(double *value, const int place[4], double g)
{
    for (int p = 0; p < 4; p++) {
        if (place[p] >= 0) {
            value[place[p]] += p < 2 ? g : -g;
        }
    }
}

static peer peer_of(const car *c)
{
    peer p = {.c = c, .a = assemble(&c->net)};
    int32_t n = c->net.rows;
    p.k = klu_of(&p.a, 1);
    p.fixed = cells(p.a.start[n], sizeof *p.fixed);
    memcpy(p.fixed, p.a.value, (size_t)p.a.start[n] * sizeof *p.fixed);
    for (int32_t l = 0; l < LAMPS; l++) {
        int32_t e = c->lamp[l];
        entries_of(&p.a, c->net.from[e], c->net.to[e], p.place[l]);
        add_branch(p.fixed, p.place[l], -c->net.g[e]);
    }
    p.x = cells(n, sizeof *p.x);
    p.b = cells(n, sizeof *p.b);
    p.drive = cells(n, sizeof *p.drive);
    netgen_currents_in(&c->net, p.drive);
    return p;
}

static void peer_end(peer *p)
{
    klu_end(&p->k);
    matrix_free(&p->a);
    free(p->fixed);
    free(p->x);
    free(p->b);
    free(p->drive);
}

static double across(const peer *p, int32_t e)
{
    int32_t a = p->c->net.from[e], b = p->c->net.to[e];
    return (a < 0 ? 0.0 : p->x[a]) - (b < 0 ? 0.0 : p->x[b]);
}

/* From the voltages in x. A lamp that is the faulted branch itself is left to the others. */
static void peer_solve(peer *p, int32_t fault, double ohm)
{
    const netgen *net = &p->c->net;
    double g = net->g[fault];
    entries_of(&p->a, net->from[fault], net->to[fault], p->fault);
    for (int n = 0; n < 50; n++) {
        memcpy(p->a.value, p->fixed, (size_t)p->a.start[net->rows] * sizeof *p->fixed);
        memcpy(p->b, p->drive, (size_t)net->rows * sizeof *p->b);
        add_branch(p->a.value, p->fault, g / (1.0 + g * ohm) - g);
        for (int32_t l = 0; l < LAMPS; l++) {
            int32_t e = p->c->lamp[l], a = net->from[e], b = net->to[e];
            double slope, v = across(p, e), i = lamp_amps(p->c, l, v, &slope);
            add_branch(p->a.value, p->place[l], slope);
            if (a >= 0) {
                p->b[a] -= i - slope * v;
            }
            if (b >= 0) {
                p->b[b] += i - slope * v;
            }
        }
        klu_refactor(p->a.start, p->a.row, p->a.value, p->k.symbolic, p->k.numeric, &p->k.common);
        klu_solve(p->k.symbolic, p->k.numeric, net->rows, 1, p->b, &p->k.common);
        p->iterations++;
        double most = 0.0;
        for (int32_t r = 0; r < net->rows; r++) {
            most = fmax(most, fabs(p->b[r] - p->x[r]));
            p->x[r] = p->b[r];
        }
        if (most < STEP_LEAST) {
            break;
        }
    }
}

static bool is_lamp(const car *c, int32_t e)
{
    for (int32_t l = 0; l < LAMPS; l++) {
        if (c->lamp[l] == e) {
            return true;
        }
    }
    return false;
}

static double severity(int32_t k)
{
    return pow(10.0, -3.0 + 5.0 * k / (SEVERITIES - 1));
}

/* Series resistance in branches first, first + step, ...: microseconds a case. */
static double run_case(const car *c, sl_case *cs, int32_t first, int32_t step)
{
    int64_t cases = 0;
    double start = now_us();
    for (int32_t e = first; e < c->net.branches; e += step) {
        if (is_lamp(c, e) || c->net.emf[e] != 0.0) {
            continue;
        }
        char name[16];
        snprintf(name, sizeof name, "b%d", (int)e);
        sl_edit edit = rig_series(c->circuit, name, NULL, 1.0);
        for (int32_t k = 0; k < SEVERITIES; k++, cases++) {
            edit.value = severity(k);
            sl_case_clear(cs);
            if (sl_case_edit(cs, &edit, 1) != SL_OK || sl_case_solve(cs) != SL_OK) {
                exit(1);
            }
        }
    }
    return (now_us() - start) / (double)cases;
}

/* Eight voltages of each case as a sweep. */
static sl_sweep *sweep_of(const car *c)
{
    sl_sweep *sweep = NULL;
    if (sl_sweep_new(c->circuit, &sweep) != SL_OK) {
        exit(1);
    }
    for (int32_t m = 0; m < VOLTAGES; m++) {
        const sl_sweep_reading volts = {SL_SWEEP_VOLTAGE, 30 * m + 5, 2, 0};
        if (sl_sweep_add_reading(sweep, &volts) != SL_OK) {
            exit(1);
        }
    }
    for (int32_t e = 0; e < c->net.branches; e++) {
        char name[16];
        snprintf(name, sizeof name, "b%d", (int)e);
        sl_edit edit = rig_series(c->circuit, name, NULL, 1.0);
        for (int32_t k = 0; k < SEVERITIES && !is_lamp(c, e); k++) {
            edit.value = severity(k);
            if (sl_sweep_add_edits(sweep, name, &edit, 1) != SL_OK) {
                exit(1);
            }
        }
    }
    return sweep;
}

/* All of them by a sweeper that is new: microseconds a case, the healthy circuit and its tables
   included. */
static double run_fill(const sl_sweep *sweep, bool quick, double *values, sl_sweep_stats *stats)
{
    const sl_sweep_setup setup = {NULL, 0, false, quick};
    const int64_t cases = sl_sweep_case_count(sweep);
    sl_sweeper *w = NULL;
    double start = now_us();
    if (sl_sweeper_new(sweep, &setup, &w) != SL_OK ||
        sl_sweeper_fill(w, 0, cases, values, NULL, NULL) != SL_OK) {
        exit(1);
    }
    start = now_us() - start;
    sl_sweeper_stats(w, stats);
    sl_sweeper_free(w);
    return start / (double)cases;
}

static bool take(void *user, const sl_sweep_row *row)
{
    double *values = user;
    memcpy(values + row->index * VOLTAGES, row->value, VOLTAGES * sizeof *values);
    return true;
}

/* The same row by row. */
static double run_rows(const sl_sweep *sweep, double *values)
{
    const sl_sweep_setup setup = {NULL, 0, false, true};
    const int64_t cases = sl_sweep_case_count(sweep);
    sl_sweeper *w = NULL;
    double start = now_us();
    if (sl_sweeper_new(sweep, &setup, &w) != SL_OK ||
        sl_sweeper_run(w, 0, cases, take, values, NULL) != SL_OK) {
        exit(1);
    }
    start = now_us() - start;
    sl_sweeper_free(w);
    return start / (double)cases;
}

static double run_peer(peer *p, int32_t first, int32_t step)
{
    int64_t cases = 0;
    double start = now_us();
    for (int32_t e = first; e < p->c->net.branches; e += step) {
        for (int32_t k = 0; k < SEVERITIES && !is_lamp(p->c, e) && p->c->net.emf[e] == 0.0;
             k++, cases++) {
            peer_solve(p, e, severity(k));
        }
    }
    return (now_us() - start) / (double)cases;
}

/* The three on some cases: the greatest difference in volts. */
static double compare(const car *c, sl_case *quick, sl_case *whole, peer *p)
{
    double worst = 0.0;
    for (int32_t e = 0; e < c->net.branches; e += 7) {
        if (is_lamp(c, e) || c->net.emf[e] != 0.0) {
            continue;
        }
        char name[16];
        snprintf(name, sizeof name, "b%d", (int)e);
        sl_edit edit = rig_series(c->circuit, name, NULL, severity(e % SEVERITIES));
        sl_case *both[] = {quick, whole};
        for (int32_t w = 0; w < 2; w++) {
            sl_case_clear(both[w]);
            if (sl_case_edit(both[w], &edit, 1) != SL_OK || sl_case_solve(both[w]) != SL_OK) {
                exit(1);
            }
        }
        peer_solve(p, e, edit.value);
        for (int32_t r = 0; r < c->net.rows; r++) {
            double a = 0.0, b = 0.0;
            node_name(name, sizeof name, r);
            sl_node node = sl_circuit_find_node(c->circuit, name);
            sl_case_node(quick, node, &a);
            sl_case_node(whole, node, &b);
            worst = fmax(worst, fmax(fabs(a - b), 1e-3 * fabs(p->x[r] - b)));
        }
    }
    return worst;
}

/* The sweep answered quickly beside the same solved whole, every so many cases. */
static double compare_sweep(const sl_sweep *sweep, const double *values, int64_t step)
{
    double worst = 0.0, row[VOLTAGES];
    sl_sweeper *w = NULL;
    if (sl_sweeper_new(sweep, NULL, &w) != SL_OK) {
        exit(1);
    }
    for (int64_t k = 0; k < sl_sweep_case_count(sweep); k += step) {
        if (sl_sweeper_fill(w, k, 1, row, NULL, NULL) != SL_OK) {
            exit(1);
        }
        for (int32_t m = 0; m < VOLTAGES; m++) {
            worst = fmax(worst, fabs(row[m] - values[k * VOLTAGES + m]));
        }
    }
    sl_sweeper_free(w);
    return worst;
}

/* The calls of a sweep against the peer; returns how far its answers are from whole solves. */
static double race_sweep(const sl_sweep *sweep, peer *p, bool quick_run)
{
    const int64_t count = sl_sweep_case_count(sweep) * VOLTAGES;
    double *values = cells((int32_t)count, sizeof *values);
    sl_sweep_stats stats;
    double fill_us = run_fill(sweep, true, values, &stats);
    double worst = compare_sweep(sweep, values, quick_run ? 397 : 41);
    printf(
        "%lld cases of a sweep, %d voltages each: %lld eight at a time, %lld by solving the whole "
        "circuit, right to %.1e V\n",
        (long long)stats.cases, VOLTAGES, (long long)stats.by_ports, (long long)stats.full_solves,
        worst);
    for (int round = 0; round < 5 && !quick_run; round++) {
        const double peer_us = run_peer(p, round, 10);
        fill_us = run_fill(sweep, true, values, &stats);
        const double rows_us = run_rows(sweep, values);
        printf("sl_sweeper_fill %.2f us a case, KLU / ours %.1f; sl_sweeper_run %.2f us, %.1f\n",
               fill_us, peer_us / fill_us, rows_us, peer_us / rows_us);
    }
    free(values);
    return worst;
}

int main(int argc, char **argv)
{
    bool quick_run = argc > 1 && strcmp(argv[1], "--quick") == 0;
    car c = car_of(1);
    peer p = peer_of(&c);
    sl_case *quick = rig_case(c.circuit, 0), *whole = rig_case(c.circuit, 0);
    sl_case_set_quick(quick, true);
    double worst = compare(&c, quick, whole, &p);
    printf("%d rows, %d lamps, %d severities: quick, whole and peer agree to %.1e V\n", ROWS, LAMPS,
           SEVERITIES, worst);
    sl_sweep *sweep = sweep_of(&c);
    worst = fmax(worst, race_sweep(sweep, &p, quick_run));
    sl_sweep_free(sweep);
    if (!quick_run) {
        sl_effort before = sl_case_effort(quick);
        double quick_us = run_case(&c, quick, 0, 1);
        sl_effort after = sl_case_effort(quick);
        double whole_us = run_case(&c, whole, 0, 20);
        p.iterations = 0;
        double peer_us = run_peer(&p, 0, 10);
        printf(
            "a case: quick %.2f us (%lld of them whole), whole %.1f us, Newton with KLU %.1f us\n"
            "whole / quick %.1f; KLU / quick %.1f\n",
            quick_us, (long long)(after.whole - before.whole), whole_us, peer_us,
            whole_us / quick_us, peer_us / quick_us);
    }
    sl_case_free(quick);
    sl_case_free(whole);
    peer_end(&p);
    car_end(&c);
    return worst <= AGREE ? 0 : 1;
}

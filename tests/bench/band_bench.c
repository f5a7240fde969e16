/* tests/bench/band_bench.c: samples at random a second, beside factoring and solving the matrix of
   the same network anew for each sample with KLU.

   band_bench           the tables
   band_bench --quick   few samples of the smaller networks; times mean nothing then

   A sample is the whole way: random numbers, laws, conductances, factor, Newton, states, reading.
   KLU is given its values in place: it only factors again and solves, once. The exit status is 1 if
   threads change a digit, or if memory grows with the number of samples; never if one is slow. Only
   ratios of one run are worth comparing. */
#include "netgen.h"
#include "probe.h"
#include "rig.h"
#include "strapline/band.h"

#include <klu.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static int failures = 0;

static void *cells(int32_t count, size_t size)
{
    void *block = calloc((size_t)count + 1, size);
    if (!block) {
        fputs("band_bench: out of memory\n", stderr);
        exit(1);
    }
    return block;
}

/* Processor time, for what runs on one thread. */
static double used_s(void)
{
    return (double)clock() / CLOCKS_PER_SEC;
}

static double now_s(void)
{
    struct timespec t;
    timespec_get(&t, TIME_UTC);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* The matrix by columns, dense on the way: the networks are small. */
typedef struct matrix {
    int n;
    int *start, *row;
    double *value;
} matrix;

static matrix assemble(const netgen *net)
{
    int n = net->rows;
    double *full = cells(n * n, sizeof *full);
    for (int32_t e = 0; e < net->branches; e++) {
        int a = net->from[e], b = net->to[e];
        double g = net->g[e];
        if (a >= 0) {
            full[a * n + a] += g;
        }
        if (b >= 0) {
            full[b * n + b] += g;
        }
        if (a >= 0 && b >= 0) {
            full[a * n + b] -= g;
            full[b * n + a] -= g;
        }
    }
    matrix m = {n, cells(n + 1, sizeof(int)), cells(n + 2 * net->branches, sizeof(int)),
                cells(n + 2 * net->branches, sizeof(double))};
    int at = 0;
    for (int k = 0; k < n; k++) {
        m.start[k] = at;
        for (int i = 0; i < n; i++) {
            if (full[k * n + i] != 0.0) {
                m.row[at] = i;
                m.value[at++] = full[k * n + i];
            }
        }
    }
    m.start[n] = at;
    free(full);
    return m;
}

static void name_row(char *text, size_t size, int32_t row)
{
    if (row < 0) {
        snprintf(text, size, "0");
    } else {
        snprintf(text, size, "n%d", (int)row);
    }
}

/* What the loads are. */
typedef enum sort { STRAIGHT, LAMPS, RELAYS } sort;

enum { EVERY = 8 }; /* with RELAYS, one load of so many has a relay */

static void let_vary(sl_circuit *c, sl_part part, const char *param)
{
    static const sl_spread tenth = {0.1, 0.1, true};
    if (sl_circuit_set_spread(c, SL_NONE, part, rig_param(sl_circuit_part_kind(c, part), param),
                              &tenth) != SL_OK) {
        exit(1);
    }
}

/* Every branch is off by up to 10 %. Loads may be lamps, some of them behind relays. */
static sl_circuit *build(const netgen *net, sort of, const sl_alloc *al)
{
    sl_circuit *c = rig_circuit(al);
    sl_node zero;
    int32_t loads = 0;
    if (sl_circuit_node(c, "0", &zero) != SL_OK || sl_circuit_set_reference(c, zero) != SL_OK) {
        exit(1);
    }
    for (int32_t e = 0; e < net->branches; e++) {
        char name[24], from[24], to[24], nodes[120], values[60];
        const double ohm = 1.0 / net->g[e];
        const bool battery = net->emf[e] != 0.0, load = ohm >= 0.5 && ohm <= 500.0;
        snprintf(name, sizeof name, "P%d", (int)e);
        name_row(from, sizeof from, net->from[e]);
        name_row(to, sizeof to, net->to[e]);
        if (load && of == RELAYS && loads++ % EVERY == 0) {
            snprintf(nodes, sizeof nodes, "%s relay%d %s %s", from, (int)e, from, to);
            snprintf(values, sizeof values, "K%d", (int)e);
            let_vary(c, rig_part(c, "relay", values, nodes, ""), "coil_resistance");
            snprintf(from, sizeof from, "relay%d", (int)e);
        }
        snprintf(nodes, sizeof nodes, "%s %s", battery ? to : from, battery ? from : to);
        if (load && of != STRAIGHT) {
            snprintf(values, sizeof values, "power=%.17g", fmin(144.0 / ohm, 100.0));
            let_vary(c, rig_part(c, "lamp", name, nodes, values), "power");
        } else {
            snprintf(values, sizeof values, "resistance=%.17g", ohm);
            let_vary(c, rig_part(c, battery ? "battery" : "resistor", name, nodes, values),
                     "resistance");
        }
    }
    return c;
}

static double klu_us(const netgen *net, int32_t rounds)
{
    matrix m = assemble(net);
    klu_common common;
    klu_defaults(&common);
    common.btf = 0;
    common.scale = -1;
    klu_symbolic *symbolic = klu_analyze(m.n, m.start, m.row, &common);
    klu_numeric *numeric = klu_factor(m.start, m.row, m.value, symbolic, &common);
    double *b = cells(m.n, sizeof *b);
    double begin = used_s();
    for (int32_t k = 0; k < rounds; k++) {
        klu_refactor(m.start, m.row, m.value, symbolic, numeric, &common);
        b[0] = 1.0;
        klu_solve(symbolic, numeric, m.n, 1, b, &common);
    }
    double us = (used_s() - begin) * 1e6 / rounds;
    klu_free_numeric(&numeric, &common);
    klu_free_symbolic(&symbolic, &common);
    free(b);
    free(m.start);
    free(m.row);
    free(m.value);
    return us;
}

/* Wall time, and processor time of all threads. */
static double draw_us(sl_band *band, int64_t samples, int32_t threads, sl_drawn *drawn,
                      double *used)
{
    sl_draw how = {.samples = samples,
                   .seed = 1,
                   .threads = threads,
                   .least = -INFINITY,
                   .greatest = INFINITY};
    double begin = now_s(), began = used_s();
    if (sl_band_draw(band, &how, drawn) != SL_OK) {
        printf("WRONG: %s\n", sl_band_message(band));
        failures++;
        return NAN;
    }
    *used = (used_s() - began) * 1e6 / (double)samples;
    return (now_s() - begin) * 1e6 / (double)samples;
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static sl_band *open_band(sl_circuit *c, sl_case **cs)
{
    *cs = rig_case(c, 0);
    sl_reading of = {SL_NONE, -1, sl_circuit_part_node(c, 0, 0), sl_circuit_part_node(c, 0, 1)};
    sl_band *band = NULL;
    if (sl_band_new(*cs, &of, false, &band) != SL_OK) {
        printf("WRONG: %s\n", sl_case_message(*cs));
        exit(1);
    }
    return band;
}

enum { ROUNDS = 7, KLU, ONE, TWO, USED_ONE, USED_TWO, COLUMNS };

static void run(int32_t rows, sort of, bool quick)
{
    static const char *const sorts[] = {"straight", "lamps", "relays"};
    netgen net = netgen_vehicle(rows, 1);
    sl_circuit *c = build(&net, of, NULL);
    sl_case *cs;
    sl_band *band = open_band(c, &cs);
    const int32_t samples = quick ? 600 : (of == STRAIGHT ? 3000000 : 600000) / rows;
    double us[COLUMNS][ROUNDS];
    sl_drawn one, two;
    for (int r = 0; r < ROUNDS; r++) {
        us[KLU][r] = klu_us(&net, quick ? 10 : 400000 / rows);
        us[ONE][r] = draw_us(band, samples, 1, &one, &us[USED_ONE][r]);
        us[TWO][r] = draw_us(band, samples, 2, &two, &us[USED_TWO][r]);
        failures += one.mean != two.mean;
    }
    double at[COLUMNS];
    for (int i = KLU; i < COLUMNS; i++) {
        qsort(us[i], ROUNDS, sizeof us[i][0], by_size);
        at[i] = us[i][ROUNDS / 2];
    }
    printf("%-9s %5d %6d %6.1f %% | %8.2f | %8.2f %9.0f %6.2f | %8.2f %6.2f %6.2f\n", sorts[of],
           (int)rows, (int)sl_band_count(band), 100.0 * (double)one.whole / samples, at[KLU],
           at[USED_ONE], 1e6 / at[USED_ONE], at[KLU] / at[USED_ONE], at[TWO], at[ONE] / at[TWO],
           2.0 * at[USED_ONE] / at[USED_TWO]);
    sl_band_free(band);
    rig_free(c, cs);
    netgen_free(&net);
}

/* The most memory that few and many samples take, with what the circuit itself takes. */
static void weigh(bool quick)
{
    const int64_t samples[] = {10000, quick ? 20000 : 1000000};
    double kib[2], unused;
    for (int i = 0; i < 2; i++) {
        alloc_probe probe;
        const sl_alloc al = probe_start(&probe, PROBE_NEVER);
        netgen net = netgen_vehicle(60, 1);
        sl_circuit *c = build(&net, LAMPS, &al);
        sl_case *cs;
        sl_band *band = open_band(c, &cs);
        sl_drawn drawn;
        draw_us(band, samples[i], 1, &drawn, &unused);
        kib[i] = (double)probe.peak_bytes / 1024.0;
        sl_band_free(band);
        rig_free(c, cs);
        netgen_free(&net);
    }
    printf("most memory: %.0f KiB with %lld samples, %.0f KiB with %lld\n", kib[0],
           (long long)samples[0], kib[1], (long long)samples[1]);
    failures += kib[0] != kib[1];
}

int main(int argc, char **argv)
{
    const bool quick = argc > 1 && strcmp(argv[1], "--quick") == 0;
    printf("microseconds a sample, medians: processor time on one thread, wall time on two; whole: "
           "not\nin lots; KLU/: how many times as long KLU takes; 1 : 2 in wall time, and what "
           "processor time\nwould allow were both processors free\n"
           "loads      rows varied    whole |      KLU | 1 thread samples/s   KLU/ | 2 threads "
           "1 : 2  could\n");
    static const int32_t rows[] = {60, 300, 1000};
    for (sort of = STRAIGHT; of <= RELAYS; of++) {
        for (int i = 0; i < (quick ? 1 : 3); i++) {
            run(rows[i], of, quick);
        }
    }
    weigh(quick);
    return failures != 0;
}

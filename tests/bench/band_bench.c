/* tests/bench/band_bench.c: samples at random a second, beside factoring and solving the matrix of
   the same network anew for each sample with KLU.

   band_bench           the table
   band_bench --quick   few samples of the smaller networks; times mean nothing then

   A sample is the whole way: random numbers, laws, conductances, factor, solution in pairs and its
   proof. KLU is given its values in place: it only factors again and solves. The exit status is 1
   if threads change a digit; never if one is slow. Only ratios of one run are worth comparing. */
#include "netgen.h"
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

/* Every branch is off by up to 10 %. */
static sl_circuit *build(const netgen *net)
{
    static const sl_spread tenth = {0.1, 0.1, true};
    sl_circuit *c = rig_circuit(NULL);
    sl_node zero;
    if (sl_circuit_node(c, "0", &zero) != SL_OK || sl_circuit_set_reference(c, zero) != SL_OK) {
        exit(1);
    }
    for (int32_t e = 0; e < net->branches; e++) {
        char name[24], from[24], to[24], nodes[60], values[60];
        bool battery = net->emf[e] != 0.0;
        snprintf(name, sizeof name, "P%d", (int)e);
        name_row(from, sizeof from, net->from[e]);
        name_row(to, sizeof to, net->to[e]);
        snprintf(nodes, sizeof nodes, "%s %s", battery ? to : from, battery ? from : to);
        snprintf(values, sizeof values, "resistance=%.17g", 1.0 / net->g[e]);
        sl_part part = rig_part(c, battery ? "battery" : "resistor", name, nodes, values);
        int32_t param = rig_param(sl_circuit_part_kind(c, part), "resistance");
        if (sl_circuit_set_spread(c, SL_NONE, part, param, &tenth) != SL_OK) {
            exit(1);
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
static double draw_us(sl_band *band, int32_t samples, int32_t threads, double *mean, double *used)
{
    sl_draw how = {.samples = samples,
                   .seed = 1,
                   .threads = threads,
                   .least = -INFINITY,
                   .greatest = INFINITY};
    sl_drawn drawn;
    double begin = now_s(), began = used_s();
    if (sl_band_draw(band, &how, &drawn) != SL_OK) {
        printf("WRONG: %s\n", sl_band_message(band));
        failures++;
        return NAN;
    }
    *mean = drawn.mean;
    *used = (used_s() - began) * 1e6 / samples;
    return (now_s() - begin) * 1e6 / samples;
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void run(int32_t rows, bool quick)
{
    enum { ROUNDS = 7 };
    netgen net = netgen_vehicle(rows, 1);
    sl_circuit *c = build(&net);
    sl_case *cs = rig_case(c, 0);
    sl_reading of = {SL_NONE, -1, sl_circuit_part_node(c, 0, 0), sl_circuit_part_node(c, 0, 1)};
    sl_band *band = NULL;
    if (sl_band_new(cs, &of, false, &band) != SL_OK) {
        printf("WRONG: %s\n", sl_case_message(cs));
        exit(1);
    }
    const int32_t samples = quick ? 600 : 400000 / rows;
    double us[4][ROUNDS], mean[2] = {0.0, 0.0}, unused;
    for (int r = 0; r < ROUNDS; r++) {
        us[0][r] = klu_us(&net, quick ? 10 : samples);
        us[1][r] = draw_us(band, samples, 1, &mean[0], &us[3][r]);
        us[2][r] = draw_us(band, samples, 2, &mean[1], &unused);
        failures += mean[0] != mean[1];
    }
    for (int i = 0; i < 4; i++) {
        qsort(us[i], ROUNDS, sizeof us[i][0], by_size);
    }
    double klu = us[0][ROUNDS / 2], one = us[1][ROUNDS / 2], two = us[2][ROUNDS / 2];
    double used = us[3][ROUNDS / 2];
    printf("%6d %6d | %9.1f | %9.1f %9.0f %6.2f | %9.1f %6.2f\n", (int)rows,
           (int)sl_band_count(band), klu, used, 1e6 / used, used / klu, two, one / two);
    sl_band_free(band);
    sl_case_free(cs);
    sl_circuit_free(c);
    netgen_free(&net);
}

int main(int argc, char **argv)
{
    const bool quick = argc > 1 && strcmp(argv[1], "--quick") == 0;
    printf("microseconds a sample, medians: processor time on one thread, wall time on two\n"
           "  rows varied |       KLU | 1 thread  samples/s  /KLU | 2 threads  1 : 2\n");
    static const int32_t rows[] = {60, 300, 1000};
    for (int i = 0; i < (quick ? 1 : 3); i++) {
        run(rows[i], quick);
    }
    return failures != 0;
}

/* tests/bench/case_bench.c: from a circuit to voltages, beside the bare ordering and factoring of
   its matrix.

   case_bench           the tables
   case_bench --quick   few repeats of the smaller networks; times mean nothing then

   The exit status is 1 if a repeated solve allocates or an answer is not proved; never if one is
   slow. Only ratios of one run are worth comparing. */
#include "netgen.h"
#include "numeric/factor.h"
#include "probe.h"
#include "rig.h"

#include <amd.h>
#include <klu.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { MOST_ROUNDS = 25, LAMP_EVERY = 5 };

static int failures = 0;

static void *cells(int32_t count, size_t size)
{
    void *block = calloc((size_t)count + 1, size);
    if (!block) {
        fputs("case_bench: out of memory\n", stderr);
        exit(1);
    }
    return block;
}

/* Freed blocks are kept and given out again for the same size, as in a process that has solved
   before: else the kernel's work for new memory hides all other. */
typedef struct kept {
    struct kept *next;
    size_t bytes;
} kept;

enum { SHELVES = 256 };
static kept *shelf[SHELVES];

static void *keep(void *user, void *block, size_t old_bytes, size_t new_bytes)
{
    (void)user;
    kept *grown = NULL;
    if (new_bytes) {
        kept **at = &shelf[new_bytes / 16 % SHELVES];
        while (*at && (*at)->bytes != new_bytes) {
            at = &(*at)->next;
        }
        grown = *at ? *at : malloc(new_bytes < sizeof *grown ? sizeof *grown : new_bytes);
        *at = *at ? (*at)->next : NULL;
    }
    if (grown && block) {
        memcpy(grown, block, old_bytes < new_bytes ? old_bytes : new_bytes);
    }
    if (block && (grown || !new_bytes)) {
        kept *freed = block;
        *freed = (kept){shelf[old_bytes / 16 % SHELVES], old_bytes};
        shelf[old_bytes / 16 % SHELVES] = freed;
    }
    return grown;
}

static const sl_alloc keeping = {keep, NULL};

/* An assembled matrix by columns, as KLU and AMD want it: sorted, duplicates summed. */
typedef struct matrix {
    int n;
    int *start, *row;
    double *value;
} matrix;

static void add_entry(double *column, int *rows, int *count, bool *used, int row, double value)
{
    if (!used[row]) {
        used[row] = true;
        rows[(*count)++] = row;
    }
    column[row] += value;
}

static int by_number(const void *a, const void *b)
{
    return *(const int *)a - *(const int *)b;
}

static matrix assemble(const netgen *net)
{
    int n = net->rows, m = net->branches;
    matrix a = {n, cells(n + 1, sizeof(int)), cells(n + 2 * m, sizeof(int)),
                cells(n + 2 * m, sizeof(double))};
    int *first = cells(n + 1, sizeof(int)), *list = cells(2 * m, sizeof(int));
    double *column = cells(n, sizeof(double));
    bool *used = cells(n, sizeof(bool));
    for (int e = 0; e < m; e++) {
        first[net->from[e] + 1] += net->from[e] >= 0;
        first[net->to[e] + 1] += net->to[e] >= 0;
    }
    first[0] = 0;
    for (int k = 0; k < n; k++) {
        first[k + 1] += first[k];
    }
    const int total = first[n];
    for (int e = m - 1; e >= 0; e--) {
        for (int end = 0; end < 2; end++) {
            int k = end ? net->to[e] : net->from[e];
            if (k >= 0) {
                list[--first[k + 1]] = e;
            }
        }
    }
    for (int k = 0; k < n; k++) {
        int *rows = a.row + a.start[k], count = 0;
        int last = k + 1 < n ? first[k + 2] : total;
        for (int s = first[k + 1]; s < last; s++) {
            int e = list[s], other = net->from[e] == k ? net->to[e] : net->from[e];
            add_entry(column, rows, &count, used, k, net->g[e]);
            if (other >= 0) {
                add_entry(column, rows, &count, used, other, -net->g[e]);
            }
        }
        qsort(rows, (size_t)count, sizeof *rows, by_number);
        for (int s = 0; s < count; s++) {
            a.value[a.start[k] + s] = column[rows[s]];
            column[rows[s]] = 0.0;
            used[rows[s]] = false;
        }
        a.start[k + 1] = a.start[k] + count;
    }
    free(first);
    free(list);
    free(column);
    free(used);
    return a;
}

static void name_row(char *text, size_t size, int32_t row)
{
    if (row < 0) {
        snprintf(text, size, "0");
    } else {
        snprintf(text, size, "n%d", (int)row);
    }
}

/* Is a branch a load: more than a cable, less than a meter? */
static bool is_load(const netgen *net, int32_t e)
{
    return net->emf[e] == 0.0 && net->g[e] <= 2.0 && net->g[e] >= 1e-3;
}

/* The network as a circuit; with lamps, each fifth load is one of the same power at 12 V. */
static sl_circuit *build(const netgen *net, const sl_alloc *al, bool lamps)
{
    sl_circuit *c = rig_circuit(al);
    sl_node zero;
    int32_t loads = 0;
    if (sl_circuit_node(c, "0", &zero) != SL_OK || sl_circuit_set_reference(c, zero) != SL_OK) {
        exit(1);
    }
    for (int32_t e = 0; e < net->branches; e++) {
        char name[24], from[24], to[24], nodes[60], values[60];
        snprintf(name, sizeof name, "P%d", (int)e);
        name_row(from, sizeof from, net->from[e]);
        name_row(to, sizeof to, net->to[e]);
        bool lamp = lamps && is_load(net, e) && loads++ % LAMP_EVERY == 0;
        bool battery = net->emf[e] != 0.0;
        snprintf(nodes, sizeof nodes, "%s %s", battery ? to : from, battery ? from : to);
        snprintf(values, sizeof values, "%s=%.17g", lamp ? "power" : "resistance",
                 lamp ? fmax(144.0 * net->g[e], 0.01) : 1.0 / net->g[e]);
        rig_part(c, lamp ? "lamp" : battery ? "battery" : "resistor", name, nodes, values);
    }
    return c;
}

/* What is timed, each on the same network. */
typedef struct bench {
    const netgen *net;
    matrix a;
    const sl_circuit *circuit;
    sl_case *warm;
    sl__factor *factor;
    double *b;
    int *order;
    klu_common klu;
} bench;

static void order_only(bench *t)
{
    amd_order(t->a.n, t->a.start, t->a.row, t->order, NULL, NULL);
}

static void klu_cold(bench *t)
{
    klu_symbolic *symbolic = klu_analyze(t->a.n, t->a.start, t->a.row, &t->klu);
    klu_numeric *numeric = klu_factor(t->a.start, t->a.row, t->a.value, symbolic, &t->klu);
    klu_free_numeric(&numeric, &t->klu);
    klu_free_symbolic(&symbolic, &t->klu);
}

static void factor_cold(bench *t)
{
    sl__factor *f = NULL;
    if (sl__factor_new(&keeping, t->net->rows, t->net->branches, t->net->from, t->net->to, &f) !=
        SL_OK) {
        exit(1);
    }
    sl__factor_update(f, t->net->g);
    sl__factor_free(f);
}

static void factor_warm(bench *t)
{
    sl__factor_update(t->factor, t->net->g);
    sl__factor_solve(t->factor, t->b, t->b);
}

static void case_cold(bench *t)
{
    sl_case *cs = rig_solved(t->circuit, 0);
    for (sl_node n = 0; n < sl_circuit_node_count(t->circuit); n++) {
        double volts;
        sl_case_node(cs, n, &volts);
    }
    sl_case_free(cs);
}

static void case_warm(bench *t)
{
    if (sl_case_solve(t->warm) != SL_OK) {
        printf("WRONG: %s\n", sl_case_message(t->warm));
        failures++;
    }
}

enum { ORDER, KLU_COLD, FACTOR_COLD, FACTOR_WARM, CASE_COLD, CASE_WARM, ITEMS };

static void (*const items[ITEMS])(bench *) = {order_only,  klu_cold,  factor_cold,
                                              factor_warm, case_cold, case_warm};

/* Microseconds of processor time of one call. */
static double time_of(void (*item)(bench *), bench *t, int32_t repeats)
{
    clock_t begin = clock();
    for (int32_t k = 0; k < repeats; k++) {
        item(t);
    }
    return (double)(clock() - begin) * 1e6 / CLOCKS_PER_SEC / repeats;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Rounds of all items in turn; the median of each. */
static void measure(bench *t, bool quick, double *us)
{
    double all[ITEMS][MOST_ROUNDS];
    int32_t rounds = quick ? 3 : MOST_ROUNDS;
    for (int32_t r = 0; r < rounds; r++) {
        for (int i = 0; i < ITEMS; i++) {
            double one = r ? all[i][0] : time_of(items[i], t, 1);
            int32_t repeats = quick ? 1 : (int32_t)fmin(fmax(5000.0 / fmax(one, 1.0), 1.0), 500.0);
            all[i][r] = time_of(items[i], t, repeats);
        }
    }
    for (int i = 0; i < ITEMS; i++) {
        qsort(all[i], (size_t)rounds, sizeof all[i][0], by_size);
        us[i] = all[i][rounds / 2];
    }
}

/* Blocks asked for by a repeated solve. */
static size_t allocations(const netgen *net, bool lamps)
{
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    sl_circuit *c = build(net, &al, lamps);
    sl_case *cs = rig_solved(c, 0);
    const size_t before = probe.calls;
    for (int k = 0; k < 3; k++) {
        if (sl_case_solve(cs) != SL_OK) {
            failures++;
        }
    }
    const size_t asked = probe.calls - before;
    rig_free(c, cs);
    failures += asked != 0;
    return asked;
}

static void run(int32_t rows, bool lamps, bool quick)
{
    netgen net = netgen_vehicle(rows, 1);
    sl_circuit *c = build(&net, &keeping, lamps);
    bench t = {.net = &net, .a = assemble(&net), .circuit = c, .warm = rig_solved(c, 0)};
    t.b = cells(rows, sizeof *t.b);
    t.order = cells(rows, sizeof *t.order);
    klu_defaults(&t.klu);
    t.klu.btf = 0;
    t.klu.scale = -1;
    if (sl__factor_new(&keeping, rows, net.branches, net.from, net.to, &t.factor) != SL_OK) {
        exit(1);
    }
    double us[ITEMS];
    measure(&t, quick, us);
    double bare = us[ORDER] + us[FACTOR_WARM];
    printf("%6d %-5s| %9.1f %9.1f %9.1f | %9.1f %5.2f %5.2f %5.2f | %9.1f %9.1f %5.2f | %zu\n",
           (int)rows, lamps ? "lamps" : "", us[ORDER], us[KLU_COLD], us[FACTOR_COLD], us[CASE_COLD],
           us[CASE_COLD] / us[KLU_COLD], us[CASE_COLD] / us[FACTOR_COLD], us[CASE_COLD] / bare,
           us[CASE_WARM], us[FACTOR_WARM], us[CASE_WARM] / us[FACTOR_WARM],
           allocations(&net, lamps));
    sl__factor_free(t.factor);
    sl_case_free(t.warm);
    sl_circuit_free(c);
    free(t.b);
    free(t.order);
    free(t.a.start);
    free(t.a.row);
    free(t.a.value);
    netgen_free(&net);
}

int main(int argc, char **argv)
{
    const bool quick = argc > 1 && strcmp(argv[1], "--quick") == 0;
    static const int32_t rows[] = {60, 300, 1000, 10000};
    printf("microseconds of processor time, medians; a case is cold with new, solve and reading of "
           "all nodes\n"
           "             |   AMD     KLU cold  own cold |  case cold  /KLU  /own  /(AMD+f+s)| case "
           "again  own f+s  ratio | blocks\n");
    for (int i = 0; i < (quick ? 2 : 4); i++) {
        run(rows[i], false, quick);
        run(rows[i], true, quick);
    }
    return failures != 0;
}

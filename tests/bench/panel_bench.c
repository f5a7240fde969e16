/* tests/bench/panel_bench.c: a square mesh reduced to 32 of its nodes, beside KLU and beside the
   supernodal factor of CHOLMOD, each with a solve for every port, in one run.

   panel_bench           1000 x 1000 nodes
   panel_bench --quick   100 x 100 nodes; times mean nothing then

   Memory is what each asked its allocator for at the most. KLU and CHOLMOD order by AMD, and KLU
   does without scaling and block triangular form, which a mesh has no use for. CHOLMOD is as fast
   as the BLAS it finds. The results are compared; the exit status is 1 when they differ, never when
   something is slow. */
#include "numeric/sheet.h"

#include <cholmod.h>
#include <klu.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { PORTS = 32 };

/* Relative to the greatest conductance: KLU and CHOLMOD lose what a subtraction loses. */
#define AGREE 1e-9

typedef struct result {
    const char *who;
    double seconds;
    size_t bytes;
    double g[PORTS * PORTS];
} result;

/* Processor time: others may be at work on the machine, and all three run in one thread. */
static double now_s(void)
{
    return (double)clock() / CLOCKS_PER_SEC;
}

static void *cells(size_t count, size_t size)
{
    void *block = calloc(count + 1, size);
    if (!block) {
        fputs("panel_bench: out of memory\n", stderr);
        exit(1);
    }
    return block;
}

/* Nodes of the mesh that are ports: in a pattern without symmetry, never two neighbours. */
static void port_place(int side, int port, int *x, int *y)
{
    *x = (int)((double)(side - 1) * fmod(0.13 + 0.618034 * port, 1.0));
    *y = (int)((double)(side - 1) * (port + 0.5) / PORTS);
}

/* ------------------------------------------------------------------------- */

typedef struct counter {
    size_t now, most;
} counter;

static void *count(void *user, void *block, size_t old_bytes, size_t new_bytes)
{
    counter *c = user;
    c->now = c->now + new_bytes - (block ? old_bytes : 0);
    c->most = c->now > c->most ? c->now : c->most;
    if (new_bytes == 0) {
        free(block);
        return NULL;
    }
    return realloc(block, new_bytes);
}

static void by_dissection(int side, result *r)
{
    sl__sheet_contact contact[PORTS];
    for (int p = 0; p < PORTS; p++) {
        int x = 0, y = 0;
        port_place(side, p, &x, &y);
        contact[p] = (sl__sheet_contact){.x = x, .y = y};
    }
    const sl__sheet sheet = {.nx = side - 1,
                             .ny = side - 1,
                             .gx = 1.0,
                             .gy = 1.0,
                             .contact = contact,
                             .contact_count = PORTS};
    counter c = {0, 0};
    const sl_alloc al = {count, &c};
    const double start = now_s();
    if (sl__sheet_reduce(&al, &sheet, r->g) != SL_OK) {
        fputs("panel_bench: the reduction failed\n", stderr);
        exit(1);
    }
    r->who = "nested dissection without subtraction";
    r->seconds = now_s() - start;
    r->bytes = c.most;
}

/* ------------------------------------------------------------------------- */

/* The mesh with its ports at the reference, by columns, both triangles; and what joins a node to
   each port. */
typedef struct matrix {
    int n, joints;
    int *start, *row;
    double *value;
    int joint_node[4 * PORTS], joint_port[4 * PORTS];
    double joint_g[4 * PORTS];
} matrix;

static void assemble_column(matrix *m, const int *number, int side, int x, int y, int *at)
{
    const int dx[] = {0, -1, 0, 1, 0}, dy[] = {-1, 0, 0, 0, 1};
    int middle = -1;
    double sum = 0.0;
    for (int k = 0; k < 5; k++) {
        const int u = x + dx[k], v = y + dy[k];
        if (k == 2) {
            middle = (*at)++;
            m->row[middle] = number[y * side + x];
            continue;
        }
        if (u < 0 || v < 0 || u >= side || v >= side) {
            continue;
        }
        const int rim = dx[k] ? y == 0 || y == side - 1 : x == 0 || x == side - 1;
        const double g = rim ? 0.5 : 1.0;
        const int other = number[v * side + u];
        sum += g;
        if (other >= 0) {
            m->row[*at] = other;
            m->value[(*at)++] = -g;
        } else {
            m->joint_node[m->joints] = number[y * side + x];
            m->joint_port[m->joints] = -1 - other;
            m->joint_g[m->joints++] = g;
        }
    }
    m->value[middle] = sum;
}

static matrix assemble(int side)
{
    const size_t nodes = (size_t)side * (size_t)side;
    int *number = cells(nodes, sizeof *number);
    for (int p = 0; p < PORTS; p++) {
        int x = 0, y = 0;
        port_place(side, p, &x, &y);
        number[y * side + x] = -1 - p;
    }
    matrix m = {.n = (int)nodes - PORTS};
    m.start = cells(nodes, sizeof *m.start);
    m.row = cells(5 * nodes, sizeof *m.row);
    m.value = cells(5 * nodes, sizeof *m.value);
    for (int k = 0, next = 0; k < (int)nodes; k++) {
        number[k] = number[k] < 0 ? number[k] : next++;
    }
    int at = 0, column = 0;
    for (int k = 0; k < (int)nodes; k++) {
        if (number[k] >= 0) {
            m.start[column++] = at;
            assemble_column(&m, number, side, k % side, k / side, &at);
        }
    }
    m.start[column] = at;
    free(number);
    return m;
}

/* x holds PORTS columns: the voltages with each port at 1 V and the others at 0. */
static void port_columns(const matrix *m, double *x)
{
    memset(x, 0, (size_t)m->n * PORTS * sizeof *x);
    for (int k = 0; k < m->joints; k++) {
        x[(size_t)m->joint_port[k] * (size_t)m->n + (size_t)m->joint_node[k]] += m->joint_g[k];
    }
}

static void port_currents(const matrix *m, const double *x, double *g)
{
    memset(g, 0, sizeof(double) * PORTS * PORTS);
    for (int p = 0; p < PORTS; p++) {
        for (int k = 0; k < m->joints; k++) {
            if (m->joint_port[k] != p) {
                g[p * PORTS + m->joint_port[k]] +=
                    m->joint_g[k] * x[(size_t)p * (size_t)m->n + (size_t)m->joint_node[k]];
            }
        }
    }
}

static void fail(const char *who)
{
    fprintf(stderr, "panel_bench: %s failed\n", who);
    exit(1);
}

static void by_klu(const matrix *m, double *x, result *r)
{
    klu_common common;
    klu_defaults(&common);
    common.btf = 0;
    common.scale = -1;
    port_columns(m, x);
    const double start = now_s();
    klu_symbolic *symbolic = klu_analyze(m->n, m->start, m->row, &common);
    klu_numeric *numeric = klu_factor(m->start, m->row, m->value, symbolic, &common);
    if (!numeric || !klu_solve(symbolic, numeric, m->n, PORTS, x, &common)) {
        fail("KLU");
    }
    r->who = "KLU: factor and 32 solves";
    r->seconds = now_s() - start;
    r->bytes = common.mempeak;
    port_currents(m, x, r->g);
    klu_free_numeric(&numeric, &common);
    klu_free_symbolic(&symbolic, &common);
}

static void by_cholmod(const matrix *m, double *x, result *r)
{
    cholmod_common common;
    cholmod_start(&common);
    common.supernodal = CHOLMOD_SUPERNODAL;
    common.nmethods = 1;
    common.method[0].ordering = CHOLMOD_AMD;
    common.postorder = 1;
    cholmod_sparse a = {.nrow = (size_t)m->n,
                        .ncol = (size_t)m->n,
                        .nzmax = (size_t)m->start[m->n],
                        .p = m->start,
                        .i = m->row,
                        .x = m->value,
                        .stype = -1, /* the lower triangle is read */
                        .itype = CHOLMOD_INT,
                        .xtype = CHOLMOD_REAL,
                        .dtype = CHOLMOD_DOUBLE,
                        .sorted = 0,
                        .packed = 1};
    cholmod_dense b = {.nrow = (size_t)m->n,
                       .ncol = PORTS,
                       .nzmax = (size_t)m->n * PORTS,
                       .d = (size_t)m->n,
                       .x = x,
                       .xtype = CHOLMOD_REAL,
                       .dtype = CHOLMOD_DOUBLE};
    port_columns(m, x);
    const double start = now_s();
    cholmod_factor *factor = cholmod_analyze(&a, &common);
    if (!factor || !cholmod_factorize(&a, factor, &common)) {
        fail("CHOLMOD");
    }
    cholmod_dense *y = cholmod_solve(CHOLMOD_A, factor, &b, &common);
    if (!y) {
        fail("CHOLMOD");
    }
    r->who = "CHOLMOD supernodal: factor and 32 solves";
    r->seconds = now_s() - start;
    r->bytes = common.memory_usage;
    port_currents(m, y->x, r->g);
    cholmod_free_dense(&y, &common);
    cholmod_free_factor(&factor, &common);
    cholmod_finish(&common);
}

/* ------------------------------------------------------------------------- */

/* The greatest difference over the greatest conductance. */
static double difference(const result *a, const result *b)
{
    double most = 0.0, worst = 0.0;
    for (int k = 0; k < PORTS * PORTS; k++) {
        most = fmax(most, fabs(b->g[k]));
        worst = fmax(worst, fabs(a->g[k] - b->g[k]));
    }
    return worst / most;
}

int main(int argc, char **argv)
{
    const int quick = argc > 1 && strcmp(argv[1], "--quick") == 0;
    if (argc > 2 || (argc == 2 && !quick)) {
        fputs("usage: panel_bench [--quick]\n", stderr);
        return 2;
    }
    const int side = quick ? 100 : 1000;
    static result all[3];
    by_dissection(side, &all[0]);
    matrix m = assemble(side);
    double *x = cells((size_t)m.n * PORTS, sizeof *x);
    by_cholmod(&m, x, &all[1]);
    by_klu(&m, x, &all[2]);
    printf("%d x %d nodes to %d ports; ratio to the first\n", side, side, PORTS);
    int wrong = 0;
    for (int k = 0; k < 3; k++) {
        const double off = difference(&all[k], &all[0]);
        printf("  %-42s %8.3f s %6.1f x %8.1f MiB %5.1f x  differs by %.1e\n", all[k].who,
               all[k].seconds, all[k].seconds / all[0].seconds,
               (double)all[k].bytes / (1024.0 * 1024.0),
               (double)all[k].bytes / (double)all[0].bytes, off);
        wrong += !(off <= AGREE);
    }
    free(x);
    free(m.start);
    free(m.row);
    free(m.value);
    return wrong > 0;
}

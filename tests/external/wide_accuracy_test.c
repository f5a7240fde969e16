/* tests/external/wide_accuracy_test.c: every node voltage and every current above 1 pA against the
   same network worked out in about 34 digits, without a matrix: nodes are taken out one by one, a
   star of conductances becoming a mesh, which needs no subtraction.
   Resistances 1e-5 to 1e14 ohm; a battery is an ideal source and a resistor. */
#include <stdlib.h>

#include "near.h"
#include "netgen.h"
#include "plan.h"
#include "truth.h"

static const double VOLTS_WITHIN = 4e-15, AMPS_WITHIN = 1e-15;
static const wide LEAST_AMPS = 1e-12;

/* Conductances between nodes, and which nodes are held: node 0, and those that a source holds
   against it. */
typedef struct mesh {
    int32_t nodes;
    wide *g; /* [nodes][nodes] */
    bool *held;
} mesh;

static void *cells(int32_t count, size_t size)
{
    void *block = calloc((size_t)count, size);
    assert_non_null(block);
    return block;
}

/* Resistors, and sources of voltage against node 0; their voltages go to `volts`. */
static mesh mesh_of(const plan *p, wide *volts)
{
    int32_t n = p->nodes;
    mesh m = {n, cells(n * n, sizeof(wide)), cells(n, sizeof(bool))};
    m.held[0] = true;
    for (int32_t k = 0; k < p->parts; k++) {
        int32_t a = p->part[k].from, b = p->part[k].to;
        if (p->part[k].kind == PLAN_VOLT) {
            m.held[a] = true;
            volts[a] = (wide)p->part[k].value;
        } else {
            m.g[a * n + b] += (wide)(1.0 / p->part[k].value); /* what a double can hold of it */
            m.g[b * n + a] = m.g[a * n + b];
        }
    }
    return m;
}

/* Takes a node out; g keeps its star for the way back. What was fed into it goes to the others. */
static wide star_to_mesh(const mesh *m, wide *g, const bool *out, int32_t star, wide *fed)
{
    int32_t n = m->nodes;
    wide sum = 0;
    for (int32_t a = 0; a < n; a++) {
        sum += out[a] ? 0 : g[star * n + a];
    }
    assert_true(sum > 0);
    for (int32_t a = 0; a < n; a++) {
        if (out[a] || !(g[star * n + a] > 0)) {
            continue;
        }
        wide share = g[star * n + a] / sum;
        fed[a] += share * fed[star];
        for (int32_t b = 0; b < n; b++) {
            if (a != b && !out[b]) {
                g[a * n + b] += share * g[star * n + b];
            }
        }
    }
    return sum;
}

/* Fills in the voltages of the nodes that are not held, from those that are and what is fed into
   the nodes; uses `fed` up. */
static void work_out(const mesh *m, wide *fed, wide *volts)
{
    int32_t n = m->nodes;
    wide *g = cells(n * n, sizeof *g), *sum = cells(n, sizeof *sum);
    bool *out = cells(n, sizeof *out);
    for (int32_t k = 0; k < n * n; k++) {
        g[k] = m->g[k];
    }
    for (int32_t k = n - 1; k > 0; k--) {
        if (!m->held[k]) {
            out[k] = true;
            sum[k] = star_to_mesh(m, g, out, k, fed);
        }
    }
    for (int32_t k = 1; k < n; k++) {
        if (out[k]) { /* the mean of what is left, by conductance */
            volts[k] = fed[k] / sum[k];
            for (int32_t a = 0; a < n; a++) {
                volts[k] += out[a] ? 0 : g[k * n + a] / sum[k] * volts[a];
            }
            out[k] = false;
        }
    }
    free(g);
    free(sum);
    free(out);
}

/* Adds the currents of the resistors that `volts` drive, and takes them out of `fed`. */
static void add_currents(const plan *p, const wide *volts, wide *amps, wide *fed)
{
    for (int32_t k = 0; k < p->parts; k++) {
        const plan_part *part = &p->part[k];
        if (part->kind == PLAN_OHM) {
            amps[k] += (volts[part->from] - volts[part->to]) * (wide)(1.0 / part->value);
            fed[part->from] -= amps[k];
            fed[part->to] += amps[k];
        }
    }
}

/* Voltages, and currents with one correction by what is left over at the nodes: 1 pA in 1e-5 ohm
   is the last digits even of 34. */
static void work_out_all(const plan *p, wide *volts, wide *amps)
{
    int32_t n = p->nodes;
    wide *fed = cells(n, sizeof *fed), *more = cells(n, sizeof *more);
    mesh m = mesh_of(p, volts);
    work_out(&m, fed, volts);
    for (int32_t k = 0; k < n; k++) {
        fed[k] = 0;
    }
    add_currents(p, volts, amps, fed);
    work_out(&m, fed, more);
    add_currents(p, more, amps, fed);
    free(fed);
    free(more);
    free(m.g);
    free(m.held);
}

/* Compares everything and frees the plan; counts the currents that were large enough to be. */
static int32_t check(const char *label, plan *p)
{
    wide *want_v = cells(p->nodes, sizeof *want_v), *want_a = cells(p->parts, sizeof *want_a);
    work_out_all(p, want_v, want_a);
    build b = plan_build(p, 0);
    build_solve(&b);
    int32_t currents = 0;
    for (int32_t n = 1; n < p->nodes; n++) {
        double volts = 0.0;
        assert_int_equal(sl_case_node(b.cs, n, &volts), SL_OK);
        assert_at_most(label, truth_error((wide)volts, want_v[n]), VOLTS_WITHIN);
    }
    for (int32_t k = 0; k < p->parts; k++) {
        if (want_a[k] > LEAST_AMPS || want_a[k] < -LEAST_AMPS) {
            currents++;
            assert_at_most(label, truth_error((wide)build_amps(&b, k), want_a[k]), AMPS_WITHIN);
        } else if (p->part[k].kind == PLAN_OHM) {
            assert_at_most(label, fabs(build_amps(&b, k)), 1.001 * (double)LEAST_AMPS);
        }
    }
    build_free(&b);
    free(want_v);
    free(want_a);
    plan_free(p);
    return currents;
}

/* The power of two nearest to a resistance: its reciprocal is exact. */
static double exact_ohm(double ohm)
{
    return ldexp(1.0, (int)lround(log2(ohm)));
}

/* Row r becomes node r + 1, and a branch with an electromotive force a source and a resistor. */
static plan from_netgen(const netgen *net, bool exact)
{
    plan p = plan_start(net->rows + 1);
    for (int32_t e = 0; e < net->branches; e++) {
        int32_t from = net->from[e] + 1, to = net->to[e] + 1;
        double ohm = exact ? exact_ohm(1.0 / net->g[e]) : 1.0 / net->g[e];
        if (net->emf[e] != 0.0) {
            from = p.nodes++;
            plan_add(&p, PLAN_VOLT, from, 0, net->emf[e]);
        }
        plan_add(&p, PLAN_OHM, from, to, ohm);
    }
    return p;
}

enum { SEEDS = 60 };

static void vehicles(void **state)
{
    (void)state;
    int32_t currents = 0;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        uint64_t s = seed;
        int32_t rows = 8 + netgen_below(&s, 80);
        netgen net = netgen_vehicle(rows, seed);
        for (int exact = 0; exact < 2; exact++) {
            plan p = from_netgen(&net, exact);
            currents += check("vehicle", &p);
        }
        netgen_free(&net);
    }
    assert_true(currents > 20 * SEEDS);
}

/* A section of cables that hangs on the rest by 1e7 to 1e14 ohm. */
static void isolated_sections(void **state)
{
    (void)state;
    static const double isolation[] = {1e7, 1e9, 1e10, 1e11, 1e12, 1e14};
    for (size_t k = 0; k < sizeof isolation / sizeof *isolation; k++) {
        for (uint64_t seed = 1; seed <= SEEDS / 4; seed++) {
            netgen net = netgen_isolated(isolation[k], seed);
            for (int exact = 0; exact < 2; exact++) {
                plan p = from_netgen(&net, exact);
                check("isolated section", &p);
            }
            netgen_free(&net);
        }
    }
}

/* Anything from 1e-5 to 1e14 ohm, with batteries and voltmeters of 10 Mohm. */
static void anything(void **state)
{
    (void)state;
    uint64_t seed = 401;
    for (int round = 0; round < 4 * SEEDS; round++) {
        int32_t nodes = 3 + netgen_below(&seed, 58), extra = netgen_below(&seed, nodes), a, b;
        plan p = plan_random(nodes, extra, 1e-14, 1e5, &seed);
        for (int32_t k = 0; round % 2 && k < p.parts; k++) {
            p.part[k].value = exact_ohm(p.part[k].value);
        }
        for (int meters = 0; meters < 3; meters++) {
            plan_two(nodes, &seed, &a, &b);
            plan_add(&p, PLAN_OHM, a, b, 1e7);
        }
        for (int batteries = netgen_below(&seed, 3); batteries >= 0; batteries--) {
            int32_t inner = p.nodes++, post = 1 + netgen_below(&seed, nodes - 1);
            plan_add(&p, PLAN_VOLT, inner, 0, netgen_uniform(&seed, 11.0, 14.4));
            plan_add(&p, PLAN_OHM, inner, post, netgen_log_uniform(&seed, 1e-3, 0.1));
        }
        check("anything", &p);
    }
}

/* A battery without load: cables side by side, and a ring of them, all lead nowhere. */
static void dead_ends(void **state)
{
    (void)state;
    uint64_t seed = 402;
    for (int round = 0; round < 4 * SEEDS; round++) {
        plan p = plan_start(6);
        static const int32_t ends[][2] = {{1, 2}, {2, 3}, {2, 3}, {3, 4}, {4, 5}, {5, 3}};
        plan_add(&p, PLAN_VOLT, 1, 0, 12.6);
        for (size_t k = 0; k < sizeof ends / sizeof *ends; k++) {
            plan_add(&p, PLAN_OHM, ends[k][0], ends[k][1], netgen_log_uniform(&seed, 1e-5, 1e5));
        }
        assert_int_equal(check("dead ends", &p), 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(vehicles),
        cmocka_unit_test(isolated_sections),
        cmocka_unit_test(anything),
        cmocka_unit_test(dead_ends),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* tests/external/equivalents_test.c: what stands for a whole network: spanning trees, Thevenin,
   Norton, Millman, the greatest power. Sources: standard circuit theory. */
#include <stdlib.h>

#include "near.h"
#include "netgen.h"
#include "plan.h"
#include "truth.h"

static const double EXACT = 1e-12, TIGHT = 1e-13;

/* The determinant of the Laplacian of 1 ohm edges without the rows of node 0 and, when it is not 0,
   of another node: a whole number, found without fractions. */
static double trees(const plan *p, int32_t without)
{
    int32_t n = p->nodes;
    wide *m = calloc((size_t)(n * n), sizeof *m);
    assert_non_null(m);
    for (int32_t k = 0; k < p->parts; k++) {
        int32_t a = p->part[k].from, b = p->part[k].to;
        m[a * n + a] += 1;
        m[b * n + b] += 1;
        m[a * n + b] -= 1;
        m[b * n + a] -= 1;
    }
    wide before = 1;
    for (int32_t k = 1; k < n; k++) {
        if (k == without) {
            continue;
        }
        for (int32_t r = k + 1; r < n; r++) {
            for (int32_t c = k + 1; c < n; c++) {
                m[r * n + c] = (m[r * n + c] * m[k * n + k] - m[r * n + k] * m[k * n + c]) / before;
            }
        }
        before = m[k * n + k];
    }
    free(m);
    return (double)before;
}

/* R between nodes 0 and j is det L without both over det L without one. */
static void matrix_tree_ratio(void **state)
{
    (void)state;
    uint64_t seed = 201;
    for (int round = 0; round < 400; round++) {
        int32_t nodes = 3 + netgen_below(&seed, 10), extra = netgen_below(&seed, nodes);
        plan p = plan_random(nodes, extra, 1.0, 1.0, &seed);
        build b = plan_build(&p, netgen_below(&seed, nodes));
        double all = trees(&p, 0);
        for (int32_t j = 1; j < nodes; j++) {
            double ohms = build_ohms(&b, 0, j), count = ohms * all;
            assert_near("det/det", ohms, trees(&p, j) / all, EXACT);
            assert_near("a whole number of trees", count, nearbyint(count), EXACT);
        }
        build_free(&b);
        plan_free(&p);
    }
}

/* The product of the conductances between node k and all nodes before it, joined: the number of
   spanning trees. */
static double trees_by_shorts(const plan *p)
{
    double product = 1.0;
    for (int32_t k = 1; k < p->nodes; k++) {
        plan q = plan_copy(p);
        for (int32_t j = 1; j < k; j++) {
            plan_add(&q, PLAN_OHM, j - 1, j, 0.0);
        }
        build b = plan_build(&q, 0);
        product /= build_ohms(&b, 0, k);
        build_free(&b);
        plan_free(&q);
    }
    return product;
}

/* Counts: exact, computed; K_n: n^(n-2). */
static void spanning_trees_of_known_graphs(void **state)
{
    (void)state;
    struct {
        const char *name;
        plan p;
        double trees;
    } rows[] = {
        {"tetrahedron", plan_complete(4), 16},
        {"cube", plan_hypercube(3), 384},
        {"octahedron", plan_octahedron(), 384},
        {"dodecahedron", plan_petersen(10, 2), 5184000},
        {"icosahedron", plan_icosahedron(), 5184000},
        {"Petersen graph", plan_petersen(5, 2), 2000},
        {"grid 2x2", plan_grid(2, 2), 4},
        {"grid 3x3", plan_grid(3, 3), 192},
        {"grid 4x4", plan_grid(4, 4), 100352},
        {"complete 5", plan_complete(5), 125},
        {"complete 6", plan_complete(6), 1296},
        {"complete 7", plan_complete(7), 16807},
        {"complete 8", plan_complete(8), 262144},
        {"cycle 9", plan_cycle(9), 9},
        {"path 9", plan_path(9), 1},
    };
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        assert_near(rows[k].name, trees(&rows[k].p, 0), rows[k].trees, 0.0);
        assert_near(rows[k].name, trees_by_shorts(&rows[k].p), rows[k].trees, EXACT);
        plan_free(&rows[k].p);
    }
}

/* A network with sources, and a load between two nodes that no links join. */
static plan draw(uint64_t *seed, int32_t *load)
{
    int32_t nodes = 3 + netgen_below(seed, 58), extra = netgen_below(seed, 2 * nodes), a, c;
    plan p = plan_random(nodes, extra, 1e-3, 1e3, seed);
    plan_two(nodes, seed, &a, &c);
    *load = p.parts;
    plan_add(&p, PLAN_OHM, a, c, 0.0);
    int32_t links = netgen_below(seed, 3), volts = 1 + netgen_below(seed, 4);
    int32_t amps = netgen_below(seed, 4);
    plan_sources(&p, links, volts, amps, 100.0, seed);
    p.part[*load].value = 1.0;
    return p;
}

/* Between the ends of the load without it: every source dead. */
static double inner_ohms(const plan *p, int32_t load)
{
    plan dead = plan_copy(p);
    for (int32_t k = 0; k < dead.parts; k++) {
        dead.part[k].value = dead.part[k].kind == PLAN_OHM ? dead.part[k].value : 0.0;
    }
    dead.part[load] = dead.part[dead.parts - 1];
    dead.parts--;
    build b = plan_build(&dead, 0);
    double ohms = build_ohms(&b, p->part[load].from, p->part[load].to);
    build_free(&b);
    plan_free(&dead);
    return ohms;
}

/* Voltage without the load, current of a load of 0 ohm, and the resistance behind them. */
typedef struct equivalent {
    double volts, amps, ohms;
} equivalent;

static equivalent measure(build *b, const plan *p, int32_t load)
{
    equivalent e = {.ohms = inner_ohms(p, load)};
    build_open(b, load);
    build_solve(b);
    e.volts = build_drop(b, load);
    build_healthy(b);
    build_set(b, load, "resistance", 0.0);
    build_solve(b);
    e.amps = build_amps(b, load);
    build_healthy(b);
    return e;
}

/* The open voltage is the resistance times the short current, and the two give every load its
   voltage. */
static void thevenin_and_norton(void **state)
{
    (void)state;
    uint64_t seed = 202;
    for (int round = 0; round < 400; round++) {
        int32_t load;
        plan p = draw(&seed, &load);
        build b = plan_build(&p, netgen_below(&seed, p.nodes));
        equivalent e = measure(&b, &p, load);
        /* What the sources, each up to 100 A, could do there at most. */
        double scale = fabs(e.volts) + 24.0 + 100.0 * e.ohms;
        assert_at_most("V = R I", fabs(e.volts - e.ohms * e.amps), TIGHT * scale);
        for (int k = 0; k < 4; k++) {
            double ohm = e.ohms * netgen_log_uniform(&seed, 1e-3, 1e3);
            build_healthy(&b);
            build_set(&b, load, "resistance", ohm);
            build_solve(&b);
            double want = e.volts * ohm / (e.ohms + ohm);
            assert_at_most("loaded", fabs(build_drop(&b, load) - want), TIGHT * scale);
            assert_at_most("loaded, current", fabs(build_amps(&b, load) - want / ohm),
                           TIGHT * scale / e.ohms);
        }
        build_free(&b);
        plan_free(&p);
    }
}

/* The greatest power into a load is V^2/(4 R), at R; half of what V gives is lost. */
static void maximum_power(void **state)
{
    (void)state;
    uint64_t seed = 203;
    for (int round = 0; round < 300; round++) {
        int32_t load;
        plan p = draw(&seed, &load);
        build b = plan_build(&p, netgen_below(&seed, p.nodes));
        equivalent e = measure(&b, &p, load);
        double most = e.volts * e.volts / (4.0 * e.ohms), watts[3];
        double ohms[] = {e.ohms, 0.97 * e.ohms, 1.03 * e.ohms};
        for (int k = 0; k < 3; k++) {
            build_healthy(&b);
            build_set(&b, load, "resistance", ohms[k]);
            build_solve(&b);
            watts[k] = build_watts(&b, load);
        }
        if (fabs(e.volts) > 1e-3) { /* else the sources cancel there */
            assert_near("greatest power", watts[0], most, 1e-9);
            assert_true(watts[1] < watts[0] && watts[2] < watts[0]);
            build_set(&b, load, "resistance", e.ohms);
            build_solve(&b);
            double given = e.volts * build_amps(&b, load);
            assert_near("half is lost", build_watts(&b, load), given / 2.0, 1e-9);
        }
        build_free(&b);
        plan_free(&p);
    }
}

/* V = sum(E/R)/sum(1/R). */
static void millman(void **state)
{
    (void)state;
    uint64_t seed = 204;
    for (int round = 0; round < 300; round++) {
        int32_t batteries = 1 + netgen_below(&seed, 12);
        plan p = plan_start(2 + batteries);
        wide fed = 0, sum = 0, size = 0;
        for (int32_t k = 0; k < batteries; k++) {
            double volts = netgen_uniform(&seed, -24.0, 24.0);
            double ohm = netgen_log_uniform(&seed, 1e-4, 1e3);
            plan_add(&p, PLAN_VOLT, 2 + k, 0, volts);
            plan_add(&p, PLAN_OHM, 2 + k, 1, ohm);
            fed += (wide)volts / (wide)ohm;
            size += (wide)fabs(volts) / (wide)ohm;
            sum += 1 / (wide)ohm;
        }
        build b = plan_build(&p, 0);
        build_solve(&b);
        assert_at_most("Millman", fabs(build_volts(&b, "n1") - (double)(fed / sum)),
                       1e-15 * (double)(size / sum));
        build_free(&b);
        plan_free(&p);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(matrix_tree_ratio),
        cmocka_unit_test(spanning_trees_of_known_graphs),
        cmocka_unit_test(thevenin_and_norton),
        cmocka_unit_test(maximum_power),
        cmocka_unit_test(millman),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* tests/external/networks_test.c: finite networks of 1 ohm whose resistances are known exactly.
   All values: exact rational arithmetic, computed; where a closed formula exists they agree with
   it. Published sources stand beside the tables. */
#include <stdio.h>
#include <stdlib.h>

#include "near.h"
#include "netgen.h"
#include "plan.h"

static const double EXACT = 1e-12;

typedef struct exactly {
    double over, under;
} exactly;

/* Every pair of nodes at a distance in a graph that looks the same from all of them. */
typedef struct distance_row {
    const char *name;
    int32_t distance;
    exactly ohm;
} distance_row;

static void check_distance(const plan *p, const distance_row *row)
{
    build b = plan_build(p, 0);
    int32_t *distance = calloc((size_t)p->nodes, sizeof *distance), pairs = 0;
    assert_non_null(distance);
    for (int32_t from = 0; from < p->nodes; from++) {
        plan_distances(p, from, distance);
        for (int32_t to = 0; to < p->nodes; to++) {
            if (distance[to] == row->distance) {
                pairs++;
                assert_near(row->name, build_ohms(&b, from, to), row->ohm.over / row->ohm.under,
                            EXACT);
            }
        }
    }
    assert_true(pairs >= p->nodes);
    free(distance);
    build_free(&b);
}

/* The edges at distance 1 are 2(n - 1)/(n z). Nearest values verified in a research puzzle archive,
   October 2007; Am. J. Phys. 66, 90 (1998). */
static void solids(void **state)
{
    (void)state;
    static const struct {
        enum { TETRAHEDRON, CUBE, OCTAHEDRON, DODECAHEDRON, ICOSAHEDRON, PETERSEN } solid;
        distance_row row;
    } rows[] = {
        {TETRAHEDRON, {"tetrahedron", 1, {1, 2}}},
        {CUBE, {"cube", 1, {7, 12}}},
        {CUBE, {"cube", 2, {3, 4}}},
        {CUBE, {"cube", 3, {5, 6}}},
        {OCTAHEDRON, {"octahedron", 1, {5, 12}}},
        {OCTAHEDRON, {"octahedron", 2, {1, 2}}},
        {DODECAHEDRON, {"dodecahedron", 1, {19, 30}}},
        {DODECAHEDRON, {"dodecahedron", 2, {9, 10}}},
        {DODECAHEDRON, {"dodecahedron", 3, {16, 15}}},
        {DODECAHEDRON, {"dodecahedron", 4, {17, 15}}},
        {DODECAHEDRON, {"dodecahedron", 5, {7, 6}}},
        {ICOSAHEDRON, {"icosahedron", 1, {11, 30}}},
        {ICOSAHEDRON, {"icosahedron", 2, {7, 15}}},
        {ICOSAHEDRON, {"icosahedron", 3, {1, 2}}},
        {PETERSEN, {"Petersen graph", 1, {3, 5}}},
        {PETERSEN, {"Petersen graph", 2, {4, 5}}},
    };
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        plan p = rows[k].solid == TETRAHEDRON    ? plan_complete(4)
                 : rows[k].solid == CUBE         ? plan_hypercube(3)
                 : rows[k].solid == OCTAHEDRON   ? plan_octahedron()
                 : rows[k].solid == DODECAHEDRON ? plan_petersen(10, 2)
                 : rows[k].solid == ICOSAHEDRON  ? plan_icosahedron()
                                                 : plan_petersen(5, 2);
        check_distance(&p, &rows[k].row);
        plan_free(&p);
    }
}

/* "Theory of resistor networks: the two-point resistance", J. Phys. A 37, 6653 (2004),
   arXiv math-ph/0402038. Nodes (x, y). */
static const struct {
    int32_t wide, high, x1, y1, x2, y2;
    exactly ohm;
} grids[] = {
    /* opposite corners */
    {2, 2, 0, 0, 1, 1, {1, 1}},
    {2, 3, 0, 0, 1, 2, {7, 5}},
    {2, 4, 0, 0, 1, 3, {15, 8}},
    {2, 5, 0, 0, 1, 4, {45, 19}},
    {3, 3, 0, 0, 2, 2, {3, 2}},
    {3, 4, 0, 0, 2, 3, {121, 69}},
    {3, 5, 0, 0, 2, 4, {430, 209}},
    {4, 4, 0, 0, 3, 3, {13, 7}},
    {4, 5, 0, 0, 3, 4, {2089, 1023}},
    {5, 5, 0, 0, 4, 4, {47, 22}},
    {6, 6, 0, 0, 5, 5, {1171, 495}},
    {7, 7, 0, 0, 6, 6, {6385, 2494}},
    {8, 8, 0, 0, 7, 7, {982871, 360161}},
    /* corners of one side */
    {2, 2, 0, 0, 1, 0, {3, 4}},
    {3, 3, 0, 0, 2, 0, {5, 4}},
    {4, 4, 0, 0, 3, 0, {181, 112}},
    {5, 5, 0, 0, 4, 0, {251, 132}},
    {6, 6, 0, 0, 5, 0, {109897, 51480}},
    /* corner to centre, corner to edge middle, edge middle to centre, opposite and adjacent edge
       middles */
    {3, 3, 0, 0, 1, 1, {7, 8}},
    {3, 3, 0, 0, 1, 0, {17, 24}},
    {3, 3, 1, 0, 1, 1, {7, 12}},
    {3, 3, 1, 0, 1, 2, {1, 1}},
    {3, 3, 1, 0, 0, 1, {5, 6}},
};

static void grids_between_two_nodes(void **state)
{
    (void)state;
    for (size_t k = 0; k < sizeof grids / sizeof *grids; k++) {
        int32_t wide = grids[k].wide, high = grids[k].high;
        plan p = plan_grid(wide, high);
        build b = plan_build(&p, 0);
        char label[64];
        snprintf(label, sizeof label, "grid %dx%d", (int)wide, (int)high);
        double want = grids[k].ohm.over / grids[k].ohm.under;
        /* The same pair, turned by half a turn and mirrored. */
        int32_t a = grids[k].x1 + wide * grids[k].y1, c = grids[k].x2 + wide * grids[k].y2;
        int32_t last = p.nodes - 1;
        int32_t a_mirrored = wide - 1 - grids[k].x1 + wide * grids[k].y1;
        int32_t c_mirrored = wide - 1 - grids[k].x2 + wide * grids[k].y2;
        assert_near(label, build_ohms(&b, a, c), want, EXACT);
        assert_near(label, build_ohms(&b, last - a, last - c), want, EXACT);
        assert_near(label, build_ohms(&b, a_mirrored, c_mirrored), want, EXACT);
        build_free(&b);
        plan_free(&p);
    }
}

static double two_point_formula(int32_t wide, int32_t high, int32_t a, int32_t c)
{
    const double pi = acos(-1.0);
    double x1 = a % wide, x2 = c % wide, y1 = a / wide, y2 = c / wide, sum = 0.0;
    for (int32_t m = 1; m < wide; m++) {
        for (int32_t n = 1; n < high; n++) {
            double u = pi * m / wide, v = pi * n / high;
            double d = cos((x1 + 0.5) * u) * cos((y1 + 0.5) * v) -
                       cos((x2 + 0.5) * u) * cos((y2 + 0.5) * v);
            sum += d * d / (2.0 - cos(u) - cos(v));
        }
    }
    return fabs(x1 - x2) / high + fabs(y1 - y2) / wide + 2.0 * sum / (wide * high);
}

/* The closed formula of the same paper, on random pairs. */
static void grids_by_the_two_point_formula(void **state)
{
    (void)state;
    uint64_t seed = 11;
    for (int round = 0; round < 40; round++) {
        int32_t wide = 2 + netgen_below(&seed, 9), high = 2 + netgen_below(&seed, 9), a, c;
        plan_two(wide * high, &seed, &a, &c);
        plan p = plan_grid(wide, high);
        build b = plan_build(&p, a);
        assert_near("two-point formula", build_ohms(&b, a, c), two_point_formula(wide, high, a, c),
                    EXACT);
        build_free(&b);
        plan_free(&p);
    }
}

static void check_pairs(const char *label, const plan *p, int32_t steps, double want)
{
    distance_row row = {label, steps, {want, 1}};
    check_distance(p, &row);
}

/* 2/n, k(n - k)/n; standard. */
static void complete_graphs_and_cycles(void **state)
{
    (void)state;
    for (int32_t n = 2; n <= 8; n++) {
        plan p = plan_complete(n);
        check_pairs("complete", &p, 1, 2.0 / n);
        plan_free(&p);
    }
    for (int32_t n = 3; n <= 7; n++) {
        for (int32_t k = 1; k <= n / 2; k++) {
            plan p = plan_cycle(n);
            check_pairs("cycle", &p, k, (double)(k * (n - k)) / n);
            plan_free(&p);
        }
    }
}

/* Adjacent by the first theorem; antipodal (1/d) sum of 1/C(d - 1, k). */
static void hypercubes(void **state)
{
    (void)state;
    static const exactly antipodal[] = {{1, 1}, {1, 1}, {5, 6}, {2, 3}, {8, 15}, {13, 30}};
    static const exactly adjacent[] = {{1, 1}, {3, 4}, {7, 12}, {15, 32}, {31, 80}, {21, 64}};
    for (int32_t d = 1; d <= 6; d++) {
        plan p = plan_hypercube(d);
        check_pairs("hypercube, antipodal", &p, d, antipodal[d - 1].over / antipodal[d - 1].under);
        check_pairs("hypercube, adjacent", &p, 1, adjacent[d - 1].over / adjacent[d - 1].under);
        plan_free(&p);
    }
}

/* Across (m + n - 1)/(mn); both in the part of m: 2/n. */
static void complete_bipartite_graphs(void **state)
{
    (void)state;
    static const struct {
        int32_t m, n;
        exactly across, inside;
    } rows[] = {{2, 3, {2, 3}, {2, 3}}, {3, 3, {5, 9}, {2, 3}}, {3, 4, {1, 2}, {1, 2}}};
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        plan p = plan_bipartite(rows[k].m, rows[k].n);
        build b = plan_build(&p, 0);
        for (int32_t a = 0; a < rows[k].m; a++) {
            for (int32_t c = 0; c < p.nodes; c++) {
                exactly want = c < rows[k].m ? rows[k].inside : rows[k].across;
                if (a != c) {
                    assert_near("complete bipartite", build_ohms(&b, a, c), want.over / want.under,
                                EXACT);
                }
            }
        }
        build_free(&b);
        plan_free(&p);
    }
}

static void wheels(void **state)
{
    (void)state;
    static const exactly spoke[] = {{1, 2}, {7, 15}, {5, 11}, {9, 20}, {13, 29}, {47, 105}};
    static const exactly rim[] = {{1, 2}, {8, 15}, {6, 11}, {11, 20}, {16, 29}, {58, 105}};
    for (int32_t k = 3; k <= 8; k++) {
        plan p = plan_wheel(k);
        build b = plan_build(&p, 0);
        for (int32_t r = 0; r < k; r++) {
            int32_t next = 1 + (r + 1) % k;
            assert_near("wheel, hub to rim", build_ohms(&b, 0, 1 + r),
                        spoke[k - 3].over / spoke[k - 3].under, EXACT);
            assert_near("wheel, rim neighbours", build_ohms(&b, 1 + r, next),
                        rim[k - 3].over / rim[k - 3].under, EXACT);
        }
        build_free(&b);
        plan_free(&p);
    }
}

/* F(2n + 1)/F(2n); without end the golden ratio, which 40 sections reach to 1e-33. */
static void ladders(void **state)
{
    (void)state;
    static const exactly rows[] = {{2, 1},       {5, 3},       {13, 8},    {34, 21},
                                   {89, 55},     {233, 144},   {610, 377}, {1597, 987},
                                   {4181, 2584}, {10946, 6765}};
    for (int32_t n = 1; n <= 10; n++) {
        plan p = plan_ladder(n);
        build b = plan_build(&p, n + 1);
        assert_near("ladder", build_ohms(&b, 0, n + 1), rows[n - 1].over / rows[n - 1].under,
                    EXACT);
        build_free(&b);
        plan_free(&p);
    }
    plan p = plan_ladder(40);
    build b = plan_build(&p, 41);
    assert_near("infinite ladder", build_ohms(&b, 0, 41), (1.0 + sqrt(5.0)) / 2.0, EXACT);
    build_free(&b);
    plan_free(&p);
}

/* R = (R1/2)(1 + sqrt(1 + 4 R2/R1)): 1 ohm in series and 2 ohm across is 2 ohm exactly. */
static void ladder_of_one_and_two_ohm(void **state)
{
    (void)state;
    plan p = plan_ladder(60);
    for (int32_t k = 1; k < p.parts; k += 2) {
        p.part[k].value = 2.0;
    }
    build b = plan_build(&p, 61);
    assert_near("ladder 1 and 2 ohm", build_ohms(&b, 0, 61), 2.0, EXACT);
    build_free(&b);
    plan_free(&p);
}

/* From the source (node 0) two arms to ground (node 3), and a detector between their middles. */
static plan bridge(double left, double right, double detector, double left_low, double right_low)
{
    plan p = plan_start(4);
    plan_add(&p, PLAN_OHM, 0, 1, left);
    plan_add(&p, PLAN_OHM, 0, 2, right);
    plan_add(&p, PLAN_OHM, 1, 2, detector);
    plan_add(&p, PLAN_OHM, 1, 3, left_low);
    plan_add(&p, PLAN_OHM, 2, 3, right_low);
    return p;
}

/* Own examples. */
static void bridges(void **state)
{
    (void)state;
    plan unbalanced = bridge(1, 2, 3, 4, 5), balanced = bridge(1, 2, 7, 3, 6);
    build u = plan_build(&unbalanced, 3), b = plan_build(&balanced, 3);
    assert_near("unbalanced bridge", build_ohms(&u, 0, 3), 61.0 / 21.0, EXACT);
    assert_near("balanced bridge", build_ohms(&b, 0, 3), 8.0 / 3.0, EXACT);
    build_free(&u);
    build_free(&b);
    plan_free(&unbalanced);
    plan_free(&balanced);
}

/* The delta 10, 20, 30 ohm and the star 5, 10/3, 10 ohm cannot be told apart. */
static void delta_and_star(void **state)
{
    (void)state;
    plan delta = plan_start(3), star = plan_start(4);
    plan_add(&delta, PLAN_OHM, 0, 1, 10.0);
    plan_add(&delta, PLAN_OHM, 1, 2, 20.0);
    plan_add(&delta, PLAN_OHM, 2, 0, 30.0);
    plan_add(&star, PLAN_OHM, 0, 3, 5.0);
    plan_add(&star, PLAN_OHM, 1, 3, 10.0 / 3.0);
    plan_add(&star, PLAN_OHM, 2, 3, 10.0);
    build d = plan_build(&delta, 0), s = plan_build(&star, 0);
    for (int32_t a = 0; a < 3; a++) {
        int32_t c = (a + 1) % 3;
        assert_near("delta and star", build_ohms(&d, a, c), build_ohms(&s, a, c), EXACT);
    }
    build_free(&d);
    build_free(&s);
    plan_free(&delta);
    plan_free(&star);
}

/* R-2R, 4 bits, 5 V: the output without load is 5 code/16, and R behind it. */
static void ladder_of_bits(void **state)
{
    (void)state;
    for (int32_t code = 0; code < 16; code++) {
        plan p = plan_start(9); /* 0 ground; 1..4 the rail, lowest bit first; 5..8 the bits */
        plan_add(&p, PLAN_OHM, 1, 0, 2.0);
        for (int32_t bit = 0; bit < 4; bit++) {
            plan_add(&p, PLAN_OHM, 5 + bit, 1 + bit, 2.0);
            plan_add(&p, PLAN_VOLT, 5 + bit, 0, code >> bit & 1 ? 5.0 : 0.0);
            if (bit > 0) {
                plan_add(&p, PLAN_OHM, bit, bit + 1, 1.0);
            }
        }
        build b = plan_build(&p, 0);
        build_solve(&b);
        assert_near("R-2R", build_volts(&b, "n4"), 5.0 * code / 16.0, EXACT);
        if (code == 0) {
            assert_near("R-2R behind the output", build_ohms(&b, 4, 0), 1.0, EXACT);
        }
        build_free(&b);
        plan_free(&p);
    }
}

/* n equal taps at equal spacing: the end of the cable is I r n(n + 1)/2 down. */
static void cable_with_equal_taps(void **state)
{
    (void)state;
    static const struct {
        int32_t taps;
        double drop;
    } rows[] = {{1, 1}, {2, 3}, {3, 6}, {4, 10}, {10, 55}};
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        plan p = plan_path(rows[k].taps + 1);
        for (int32_t n = 1; n < p.nodes; n++) {
            p.part[n - 1].value = 0.25;
            plan_add(&p, PLAN_AMP, 0, n, 8.0);
        }
        build b = plan_build(&p, 0);
        build_solve(&b);
        double volts = 0.0;
        assert_int_equal(sl_case_node(b.cs, rows[k].taps, &volts), SL_OK);
        assert_near("equal taps", -volts, 2.0 * rows[k].drop, EXACT);
        build_free(&b);
        plan_free(&p);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(solids),
        cmocka_unit_test(grids_between_two_nodes),
        cmocka_unit_test(grids_by_the_two_point_formula),
        cmocka_unit_test(complete_graphs_and_cycles),
        cmocka_unit_test(hypercubes),
        cmocka_unit_test(complete_bipartite_graphs),
        cmocka_unit_test(wheels),
        cmocka_unit_test(ladders),
        cmocka_unit_test(ladder_of_one_and_two_ohm),
        cmocka_unit_test(bridges),
        cmocka_unit_test(delta_and_star),
        cmocka_unit_test(ladder_of_bits),
        cmocka_unit_test(cable_with_equal_taps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

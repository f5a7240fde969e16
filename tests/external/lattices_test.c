/* tests/external/lattices_test.c: infinite lattices of 1 ohm, approached by tori.
   Values: lattice Green's functions, computed by numerical integration (square to 1e-12, triangular
   to 1e-7, honeycomb by extrapolation to 1e-6, cubic computed). Published: "Application of the
   lattice Green's function for calculating the resistance of an infinite network of resistors",
   Am. J. Phys. 68, 896 (2000), arXiv cond-mat/9909120 (identifier from memory); "Infinite resistive
   lattices", Am. J. Phys. 67, 486 (1999). */
#include <stdlib.h>

#include "near.h"
#include "netgen.h"
#include "plan.h"

static const double EXACT = 1e-12;

/* Foster's first theorem, and every edge like every other: (n - 1)/edges between neighbours of a
   torus; times n/(n - 1), 2/z without end. */
static void check_neighbours(const char *label, plan p, double without_end)
{
    build b = plan_build(&p, 0);
    uint64_t seed = 1;
    double want = (double)(p.nodes - 1) / p.parts;
    for (int32_t k = 0; k < 24; k++) {
        const plan_part *edge = &p.part[k < 12 ? k % p.parts : netgen_below(&seed, p.parts)];
        double ohms = build_ohms(&b, edge->from, edge->to);
        assert_near(label, ohms, want, EXACT);
        assert_near(label, ohms * p.nodes / (p.nodes - 1), without_end, EXACT);
    }
    build_free(&b);
    plan_free(&p);
}

static void neighbours_on_tori(void **state)
{
    (void)state;
    check_neighbours("hypercubic, d = 1", plan_torus(1, 300), 1.0);
    check_neighbours("hypercubic, d = 2, square", plan_torus(2, 20), 1.0 / 2.0);
    check_neighbours("hypercubic, d = 3, simple cubic", plan_torus(3, 7), 1.0 / 3.0);
    check_neighbours("hypercubic, d = 4", plan_torus(4, 4), 1.0 / 4.0);
    check_neighbours("hypercubic, d = 5", plan_torus(5, 3), 1.0 / 5.0);
    check_neighbours("hypercubic, d = 6", plan_torus(6, 3), 1.0 / 6.0);
    check_neighbours("square, larger", plan_torus(2, 40), 1.0 / 2.0);
    check_neighbours("triangular", plan_triangular(17), 1.0 / 3.0);
    check_neighbours("honeycomb", plan_honeycomb(13), 2.0 / 3.0);
    check_neighbours("kagome", plan_kagome(11), 1.0 / 2.0);
    check_neighbours("body-centred cubic", plan_bcc(5), 1.0 / 4.0);
    check_neighbours("face-centred cubic", plan_fcc(4), 1.0 / 6.0);
}

/* Honeycomb torus of n x n cells, neighbours, computed: (2/3)(1 - 1/(2 n^2)). */
static void honeycomb_torus_as_printed(void **state)
{
    (void)state;
    static const struct {
        int32_t n;
        double ohm;
    } rows[] = {{30, 0.6662963}, {60, 0.6665741}, {90, 0.6666255}};
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        plan p = plan_honeycomb(rows[k].n);
        build b = plan_build(&p, 0);
        double n = rows[k].n, ohms = build_ohms(&b, 0, 1);
        assert_near("honeycomb", ohms, 2.0 / 3.0 * (1.0 - 0.5 / (n * n)), EXACT);
        assert_near("honeycomb as printed", ohms, rows[k].ohm, 0.5e-7 / rows[k].ohm);
        build_free(&b);
        plan_free(&p);
    }
}

enum { SIZES_MOST = 5 };

/* What a + b n^-p + c n^-q + ... is without end, from its values at as many n. */
static double without_end(int32_t sizes, const int32_t *n, const int32_t *power,
                          const double *value)
{
    double m[SIZES_MOST][SIZES_MOST + 1];
    for (int32_t r = 0; r < sizes; r++) {
        for (int32_t c = 0; c < sizes; c++) {
            m[r][c] = c == 0 ? 1.0 : pow(n[r], -power[c - 1]);
        }
        m[r][sizes] = value[r];
    }
    for (int32_t k = sizes - 1; k >= 0; k--) { /* upwards, so that row 0 keeps a alone */
        for (int32_t r = 0; r < k; r++) {
            double share = m[r][k] / m[k][k];
            for (int32_t c = 0; c <= sizes; c++) {
                m[r][c] -= share * m[k][c];
            }
        }
    }
    return m[0][sizes] / m[0][0];
}

typedef struct lattice_row {
    const char *name;
    int32_t x, y, site;
    double ohm;
} lattice_row;

typedef plan (*torus)(int32_t n);

/* A flat torus is short of the infinite lattice by about r^2/(k n^2), with further terms in even
   powers of 1/n: at twice the size by a quarter; and without end the value itself. */
static void check_flat(torus make, int32_t sites, const lattice_row *rows, size_t count,
                       double tolerance)
{
    static const int32_t n[] = {22, 33, 44, 66}, power[] = {2, 4, 6};
    enum { SIZES = 4 };
    build b[SIZES];
    for (int32_t s = 0; s < SIZES; s++) {
        plan p = make(n[s]);
        b[s] = plan_build(&p, 0);
        plan_free(&p);
    }
    for (size_t k = 0; k < count; k++) {
        double ohms[SIZES];
        for (int32_t s = 0; s < SIZES; s++) {
            int32_t to = sites * plan_cell(n[s], rows[k].x, rows[k].y, 0) + rows[k].site;
            ohms[s] = build_ohms(&b[s], 0, to);
        }
        double short_22 = rows[k].ohm - ohms[0], short_44 = rows[k].ohm - ohms[2];
        assert_near(rows[k].name, short_22 / short_44, 4.0, 0.1);
        assert_near(rows[k].name, without_end(SIZES, n, power, ohms), rows[k].ohm, tolerance);
    }
    for (int32_t s = 0; s < SIZES; s++) {
        build_free(&b[s]);
    }
}

static plan square(int32_t n)
{
    return plan_torus(2, n);
}

static void square_lattice(void **state)
{
    (void)state;
    const double pi = acos(-1.0);
    const lattice_row rows[] = {
        {"square (1, 0)", 1, 0, 0, 1.0 / 2.0},
        {"square (1, 1)", 1, 1, 0, 2.0 / pi},
        {"square (2, 0)", 2, 0, 0, 2.0 - 4.0 / pi},
        {"square (2, 1)", 2, 1, 0, 4.0 / pi - 1.0 / 2.0},
        {"square (2, 2)", 2, 2, 0, 8.0 / (3.0 * pi)},
        {"square (3, 0)", 3, 0, 0, 17.0 / 2.0 - 24.0 / pi},
        {"square (3, 1)", 3, 1, 0, 46.0 / (3.0 * pi) - 4.0},
        {"square (3, 2)", 3, 2, 0, 1.0 / 2.0 + 4.0 / (3.0 * pi)},
        {"square (3, 3)", 3, 3, 0, 46.0 / (15.0 * pi)},
        {"square (4, 0)", 4, 0, 0, 40.0 - 368.0 / (3.0 * pi)},
        {"square (4, 1)", 4, 1, 0, 80.0 / pi - 49.0 / 2.0},
        {"square (4, 2)", 4, 2, 0, 6.0 - 236.0 / (15.0 * pi)},
        {"square (4, 3)", 4, 3, 0, 24.0 / (5.0 * pi) - 1.0 / 2.0},
        {"square (4, 4)", 4, 4, 0, 352.0 / (105.0 * pi)},
    };
    check_flat(square, 1, rows, sizeof rows / sizeof *rows, 1e-7);
}

static void triangular_lattice(void **state)
{
    (void)state;
    const double pi = acos(-1.0), root3 = sqrt(3.0);
    const lattice_row rows[] = {
        {"triangular, nearest", 1, 0, 0, 1.0 / 3.0},
        {"triangular, distance sqrt 3", 1, 1, 0, 2.0 * root3 / pi - 2.0 / 3.0},
        {"triangular, distance 2", 2, 0, 0, 8.0 / 3.0 - 4.0 * root3 / pi},
    };
    check_flat(plan_triangular, 1, rows, sizeof rows / sizeof *rows, 1e-9);
}

/* On one sublattice three times the triangular value. The sum of the three neighbours of a node
   that is not fed is three times its own: from 2/3 and 1, the two nodes at three steps make 7/3. */
static void honeycomb_lattice(void **state)
{
    (void)state;
    const double pi = acos(-1.0), root3 = sqrt(3.0);
    const lattice_row rows[] = {
        {"honeycomb, nearest", 0, 0, 1, 2.0 / 3.0},
        {"honeycomb, second", 1, 0, 0, 1.0},
        {"honeycomb, three steps, sqrt 7 away", 1, 0, 1, 7.0 / 3.0 - 2.0 * root3 / pi},
        {"honeycomb, three steps, across a hexagon", 1, -1, 1, 2.0 * root3 / pi},
        {"honeycomb, three times triangular sqrt 3", 1, 1, 0, 6.0 * root3 / pi - 2.0},
    };
    check_flat(plan_honeycomb, 2, rows, sizeof rows / sizeof *rows, 1e-9);
}

/* In space a torus is short by terms in n^-3, n^-5, ...; between its farthest nodes in n^-1,
   n^-3, ... */
static void simple_cubic_lattice(void **state)
{
    (void)state;
    enum { SIZES = 4 };
    static const int32_t n[] = {8, 10, 12, 14}, near_power[] = {3, 5, 7}, far_power[] = {1, 3, 5};
    static const struct {
        const char *name;
        int32_t x, y, z;
        double ohm, tolerance;
    } rows[] = {
        {"cubic (1, 0, 0)", 1, 0, 0, 1.0 / 3.0, 1e-7},
        {"cubic (1, 1, 0)", 1, 1, 0, 0.39507915234, 1e-6},
        {"cubic (1, 1, 1)", 1, 1, 1, 0.41830531092, 1e-6},
        {"cubic (2, 0, 0)", 2, 0, 0, 0.41968339063, 3e-6},
        {"cubic, infinity", 0, 0, 0, 0.505462019717326, 1e-5},
    };
    build b[SIZES];
    for (int32_t s = 0; s < SIZES; s++) {
        plan p = plan_torus(3, n[s]);
        b[s] = plan_build(&p, 0);
        plan_free(&p);
    }
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        bool far = rows[k].x == 0;
        double ohms[SIZES];
        for (int32_t s = 0; s < SIZES; s++) {
            int32_t half = n[s] / 2;
            int32_t to = far ? plan_cell(n[s], half, half, half)
                             : plan_cell(n[s], rows[k].x, rows[k].y, rows[k].z);
            ohms[s] = build_ohms(&b[s], 0, to);
        }
        double got = without_end(SIZES, n, far ? far_power : near_power, ohms);
        assert_near(rows[k].name, got, rows[k].ohm, rows[k].tolerance);
    }
    for (int32_t s = 0; s < SIZES; s++) {
        build_free(&b[s]);
    }
}

/* arXiv cond-mat/0107362 and the parallel rule: without one edge R' = R0 R/(R0 - R), here
   (n - 1)/(edges - n + 1) on a torus, and 1 ohm without end. */
static void one_edge_taken_from_the_square_lattice(void **state)
{
    (void)state;
    plan p = plan_torus(2, 30);
    build b = plan_build(&p, 0);
    sl_edit open = {0, SL_OPEN, -1, 0.0};
    double ohms = build_ohms_with(&b, p.part[0].from, p.part[0].to, &open, 1);
    assert_near("one edge open", ohms, (double)(p.nodes - 1) / (p.parts - p.nodes + 1), EXACT);
    assert_near("one edge open, nearly infinite", ohms, 1.0, 3.0 / p.nodes);
    build_free(&b);
    plan_free(&p);
}

/* Far away R = (1/pi)(ln r + 0.5772156649 + (3/2) ln 2), computed, and closer as 1/r^2. */
static void square_lattice_far_away(void **state)
{
    (void)state;
    enum { SIZES = 3 };
    static const int32_t n[] = {48, 72, 96}, power[] = {2, 4};
    const double pi = acos(-1.0);
    double ohms[SIZES];
    for (int32_t s = 0; s < SIZES; s++) {
        plan p = plan_torus(2, n[s]);
        build b = plan_build(&p, 0);
        ohms[s] = build_ohms(&b, 0, plan_cell(n[s], 8, 0, 0));
        build_free(&b);
        plan_free(&p);
    }
    double far = (log(8.0) + 0.5772156649 + 1.5 * log(2.0)) / pi;
    assert_near("square (8, 0)", without_end(SIZES, n, power, ohms), far, 5e-4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(neighbours_on_tori),
        cmocka_unit_test(honeycomb_torus_as_printed),
        cmocka_unit_test(square_lattice),
        cmocka_unit_test(triangular_lattice),
        cmocka_unit_test(honeycomb_lattice),
        cmocka_unit_test(simple_cubic_lattice),
        cmocka_unit_test(one_edge_taken_from_the_square_lattice),
        cmocka_unit_test(square_lattice_far_away),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

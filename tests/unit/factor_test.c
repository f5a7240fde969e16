/* tests/unit/factor_test.c: the factor that never subtracts, against hand work and graph
   search. Its accuracy is in factor_accuracy_test.c. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"
#include "netgen.h"
#include "numeric/factor.h"

#include <stdlib.h>
#include <string.h>

#define REF SL__REFERENCE

static sl__factor *factor_of(int32_t rows, int32_t branches, const int32_t *from, const int32_t *to)
{
    sl__factor *f = NULL;
    assert_int_equal(sl__factor_new(NULL, rows, branches, from, to, &f), SL_OK);
    return f;
}

static void *cells(int32_t count, size_t size)
{
    void *block = calloc((size_t)count + 1, size);
    assert_non_null(block);
    return block;
}

/* Small networks worked by hand: A x = b. */
static const struct {
    const char *label;
    int32_t rows, branches;
    int32_t from[6], to[6];
    double g[6], b[4], x[4];
} by_hand[] = {
    {"one leak of 2 S takes 4 A: 2 V", 1, 1, {0}, {REF}, {2}, {4}, {2}},
    /* 12 V behind 1 ohm, then 2 ohm and 3 ohm to the reference: 2 A; 10 V and 6 V. */
    {"divider 1, 2, 3 ohm",
     2,
     3,
     {REF, 0, 1},
     {0, 1, REF},
     {1, 1.0 / 2, 1.0 / 3},
     {12, 0},
     {10, 6}},
    /* Bridge of 1 S arms, 1 A in at the top, the middle branch idle by symmetry: two paths of
       2 ohm side by side, 1 ohm in all. */
    {"balanced bridge",
     3,
     5,
     {0, 0, 1, 2, 1},
     {1, 2, REF, REF, 2},
     {1, 1, 1, 1, 7},
     {1, 0, 0},
     {1, 0.5, 0.5}},
    /* Row 0 draws 1 A, row 1 feeds 2 A: 1 A through the 4 S leak of row 0, 2 A through 8 S. */
    {"a sink and a source", 2, 2, {1, 0}, {0, REF}, {8, 4}, {-1, 2}, {0.25, 0.5}},
    /* 1 A enters row 0 and leaves through row 3's leak of 1 S; row 2 hangs on and carries none. */
    {"chain with a dead end",
     4,
     4,
     {0, 1, 1, 3},
     {1, 2, 3, REF},
     {2, 5, 4, 1},
     {1, 0, 0, 0},
     {1.75, 1.25, 1.25, 1}},
};

static void small_networks_match_hand_work(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof by_hand / sizeof *by_hand; i++) {
        sl__factor *f =
            factor_of(by_hand[i].rows, by_hand[i].branches, by_hand[i].from, by_hand[i].to);
        double x[4];
        assert_int_equal(sl__factor_update(f, by_hand[i].g), 0);
        sl__factor_solve(f, by_hand[i].b, x);
        for (int32_t k = 0; k < by_hand[i].rows; k++) {
            assert_near(by_hand[i].label, x[k], by_hand[i].x[k], 1e-15);
        }
        sl__factor_free(f);
    }
}

static void nothing_at_all_is_a_network(void **state)
{
    (void)state;
    sl__factor *f = factor_of(0, 0, NULL, NULL);
    assert_int_equal(sl__factor_update(f, NULL), 0);
    sl__factor_solve(f, NULL, NULL);
    assert_int_equal(sl__factor_fill(f), 0);
    sl__factor_free(f);
    sl__factor_free(NULL);
}

static void rows_without_branches_are_all_dead(void **state)
{
    (void)state;
    sl__factor *f = factor_of(3, 0, NULL, NULL);
    assert_int_equal(sl__factor_update(f, NULL), 3);
    int32_t seen = 0;
    for (int32_t i = 0; i < 3; i++) {
        seen |= 1 << sl__factor_dead_rows(f)[i];
    }
    assert_int_equal(seen, 7);
    double x[3] = {1.0, 2.0, 3.0};
    sl__factor_solve(f, x, x);
    for (int32_t i = 0; i < 3; i++) {
        assert_near("dead row", x[i], 0.0, 0.0);
    }
    sl__factor_free(f);
}

static void parallel_branches_act_as_their_sum(void **state)
{
    (void)state;
    const int32_t from[] = {0, 1, 0, REF, 1}, to[] = {1, 0, 1, 1, REF};
    const double g[] = {1.0, 2.0, 5.0, 0.5, 1.5}, b[] = {4.0, 0.0};
    double x[2];
    sl__factor *f = factor_of(2, 5, from, to);
    assert_int_equal(sl__factor_fill(f), 1);
    assert_int_equal(sl__factor_update(f, g), 0);
    sl__factor_solve(f, b, x);
    assert_near("4 A into 2 S", x[1], 2.0, 1e-15);
    assert_near("and through 8 S", x[0], 2.5, 1e-15);
    sl__factor_free(f);
}

static void a_branch_with_both_ends_in_one_place_is_ignored(void **state)
{
    (void)state;
    const int32_t from[] = {0, REF, 0, 1}, to[] = {0, REF, 1, REF};
    const double g[] = {1e9, 1e9, 1.0, 1.0}, b[] = {1.0, 0.0};
    double x[2];
    sl__factor *f = factor_of(2, 4, from, to);
    assert_int_equal(sl__factor_update(f, g), 0);
    sl__factor_solve(f, b, x);
    assert_near("1 A through 1 S twice", x[0], 2.0, 1e-15);
    sl__factor_free(f);
    f = factor_of(0, 1, from + 1, to + 1);
    assert_int_equal(sl__factor_update(f, g), 0);
    sl__factor_free(f);
}

/* A tree needs no fill; 1/8 more may be stored as zeros. A 30 x 30 mesh has 1740 branches and by
   any good order about 10,000 entries. */
static void fill_stays_small(void **state)
{
    (void)state;
    netgen tree = netgen_any(500, 499, 1), mesh = netgen_mesh(30, 1);
    uint64_t random = 1;
    for (int32_t i = 1; i < tree.rows; i++) {
        tree.from[i - 1] = i;
        tree.to[i - 1] = netgen_below(&random, i);
    }
    sl__factor *f = factor_of(tree.rows, tree.branches, tree.from, tree.to);
    assert_in_range(sl__factor_fill(f), 499, 499 * 9 / 8);
    sl__factor_free(f);
    f = factor_of(mesh.rows, mesh.branches, mesh.from, mesh.to);
    assert_in_range(sl__factor_fill(f), 1740, 12000);
    sl__factor_free(f);
    netgen_free(&tree);
    netgen_free(&mesh);
}

/* battery - row 0 - switch - row 1 - load to the reference; row 2 on row 1 by 1 S. */
static void a_switch_opens_and_closes(void **state)
{
    (void)state;
    const int32_t from[] = {REF, 0, 1, 2}, to[] = {0, 1, REF, 1};
    const double closed[] = {1.0, 1.0, 1.0, 1.0}, open[] = {1.0, 0.0, 1.0, 1.0};
    const double cut_off[] = {1.0, 0.0, 0.0, 1.0}, b[] = {12.0, 0.0, 0.0};
    double x[3];
    sl__factor *f = factor_of(3, 4, from, to);
    for (int32_t round = 0; round < 2; round++) {
        assert_int_equal(sl__factor_update(f, closed), 0);
        sl__factor_solve(f, b, x);
        assert_near("closed, row 0", x[0], 8.0, 1e-15);
        assert_near("closed, row 2", x[2], 4.0, 1e-15);
        assert_int_equal(sl__factor_update(f, open), 0);
        sl__factor_solve(f, b, x);
        assert_near("open, row 0", x[0], 12.0, 1e-15);
        assert_near("open, row 2", x[2], 0.0, 0.0);
        assert_int_equal(sl__factor_update(f, cut_off), 1);
        int32_t dead = sl__factor_dead_rows(f)[0];
        assert_true(dead == 1 || dead == 2);
    }
    sl__factor_free(f);
}

/* Row 0 grounded; rows 1-2-3 an island, a triangle of 1 S: 3 A from 1 to 3 see 2/3 ohm. */
static void a_floating_island_keeps_its_differences(void **state)
{
    (void)state;
    const int32_t from[] = {0, 1, 2, 3}, to[] = {REF, 2, 3, 1};
    const double g[] = {2.0, 1.0, 1.0, 1.0}, b[] = {1.0, 3.0, 0.0, -3.0};
    double x[4];
    sl__factor *f = factor_of(4, 4, from, to);
    assert_int_equal(sl__factor_update(f, g), 1);
    sl__factor_solve(f, b, x);
    assert_near("grounded row", x[0], 0.5, 1e-15);
    assert_near("across the island", x[1] - x[3], 2.0, 1e-15);
    assert_near("half way", x[1] - x[2], 1.0, 1e-15);
    assert_near("dead row", x[sl__factor_dead_rows(f)[0]], 0.0, 0.0);
    sl__factor_free(f);
}

/* Too large for 34 digits, not for Kirchhoff: what the voltages leave over at each row must be
   their own rounding. */
static void large_networks_balance(void **state)
{
    (void)state;
    netgen nets[] = {netgen_vehicle(3000, 1), netgen_vehicle(12000, 2), netgen_mesh(90, 1)};
    for (size_t k = 0; k < sizeof nets / sizeof *nets; k++) {
        int32_t n = nets[k].rows, m = nets[k].branches;
        double *x = cells(n, sizeof *x), *left = cells(n, sizeof *left);
        netgen_currents_in(&nets[k], left);
        sl__factor *f = factor_of(n, m, nets[k].from, nets[k].to);
        assert_int_equal(sl__factor_update(f, nets[k].g), 0);
        sl__factor_solve(f, left, x);
        double greatest = 0.0;
        for (int32_t e = 0; e < m; e++) {
            int32_t a = nets[k].from[e], b = nets[k].to[e];
            double i = nets[k].g[e] * ((a == REF ? 0.0 : x[a]) - (b == REF ? 0.0 : x[b]));
            left[a == REF ? n : a] -= i;
            left[b == REF ? n : b] += i;
        }
        for (int32_t r = 0; r < n; r++) {
            greatest = fmax(greatest, fabs(left[r]));
        }
        assert_at_most("amperes left over", greatest, 1e-9);
        sl__factor_free(f);
        free(x);
        free(left);
        netgen_free(&nets[k]);
    }
}

static int32_t root_of(int32_t *up, int32_t r)
{
    while (up[r] != r) {
        r = up[r] = up[up[r]];
    }
    return r;
}

/* Joins rows by the branches that conduct; the reference is row `rows`. Returns the islands that
   do not hold it. */
static int32_t islands_of(const netgen *net, int32_t *up)
{
    int32_t islands = net->rows;
    for (int32_t r = 0; r <= net->rows; r++) {
        up[r] = r;
    }
    for (int32_t e = 0; e < net->branches; e++) {
        int32_t a = root_of(up, net->from[e] == REF ? net->rows : net->from[e]);
        int32_t b = root_of(up, net->to[e] == REF ? net->rows : net->to[e]);
        if (net->g[e] > 0.0 && a != b) {
            up[a] = b;
            islands--;
        }
    }
    return islands;
}

/* One dead row in each island and no two in one, and none with the reference. */
static void check_dead_rows(const sl__factor *f, int32_t dead, const netgen *net, int32_t *up)
{
    assert_int_equal(dead, islands_of(net, up));
    char *taken = cells(net->rows, 1);
    taken[root_of(up, net->rows)] = 1;
    for (int32_t i = 0; i < dead; i++) {
        int32_t root = root_of(up, sl__factor_dead_rows(f)[i]);
        assert_false(taken[root]);
        taken[root] = 1;
    }
    free(taken);
}

static void zero_pivots_are_the_islands_of_the_graph(void **state)
{
    (void)state;
    uint64_t random = 2024;
    int32_t floating = 0, whole = 0;
    for (uint64_t seed = 0; seed < 5000; seed++) {
        int32_t rows = 1 + netgen_below(&random, 60);
        netgen net = netgen_any(rows, netgen_below(&random, 3 * rows), seed);
        int32_t *up = cells(rows, sizeof *up);
        sl__factor *f = factor_of(rows, net.branches, net.from, net.to);
        for (int32_t opens = 0; opens < 4; opens++) {
            int32_t dead = sl__factor_update(f, net.g);
            check_dead_rows(f, dead, &net, up);
            floating += dead > 0;
            whole += dead == 0;
            if (net.branches > 0) {
                net.g[netgen_below(&random, net.branches)] = 0.0;
            }
        }
        sl__factor_free(f);
        free(up);
        netgen_free(&net);
    }
    assert_true(floating > 1000 && whole > 1000); /* both verdicts were really tried */
}

static void opens_of_a_vehicle_agree_with_the_graph(void **state)
{
    (void)state;
    netgen net = netgen_vehicle(300, 7);
    int32_t *up = cells(net.rows, sizeof *up);
    sl__factor *f = factor_of(net.rows, net.branches, net.from, net.to);
    for (int32_t e = 0; e < net.branches; e++) {
        double g = net.g[e];
        net.g[e] = 0.0;
        check_dead_rows(f, sl__factor_update(f, net.g), &net, up);
        net.g[e] = g;
    }
    sl__factor_free(f);
    free(up);
    netgen_free(&net);
}

static void an_update_leaves_nothing_of_the_one_before(void **state)
{
    (void)state;
    netgen net = netgen_vehicle(300, 3);
    double *b = cells(net.rows, sizeof *b), *x = cells(net.rows, sizeof *x);
    double *first = cells(net.rows, sizeof *first), *g = cells(net.branches, sizeof *g);
    netgen_currents_in(&net, b);
    sl__factor *f = factor_of(net.rows, net.branches, net.from, net.to);
    sl__factor_update(f, net.g);
    sl__factor_solve(f, b, first);
    for (int32_t round = 0; round < 5; round++) {
        for (int32_t e = 0; e < net.branches; e++) {
            g[e] = round % 2 ? 0.0 : net.g[e] * (1 + e % 7);
        }
        sl__factor_update(f, g);
        sl__factor_update(f, net.g);
        sl__factor_solve(f, b, x);
        assert_memory_equal(x, first, (size_t)net.rows * sizeof *x);
    }
    sl__factor_free(f);
    free(b);
    free(x);
    free(first);
    free(g);
    netgen_free(&net);
}

/* An allocator that fails once, at the call number fail_at, and checks the sizes it is told. */
typedef struct probe {
    int64_t calls, fail_at, blocks, bytes;
} probe;

static void *probe_resize(void *user, void *block, size_t old_bytes, size_t new_bytes)
{
    probe *p = user;
    if (new_bytes > 0 && p->calls++ == p->fail_at) {
        return NULL;
    }
    p->bytes += (int64_t)new_bytes - (int64_t)old_bytes;
    p->blocks += (new_bytes > 0) - (old_bytes > 0);
    if (new_bytes == 0) {
        free(block);
        return NULL;
    }
    return realloc(block, new_bytes);
}

static void every_allocation_may_fail(void **state)
{
    (void)state;
    netgen net = netgen_vehicle(120, 1);
    double *x = cells(net.rows, sizeof *x);
    sl_status st = SL_E_NOMEM;
    int64_t n = 0;
    for (; st != SL_OK; n++) {
        assert_true(n < 1000);
        probe p = {.fail_at = n};
        const sl_alloc al = {probe_resize, &p};
        sl__factor *f = NULL;
        st = sl__factor_new(&al, net.rows, net.branches, net.from, net.to, &f);
        if (st == SL_OK) {
            int64_t calls = p.calls;
            p.fail_at = calls; /* from here on nothing may ask for memory */
            netgen_currents_in(&net, x);
            assert_int_equal(sl__factor_update(f, net.g), 0);
            sl__factor_solve(f, x, x);
            assert_int_equal(p.calls, calls);
            sl__factor_free(f);
        } else {
            assert_int_equal(st, SL_E_NOMEM);
            assert_null(f);
        }
        assert_int_equal(p.blocks, 0);
        assert_int_equal(p.bytes, 0);
    }
    assert_true(n > 10);
    free(x);
    netgen_free(&net);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(small_networks_match_hand_work),
        cmocka_unit_test(nothing_at_all_is_a_network),
        cmocka_unit_test(rows_without_branches_are_all_dead),
        cmocka_unit_test(parallel_branches_act_as_their_sum),
        cmocka_unit_test(a_branch_with_both_ends_in_one_place_is_ignored),
        cmocka_unit_test(fill_stays_small),
        cmocka_unit_test(a_switch_opens_and_closes),
        cmocka_unit_test(a_floating_island_keeps_its_differences),
        cmocka_unit_test(large_networks_balance),
        cmocka_unit_test(zero_pivots_are_the_islands_of_the_graph),
        cmocka_unit_test(opens_of_a_vehicle_agree_with_the_graph),
        cmocka_unit_test(an_update_leaves_nothing_of_the_one_before),
        cmocka_unit_test(every_allocation_may_fail),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

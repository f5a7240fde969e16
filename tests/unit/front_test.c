/* lib/numeric/front.h: against the same elimination in long double, one node at a time. */
#include "near.h"

#include "numeric/front.h"
#include "numeric/lanes.h"

#include <stdlib.h>
#include <string.h>

/* Fixed: the same numbers in every run. */
static double next(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return (double)(*state >> 11) * 0x1p-53;
}

/* A front of n nodes with conductances from 1e-12 to 1, a third of them 0. */
static double *new_front(int32_t n, uint64_t seed)
{
    double *g = calloc(sl__front_size(n), sizeof *g);
    const int32_t stride = sl__front_stride(n);
    sl__front_clear(g, n);
    for (int32_t c = 0; c < n; c++) {
        for (int32_t r = c + 1; r < n; r++) {
            const double which = next(&seed), size = next(&seed);
            g[(ptrdiff_t)c * stride + r] = which < 1.0 / 3.0 ? 0.0 : pow(10.0, -12.0 * size);
        }
    }
    return g;
}

static void eliminate_slowly(long double *g, int32_t n, int32_t count)
{
    for (int32_t p = 0; p < count; p++) {
        long double pivot = 0.0L;
        for (int32_t j = p + 1; j < n; j++) {
            pivot += g[(ptrdiff_t)p * n + j];
        }
        for (int32_t i = p + 1; i < n && pivot > 0.0L; i++) {
            for (int32_t j = i + 1; j < n; j++) {
                g[(ptrdiff_t)i * n + j] +=
                    g[(ptrdiff_t)p * n + i] * g[(ptrdiff_t)p * n + j] / pivot;
            }
        }
    }
}

/* Entries that differ by more than a few units in the last place. */
static void check_against_slow(int32_t n, int32_t count, uint64_t seed)
{
    double *g = new_front(n, seed);
    double *work = calloc(sl__front_work(n), sizeof *work);
    long double *slow = calloc((size_t)n * (size_t)n, sizeof *slow);
    const int32_t stride = sl__front_stride(n);
    for (int32_t c = 0; c < n; c++) {
        for (int32_t r = c + 1; r < n; r++) {
            slow[(ptrdiff_t)c * n + r] = g[(ptrdiff_t)c * stride + r];
        }
    }
    eliminate_slowly(slow, n, count);
    sl__front_eliminate(g, n, count, work);
    for (int32_t c = count; c < n; c++) {
        for (int32_t r = c + 1; r < n; r++) {
            assert_near("entry", g[(ptrdiff_t)c * stride + r], (double)slow[(ptrdiff_t)c * n + r],
                        1e-14);
        }
    }
    free(slow);
    free(work);
    free(g);
}

static void entries_are_right_to_the_last_places(void **unused)
{
    (void)unused;
    const int32_t sizes[][2] = {{2, 1},   {3, 1},   {5, 4},    {16, 7},   {17, 16},  {33, 1},
                                {50, 48}, {64, 49}, {100, 96}, {120, 60}, {161, 97}, {200, 150}};
    for (size_t k = 0; k < sizeof sizes / sizeof *sizes; k++) {
        check_against_slow(sizes[k][0], sizes[k][1], 7 + k);
    }
}

static void every_width_gives_the_same_bits(void **unused)
{
    (void)unused;
    enum { NODES = 150, GONE = 100 };
    double *work = calloc(sl__front_work(NODES), sizeof *work);
    double *first = new_front(NODES, 5);
    sl__front_eliminate_with(1, first, NODES, GONE, work);
    double *left = calloc(sl__front_size(NODES - GONE), sizeof *left);
    sl__front_copy_left(first, NODES, GONE, left);
    for (int32_t k = 2; k <= sl__lane_kernels(); k++) {
        double *other = new_front(NODES, 5);
        double *other_left = calloc(sl__front_size(NODES - GONE), sizeof *other_left);
        sl__front_eliminate_with(k, other, NODES, GONE, work);
        sl__front_copy_left(other, NODES, GONE, other_left);
        assert_memory_equal(left, other_left, sl__front_size(NODES - GONE) * sizeof *left);
        free(other_left);
        free(other);
    }
    free(left);
    free(first);
    free(work);
}

/* Two chains that nothing joins stay apart, to exactly 0, and a node alone drops out. */
static void what_is_not_joined_stays_apart(void **unused)
{
    (void)unused;
    enum { NODES = 7, STRIDE = 16 };
    double g[STRIDE * 8], work[48 * 25] = {0.0};
    assert_int_equal(sl__front_stride(NODES), STRIDE);
    assert_true(sl__front_size(NODES) <= sizeof g / sizeof *g);
    assert_true(sl__front_work(NODES) <= sizeof work / sizeof *work);
    sl__front_clear(g, NODES);
    g[0 * STRIDE + 3] = g[0 * STRIDE + 4] = 2.0; /* 3 - 0 - 4 */
    g[1 * STRIDE + 5] = g[1 * STRIDE + 6] = 1.0; /* 5 - 1 - 6; node 2 is alone */
    sl__front_eliminate(g, NODES, 3, work);
    assert_near("two in series", g[3 * STRIDE + 4], 1.0, 0.0);
    assert_near("two in series", g[5 * STRIDE + 6], 0.5, 0.0);
    assert_near("apart", g[3 * STRIDE + 5], 0.0, 0.0);
    assert_near("apart", g[4 * STRIDE + 6], 0.0, 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(entries_are_right_to_the_last_places),
        cmocka_unit_test(every_width_gives_the_same_bits),
        cmocka_unit_test(what_is_not_joined_stays_apart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

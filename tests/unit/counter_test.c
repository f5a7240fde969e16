/* Numbers by counting, and figures of a stream. */
#include "analysis/tally.h"
#include "near.h"
#include "numeric/counter.h"

#include <stdlib.h>
#include <string.h>

/* Known answers of Philox4x32-10, as published with the paper (from memory). */
static void test_known_answers(void **state)
{
    (void)state;
    static const struct {
        uint32_t counter[4], key[2], out[4];
    } rows[] = {
        {{0, 0, 0, 0}, {0, 0}, {0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}},
        {{0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff},
         {0xffffffff, 0xffffffff},
         {0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd}},
        {{0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344},
         {0xa4093822, 0x299f31d0},
         {0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}},
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        uint32_t out[4];
        sl__counter_block(rows[r].counter, rows[r].key, out);
        assert_memory_equal(out, rows[r].out, sizeof out);
    }
}

/* Mean and variance of the two shapes: of a uniform number in -1 ... 1, 0 and 1/3; of a normal one
   cut at three deviations, 1 - 2 * 3 phi(3) / (2 Phi(3) - 1) of the whole variance (textbook), and
   a deviation is a third here. */
static void check_shape(sl_shape shape, double variance)
{
    sl__tally *t = calloc(1, sizeof *t);
    enum { COUNT = 200000 };
    for (int32_t k = 0; k < COUNT; k++) {
        double z = sl__counter_draw(42, k, 3, shape);
        assert_true(z > -1.0 && z < 1.0);
        sl__tally_add(t, z);
    }
    assert_at_most("mean", fabs(t->mean), 5.0 * sqrt(variance / COUNT));
    double got = sl__tally_deviation(t) * sl__tally_deviation(t);
    assert_near("variance", got, variance, 0.02);
    free(t);
}

static void test_shapes(void **state)
{
    (void)state;
    check_shape(SL_UNIFORM, 1.0 / 3.0);
    const double phi3 = exp(-4.5) / sqrt(8.0 * atan(1.0)), inside = erf(3.0 / sqrt(2.0));
    check_shape(SL_NORMAL, (1.0 - 6.0 * phi3 / inside) / 9.0);
}

/* A normal number lies where the normal distribution, cut at three deviations, reaches what the
   uniform number of the same counter says: by the error function of the C library. */
static void test_normal(void **state)
{
    (void)state;
    const double inside = erf(3.0 / sqrt(2.0));
    for (int32_t k = 0; k < 20000; k++) {
        const double u = sl__counter_draw(3, k, k % 7, SL_UNIFORM);
        const double z = sl__counter_draw(3, k, k % 7, SL_NORMAL);
        assert_at_most("share", fabs(erf(3.0 * z / sqrt(2.0)) - inside * u), 1e-15);
    }
}

static void test_draws_differ(void **state)
{
    (void)state;
    const double z = sl__counter_draw(1, 0, 0, SL_UNIFORM);
    assert_true(z == sl__counter_draw(1, 0, 0, SL_UNIFORM));
    assert_true(z != sl__counter_draw(2, 0, 0, SL_UNIFORM));
    assert_true(z != sl__counter_draw(UINT64_C(1) << 40 | 1, 0, 0, SL_UNIFORM));
    assert_true(z != sl__counter_draw(1, INT64_C(1) << 40, 0, SL_UNIFORM));
    assert_true(z != sl__counter_draw(1, 0, 1, SL_UNIFORM));
}

/* 0, 1, ... n - 1 in a shuffled order: mean (n - 1)/2, variance n (n + 1)/12, and every percentile
   known, before and after the kept numbers have been turned into steps. */
static void check_ramp(int32_t n)
{
    sl__tally *t = calloc(1, sizeof *t);
    for (int32_t k = 0; k < n; k++) {
        sl__tally_add(t, (double)((int64_t)k * 7919 % n));
    }
    assert_near("mean", t->mean, (n - 1) / 2.0, 1e-12);
    assert_near("deviation", sl__tally_deviation(t), sqrt(n * (n + 1.0) / 12.0), 1e-12);
    static const double shares[] = {0.0, 0.01, 0.25, 0.5, 0.9, 0.999, 1.0};
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
        double got = sl__tally_percentile(t, shares[i]);
        assert_at_most("percentile", fabs(got - shares[i] * (n - 1)), t->step + 1.0);
    }
    free(t);
}

static void test_ramps(void **state)
{
    (void)state;
    check_ramp(101);
    check_ramp(1024);
    check_ramp(1025);
    check_ramp(100003);
}

/* What comes later and lies far outside what came first. */
static void test_tails(void **state)
{
    (void)state;
    sl__tally *t = calloc(1, sizeof *t);
    for (int32_t k = 0; k < 2000; k++) {
        sl__tally_add(t, k < 1100 ? k % 10 : k % 2 ? -1000.0 : 1000.0);
    }
    assert_true(t->least == -1000.0 && t->greatest == 1000.0);
    assert_true(sl__tally_percentile(t, 0.001) <= 0.0);
    assert_true(sl__tally_percentile(t, 0.999) >= 9.0);
    assert_at_most("middle", fabs(sl__tally_percentile(t, 0.5) - 4.5), 1.0);
    memset(t, 0, sizeof *t);
    for (int32_t k = 0; k < 3000; k++) {
        sl__tally_add(t, 7.0);
    }
    assert_near("all alike", sl__tally_percentile(t, 0.5), 7.0, 1e-8);
    free(t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_known_answers), cmocka_unit_test(test_shapes),
        cmocka_unit_test(test_normal),        cmocka_unit_test(test_draws_differ),
        cmocka_unit_test(test_ramps),         cmocka_unit_test(test_tails),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

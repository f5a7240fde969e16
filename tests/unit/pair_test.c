/* tests/unit/pair_test.c: sums of two doubles, and currents and balances made of them. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"
#include "netgen.h"
#include "numeric/balance.h"
#include "numeric/factor.h"
#include "truth.h"

enum { ROUNDS = 20000 };

#define PAIR_TOLERANCE 0x1p-100

static wide value_of(sl__pair a)
{
    return (wide)a.hi + (wide)a.lo;
}

static double random_double(uint64_t *random)
{
    double size = netgen_log_uniform(random, 1e-18, 1e18);
    return netgen_below(random, 2) ? size : -size;
}

static sl__pair random_pair(uint64_t *random)
{
    double hi = random_double(random);
    return sl__two_sum(hi, hi * netgen_uniform(random, -0x1p-53, 0x1p-53));
}

/* The low part is what the high part could not hold, and no more. */
static void check_normal(sl__pair a)
{
    double sum = a.hi + a.lo;
    assert_true(sum == a.hi);
}

/* 107 bits hold the sum of two doubles not more than 2^54 apart, and any product; wide has 113. */
static void sums_and_products_of_doubles_are_exact(void **state)
{
    (void)state;
    uint64_t random = 1;
    for (int32_t round = 0; round < ROUNDS; round++) {
        double a = random_double(&random);
        double b = a * netgen_log_uniform(&random, 1e-8, 1e8);
        b = round % 2 ? b : -b;
        assert_true(value_of(sl__two_sum(a, b)) == (wide)a + (wide)b);
        b = random_double(&random);
        assert_true(value_of(sl__two_prod(a, b)) == (wide)a * (wide)b);
        check_normal(sl__two_prod(a, b));
        check_normal(sl__two_sum(a, b));
    }
}

static void what_cancels_is_found_in_the_low_part(void **state)
{
    (void)state;
    sl__pair third = sl__pair_scale(sl__pair_of(1.0), 1.0 / 3.0);
    assert_near("1/3 as it is", third.hi, 1.0 / 3.0, 0.0);
    assert_near("no more", third.lo, 0.0, 0.0);
    sl__pair a = sl__pair_add(sl__pair_of(12.0), sl__pair_of(1e-20));
    assert_near("12 V hides it", a.hi, 12.0, 0.0);
    assert_near("and gives it back", sl__pair_value(sl__pair_sub(a, sl__pair_of(12.0))), 1e-20,
                0.0);
    sl__pair square = sl__two_prod(1.0 + 0x1p-30, 1.0 + 0x1p-30);
    assert_near("1 + 2^-29", square.hi, 1.0 + 0x1p-29, 0.0);
    assert_near("2^-60", square.lo, 0x1p-60, 0.0);
}

static void pairs_add_and_scale_to_32_digits(void **state)
{
    (void)state;
    uint64_t random = 2;
    for (int32_t round = 0; round < ROUNDS; round++) {
        sl__pair a = random_pair(&random);
        sl__pair b = random_pair(&random);
        double k = random_double(&random);
        wide most = (value_of(a) < 0 ? -value_of(a) : value_of(a)) +
                    (value_of(b) < 0 ? -value_of(b) : value_of(b));
        double sum = (double)((value_of(sl__pair_add(a, b)) - (value_of(a) + value_of(b))) / most);
        double difference =
            (double)((value_of(sl__pair_sub(a, b)) - (value_of(a) - value_of(b))) / most);
        assert_at_most("sum", fabs(sum), PAIR_TOLERANCE);
        assert_at_most("difference", fabs(difference), PAIR_TOLERANCE);
        assert_at_most("product",
                       truth_error(value_of(sl__pair_scale(a, k)), value_of(a) * (wide)k),
                       PAIR_TOLERANCE);
        check_normal(sl__pair_add(a, b));
        check_normal(sl__pair_scale(a, k));
    }
}

static void zero_stays_zero(void **state)
{
    (void)state;
    sl__pair zero = sl__pair_add(sl__pair_of(0.0), sl__pair_neg(sl__pair_of(0.0)));
    assert_near("0 - 0", sl__pair_value(zero), 0.0, 0.0);
    assert_near("0 * 5", sl__pair_value(sl__pair_scale(zero, 5.0)), 0.0, 0.0);
}

static void currents_follow_their_branches(void **state)
{
    (void)state;
    const int32_t from[] = {SL__REFERENCE, 0, 1, 0, 1}, to[] = {0, 1, SL__REFERENCE, 1, 0};
    const double g[] = {2.0, 1e5, 0.5, 0.0, 1e5};
    /* 12.6 V behind 0.5 ohm; 1e-17 V between row 0 and row 1, which a double cannot show. */
    const sl__pair emf[5] = {{12.6, 0.0}, {0.0, 0.0}, {0.0, 0.0}, {5.0, 0.0}, {0.0, 0.0}};
    const sl__pair v[] = {{12.0, 1e-17}, {12.0, 0.0}};
    sl__pair i[5];
    sl__pair_currents(5, from, to, g, emf, v, i);
    assert_near("battery", i[0].hi, 2.0 * (12.6 - 12.0), 1e-15);
    assert_near("cable", i[1].hi, 1e-12, 1e-15);
    assert_near("to the reference", i[2].hi, 6.0, 1e-15);
    assert_true(i[3].hi == 0.0 && i[3].lo == 0.0); /* open, in spite of its source */
    assert_near("cable read backwards", i[4].hi, -1e-12, 1e-15);
    sl__pair_currents(5, from, to, g, NULL, v, i);
    assert_near("without sources", i[0].hi, -24.0, 1e-15);
    const double nan = (double)NAN;
    const sl__pair unknown[] = {{12.0, 0.0}, {nan, nan}}; /* nobody knows where row 1 floats */
    sl__pair_currents(5, from, to, g, emf, unknown, i);
    assert_true(i[3].hi == 0.0 && i[3].lo == 0.0);
}

static void a_balance_keeps_what_large_currents_hide(void **state)
{
    (void)state;
    const int32_t from[] = {0, 0, 0, 1}, to[] = {1, SL__REFERENCE, 1, SL__REFERENCE};
    const sl__pair i[] = {{2100.0, 1e-14}, {-2100.0, 0.0}, {1e-15, 0.0}, {2100.0, 0.0}};
    const sl__pair inject[] = {{1e-14, 0.0}, {3.0, 0.0}};
    sl__pair work[2];
    double r[2];
    double greatest = sl__pair_residual(2, 4, from, to, i, NULL, work, r);
    assert_near("row 0: -(1e-14 + 1e-15)", r[0], -1.1e-14, 1e-15);
    assert_near("row 1: 2100 in and out", r[1], 1.1e-14, 1e-15);
    assert_near("greatest", greatest, 1.1e-14, 1e-15);
    greatest = sl__pair_residual(2, 4, from, to, i, inject, work, r);
    assert_near("row 0 with injection", r[0], -1e-15, 1e-14);
    assert_near("row 1 with injection", r[1], 3.0 + 1.1e-14, 1e-15);
    assert_near("greatest", greatest, 3.0 + 1.1e-14, 1e-15);
}

static void a_correction_moves_voltages_and_currents_together(void **state)
{
    (void)state;
    const int32_t from[] = {0, SL__REFERENCE, 0}, to[] = {1, 1, 1};
    const double g[] = {1e5, 2.0, 0.0}, dv[] = {3e-17, 1e-17};
    sl__pair v[] = {{12.0, 0.0}, {12.0, 0.0}}, i[3];
    sl__pair_currents(3, from, to, g, NULL, v, i);
    sl__pair_correct(2, 3, from, to, g, dv, v, i);
    assert_near("high part", v[0].hi, 12.0, 0.0);
    assert_near("low part", v[0].lo, 3e-17, 0.0);
    assert_near("cable", i[0].hi, 2e-12, 1e-15);
    assert_near("from the reference", i[1].hi, -24.0, 0.0);
    assert_near("below it", i[1].lo, -2e-17, 1e-15);
    assert_true(i[2].hi == 0.0 && i[2].lo == 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sums_and_products_of_doubles_are_exact),
        cmocka_unit_test(what_cancels_is_found_in_the_low_part),
        cmocka_unit_test(pairs_add_and_scale_to_32_digits),
        cmocka_unit_test(zero_stays_zero),
        cmocka_unit_test(currents_follow_their_branches),
        cmocka_unit_test(a_balance_keeps_what_large_currents_hide),
        cmocka_unit_test(a_correction_moves_voltages_and_currents_together),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* tests/unit/dense_test.c: small dense systems. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "near.h"
#include "netgen.h"
#include "numeric/dense.h"

enum { MOST = 24 };

static void two_by_two_by_hand(void **state)
{
    (void)state;
    double a[] = {1.0, 2.0, 3.0, 4.0}, b[] = {5.0, 11.0}; /* x + 2y = 5, 3x + 4y = 11 */
    int32_t row[2];
    assert_int_equal(sl__dense_factor(2, a, row), SL_OK);
    sl__dense_solve(2, a, row, b);
    assert_near("x", b[0], 1.0, 1e-15);
    assert_near("y", b[1], 2.0, 1e-15);
}

static void zeros_on_the_diagonal_are_pivoted(void **state)
{
    (void)state;
    double a[] = {0.0, 2.0, 0.0, 0.0, 0.0, 4.0, 8.0, 0.0, 0.0}, b[] = {2.0, 8.0, 24.0};
    int32_t row[3];
    assert_int_equal(sl__dense_factor(3, a, row), SL_OK);
    sl__dense_solve(3, a, row, b);
    assert_near("x", b[0], 3.0, 0.0);
    assert_near("y", b[1], 1.0, 0.0);
    assert_near("z", b[2], 2.0, 0.0);
}

/* Without an exchange of rows the small pivot would swallow the 1 beside it: y = 1, x = 1. */
static void a_small_pivot_is_not_used(void **state)
{
    (void)state;
    double a[] = {1e-20, 1.0, 1.0, 1.0}, b[] = {1.0, 2.0};
    int32_t row[2];
    assert_int_equal(sl__dense_factor(2, a, row), SL_OK);
    sl__dense_solve(2, a, row, b);
    assert_near("x", b[0], 1.0, 1e-15);
    assert_near("y", b[1], 1.0, 1e-15);
}

static void a_singular_matrix_is_refused(void **state)
{
    (void)state;
    double zero[] = {0.0}, twins[] = {1.0, 2.0, 2.0, 4.0};
    int32_t row[2];
    assert_int_equal(sl__dense_factor(1, zero, row), SL_E_CONVERGENCE);
    assert_int_equal(sl__dense_factor(2, twins, row), SL_E_CONVERGENCE);
}

static void nothing_solves_to_nothing(void **state)
{
    (void)state;
    assert_int_equal(sl__dense_factor(0, NULL, NULL), SL_OK);
    sl__dense_solve(0, NULL, NULL, NULL);
}

/* Symmetric positive definite by its diagonal, as port systems are; x known beforehand. */
static void random_systems_give_back_what_they_were_made_from(void **state)
{
    (void)state;
    uint64_t random = 11;
    for (int32_t round = 0; round < 500; round++) {
        double a[MOST * MOST], b[MOST], x[MOST];
        int32_t row[MOST], n = 1 + netgen_below(&random, MOST);
        for (int32_t i = 0; i < n; i++) {
            x[i] = netgen_uniform(&random, 1.0, 20.0);
            for (int32_t j = 0; j <= i; j++) {
                a[i * n + j] = a[j * n + i] = netgen_uniform(&random, -1.0, 1.0);
            }
            a[i * n + i] = n + 1.0;
        }
        for (int32_t i = 0; i < n; i++) {
            b[i] = 0.0;
            for (int32_t j = 0; j < n; j++) {
                b[i] += a[i * n + j] * x[j];
            }
        }
        assert_int_equal(sl__dense_factor(n, a, row), SL_OK);
        sl__dense_solve(n, a, row, b);
        for (int32_t i = 0; i < n; i++) {
            assert_near("x", b[i], x[i], 1e-12);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_by_two_by_hand),
        cmocka_unit_test(zeros_on_the_diagonal_are_pivoted),
        cmocka_unit_test(a_small_pivot_is_not_used),
        cmocka_unit_test(a_singular_matrix_is_refused),
        cmocka_unit_test(nothing_solves_to_nothing),
        cmocka_unit_test(random_systems_give_back_what_they_were_made_from),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

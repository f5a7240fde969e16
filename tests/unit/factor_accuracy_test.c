/* tests/unit/factor_accuracy_test.c: voltages straight from the factor, and currents refined in
   pairs, against 34-digit arithmetic. */
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

#include <stdio.h>
#include <stdlib.h>

#define REF SL__REFERENCE
#define VOLTAGE_TOLERANCE 4e-15 /* relative, each voltage */
#define CURRENT_TOLERANCE 1e-15 /* relative, each current above LEAST_CURRENT */
#define LEAST_CURRENT 1e-12     /* amperes */

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

/* The yardstick itself: two ways of working in 34 digits agree. */
static void two_wide_solutions_agree(void **state)
{
    (void)state;
    netgen nets[] = {netgen_isolated(1e9, 1), netgen_vehicle(60, 1), netgen_mesh(8, 1)};
    for (size_t i = 0; i < sizeof nets / sizeof *nets; i++) {
        wide *b = cells(nets[i].rows, sizeof *b), *v = cells(nets[i].rows, sizeof *v);
        wide *w = cells(nets[i].rows, sizeof *w);
        truth_currents_in(&nets[i], b);
        truth_solve(&nets[i], b, v);
        truth_solve_assembled(&nets[i], b, w);
        for (int32_t r = 0; r < nets[i].rows; r++) {
            assert_at_most("wide against wide", truth_error(w[r], v[r]), 1e-17);
        }
        free(b);
        free(v);
        free(w);
        netgen_free(&nets[i]);
    }
}

/* The worst relative error of the voltages of a network straight from the factor. */
static double voltage_error(const netgen *net)
{
    double *b = cells(net->rows, sizeof *b);
    wide *wide_b = cells(net->rows, sizeof *wide_b), *truth = cells(net->rows, sizeof *truth);
    netgen_currents_in(net, b);
    for (int32_t r = 0; r < net->rows; r++) {
        wide_b[r] = (wide)b[r];
    }
    sl__factor *f = factor_of(net->rows, net->branches, net->from, net->to);
    int32_t floating = truth_solve(net, wide_b, truth);
    assert_int_equal(sl__factor_update(f, net->g), floating);
    sl__factor_solve(f, b, b);
    double worst = 0.0;
    for (int32_t r = 0; r < net->rows; r++) {
        worst = fmax(worst, truth_error((wide)b[r], truth[r]));
    }
    sl__factor_free(f);
    free(b);
    free(wide_b);
    free(truth);
    return worst;
}

static void check_voltages(const char *label, netgen net)
{
    assert_at_most(label, voltage_error(&net), VOLTAGE_TOLERANCE);
    netgen_free(&net);
}

static void a_section_behind_high_isolation_is_exact(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        for (double ohm = 1e7; ohm < 2e14; ohm *= 10.0) {
            char label[64];
            snprintf(label, sizeof label, "isolated by %.0e ohm, seed %d", ohm, (int)seed);
            check_voltages(label, netgen_isolated(ohm, seed));
        }
    }
}

static void vehicles_and_meshes_are_exact(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        check_voltages("vehicle of 8 rows", netgen_vehicle(8, seed));
        check_voltages("vehicle of 60 rows", netgen_vehicle(60, seed));
    }
    check_voltages("vehicle of 300 rows", netgen_vehicle(300, 1));
    check_voltages("vehicle of 700 rows", netgen_vehicle(700, 2));
    check_voltages("mesh of 1 row", netgen_mesh(1, 1));
    check_voltages("mesh of 20 x 20 rows", netgen_mesh(20, 1));
}

/* Every row joined to every other: one block of the factor, wider than it may be. */
static void a_full_network_is_exact(void **state)
{
    (void)state;
    for (int32_t rows = 2; rows <= 150; rows += 37) {
        netgen net = netgen_any(rows, rows * (rows - 1) / 2 + 1, 3);
        uint64_t random = 5;
        int32_t e = 0;
        for (int32_t i = 0; i < rows; i++) {
            for (int32_t j = 0; j < i; j++, e++) {
                net.from[e] = i;
                net.to[e] = j;
                net.g[e] = netgen_log_uniform(&random, 1e-3, 1e3);
                net.emf[e] = 0.0;
            }
        }
        net.from[e] = 0;
        net.to[e] = REF;
        net.g[e] = 1e-9;
        net.emf[e] = -12.0;
        net.inject[rows - 1] = 1.0;
        check_voltages("every row joined to every other", net);
    }
}

/* The worst relative error of the currents above LEAST_CURRENT after some steps of refinement. */
static double current_error(const netgen *net, int32_t steps)
{
    int32_t n = net->rows, m = net->branches;
    double *r = cells(n, sizeof *r);
    sl__pair *v = cells(n, sizeof *v), *i = cells(m, sizeof *i), *emf = cells(m, sizeof *emf);
    sl__pair *work = cells(n, sizeof *work), *inject = cells(n, sizeof *inject);
    wide *b = cells(n, sizeof *b), *truth_v = cells(n, sizeof *b), *truth = cells(m, sizeof *b);
    truth_currents_in(net, b);
    truth_solve(net, b, truth_v);
    truth_currents(net, truth_v, truth);

    sl__factor *f = factor_of(n, m, net->from, net->to);
    assert_int_equal(sl__factor_update(f, net->g), 0);
    netgen_currents_in(net, r);
    sl__factor_solve(f, r, r);
    for (int32_t k = 0; k < n; k++) {
        v[k] = sl__pair_of(r[k]);
        inject[k] = sl__pair_of(net->inject[k]);
    }
    for (int32_t e = 0; e < m; e++) {
        emf[e] = sl__pair_of(net->emf[e]);
    }
    sl__pair_currents(m, net->from, net->to, net->g, emf, v, i);
    for (int32_t step = 0; step < steps; step++) {
        sl__pair_residual(n, m, net->from, net->to, i, inject, work, r);
        sl__factor_solve(f, r, r);
        sl__pair_correct(n, m, net->from, net->to, net->g, r, v, i);
    }
    double worst = 0.0;
    for (int32_t e = 0; e < m; e++) {
        if (fabs((double)truth[e]) > LEAST_CURRENT) {
            worst = fmax(worst, truth_error((wide)i[e].hi + (wide)i[e].lo, truth[e]));
        }
    }
    sl__factor_free(f);
    free(r);
    free(v);
    free(i);
    free(emf);
    free(work);
    free(inject);
    free(b);
    free(truth_v);
    free(truth);
    return worst;
}

static void one_step_makes_the_currents_of_a_vehicle_exact(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        netgen net = netgen_vehicle(60, seed);
        assert_at_most("60 rows", current_error(&net, 1), CURRENT_TOLERANCE);
        netgen_free(&net);
    }
    netgen net = netgen_vehicle(500, 2);
    assert_true(current_error(&net, 0) > 1e-6); /* and they needed it */
    assert_at_most("500 rows", current_error(&net, 1), CURRENT_TOLERANCE);
    netgen_free(&net);
}

/* Behind 1e11 ohm, what the first step leaves on the section as a whole drowns 1 pA inside it. */
static void three_steps_reach_any_isolation(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        for (double ohm = 1e7; ohm < 2e14; ohm *= 10.0) {
            char label[64];
            netgen net = netgen_isolated(ohm, seed);
            snprintf(label, sizeof label, "isolated by %.0e ohm, seed %d", ohm, (int)seed);
            if (ohm < 2e8) {
                assert_at_most(label, current_error(&net, 1), CURRENT_TOLERANCE);
            }
            assert_at_most(label, current_error(&net, 3), CURRENT_TOLERANCE);
            netgen_free(&net);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_wide_solutions_agree),
        cmocka_unit_test(a_section_behind_high_isolation_is_exact),
        cmocka_unit_test(vehicles_and_meshes_are_exact),
        cmocka_unit_test(a_full_network_is_exact),
        cmocka_unit_test(one_step_makes_the_currents_of_a_vehicle_exact),
        cmocka_unit_test(three_steps_reach_any_isolation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

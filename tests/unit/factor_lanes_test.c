/* tests/unit/factor_lanes_test.c: every lane of several solves at once, in every variant this
   processor has, is to the last bit the one solve it stands for. */
#include "near.h"
#include "netgen.h"
#include "numeric/factor_lanes.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static double *numbers(int32_t count)
{
    double *v = calloc((size_t)count + 1, sizeof *v);
    assert_non_null(v);
    return v;
}

/* Twigs, blocks, wide roots, islands, branches that are not there, and nothing at all. */
static netgen net_number(int32_t number)
{
    switch (number) {
    case 0:
        return netgen_vehicle(300, 1);
    case 1:
        return netgen_mesh(17, 2);
    case 2:
        return netgen_vehicle(1500, 3);
    case 3:
        return netgen_isolated(1e12, 4);
    default: {
        uint64_t random = (uint64_t)number;
        int32_t rows = netgen_below(&random, 60);
        return netgen_any(rows, rows ? netgen_below(&random, 3 * rows) : 0, (uint64_t)number);
    }
    }
}

enum { NETS = 60 };

static void right_hand_sides(void **state)
{
    (void)state;
    for (int32_t number = 0; number < NETS; number++) {
        netgen net = net_number(number);
        uint64_t random = (uint64_t)number;
        const int32_t n = net.rows, all = n * SL__LANES;
        double *b = numbers(all), *x = numbers(all), *work = numbers(all), *one = numbers(n);
        sl__factor *f = NULL;
        assert_int_equal(sl__factor_new(NULL, n, net.branches, net.from, net.to, &f), SL_OK);
        sl__factor_update(f, net.g);
        for (int32_t k = 0; k < all; k++) {
            b[k] = netgen_uniform(&random, -1.0, 1.0);
        }
        for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
            sl__factor_solve_lanes_with(kernel, f, b, x, work);
            for (int32_t l = 0; l < SL__LANES; l++) {
                for (int32_t r = 0; r < n; r++) {
                    one[r] = b[r * SL__LANES + l];
                }
                sl__factor_solve(f, one, one);
                for (int32_t r = 0; r < n; r++) {
                    assert_memory_equal(&x[r * SL__LANES + l], &one[r], sizeof *one);
                }
            }
        }
        sl__factor_solve_lanes(f, b, b, work); /* in place */
        assert_memory_equal(b, x, (size_t)all * sizeof *b);
        sl__factor_free(f);
        free(b);
        free(x);
        free(work);
        free(one);
        netgen_free(&net);
    }
}

/* Conductances of the lanes: off by up to 30 % or by decades, some of them 0; lane 0 has those of
   the network. */
static void vary(const netgen *net, double *g, uint64_t *random)
{
    for (int32_t e = 0; e < net->branches; e++) {
        for (int32_t l = 0; l < SL__LANES; l++) {
            double by =
                l < 4 ? netgen_uniform(random, 0.7, 1.3) : netgen_log_uniform(random, 1e-9, 1e9);
            by = l == 0 ? 1.0 : netgen_below(random, 20) == 0 ? 0.0 : by;
            g[e * SL__LANES + l] = net->g[e] * by;
        }
    }
}

static void networks(void **state)
{
    (void)state;
    int32_t floating = 0;
    for (int32_t number = 0; number < NETS; number++) {
        netgen net = net_number(number);
        uint64_t random = (uint64_t)number;
        const int32_t n = net.rows, m = net.branches, all = n * SL__LANES;
        double *b = numbers(all), *x = numbers(all), *one = numbers(n);
        double *g = numbers(m * SL__LANES), *own = numbers(m);
        sl__factor *f = NULL;
        sl__lane_factor *w = NULL;
        assert_int_equal(sl__factor_new(NULL, n, m, net.from, net.to, &f), SL_OK);
        assert_int_equal(sl__lane_factor_new(f, &w), SL_OK);
        for (int32_t k = 0; k < all; k++) {
            b[k] = netgen_uniform(&random, -1.0, 1.0);
        }
        for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
            int32_t dead[SL__LANES], sum = 0;
            vary(&net, g, &random);
            sl__lane_factor_use(w, kernel);
            int32_t all_dead = sl__lane_factor_update(w, g, dead);
            sl__lane_factor_solve(w, b, x);
            for (int32_t l = 0; l < SL__LANES; l++) {
                for (int32_t e = 0; e < m; e++) {
                    own[e] = g[e * SL__LANES + l];
                }
                for (int32_t r = 0; r < n; r++) {
                    one[r] = b[r * SL__LANES + l];
                }
                assert_int_equal(sl__factor_update(f, own), dead[l]);
                sl__factor_solve(f, one, one);
                for (int32_t r = 0; r < n; r++) {
                    assert_memory_equal(&x[r * SL__LANES + l], &one[r], sizeof *one);
                }
                sum += dead[l];
                floating += dead[l] > 0;
            }
            assert_int_equal(all_dead, sum);
        }
        sl__lane_factor_solve(w, b, b); /* in place */
        assert_memory_equal(b, x, (size_t)all * sizeof *b);
        sl__lane_factor_free(w);
        sl__factor_free(f);
        free(b);
        free(x);
        free(one);
        free(g);
        free(own);
        netgen_free(&net);
    }
    assert_true(floating > NETS); /* islands were really tried */
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(right_hand_sides),
                                       cmocka_unit_test(networks)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

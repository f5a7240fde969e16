/* tests/unit/factor_lanes_test.c: every lane of several solves at once, in every variant this
   processor has, is to the last bit the one solve it stands for. */
#include "near.h"
#include "netgen.h"
#include "numeric/column.h"
#include "numeric/effective.h"
#include "numeric/factor_internal.h"
#include "probe.h"
#include "truth.h"

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

/* A factor by every variant. */
static void factors(void **state)
{
    (void)state;
    for (int32_t number = 0; number < NETS; number++) {
        netgen net = net_number(number);
        sl__factor *f = NULL;
        assert_int_equal(sl__factor_new(NULL, net.rows, net.branches, net.from, net.to, &f), SL_OK);
        double *first = numbers((int32_t)f->values);
        for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
            sl__factor_update_with(kernel, f, net.g);
            if (kernel == 1) {
                memcpy(first, f->value, (size_t)f->values * sizeof *first);
            }
            assert_memory_equal(f->value, first, (size_t)f->values * sizeof *first);
        }
        free(first);
        sl__factor_free(f);
        netgen_free(&net);
    }
}

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

/* A network with its factor: fresh room, nothing shared between the variants. */
typedef struct factored {
    netgen net;
    sl__factor *f;
} factored;

static factored factored_number(int32_t number)
{
    factored n = {.net = net_number(number)};
    assert_int_equal(sl__factor_new(NULL, n.net.rows, n.net.branches, n.net.from, n.net.to, &n.f),
                     SL_OK);
    sl__factor_update(n.f, n.net.g);
    return n;
}

static void factored_end(factored *n)
{
    sl__factor_free(n->f);
    netgen_free(&n->net);
}

static void pairs_of_rows(void **state)
{
    (void)state;
    enum { PAIRS = 77 }; /* not a multiple of what is done at once */
    for (int32_t number = 0; number < NETS; number++) {
        factored n = factored_number(number);
        uint64_t random = (uint64_t)number;
        sl__effective *e = NULL;
        assert_int_equal(sl__effective_new(n.f, &e), SL_OK);
        int32_t a[PAIRS], b[PAIRS];
        double ohm[PAIRS];
        for (int32_t k = 0; k < PAIRS; k++) {
            a[k] = netgen_below(&random, n.net.rows + 1) - 1;
            b[k] = netgen_below(&random, n.net.rows + 1) - 1;
        }
        for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
            sl__effective_between_all_with(kernel, e, PAIRS, a, b, ohm);
            for (int32_t k = 0; k < PAIRS; k++) {
                double one = sl__effective_between(e, a[k], b[k]);
                assert_memory_equal(&ohm[k], &one, sizeof one);
            }
        }
        sl__effective_free(e);
        factored_end(&n);
    }
}

/* A pass by every variant. */
static void passes(void **state)
{
    (void)state;
    for (int32_t number = 0; number < NETS; number++) {
        factored n = factored_number(number);
        const int32_t m = n.net.branches;
        double *first = numbers(3 * m), *other = numbers(3 * m);
        sl__effective *e = NULL;
        assert_int_equal(sl__effective_new(n.f, &e), SL_OK);
        for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
            double *to = kernel == 1 ? first : other;
            sl__effective_update_with(kernel, e, n.net.g, to, to + m, to + 2 * m);
            assert_memory_equal(to, first, 3 * (size_t)m * sizeof *to);
        }
        sl__effective_free(e);
        free(first);
        free(other);
        factored_end(&n);
    }
}

/* Columns of branches by every variant. */
static void refined_columns(void **state)
{
    (void)state;
    for (int32_t number = 0; number < 12; number++) {
        factored n = factored_number(number);
        const int32_t rows = n.net.rows, m = n.net.branches;
        uint64_t random = (uint64_t)number;
        double *into = numbers(rows * SL__LANES);
        double *high = numbers(rows * SL__LANES), *low = numbers(rows * SL__LANES);
        double *one_volt = numbers(rows), *one_amp = numbers(m), *b = numbers(rows);
        double *x = numbers(rows);
        sl__pair *pair = calloc(3 * (size_t)rows + (size_t)m + 1, sizeof *pair);
        assert_non_null(pair);
        sl__column_room room = {n.f, rows, m,    n.net.from,  n.net.to,        n.net.g,
                                b,   x,    pair, pair + rows, pair + 2 * rows, pair + 3 * rows};
        sl__columns *c = NULL;
        assert_int_equal(sl__columns_new(n.f, rows, m, n.net.from, n.net.to, n.net.g, &c), SL_OK);
        for (int32_t kernel = 1; kernel <= sl__lane_kernels() && m > 0; kernel++) {
            const int32_t count = 1 + netgen_below(&random, SL__LANES);
            int32_t branch[SL__LANES];
            double rest[SL__LANES];
            memset(into, 0, (size_t)rows * SL__LANES * sizeof *into);
            for (int32_t l = 0; l < count; l++) {
                branch[l] = netgen_below(&random, m);
                const int32_t from = n.net.from[branch[l]], to = n.net.to[branch[l]];
                if (from >= 0) {
                    into[from * SL__LANES + l] += 1.0;
                }
                if (to >= 0) {
                    into[to * SL__LANES + l] -= 1.0;
                }
            }
            sl__columns_rest_with(kernel, c, count, branch, rest);
            sl__columns_into_with(kernel, c, into, high, low, SL__LANES);
            for (int32_t l = 0; l < count; l++) {
                double one = sl__column(&room, branch[l], one_volt, one_amp);
                assert_memory_equal(&rest[l], &one, sizeof one);
                for (int32_t r = 0; r < rows; r++) {
                    assert_true(high[r * SL__LANES + l] + low[r * SL__LANES + l] == one_volt[r]);
                }
            }
        }
        sl__columns_free(c);
        free(into);
        free(high);
        free(low);
        free(one_volt);
        free(one_amp);
        free(b);
        free(x);
        free(pair);
        factored_end(&n);
    }
}

/* Voltages high + low of one row, in lane l. */
static wide volts_of(const double *high, const double *low, int32_t row, int32_t apart, int32_t l)
{
    return row < 0 ? 0 : (wide)high[row * apart + l] + (wide)low[row * apart + l];
}

/* What currents of any size, in at one row and out at another, do to differences of rows, against
   34 digits. */
static void refined_currents(void **state)
{
    (void)state;
    enum { APART = SL__LANES + 3, PAIRS = 400 };
    for (int32_t number = 0; number < 3; number++) {
        factored n = factored_number(number == 1 ? 3 : number);
        const int32_t rows = n.net.rows, m = n.net.branches;
        uint64_t random = (uint64_t)number;
        double *into = numbers(rows * SL__LANES);
        double *high = numbers(rows * APART), *low = numbers(rows * APART);
        wide *b = calloc((size_t)rows, sizeof *b), *v = calloc((size_t)rows, sizeof *v);
        assert_non_null(b);
        assert_non_null(v);
        sl__columns *c = NULL;
        assert_int_equal(sl__columns_new(n.f, rows, m, n.net.from, n.net.to, n.net.g, &c), SL_OK);
        for (int32_t l = 0; l < SL__LANES - 1; l++) { /* nothing in the last one */
            const double amps = netgen_log_uniform(&random, 1e-9, 1e5);
            into[netgen_below(&random, rows) * SL__LANES + l] += amps;
            into[netgen_below(&random, rows) * SL__LANES + l] -= amps;
        }
        sl__columns_into(c, into, high, low, APART);
        for (int32_t l = 0; l < SL__LANES; l++) {
            for (int32_t r = 0; r < rows; r++) {
                b[r] = into[r * SL__LANES + l];
            }
            truth_solve(&n.net, b, v);
            for (int32_t k = 0; k < PAIRS; k++) {
                const int32_t i = netgen_below(&random, rows + 1) - 1;
                const int32_t j = netgen_below(&random, rows + 1) - 1;
                const wide want = (i < 0 ? 0 : v[i]) - (j < 0 ? 0 : v[j]);
                const wide got =
                    volts_of(high, low, i, APART, l) - volts_of(high, low, j, APART, l);
                const wide size = fabs((double)(i < 0 ? 0 : v[i])) + fabs((double)want);
                assert_true(fabs((double)(got - want)) <=
                            4e-15 * fabs((double)want) + 1e-23 * (double)size);
            }
        }
        sl__columns_free(c);
        free(into);
        free(high);
        free(low);
        free(b);
        free(v);
        factored_end(&n);
    }
}

/* Whichever allocation fails, nothing is left behind; and none is made once there is room. */
static void no_room(void **state)
{
    (void)state;
    netgen net = net_number(0);
    const int32_t m = net.branches;
    const int32_t all = net.rows * SL__LANES;
    double *into = numbers(all), *high = numbers(all), *low = numbers(all), *rest = numbers(m);
    const int32_t branch[] = {3};
    sl_status st = SL_E_NOMEM;
    for (size_t n = 0; st != SL_OK; n++) {
        assert_true(n < 1000);
        alloc_probe probe;
        sl_alloc al = probe_start(&probe, n);
        sl__factor *f = NULL;
        sl__effective *e = NULL;
        sl__columns *c = NULL;
        st = sl__factor_new(&al, net.rows, m, net.from, net.to, &f);
        st = st < 0 ? st : sl__effective_new(f, &e);
        st = st < 0 ? st : sl__columns_new(f, net.rows, m, net.from, net.to, net.g, &c);
        if (st == SL_OK) {
            const size_t calls = probe.calls;
            sl__factor_update(f, net.g);
            sl__effective_update(e, net.g, NULL, rest, NULL);
            sl__effective_between_all(e, 1, branch, branch, rest);
            sl__columns_rest(c, 1, branch, rest);
            sl__columns_into(c, into, high, low, SL__LANES);
            assert_int_equal(probe.calls, calls);
        } else {
            assert_int_equal(st, SL_E_NOMEM);
        }
        sl__columns_free(c);
        sl__effective_free(e);
        sl__factor_free(f);
        assert_int_equal(probe.live_blocks, 0);
    }
    free(into);
    free(high);
    free(low);
    free(rest);
    netgen_free(&net);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(factors),         cmocka_unit_test(right_hand_sides),
        cmocka_unit_test(pairs_of_rows),   cmocka_unit_test(passes),
        cmocka_unit_test(refined_columns), cmocka_unit_test(refined_currents),
        cmocka_unit_test(no_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* tests/unit/lane_power_test.c: powers in lanes against those of numbers twice as wide, and the
   same digits in every variant. */
#include "near.h"
#include "netgen.h"
#include "numeric/lane_power.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <string.h>

enum { ROUNDS = TEST_IS_SLOW ? 500 : 20000 };

#define EXACT_LEAST 0.49 /* units in the last place: less, and nothing was looked at */

static double unit_of(double value)
{
    const double size = fmax(fabs(value), DBL_MIN);
    return nextafter(size, INFINITY) - size;
}

static double off(double got, long double want)
{
    return (double)(fabsl((long double)got - want) / (long double)unit_of((double)want));
}

/* Between 2^-span and 2^span, each binary order as likely. */
static double spread(uint64_t *random, double span)
{
    return exp2(netgen_uniform(random, -span, span));
}

/* Some near 1, most within the volts of a vehicle, some anywhere. */
static double any(uint64_t *random)
{
    switch (netgen_below(random, 4)) {
    case 0:
        return 1.0 + netgen_uniform(random, -0.5, 0.5) * spread(random, 20.0) * 0x1p-20;
    case 1:
        return spread(random, 1000.0);
    default:
        return spread(random, 12.0);
    }
}

/* Results in the first variant, and that the others give the same. */
static void ask(const double *x, double exponent, double is[3][SL__LANES])
{
    for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
        const sl__lanes_powers *ask = sl__lanes_powers_of(kernel);
        double now[3][SL__LANES], w[SL__LANES];
        for (int l = 0; l < SL__LANES; l++) {
            w[l] = log(x[l]) * 0.9;
        }
        ask->power(1, x, exponent, now[0]);
        ask->exponential(1, w, now[1]);
        ask->logarithm(1, x, now[2]);
        if (kernel == 1) {
            memcpy(is, now, sizeof now);
        }
        assert_memory_equal(is, now, sizeof now);
    }
}

static void right_to_the_last_place(void **unused)
{
    (void)unused;
    uint64_t random = 4;
    double worst[3] = {0.0};
    for (int round = 0; round < ROUNDS; round++) {
        const double exponent = round % 2 ? 0.55 : netgen_uniform(&random, -2.0, 2.0);
        double x[SL__LANES], is[3][SL__LANES];
        for (int l = 0; l < SL__LANES; l++) {
            x[l] = any(&random);
            if (fabs(exponent * log(x[l])) > 700.0) {
                x[l] = 1.0;
            }
        }
        ask(x, exponent, is);
        for (int l = 0; l < SL__LANES; l++) {
            const long double wide = (long double)x[l];
            const long double w = (long double)(log(x[l]) * 0.9);
            worst[0] = fmax(worst[0], off(is[0][l], powl(wide, (long double)exponent)));
            worst[1] = fmax(worst[1], off(is[1][l], expl(w)));
            worst[2] = fmax(worst[2], off(is[2][l], logl(wide)));
        }
    }
    print_message("units in the last place: power %.3f, exp %.3f, log %.3f\n", worst[0], worst[1],
                  worst[2]);
    for (int k = 0; k < 3; k++) {
        assert_true(worst[k] <= 1.0 && worst[k] >= EXACT_LEAST);
    }
}

/* What no formula is for is as the C library has it. */
static void odd_ones(void **unused)
{
    (void)unused;
    const double x[SL__LANES] = {0.0, -2.0, NAN, INFINITY, DBL_MIN / 3.0, DBL_MAX, 1e-300, 1.0};
    const double far[SL__LANES] = {0.0, -INFINITY, NAN, INFINITY, 710.0, -750.0, 1.0, -0.0};
    for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
        const sl__lanes_powers *ask = sl__lanes_powers_of(kernel);
        double is[3][SL__LANES];
        ask->power(1, x, 1.5, is[0]);
        ask->exponential(1, far, is[1]);
        ask->logarithm(1, x, is[2]);
        for (int l = 0; l < SL__LANES; l++) {
            const double want[3] = {pow(x[l], 1.5), exp(far[l]), log(x[l])};
            for (int k = 0; k < 3; k++) {
                const double size = unit_of(want[k]);
                assert_true(isnan(want[k])
                                ? isnan(is[k][l])
                                : is[k][l] == want[k] || fabs(is[k][l] - want[k]) <= size);
            }
        }
    }
}

/* A line as far as the knee, then a power that never steps down, odd in x. */
static void bent(void **unused)
{
    (void)unused;
    const double exponent = 0.55;
    sl__lanes_bent law;
    const double x[SL__LANES] = {0.0, -0.07, 0.07, 0.0719685673001152, 12.0, -24.0, NAN, 0.1};
    for (int l = 0; l < SL__LANES; l++) {
        law.straight[l] = 17.5;
        law.knee[l] = 12.0 * pow(10.0, -1.0 / 0.45);
        law.least[l] = law.straight[l] * law.knee[l];
        law.scale[l] = 21.0 * pow(12.0, -exponent);
    }
    double is[2][SL__LANES] = {{0.0}};
    for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
        double y[SL__LANES], slope[SL__LANES];
        sl__lanes_powers_of(kernel)->bent(&law, exponent, x, y, slope);
        for (int l = 0; l < SL__LANES; l++) {
            const double size = fabs(x[l]), power = law.scale[l] * pow(size, exponent);
            const bool line = !(size > law.knee[l]);
            const double want =
                line ? law.straight[l] * x[l] : copysign(fmax(power, law.least[l]), x[l]);
            const double steep = line ? law.straight[l] : exponent * power / size;
            assert_true(isnan(x[l]) ? isnan(y[l]) : fabs(y[l] - want) <= 4e-16 * fabs(want));
            assert_true(fabs(slope[l] - steep) <= 6e-16 * steep);
        }
        if (kernel == 1) {
            memcpy(is[0], y, sizeof y);
            memcpy(is[1], slope, sizeof slope);
        }
        assert_memory_equal(is[0], y, sizeof y);
        assert_memory_equal(is[1], slope, sizeof slope);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(right_to_the_last_place),
                                       cmocka_unit_test(odd_ones), cmocka_unit_test(bent)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

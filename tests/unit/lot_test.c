/* Samples eight at a time: the same as each by itself, and as each solved whole. */
#include "lot_bench.h"
#include "near.h"
#include "netgen.h"
#include "numeric/lane_kernels.h"
#include "rig.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Of parts that are alike in what they test, one in so many. */
enum { EVERY_KIND = TEST_IS_SLOW ? 29 : 9, EVERY_BRANCH = TEST_IS_SLOW ? 7 : 3 };

/* Every width of vector, and one number alone: the same digits. */
static void test_numbers(void **state)
{
    (void)state;
    enum { COUNT = 61 };
    double *z = lot_lanes(COUNT), *room = lot_lanes(COUNT);
    for (int shape = 0; shape < 2; shape++) {
        for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
            for (int64_t first = 0; first < (INT64_C(1) << 40); first = first * 5000 + 3) {
                int64_t sample[SL__LANES];
                for (int l = 0; l < SL__LANES; l++) {
                    sample[l] = first + l;
                }
                sl__counter_lanes(sl__lanes_kernels_of(kernel), 5 + (UINT64_C(3) << 33), sample,
                                  COUNT, (sl_shape)shape, z, room);
                for (int32_t k = 0; k < COUNT * SL__LANES; k++) {
                    const double one =
                        sl__counter_draw(5 + (UINT64_C(3) << 33), first + k % SL__LANES,
                                         k / SL__LANES, (sl_shape)shape);
                    assert_memory_equal(&z[k], &one, sizeof one);
                }
            }
        }
    }
    free(z);
    free(room);
}

/* The kernels of every width, beside what they say they do. */
static void test_kernels(void **state)
{
    (void)state;
    static const double c[] = {0.5, -0.25, 0.125, 0.0625};
    const sl__lanes_spread spread[] = {
        {.value = 2.0,
         .down = 0.5,
         .up = 1.0,
         .least = 1.7,
         .greatest = 2.6,
         .ohm = 0.25,
         .ohm_each = 1.5,
         .z = 1,
         .to = 0},
    };
    double z[2 * SL__LANES], x[SL__LANES], g[SL__LANES], p[SL__LANES];
    for (int l = 0; l < SL__LANES; l++) {
        z[SL__LANES + l] = 2.0 * l / (SL__LANES - 1) - 1.0;
    }
    for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
        const sl__lanes_kernels *with = sl__lanes_kernels_of(kernel);
        with->values(1, spread, z, x);
        with->ohmic(1, spread, z, g);
        for (int l = 0; l < SL__LANES; l++) {
            const sl_spread given = {0.5, 1.0, false};
            assert_true(x[l] == sl__spread_value(&given, 2.0, z[SL__LANES + l], 1.7, 2.6));
            assert_true(g[l] == 1.0 / (0.25 + 1.5 * x[l]));
            p[l] = 2.0;
        }
        const sl__lanes_spread series[] = {
            {.value = 2.0, .greatest = 9.0, .ohm = 1.0, .z = 1, .to = -1}, spread[0]};
        with->ohmic(2, series, z, g);
        for (int l = 0; l < SL__LANES; l++) {
            assert_true(g[l] == 1.0 / (1.0 + (0.25 + 1.5 * x[l])));
        }
        with->chebyshev(4, c, 2.0, 1.25, x, p);
        for (int l = 0; l < SL__LANES; l++) {
            const double t = (x[l] - 2.0) * 1.25;
            const double y =
                0.5 - 0.25 * t + 0.125 * (2.0 * t * t - 1.0) + 0.0625 * (4.0 * t * t * t - 3.0 * t);
            assert_near("series", p[l], 2.0 * y, 1e-14);
        }
    }
}

/* A circuit with a part of every kind, in each of its conditions: currents of parts and voltages.
 */
static void test_every_kind(void **state)
{
    (void)state;
    sl_circuit *c = NULL;
    assert_int_equal(rig_every_kind(NULL, &c), SL_OK);
    int64_t answered = 0, asked = 0;
    int32_t plans = 0, readings = 0;
    for (sl_condition condition = 0; condition < sl_circuit_condition_count(c); condition++) {
        for (sl_part p = 0; p < sl_circuit_part_count(c); p += EVERY_KIND) {
            lot_bench b;
            const sl_reading amps = {p, 0, SL_NONE, SL_NONE};
            const sl_reading volts = {SL_NONE, -1, sl_circuit_part_node(c, p, 0),
                                      sl_circuit_reference(c)};
            if (lot_open(c, condition, p % 2 ? &amps : &volts, true, &b)) {
                const lot_tried t = lot_check_whole(&b, 24);
                if (!(t.worst <= 1e-9)) {
                    fail_msg("%s in condition %d is off by %g", sl_circuit_part_name(c, p),
                             (int)condition, t.worst);
                }
                answered += t.answered;
                asked += 24;
                plans++;
            }
            if (condition == 2 && p == 0 && b.lot) {
                lot_check_alone(&b);
            }
            readings += b.band != NULL;
            lot_close(&b);
        }
    }
    assert_int_equal(plans, readings);
    assert_true(plans > 0 && answered * 10 > asked * 9);
    sl_circuit_free(c);
}

/* The wiring of a vehicle with lamps for loads: what is lost in single cables, down to microvolts
   between two nodes at 12 V, and currents of leaks; every sample of it in a lot. */
static void test_small_differences(void **state)
{
    (void)state;
    const sl_spread tenth = {0.1, 0.1, true};
    netgen net = netgen_vehicle(40, 3);
    sl_circuit *c = rig_circuit(NULL);
    for (int32_t e = 0; e < net.branches; e++) {
        char name[24], nodes[60], values[60];
        const double ohm = 1.0 / net.g[e];
        const bool battery = net.emf[e] != 0.0, lamp = e % 3 == 0 && ohm > 1.0 && ohm < 500.0;
        snprintf(name, sizeof name, "P%d", (int)e);
        snprintf(nodes, sizeof nodes, "n%d n%d", (int)(battery ? net.to[e] : net.from[e]) + 1,
                 (int)(battery ? net.from[e] : net.to[e]) + 1);
        snprintf(values, sizeof values, lamp ? "power=%.17g" : "resistance=%.17g",
                 lamp ? 144.0 / ohm : ohm);
        const sl_part part = rig_part(c,
                                      battery ? "battery"
                                      : lamp  ? "lamp"
                                              : "resistor",
                                      name, nodes, values);
        const int32_t param =
            rig_param(sl_circuit_part_kind(c, part), lamp ? "power" : "resistance");
        assert_int_equal(sl_circuit_set_spread(c, SL_NONE, part, param, &tenth), SL_OK);
    }
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "n0")), SL_OK);
    double least = INFINITY;
    for (sl_part p = 0; p < sl_circuit_part_count(c); p += EVERY_BRANCH) {
        const sl_reading volts = {SL_NONE, -1, sl_circuit_part_node(c, p, 0),
                                  sl_circuit_part_node(c, p, 1)};
        const sl_reading amps = {p, 0, SL_NONE, SL_NONE};
        lot_bench b;
        assert_true(lot_open(c, 0, p % 2 ? &amps : &volts, true, &b));
        const lot_tried t = lot_check_whole(&b, 16);
        assert_at_most("off", t.worst, 1e-9);
        assert_int_equal(t.answered, 16);
        least = fmin(least, fabs(sl_band_nominal(b.band)));
        lot_close(&b);
    }
    assert_true(least == 0.0);
    sl_circuit_free(c);
    netgen_free(&net);
}

/* What comes out does not depend on the number of threads, or on what they take at a time. */
static void check_threads(lot_bench *b, int64_t samples)
{
    sl_drawn one, many;
    sl_draw how = {
        .samples = samples, .seed = LOT_SEED, .threads = 1, .least = 9.0, .greatest = 9.5};
    assert_int_equal(sl_band_draw(b->band, &how, &one), SL_OK);
    assert_int_equal(one.whole, 0);
    for (how.threads = 2; how.threads <= 5; how.threads += 3) {
        assert_int_equal(sl_band_draw(b->band, &how, &many), SL_OK);
        assert_memory_equal(&many, &one, sizeof one);
    }
}

/* Every width of vector gives the same digits. */
static void check_kernels(lot_bench *b, int32_t samples)
{
    double value[SL__LOTS_MOST], again[SL__LOTS_MOST];
    int32_t plan[SL__LOTS_MOST], now[SL__LOTS_MOST];
    sl__lots_solve(b->lots, LOT_SEED, SL_UNIFORM, 0, samples, value, plan);
    for (int32_t kernel = 1; kernel < sl__lane_kernels(); kernel++) {
        for (int32_t p = 0; p < sl__plans_count(b->plans); p++) {
            sl__plan_use((sl__plan *)sl__plans_at(b->plans, p), kernel);
        }
        sl__lots_solve(b->lots, LOT_SEED, SL_UNIFORM, 0, samples, again, now);
        assert_memory_equal(now, plan, (size_t)samples * sizeof *now);
        assert_memory_equal(again, value, (size_t)samples * sizeof *value);
    }
}

/* Relays that just pull in or just do not, by what their coils, the battery and the wiring have
   come to; what one feeds takes from the others. Every way there is has its plan, every sample is
   answered along its own, and none of what comes out depends on how they are gathered. */
static void test_several_ways(void **state)
{
    (void)state;
    const sl_spread tenth = {0.1, 0.1, true};
    sl_circuit *c = rig_circuit(NULL);
    static const struct {
        const char *kind, *name, *nodes, *values, *varies;
    } parts[] = {
        {"battery", "B", "plus 0", "resistance=0.02", "resistance"},
        {"resistor", "feed", "plus rail", "resistance=0.6", "resistance"},
        {"resistor", "load", "rail 0", "resistance=3", "resistance"},
        {"relay", "K1", "rail a rail 0", "pull_in=10", "pull_in"},
        {"relay", "K2", "rail b rail 0", "pull_in=9.4,drop_out=7.5", "pull_in"},
        {"relay", "K3", "rail d a 0", "pull_in=9", "pull_in"},
        {"lamp", "L1", "a 0", "power=21", "power"},
        {"lamp", "L2", "b 0", "power=21", "power"},
        {"lamp", "L3", "d 0", "power=21", "power"},
    };
    for (size_t k = 0; k < sizeof parts / sizeof *parts; k++) {
        const sl_part part =
            rig_part(c, parts[k].kind, parts[k].name, parts[k].nodes, parts[k].values);
        const int32_t param = rig_param(sl_circuit_part_kind(c, part), parts[k].varies);
        assert_int_equal(sl_circuit_set_spread(c, SL_NONE, part, param, &tenth), SL_OK);
    }
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "0")), SL_OK);
    const sl_reading of = {SL_NONE, -1, sl_circuit_find_node(c, "rail"),
                           sl_circuit_find_node(c, "0")};
    lot_bench b;
    assert_true(lot_open(c, 0, &of, true, &b));
    const int32_t samples = TEST_IS_SLOW ? 200 : SL__LOTS_MOST;
    const lot_tried t = lot_check_whole(&b, samples);
    assert_at_most("off", t.worst, 1e-9);
    assert_int_equal(t.answered, samples);
    assert_true(__builtin_popcountll(t.plans) > 3);
    lot_check_gathering(&b, samples);
    check_kernels(&b, samples);
    check_threads(&b, 10 * samples);
    lot_close(&b);
    sl_circuit_free(c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_numbers),      cmocka_unit_test(test_kernels),
        cmocka_unit_test(test_every_kind),   cmocka_unit_test(test_small_differences),
        cmocka_unit_test(test_several_ways),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

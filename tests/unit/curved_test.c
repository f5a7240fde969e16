/* tests/unit/curved_test.c: cases answered side by side have, to the last bit, the digits that each
   has alone, whatever stands beside it and however wide the vectors are. */
#include "near.h"
#include "netgen.h"
#include "rig.h"
#include "solve/curved.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { LOADS = 14, GROUPS = TEST_IS_SLOW ? 20 : 400, READINGS = 12 };

/* A battery, a feed and a ground of some joints, and curved and straight loads between them. */
static sl_circuit *vehicle(uint64_t *random)
{
    sl_circuit *c = rig_circuit(NULL);
    char name[16], ends[48], values[64];
    rig_part(c, "battery", "B", "p0 g0", "cca=500");
    for (int k = 1; k < LOADS; k++) {
        for (int side = 0; side < 2; side++) {
            snprintf(name, sizeof name, "W%c%d", "pg"[side], k);
            snprintf(ends, sizeof ends, "%c%d %c%d", "pg"[side], netgen_below(random, k),
                     "pg"[side], k);
            snprintf(values, sizeof values, "resistance=%.17g",
                     netgen_log_uniform(random, 1e-3, 0.2));
            rig_part(c, "resistor", name, ends, values);
        }
        static const char *const kinds[] = {"lamp", "lamp", "led_lamp", "motor", "resistor"};
        static const char *const given[] = {"power=21", "power=5", "power=8", "current=4",
                                            "resistance=6"};
        snprintf(name, sizeof name, "L%d", k);
        snprintf(ends, sizeof ends, "p%d g%d", k, netgen_below(random, k + 1));
        rig_part(c, kinds[k % 5], name, ends, given[k % 5]);
    }
    rig_part(c, "diode", "D", "p1 p2", "rated_current=10");
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "g0")), SL_OK);
    return c;
}

/* One or two things wrong anywhere. */
static sl__curved_case draw_case(const sl_circuit *c, uint64_t *random)
{
    sl__curved_case what = {.count = 1 + netgen_below(random, 2)};
    for (int32_t n = 0; n < what.count; n++) {
        sl__curved_change *change = &what.change[n];
        const double ohm = netgen_log_uniform(random, 1e-4, 1e4);
        *change = (sl__curved_change){SL_NONE, SL_NONE, {SL_NONE, SL_SERIES, 0, ohm}};
        change->edit.part = netgen_below(random, sl_circuit_part_count(c));
        if (n == 0 && netgen_below(random, 4) == 0) {
            change->node = netgen_below(random, sl_circuit_node_count(c) - 1);
            change->to = change->node + 1;
        } else if (netgen_below(random, 4) == 0) {
            change->edit.change = SL_OPEN;
        }
    }
    return what;
}

static sl__curved *ready(const sl_circuit *c, uint64_t *random)
{
    sl__straight_reading reading[READINGS];
    for (int r = 0; r < READINGS; r++) {
        reading[r] = (sl__straight_reading){{SL_NONE, -1, SL_NONE, SL_NONE}, false};
        if (r % 2) {
            reading[r].of.part = netgen_below(random, sl_circuit_part_count(c));
        } else {
            reading[r].of.red = netgen_below(random, sl_circuit_node_count(c));
            reading[r].of.black = sl_circuit_reference(c);
        }
    }
    sl__curved *made = NULL;
    assert_int_equal(sl__curved_new(c, 0, NULL, 0, reading, READINGS, false, &made), SL_OK);
    assert_non_null(made);
    return made;
}

static void every_lane_is_alone(void **unused)
{
    (void)unused;
    uint64_t random = 3;
    sl_circuit *c = vehicle(&random);
    sl__curved *curved = ready(c, &random);
    int64_t answered = 0;
    for (int32_t n = 0; n < GROUPS; n++) {
        sl__curved_case cases[SL__LANES];
        double alone[SL__LANES][READINGS], out[SL__LANES][READINGS];
        bool is_known[SL__LANES], known[SL__LANES];
        for (int32_t l = 0; l < SL__LANES; l++) {
            cases[l] = draw_case(c, &random);
            sl__curved_run(curved, 1, &cases[l], alone[l], &is_known[l]);
            answered += is_known[l];
        }
        for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
            const int32_t count = 1 + netgen_below(&random, SL__LANES);
            sl__curved_run_with(kernel, curved, count, cases, out[0], known);
            for (int32_t l = 0; l < count; l++) {
                assert_int_equal(known[l], is_known[l]);
                if (known[l]) {
                    assert_memory_equal(out[l], alone[l], sizeof out[l]);
                }
            }
        }
    }
    print_message("%lld of %d cases answered\n", (long long)answered, GROUPS * SL__LANES);
    assert_true(answered > GROUPS * SL__LANES / 2 && answered < GROUPS * SL__LANES);
    sl__curved_free(curved);
    sl_circuit_free(c);
}

/* 12 V behind 1 ohm over a lamp: what the lamp draws at 6 ohm more than nothing is where a line of
   7 ohm meets its law, found by halving. */
static void a_lamp_behind_a_resistance(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "e g", "voltage=12");
    rig_part(c, "resistor", "R", "e a", "resistance=1");
    rig_part(c, "lamp", "L", "a g", "power=21");
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "g")), SL_OK);
    const sl_part r = sl_circuit_find_part(c, "R");
    const sl__straight_reading amps = {{sl_circuit_find_part(c, "L"), -1, SL_NONE, SL_NONE}, false};
    sl__curved *curved = NULL;
    assert_int_equal(sl__curved_new(c, 0, NULL, 0, &amps, 1, false, &curved), SL_OK);
    assert_non_null(curved);
    const sl__curved_case what = {1, {{SL_NONE, SL_NONE, {r, SL_SERIES, 0, 6.0}}}};
    double got = 0.0, low = 1.0, high = 12.0;
    bool known = false;
    sl__curved_run(curved, 1, &what, &got, &known);
    for (int n = 0; n < 100; n++) {
        const double v = 0.5 * (low + high);
        const bool more = 1.75 * pow(v / 12.0, 0.55) > (12.0 - v) / 7.0;
        low = more ? low : v;
        high = more ? v : high;
    }
    assert_true(known);
    assert_near("lamp", got, (12.0 - low) / 7.0, 1e-13);
    sl__curved_free(curved);
    sl_circuit_free(c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_lane_is_alone),
                                       cmocka_unit_test(a_lamp_behind_a_resistance)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

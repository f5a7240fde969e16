/* Instruments as a program sees them: memory, and what a failed call leaves behind. There is no
   outside figure for these: what a second try finds must be what the first would have found. */
#include "near.h"
#include "probe.h"
#include "rig.h"
#include "strapline/strapline.h"

#include <string.h>

typedef struct shown {
    sl_ohms ohms;
    sl_pile pile, weak;
    sl_load_test test;
} shown;

/* Steps that run out of memory are done once more. */
#define STEP(call)                                                                                 \
    do {                                                                                           \
        sl_status st_ = (call);                                                                    \
        if (st_ == SL_E_NOMEM) {                                                                   \
            ++*ran_out;                                                                            \
            st_ = (call);                                                                          \
        }                                                                                          \
        assert_int_equal(st_, SL_OK);                                                              \
    } while (0)

static void small_car(sl_circuit *c)
{
    rig_part(c, "battery", "B1", "+ 0", "cca=500");
    rig_part(c, "relay", "K1", "+ fed + 0", "");
    rig_part(c, "lamp", "L1", "fed body", "power=21");
    rig_part(c, "resistor", "G1", "body 0", "resistance=1e-3");
    rig_part(c, "resistor", "thin", "+ far", "resistance=10");
}

static shown whole_way(const sl_circuit *c, int32_t *ran_out)
{
    shown all;
    memset(&all, 0, sizeof all);
    const sl_node plus = sl_circuit_find_node(c, "+"), zero = sl_circuit_find_node(c, "0");
    const sl_node body = sl_circuit_find_node(c, "body"), far = sl_circuit_find_node(c, "far");
    sl_multimeter meter;
    sl_multimeter_usual(&meter);
    sl_case *cs = NULL;
    STEP(sl_case_new(c, 0, &cs));
    STEP(sl_case_ohms(cs, body, zero, &meter, &all.ohms));
    STEP(sl_case_pile(cs, plus, zero, 50.0, 2e-3, &all.pile));
    STEP(sl_case_pile(cs, far, zero, 50.0, 2e-3, &all.weak));
    sl_case_free(cs);
    STEP(sl_case_new(c, 0, &cs));
    STEP(sl_case_load_test(cs, sl_circuit_find_part(c, "B1"), &all.test));
    sl_case_free(cs);
    all.pile.part = all.weak.part = 0; /* numbers go on after a failed try */
    return all;
}

static void every_allocation_may_fail(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    sl_circuit *c = rig_circuit(&al);
    small_car(c);
    int32_t ran_out = 0;
    const size_t before = probe.calls, blocks = probe.live_blocks;
    const shown wanted = whole_way(c, &ran_out);
    const size_t calls = probe.calls - before;
    assert_int_equal(ran_out, 0);
    assert_true(calls > 20 && wanted.pile.reached && !wanted.weak.reached);
    for (size_t fail_at = 0; fail_at < calls; fail_at++) {
        probe.fail_at = probe.calls + fail_at;
        const shown got = whole_way(c, &ran_out);
        assert_int_equal(probe.live_blocks, blocks);
        assert_near("ohm", got.ohms.ohm, wanted.ohms.ohm, 1e-12);
        assert_near("swapped", got.ohms.swapped_ohm, wanted.ohms.swapped_ohm, 1e-12);
        assert_near("pile", got.pile.drop_v, wanted.pile.drop_v, 1e-12);
        assert_near("weak", got.weak.current_a, wanted.weak.current_a, 1e-12);
        assert_near("loaded", got.test.loaded_v, wanted.test.loaded_v, 1e-12);
        assert_int_equal(got.test.verdict, wanted.test.verdict);
    }
    assert_true(ran_out > 20);
    sl_circuit_free(c);
}

static void only_one_part_is_left_alone(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    small_car(c);
    sl_case *cs = rig_case(c, 0);
    assert_int_equal(sl_case_alone(cs, 99), SL_E_ARG);
    assert_int_equal(sl_case_alone(cs, sl_circuit_find_part(c, "thin")), SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_true(isnan(rig_across(cs, c, "body", "0")));
    assert_true(rig_across(cs, c, "+", "far") == 0.0);
    sl_case_clear(cs);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_true(rig_across(cs, c, "+", "0") > 12.0);
    rig_free(c, cs);
}

static void currents_need_a_solved_case(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    small_car(c);
    sl_case *cs = rig_case(c, 0);
    double amps;
    assert_int_equal(sl_case_terminal(cs, 0, 0, &amps), SL_E_ARG);
    assert_int_equal(sl_case_clamp(cs, &(sl_clamped){0, 0, false}, 1, &amps), SL_E_ARG);
    rig_free(c, cs);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_allocation_may_fail),
        cmocka_unit_test(only_one_part_is_left_alone),
        cmocka_unit_test(currents_need_a_solved_case),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

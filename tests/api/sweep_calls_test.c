/* The calls of a sweep: what they allocate, short of memory, what they refuse; leaks and swaps, and
   a starting loop by hand. Of the library this sees the public headers only. */
#include "near.h"
#include "probe.h"
#include "rig.h"
#include "swept.h"

#include <stdlib.h>
#include <string.h>

static bool ignore(void *user, const sl_sweep_row *row)
{
    (void)row;
    ++*(int64_t *)user;
    return true;
}

static void repeated_cases_allocate_nothing(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    sl_circuit *c = NULL;
    assert_int_equal(rig_every_kind(&al, &c), SL_OK);
    sl_sweep *sweep = swept_new(c);
    const sl_part battery = sl_circuit_find_part(c, "B1");
    const sl_kind *kind = sl_circuit_part_kind(c, battery);
    int32_t weak = 0;
    while (strcmp(kind->modes[weak].name, "weak") != 0) {
        weak++;
    }
    for (int k = 0; k < 50; k++) {
        assert_int_equal(sl_sweep_add_mode(sweep, battery, weak, 0.3 + 0.01 * k), SL_OK);
    }
    swept_read_all(sweep);
    const sl_sweep_setup setup = {NULL, 0, true, false};
    sl_sweeper *w = NULL;
    assert_int_equal(sl_sweeper_new(sweep, &setup, &w), SL_OK);
    const int64_t each = sl_sweep_condition_cases(sweep);
    int64_t count = 0;
    for (sl_condition q = 0; q < sl_circuit_condition_count(c); q++) {
        assert_int_equal(sl_sweeper_run(w, q * each, each, ignore, &count, NULL), SL_OK);
        const size_t calls = probe.calls;
        assert_int_equal(sl_sweeper_run(w, q * each, each, ignore, &count, NULL), SL_OK);
        assert_int_equal(probe.calls, calls);
    }
    sl_sweep_stats stats;
    sl_sweeper_stats(w, &stats);
    assert_int_equal(stats.circuits_made, sl_circuit_condition_count(c));
    assert_int_equal(stats.cases, 2 * sl_circuit_condition_count(c) * each);
    sl_sweeper_free(w);
    swept_free(c, sweep);
    assert_int_equal(probe.live_blocks, 0);
}

static sl_circuit *two_lamps(const sl_alloc *al)
{
    sl_circuit *c = rig_circuit(al);
    rig_part(c, "battery", "B", "p 0", "cca=500");
    rig_part(c, "cable", "C", "p a", "size=10, length=1");
    rig_part(c, "cable", "D", "p b", "size=10, length=2");
    rig_part(c, "lamp", "L", "a 0", "power=21");
    rig_part(c, "lamp", "M", "b 0", "power=5");
    return c;
}

/* Everything about a sweep, each step done once more when memory runs out. */
static rows whole_way(const sl_alloc *al, int32_t *ran_out)
{
    sl_circuit *c = two_lamps(al);
#define STEP(call)                                                                                 \
    do {                                                                                           \
        sl_status st_ = (call);                                                                    \
        if (st_ == SL_E_NOMEM) {                                                                   \
            ++*ran_out;                                                                            \
            st_ = (call);                                                                          \
        }                                                                                          \
        assert_int_equal(st_, SL_OK);                                                              \
    } while (0)
    sl_sweep *sweep = NULL;
    STEP(sl_sweep_new(c, &sweep));
    for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
        STEP(sl_sweep_add_modes(sweep, p, 2));
    }
    STEP(sl_sweep_add_leak(sweep, 2, 1, 10.0));
    STEP(sl_sweep_add_swap(sweep, 1, sl_circuit_part_node(c, 1, 1), 2,
                           sl_circuit_part_node(c, 2, 1)));
    STEP(sl_sweep_add_swaps(sweep, 0));
    const sl_edit both[2] = {rig_set(c, "B", "charge", 0.5), rig_open(c, "M", NULL)};
    STEP(sl_sweep_add_edits(sweep, "flat, and a lamp gone", both, 2));
    STEP(sl_sweep_add_condition(sweep, 0));
    for (sl_node n = 0; n < 4; n++) {
        const sl_sweep_reading r = {SL_SWEEP_VOLTAGE, n, 1, 0};
        STEP(sl_sweep_add_reading(sweep, &r));
    }
    sl_node feed = SL_NONE;
    STEP(sl_circuit_find_feed(c, &feed));
    assert_int_equal(feed, sl_circuit_find_node(c, "p"));
    const sl_sweep_setup setup = {both, 1, true, false};
    sl_sweeper *w = NULL;
    STEP(sl_sweeper_new(sweep, &setup, &w));
    rows r = {.readings = 4};
    int64_t done = 0, rest = 0;
    const int64_t cases = sl_sweep_case_count(sweep);
    if (sl_sweeper_run(w, 0, cases, swept_take, &r, &done) == SL_E_NOMEM) {
        ++*ran_out;
        assert_int_equal(sl_sweeper_run(w, done, cases, swept_take, &r, &rest), SL_OK);
    }
    assert_int_equal(done + rest, cases);
#undef STEP
    sl_sweeper_free(w);
    swept_free(c, sweep);
    return r;
}

static void every_allocation_may_fail(void **unused)
{
    (void)unused;
    alloc_probe probe;
    sl_alloc al = probe_start(&probe, PROBE_NEVER);
    int32_t ran_out = 0;
    rows wanted = whole_way(&al, &ran_out);
    const size_t calls = probe.calls;
    int32_t tried = 0;
    for (size_t fail_at = calls; fail_at-- > 0;) {
        al = probe_start(&probe, PROBE_NEVER);
        sl_circuit *c = two_lamps(&al); /* its rig does not try again */
        const size_t made = probe.calls;
        sl_circuit_free(c);
        if (fail_at < made) {
            break;
        }
        al = probe_start(&probe, fail_at);
        rows got = whole_way(&al, &ran_out);
        swept_same(&wanted, &got);
        assert_int_equal(probe.live_blocks, 0);
        free(got.value);
        tried++;
    }
    assert_true(tried > 50 && ran_out > tried - 5);
    free(wanted.value);
}

/* Loop of 12.6 V with 6 mohm inside, 1 mohm of cable out, 1 mohm back, a starter of 34 mohm as a
   plain resistance. By hand: 12.6 / 0.042 = 300 A; 10 mohm more in either cable: 12.6 / 0.052 =
   242.3 A; a battery of 20 mohm: 12.6 / 0.056 = 225 A; a starter of 20 mohm: 12.6 / 0.028 = 450 A.
 */
static bool take_loop(void *user, const sl_sweep_row *row)
{
    double(*got)[4] = user;
    memcpy(got[row->index], row->value, sizeof *got);
    return true;
}

static void a_starting_loop_is_as_by_hand(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "e 0", "voltage=12.6");
    rig_part(c, "resistor", "inside", "e post", "resistance=0.006");
    rig_part(c, "resistor", "feed", "post stud", "resistance=0.001");
    rig_part(c, "resistor", "starter", "stud case", "resistance=0.034");
    rig_part(c, "resistor", "ground", "case 0", "resistance=0.001");
    sl_node zero = sl_circuit_find_node(c, "0");
    assert_int_equal(sl_circuit_set_reference(c, zero), SL_OK);
    sl_sweep *sweep = swept_new(c);
    const sl_edit faults[] = {
        rig_series(c, "ground", NULL, 0.010), rig_series(c, "feed", NULL, 0.010),
        rig_set(c, "inside", "resistance", 0.020), rig_set(c, "starter", "resistance", 0.020)};
    for (int k = 0; k < 4; k++) {
        assert_int_equal(sl_sweep_add_edits(sweep, "f", &faults[k], 1), SL_OK);
    }
    const sl_sweep_reading readings[] = {
        {SL_SWEEP_CURRENT, sl_circuit_find_part(c, "starter"), 0, 0},
        {SL_SWEEP_VOLTAGE, sl_circuit_find_node(c, "post"), zero, 0},
        {SL_SWEEP_VOLTAGE, sl_circuit_find_node(c, "case"), zero, 0},
        {SL_SWEEP_DROP, sl_circuit_find_part(c, "starter"), 0, 0}};
    for (int k = 0; k < 4; k++) {
        assert_int_equal(sl_sweep_add_reading(sweep, &readings[k]), SL_OK);
    }
    sl_sweeper *w = NULL;
    double got[5][4];
    assert_int_equal(sl_sweeper_new(sweep, NULL, &w), SL_OK);
    assert_int_equal(sl_sweeper_run(w, 0, 5, take_loop, got, NULL), SL_OK);
    assert_int_equal(sl_sweeper_fill(w, 0, 5, NULL, NULL, NULL), SL_E_ARG); /* nowhere to put it */
    assert_int_equal(sl_sweeper_fill(w, 0, 0, NULL, NULL, NULL), SL_OK);
    static const double total[5] = {0.042, 0.052, 0.052, 0.056, 0.028};
    static const double inside[5] = {0.006, 0.006, 0.006, 0.020, 0.006};
    static const double ground[5] = {0.001, 0.011, 0.001, 0.001, 0.001};
    static const double starter[5] = {0.034, 0.034, 0.034, 0.034, 0.020};
    for (int k = 0; k < 5; k++) {
        const double amps = 12.6 / total[k];
        assert_near("current", got[k][0], amps, 1e-13);
        assert_near("post", got[k][1], 12.6 - amps * inside[k], 1e-13);
        assert_near("case", got[k][2], amps * ground[k], 1e-12);
        assert_near("starter", got[k][3], amps * starter[k], 1e-13);
    }
    assert_near("300 A", got[0][0], 300.0, 1e-13);
    assert_near("242.3 A", got[1][0], 242.3, 2e-4);
    sl_sweeper_free(w);
    swept_free(c, sweep);
}

/* Two wires exchanged at a plug: the lamp of 21 W lights when the other switch is closed. */
static void swapped_wires_feed_each_other(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "e 0", "voltage=12");
    rig_part(c, "resistor", "switch", "e a", "resistance=0.1");
    rig_part(c, "cable", "W1", "a x", "per_metre=0.5, length=1");
    rig_part(c, "cable", "W2", "b y", "per_metre=0.5, length=1");
    rig_part(c, "resistor", "R1", "x 0", "resistance=2.4");
    rig_part(c, "resistor", "R2", "y 0", "resistance=5.4");
    sl_node zero = sl_circuit_find_node(c, "0");
    assert_int_equal(sl_circuit_set_reference(c, zero), SL_OK);
    sl_sweep *sweep = swept_new(c);
    const sl_part w1 = sl_circuit_find_part(c, "W1"), w2 = sl_circuit_find_part(c, "W2");
    const sl_node x = sl_circuit_find_node(c, "x"), y = sl_circuit_find_node(c, "y");
    assert_int_equal(sl_sweep_add_swap(sweep, w1, x, w1, x), SL_E_ARG);
    assert_int_equal(sl_sweep_add_swap(sweep, w1, x, w2, x), SL_E_ARG); /* W2 does not end there */
    assert_int_equal(sl_sweep_add_swap(sweep, w1, x, w2, SL_NONE), SL_E_ARG);
    assert_int_equal(sl_sweep_add_swap(sweep, w1, x, sl_circuit_find_part(c, "R1"), zero),
                     SL_E_ARG); /* R1 */
    assert_int_equal(sl_sweep_add_swap(sweep, w1, x, w2, y), SL_OK);
    const sl_sweep_reading r1 = {SL_SWEEP_CURRENT, sl_circuit_find_part(c, "R1"), 0, 0};
    const sl_sweep_reading r2 = {SL_SWEEP_CURRENT, sl_circuit_find_part(c, "R2"), 0, 0};
    assert_int_equal(sl_sweep_add_reading(sweep, &r1), SL_OK);
    assert_int_equal(sl_sweep_add_reading(sweep, &r2), SL_OK);
    rows r = swept_run(sweep, false, 0, 2);
    const double *good = r.value + 8, *bad = r.value + 8 + 3 + 8;
    assert_near("R1", good[0], 4.0, 1e-14); /* 12 / (0.1 + 0.5 + 2.4) */
    assert_near("R2", good[1], 0.0, 0.0);
    assert_near("R1 swapped", bad[0], 0.0, 0.0);
    assert_near("R2 swapped", bad[1], 2.0, 1e-14); /* 12 / (0.1 + 0.5 + 5.4) */
    free(r.value);
    swept_free(c, sweep);
}

/* A battery connected the wrong way round, and the two outputs of a dip switch: told once each,
   though more than one part is on those nodes. */
static void wires_of_one_part_are_mistaken_for_each_other(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "B+ B-", "cca=400");
    rig_part(c, "cable", "plus", "B+ feed", "size=10, length=1");
    rig_part(c, "cable", "minus", "B- 0", "size=10, length=1");
    rig_part(c, "changeover", "dip", "feed a b", "");
    rig_part(c, "cable", "low", "a low+", "size=2.5, length=1");
    rig_part(c, "cable", "high", "high+ b", "size=2.5, length=1");
    rig_part(c, "lamp", "L1", "low+ 0", "power=55");
    rig_part(c, "lamp", "L2", "high+ 0", "power=60");
    sl_sweep *sweep = swept_new(c);
    for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
        assert_int_equal(sl_sweep_add_swaps(sweep, p), SL_OK);
    }
    assert_int_equal(sl_sweep_add_swaps(sweep, sl_circuit_part_count(c)), SL_E_ARG);
    static const char *const wanted[][4] = {
        {"plus", "B+", "minus", "B-"}, {"plus", "feed", "low", "a"},
        {"plus", "feed", "high", "b"}, {"low", "a", "high", "b"},
        {"low", "low+", "minus", "0"}, {"high", "high+", "minus", "0"}};
    assert_int_equal(sl_sweep_fault_count(sweep), 6);
    for (int32_t k = 0; k < 6; k++) {
        sl_fault fault;
        assert_int_equal(sl_sweep_fault_at(sweep, k, &fault), SL_OK);
        assert_int_equal(fault.type, SL_FAULT_SWAPPED);
        assert_string_equal(sl_circuit_part_name(c, fault.part), wanted[k][0]);
        assert_string_equal(sl_circuit_node_name(c, fault.node), wanted[k][1]);
        assert_string_equal(sl_circuit_part_name(c, fault.other), wanted[k][2]);
        assert_string_equal(sl_circuit_node_name(c, fault.to), wanted[k][3]);
    }
    const sl_sweep_reading low = {SL_SWEEP_CURRENT, sl_circuit_find_part(c, "L1"), 0, 0};
    const sl_sweep_reading high = {SL_SWEEP_CURRENT, sl_circuit_find_part(c, "L2"), 0, 0};
    assert_int_equal(sl_sweep_add_reading(sweep, &low), SL_OK);
    assert_int_equal(sl_sweep_add_reading(sweep, &high), SL_OK);
    rows r = swept_run(sweep, false, 0, 7);
    const int32_t each = 8 + 3; /* what swept_take puts down before and after a value, and two */
    const double *good = r.value + 8;
    assert_true(good[0] > 4.0 && good[1] == 0.0);
    assert_near("battery the wrong way round", good[each], -good[0], 1e-12);
    assert_true(good[4 * each] == 0.0 && good[4 * each + 1] > 4.0); /* low and high beam */
    free(r.value);
    swept_free(c, sweep);
}

static void what_is_wrong_is_refused_and_leaves_the_sweep_alone(void **unused)
{
    (void)unused;
    sl_circuit *c = swept_buzzer();
    sl_sweep *sweep = swept_new(c);
    const sl_part joint = sl_circuit_find_part(c, "J");
    assert_int_equal(sl_sweep_add_condition(sweep, 1), SL_E_ARG);
    assert_int_equal(sl_sweep_add_mode(sweep, joint, 0, 1e9), SL_E_VALUE);
    assert_non_null(strstr(sl_sweep_message(sweep), "\"J\": corroded = 1e+09"));
    assert_int_equal(sl_sweep_add_mode(sweep, joint, 99, 1.0), SL_E_ARG);
    assert_int_equal(sl_sweep_add_mode(sweep, 99, 0, 1.0), SL_E_ARG);
    assert_int_equal(sl_sweep_add_modes(sweep, joint, 0), SL_E_ARG);
    assert_int_equal(sl_sweep_add_modes(sweep, joint, 1001), SL_E_ARG);
    assert_int_equal(sl_sweep_add_leak(sweep, 0, 0, 1.0), SL_E_ARG);
    assert_int_equal(sl_sweep_add_leak(sweep, 0, 1, 0.0), SL_E_VALUE);
    assert_int_equal(sl_sweep_add_leak(sweep, 0, 1, NAN), SL_E_VALUE);
    const sl_edit none = {99, SL_OPEN, -1, 0.0}, zero = {joint, SL_SERIES, -1, 0.0};
    assert_int_equal(sl_sweep_add_edits(sweep, "x", &none, 1), SL_E_ARG);
    assert_int_equal(sl_sweep_add_edits(sweep, "x", &zero, 1), SL_E_VALUE);
    assert_int_equal(sl_sweep_add_edits(sweep, "", NULL, 0), SL_E_ARG);
    const sl_sweep_reading bad[] = {{SL_SWEEP_VOLTAGE, 0, 99, 0},
                                    {SL_SWEEP_CURRENT, -1, 0, 0},
                                    {SL_SWEEP_ELEMENT_DROP, 0, 9, 0},
                                    {SL_SWEEP_VOLTAGE, 0, 1, 4}};
    for (int k = 0; k < 4; k++) {
        assert_int_equal(sl_sweep_add_reading(sweep, &bad[k]), SL_E_ARG);
    }
    assert_int_equal(sl_sweep_fault_count(sweep), 0);
    assert_int_equal(sl_sweep_reading_count(sweep), 0);
    assert_int_equal(sl_sweep_case_count(sweep), 1);
    sl_sweeper *w = NULL;
    const sl_sweep_setup setup = {&none, 1, false, false};
    assert_int_equal(sl_sweeper_new(sweep, &setup, &w), SL_E_ARG);
    assert_null(w);
    sl_sweep_free(sweep);
    sl_sweep_free(NULL);
    sl_sweeper_free(NULL);
    sl_circuit_free(c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(repeated_cases_allocate_nothing),
        cmocka_unit_test(every_allocation_may_fail),
        cmocka_unit_test(a_starting_loop_is_as_by_hand),
        cmocka_unit_test(swapped_wires_feed_each_other),
        cmocka_unit_test(wires_of_one_part_are_mistaken_for_each_other),
        cmocka_unit_test(what_is_wrong_is_refused_and_leaves_the_sweep_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

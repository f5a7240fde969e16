/* Sneak paths: an H and a ground dome that are there are found, a clean circuit is silent. Shapes
   from RADC-TR-89-223, from memory; figures by hand. Of the library this sees the public headers
   only. */
#include "near.h"
#include "probe.h"
#include "rig.h"
#include "strapline/sneak.h"

#include <string.h>

enum { ROOM = 16 };

static int32_t find(const sl_circuit *c, sl_sneak *out)
{
    int32_t count = -1;
    assert_int_equal(sl_circuit_find_sneaks(c, NULL, NULL, out, ROOM, &count), SL_OK);
    assert_true(count >= 0 && count <= ROOM);
    return count;
}

static const sl_sneak *of(const sl_circuit *c, const sl_sneak *list, int32_t count,
                          sl_sneak_type type, const char *part)
{
    for (int32_t k = 0; k < count; k++) {
        if (list[k].type == type && list[k].part == sl_circuit_find_part(c, part)) {
            return &list[k];
        }
    }
    return NULL;
}

/* Two switches, each with its load; with `bar`, a third load from one to the other. */
static sl_circuit *two_branches(const sl_alloc *al, bool bar)
{
    sl_circuit *c = rig_circuit(al);
    rig_part(c, "source", "E", "p 0", "voltage=12");
    rig_part(c, "switch", "S1", "p a", "resistance=0");
    rig_part(c, "switch", "S2", "p b", "resistance=0");
    rig_part(c, "resistor", "L1", "a 0", "resistance=4");
    rig_part(c, "resistor", "L2", "b 0", "resistance=4");
    if (bar) {
        rig_part(c, "resistor", "bar", "a b", "resistance=2");
    }
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "0")), SL_OK);
    return c;
}

static void a_clean_circuit_is_silent(void **unused)
{
    (void)unused;
    sl_circuit *c = two_branches(NULL, false);
    sl_sneak list[ROOM];
    assert_int_equal(find(c, list), 0);
    sl_circuit_free(c);
}

/* S1 closed, S2 open: L2 has 12 V * 4 / (2 + 4) = 8 V through the bar, and the bar carries 2 A; the
   other way round, 2 A the other way. */
static void an_h_is_found(void **unused)
{
    (void)unused;
    sl_circuit *c = two_branches(NULL, true);
    sl_sneak list[ROOM];
    const int32_t count = find(c, list);
    assert_int_equal(count, 3);
    const sl_part bar = sl_circuit_find_part(c, "bar");
    for (int k = 1; k <= 2; k++) {
        const char *load = k == 1 ? "L1" : "L2", *other = k == 1 ? "S2" : "S1";
        const sl_sneak *sneak = of(c, list, count, SL_SNEAK_THROUGH, load);
        assert_non_null(sneak);
        assert_near(load, sneak->volts, 8.0, 1e-14);
        assert_near(load, sneak->amps, 2.0, 1e-14);
        assert_int_equal(sneak->through, bar);
        assert_int_equal(sneak->where.moved, sl_circuit_find_part(c, other));
        assert_int_equal(sneak->where.position, 1); /* closed */
        assert_int_equal(sneak->states, 1);
    }
    const sl_sneak *turns = of(c, list, count, SL_SNEAK_REVERSES, "bar");
    assert_non_null(turns);
    assert_near("forward", turns->amps, 2.0, 1e-14);
    assert_near("backward", turns->other_amps, -2.0, 1e-14);
    sl_circuit_free(c);
}

/* S1 closed from the beginning: L2 is fed through the bar in that state and in no other one. Moving
   a switch to where it is already makes no other state. */
static void a_switch_left_where_it_is_counts_no_state(void **unused)
{
    (void)unused;
    sl_circuit *c = two_branches(NULL, true);
    const sl_edit closed = rig_set(c, "S1", "position", 1.0);
    const sl_condition on = rig_condition(c, "on");
    assert_int_equal(sl_condition_edit(c, on, &closed), SL_OK);
    sl_sneak list[ROOM];
    const int32_t count = find(c, list);
    const sl_sneak *sneak = of(c, list, count, SL_SNEAK_THROUGH, "L2");
    assert_non_null(sneak);
    assert_int_equal(sneak->where.condition, on);
    assert_int_equal(sneak->where.moved, SL_NONE);
    assert_int_equal(sneak->states, 1);
    sl_circuit_free(c);
}

/* Three loads on a ground that has a switch of its own, open in the second condition; L1 is fed,
   and its current finds its way through L2 and on through L3, which hangs on the feed of L2. By
   hand: 12 V over 4 + 2 + 6 ohm: 1 A; L2 has 2 V the wrong way round. */
static void a_ground_dome_is_found(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "p 0", "voltage=12");
    rig_part(c, "switch", "S1", "p a", "resistance=0, position=closed");
    rig_part(c, "switch", "S2", "p b", "resistance=0");
    rig_part(c, "resistor", "L1", "a g", "resistance=4");
    rig_part(c, "resistor", "L2", "b g", "resistance=2");
    rig_part(c, "resistor", "L3", "b 0", "resistance=6");
    rig_part(c, "switch", "SG", "g 0", "resistance=0, position=closed");
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "0")), SL_OK);
    sl_sneak list[ROOM];
    const int32_t count = find(c, list);
    const sl_sneak *through = of(c, list, count, SL_SNEAK_THROUGH, "L2");
    assert_non_null(through);
    assert_int_equal(through->where.moved, sl_circuit_find_part(c, "SG"));
    assert_int_equal(through->where.position, 0);
    assert_near("volts", through->volts, -2.0, 1e-14);
    assert_near("amps", through->amps, -1.0, 1e-14);
    const sl_sneak *turns = of(c, list, count, SL_SNEAK_REVERSES, "L2");
    assert_non_null(turns);
    assert_near("with its switch closed", turns->amps, 6.0, 1e-14);
    assert_non_null(of(c, list, count, SL_SNEAK_THROUGH, "L3"));
    sl_circuit_free(c);
}

/* The same three loads on a joint; the second and third hang on a switch that is open, and so does
   the first, if it has one. */
static sl_circuit *shared_ground(const sl_alloc *al, bool switched)
{
    sl_circuit *c = rig_circuit(al);
    rig_part(c, "source", "E", "p 0", "voltage=12");
    rig_part(c, "switch", "S2", "p b", "resistance=0");
    if (switched) {
        rig_part(c, "switch", "S1", "p a", "resistance=0");
    }
    rig_part(c, "resistor", "L1", switched ? "a g" : "p g", "resistance=4");
    rig_part(c, "resistor", "L2", "b g", "resistance=2");
    rig_part(c, "resistor", "L3", "b 0", "resistance=6");
    rig_part(c, "joint", "G", "g 0", "resistance=0.001");
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "0")), SL_OK);
    return c;
}

/* The joint lost, 1 A goes through all three, as above; with it good, L2 and L3 are off. */
static void check_lost_ground(bool switched)
{
    sl_circuit *c = shared_ground(NULL, switched);
    sl_sneak list[ROOM];
    const int32_t count = find(c, list);
    assert_int_equal(count, 2);
    const double volts[] = {-2.0, 6.0}, amps[] = {-1.0, 1.0};
    for (int k = 0; k < 2; k++) {
        const sl_sneak *sneak = of(c, list, count, SL_SNEAK_LOST, k == 0 ? "L2" : "L3");
        assert_non_null(sneak);
        assert_near("volts", sneak->volts, volts[k], 1e-14);
        assert_near("amps", sneak->amps, amps[k], 1e-14);
        assert_int_equal(sneak->where.lost, sl_circuit_find_part(c, "G"));
        assert_int_equal(sneak->where.moved, switched ? sl_circuit_find_part(c, "S1") : SL_NONE);
        assert_int_equal(sneak->where.position, switched);
        assert_int_equal(sneak->through, sl_circuit_find_part(c, "L1"));
        assert_int_equal(sneak->also, sl_circuit_find_part(c, k == 0 ? "L3" : "L2"));
        assert_int_equal(sneak->states, 1);
    }
    sl_circuit_free(c);
}

static void a_lost_ground_feeds_loads_through_others(void **unused)
{
    (void)unused;
    check_lost_ground(false);
}

/* Where no condition has the first load on, a switch is moved to see. */
static void a_lost_ground_is_tried_with_each_switch(void **unused)
{
    (void)unused;
    check_lost_ground(true);
}

/* Two lamps in series are meant to be. */
static void series_by_design_is_silent(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "p 0", "cca=500");
    rig_part(c, "switch", "S", "p a", "");
    rig_part(c, "lamp", "L1", "a m", "power=5");
    rig_part(c, "lamp", "L2", "m 0", "power=5");
    sl_sneak list[ROOM];
    assert_int_equal(find(c, list), 0);
    sl_circuit_free(c);
}

/* A shared ground with all parts good lifts other lamps by less than counts. With it lost, the stop
   lamp feeds the two others. */
static void a_shared_good_ground_is_silent(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "p 0", "cca=500");
    rig_part(c, "switch", "S1", "p a", "");
    rig_part(c, "switch", "S2", "p b", "");
    rig_part(c, "lamp", "tail", "a g", "power=5");
    rig_part(c, "lamp", "stop", "b g", "power=21");
    rig_part(c, "lamp", "marker", "a 0", "power=5");
    rig_part(c, "joint", "G", "g 0", "resistance=0.01");
    sl_sneak list[ROOM];
    assert_int_equal(find(c, list), 2);
    assert_non_null(of(c, list, 2, SL_SNEAK_LOST, "tail"));
    assert_non_null(of(c, list, 2, SL_SNEAK_LOST, "marker"));
    sl_circuit_free(c);
}

/* Runs out of memory at every call in turn; `expected` are found where it does not. */
static void run_out(sl_circuit *c, alloc_probe *probe, int32_t expected)
{
    const size_t made = probe->calls, blocks = probe->live_blocks;
    sl_sneak one[1];
    int32_t count = 0, ran_out = 0;
    assert_int_equal(sl_circuit_find_sneaks(c, NULL, NULL, one, 1, &count), SL_OK);
    assert_int_equal(count, expected);
    const size_t calls = probe->calls - made;
    for (size_t k = 0; k < calls; k++) {
        probe->fail_at = probe->calls + k;
        count = 77;
        const sl_status st = sl_circuit_find_sneaks(c, NULL, NULL, one, 1, &count);
        assert_true(st == SL_E_NOMEM ? count == 77 : st == SL_OK && count == expected);
        ran_out += st == SL_E_NOMEM;
        assert_int_equal(probe->live_blocks, blocks);
    }
    assert_true(ran_out > 20);
}

typedef struct told {
    int64_t calls, stop_at, last, of;
} told;

static bool tell(void *user, int64_t done, int64_t of)
{
    told *t = user;
    assert_true(done > t->last && done <= of);
    assert_true(t->calls == 0 || of == t->of);
    t->last = done;
    t->of = of;
    return ++t->calls != t->stop_at;
}

/* Three users, L1, L2 and the bar, and so three steps of each of four phases. Stopped while states
   are solved, nothing is found yet; stopped after the second user was looked at, what two have. */
static void progress_is_told_and_stops_with_what_was_found(void **unused)
{
    (void)unused;
    sl_circuit *c = two_branches(NULL, true);
    sl_sneak list[ROOM];
    int32_t count = -1;
    told all = {0}, none = {.stop_at = 2}, two = {.stop_at = 5};
    assert_int_equal(sl_circuit_find_sneaks(c, tell, &all, list, ROOM, &count), SL_OK);
    assert_int_equal(count, 3);
    assert_int_equal(all.of, 12);
    assert_int_equal(all.calls, 6); /* there is no conductor to lose */
    assert_int_equal(sl_circuit_find_sneaks(c, tell, &none, list, ROOM, &count), SL_E_STOPPED);
    assert_int_equal(count, 0);
    assert_int_equal(sl_circuit_find_sneaks(c, tell, &two, list, ROOM, &count), SL_E_STOPPED);
    assert_int_equal(count, 2);
    assert_int_equal(two.last, 5);
    assert_int_equal(list[1].part, sl_circuit_find_part(c, "L2"));
    sl_circuit_free(c);
}

static void what_does_not_fit_is_counted_and_memory_may_run_out(void **unused)
{
    (void)unused;
    for (int lost = 0; lost < 2; lost++) {
        alloc_probe probe;
        sl_alloc al = probe_start(&probe, PROBE_NEVER);
        sl_circuit *c = lost ? shared_ground(&al, false) : two_branches(&al, true);
        run_out(c, &probe, lost ? 2 : 3);
        sl_circuit_free(c);
        assert_int_equal(probe.live_blocks, 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_clean_circuit_is_silent),
        cmocka_unit_test(an_h_is_found),
        cmocka_unit_test(a_switch_left_where_it_is_counts_no_state),
        cmocka_unit_test(a_ground_dome_is_found),
        cmocka_unit_test(a_lost_ground_feeds_loads_through_others),
        cmocka_unit_test(a_lost_ground_is_tried_with_each_switch),
        cmocka_unit_test(series_by_design_is_silent),
        cmocka_unit_test(a_shared_good_ground_is_silent),
        cmocka_unit_test(progress_is_told_and_stops_with_what_was_found),
        cmocka_unit_test(what_does_not_fit_is_counted_and_memory_may_run_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

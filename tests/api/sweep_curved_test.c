/* tests/api/sweep_curved_test.c: sweeps of curved circuits, answered eight cases at a time, are
   what whole solves say, and the same to the last bit in rows and in whatever pieces they are run.
 */
#include "near.h"
#include "netgen.h"
#include "probe.h"
#include "rig.h"
#include "strapline/strapline.h"
#include "swept.h"
#include "tabled.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CIRCUITS = TEST_IS_SLOW ? 3 : 40 };

/* Between feeds p0, p1 ... and grounds g0, g1 ... */
static void draw_load(sl_circuit *c, uint64_t *random, int32_t nodes, int32_t number)
{
    char ends[96], name[16], values[96];
    const int32_t a = netgen_below(random, nodes), b = netgen_below(random, nodes);
    const char *kind = "lamp";
    snprintf(ends, sizeof ends, "p%d g%d", (int)a, (int)b);
    snprintf(name, sizeof name, "L%d", (int)number);
    switch (netgen_below(random, 12)) {
    case 0:
    case 1:
    case 2:
        snprintf(values, sizeof values, "power=%.17g", netgen_log_uniform(random, 3.0, 60.0));
        break;
    case 3:
        kind = "led_lamp";
        snprintf(values, sizeof values, "power=%.17g", netgen_log_uniform(random, 1.0, 20.0));
        break;
    case 4:
        kind = "diode";
        snprintf(ends, sizeof ends, "p%d p%d", (int)a, (int)((a + 1) % nodes));
        snprintf(values, sizeof values, "rated_current=%.17g", netgen_uniform(random, 3.0, 60.0));
        break;
    case 5:
        kind = "module";
        snprintf(values, sizeof values, "power=%.17g", netgen_log_uniform(random, 1.0, 40.0));
        break;
    case 6:
        kind = "motor";
        snprintf(values, sizeof values, "current=%.17g", netgen_uniform(random, 1.0, 10.0));
        break;
    case 7:
        kind = "fuse";
        snprintf(ends, sizeof ends, "p%d p%d", (int)a, (int)((a + 2) % nodes));
        snprintf(values, sizeof values, "rating=20");
        break;
    case 8:
        kind = "source";
        snprintf(values, sizeof values, "current=%.17g", netgen_uniform(random, -2.0, 2.0));
        break;
    case 9:
        kind = "resistor";
        snprintf(values, sizeof values, "resistance=%.17g", netgen_log_uniform(random, 1e6, 1e12));
        break;
    default:
        kind = "resistor";
        snprintf(values, sizeof values, "resistance=%.17g", netgen_log_uniform(random, 0.3, 300.0));
    }
    rig_part(c, kind, name, ends, values);
}

/* A battery, an alternator, trees of feeds and grounds with some joints of nothing, loads between
   them, and relays that feed some. */
static sl_circuit *draw_vehicle(uint64_t *random, int32_t nodes, int32_t relays)
{
    sl_circuit *c = rig_circuit(NULL);
    char ends[96], name[32], values[96];
    rig_part(c, "battery", "B", "p0 g0", "cca=500");
    for (int32_t k = 1; k < nodes; k++) {
        for (int side = 0; side < 2; side++) {
            const int32_t back = k - 1 - netgen_below(random, k < 4 ? k : 4);
            snprintf(ends, sizeof ends, "%c%d %c%d", "pg"[side], (int)back, "pg"[side], (int)k);
            snprintf(name, sizeof name, "W%c%d", "pg"[side], (int)k);
            snprintf(values, sizeof values, "resistance=%.17g",
                     netgen_below(random, 12) ? netgen_log_uniform(random, 1e-4, 0.1) : 0.0);
            rig_part(c, "resistor", name, ends, values);
        }
    }
    for (int32_t k = 0; k < nodes + 4; k++) {
        draw_load(c, random, nodes, k);
    }
    for (int32_t k = 0; k < relays; k++) {
        snprintf(ends, sizeof ends, "p%d r%d p%d g%d -", (int)netgen_below(random, nodes), (int)k,
                 (int)netgen_below(random, nodes), (int)netgen_below(random, nodes));
        snprintf(name, sizeof name, "K%d", (int)k);
        rig_part(c, "relay", name, ends, "");
        snprintf(ends, sizeof ends, "r%d g%d", (int)k, (int)netgen_below(random, nodes));
        snprintf(name, sizeof name, "KL%d", (int)k);
        rig_part(c, "lamp", name, ends, "power=21");
    }
    if (sl_circuit_set_reference(c, sl_circuit_find_node(c, "g0")) != SL_OK) {
        exit(1);
    }
    const sl_condition cold = rig_condition(c, "cold");
    const sl_edit flat = rig_set(c, "B", "charge", 0.2);
    assert_int_equal(sl_condition_set_temperature(c, cold, -20.0), SL_OK);
    assert_int_equal(sl_condition_edit(c, cold, &flat), SL_OK);
    return c;
}

static void add_edit(sl_sweep *sweep, const char *name, sl_edit edit)
{
    assert_int_equal(sl_sweep_add_edits(sweep, name, &edit, 1), SL_OK);
}

static void add_faults(sl_sweep *sweep, uint64_t *random, int32_t severities)
{
    const sl_circuit *c = sl_sweep_circuit(sweep);
    const int32_t nodes = sl_circuit_node_count(c);
    for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
        const sl_kind *kind = sl_circuit_part_kind(c, p);
        assert_int_equal(sl_sweep_add_modes(sweep, p, severities), SL_OK);
        for (int32_t e = 0; e < kind->element_count && severities > 1; e++) {
            if (sl_circuit_part_lacks(c, p, SL_LACKS_ELEMENT, e)) {
                continue;
            }
            for (double ohm = 1e-5; ohm < 1e10; ohm *= 31.0) {
                add_edit(sweep, "in series", (sl_edit){p, SL_SERIES, e, ohm});
            }
            add_edit(sweep, "open", (sl_edit){p, SL_OPEN, e, 0.0});
        }
    }
    for (int32_t n = 0; n < nodes; n++) {
        const sl_node a = netgen_below(random, nodes), b = (a + 1) % nodes;
        for (double ohm = severities > 1 ? 1e-4 : 1.0; ohm < 1e10; ohm *= 4300.0) {
            assert_int_equal(sl_sweep_add_leak(sweep, a, b, ohm), SL_OK);
        }
    }
    const sl_edit two[2] = {{1, SL_SERIES, 0, 0.05}, {2, SL_SERIES, 0, 0.5}};
    assert_int_equal(sl_sweep_add_edits(sweep, "two at once", two, 2), SL_OK);
}

static void compare_random(int32_t relays, bool pairs, sl_sweep_stats *sum)
{
    uint64_t random = 23 + (uint64_t)relays;
    double worst = 0.0;
    for (int32_t n = 0; n < (pairs ? CIRCUITS / 8 + 1 : CIRCUITS); n++) {
        sl_circuit *c = draw_vehicle(&random, pairs ? 5 : 5 + netgen_below(&random, 12), relays);
        sl_sweep *sweep = NULL;
        assert_int_equal(sl_sweep_new(c, &sweep), SL_OK);
        add_faults(sweep, &random, pairs ? 1 : 3);
        sl_sweep_set_pairs(sweep, pairs);
        swept_read_anything(sweep, &random);
        table whole = table_rows(sweep, false), by_row = table_rows(sweep, true);
        table all = table_filled(sweep, true, whole.cases, false),
              pieces = table_filled(sweep, true, 5, false);
        worst = fmax(worst, table_worst(sweep, &all, &whole));
        table_same(&all, &by_row);
        table_same(&all, &pieces);
        sum->cases += all.stats.cases;
        sum->by_ports += all.stats.by_ports;
        sum->full_solves += all.stats.full_solves;
        table *const tables[] = {&whole, &by_row, &all, &pieces};
        for (int t = 0; t < 4; t++) {
            table_end(tables[t]);
        }
        sl_sweep_free(sweep);
        sl_circuit_free(c);
    }
    print_message("%d relays: %lld of %lld cases by ports, %lld whole, worst %.1e\n", (int)relays,
                  (long long)sum->by_ports, (long long)sum->cases, (long long)sum->full_solves,
                  worst);
    assert_true(worst <= TABLE_AGREE);
}

static void curved_circuits_are_as_solved_whole(void **unused)
{
    (void)unused;
    sl_sweep_stats sum = {0};
    compare_random(0, false, &sum);
    assert_true(sum.by_ports > sum.cases / 2);
}

static void relays_pull_and_drop_as_solved_whole(void **unused)
{
    (void)unused;
    sl_sweep_stats sum = {0};
    compare_random(2, false, &sum);
    assert_true(sum.by_ports > sum.cases / 3);
}

static void pairs_are_as_solved_whole(void **unused)
{
    (void)unused;
    sl_sweep_stats sum = {0};
    compare_random(1, true, &sum);
    assert_true(sum.by_ports > sum.cases / 3);
}

/* Run again when memory has run out, from where it had come to; and once a condition is known,
   without any more. */
static void memory_may_run_out(void **unused)
{
    (void)unused;
    alloc_probe probe;
    bool ended = false;
    double want[200] = {0.0};
    for (size_t after = 0; !ended; after += after < 60 ? 1 : 11) {
        const sl_alloc al = probe_start(&probe, PROBE_NEVER);
        sl_circuit *c = rig_circuit(&al);
        rig_part(c, "battery", "B", "p 0", "cca=500");
        rig_part(c, "resistor", "R", "p a", "resistance=0.1");
        rig_part(c, "lamp", "L", "a 0", "power=21");
        rig_part(c, "lamp", "M", "a 0", "power=5");
        assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "0")), SL_OK);
        sl_sweep *sweep = NULL;
        assert_int_equal(sl_sweep_new(c, &sweep), SL_OK);
        for (int32_t k = 0; k < 9; k++) {
            add_edit(sweep, "in series", (sl_edit){1, SL_SERIES, 0, 0.1 * (k + 1)});
        }
        assert_int_equal(sl_sweep_add_modes(sweep, 2, 9), SL_OK);
        swept_read(sweep, SL_SWEEP_CURRENT, 2, 0);
        swept_read(sweep, SL_SWEEP_CURRENT, 3, 0);
        const sl_sweep_setup setup = {NULL, 0, false, true};
        sl_sweeper *w = NULL;
        assert_int_equal(sl_sweeper_new(sweep, &setup, &w), SL_OK);
        const int64_t cases = sl_sweep_case_count(sweep);
        double value[200] = {0.0};
        assert_true(cases * 2 <= 200);
        probe.fail_at = probe.calls + after;
        int64_t done = 0, rest = 0;
        sl_status st = sl_sweeper_fill(w, 0, cases, value, NULL, &done);
        ended = st == SL_OK;
        assert_true(st == SL_OK || st == SL_E_NOMEM);
        assert_int_equal(sl_sweeper_fill(w, done, cases, value + done * 2, NULL, &rest), SL_OK);
        assert_int_equal(done + rest, cases);
        const size_t calls = probe.calls;
        assert_int_equal(sl_sweeper_fill(w, 1, 8, value + 2, NULL, NULL), SL_OK);
        assert_int_equal(probe.calls, calls);
        if (after == 0) {
            memcpy(want, value, sizeof want);
        }
        assert_memory_equal(value, want, sizeof want);
        sl_sweeper_free(w);
        sl_sweep_free(sweep);
        sl_circuit_free(c);
        assert_int_equal(probe.live_blocks, 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(curved_circuits_are_as_solved_whole),
        cmocka_unit_test(relays_pull_and_drop_as_solved_whole),
        cmocka_unit_test(pairs_are_as_solved_whole),
        cmocka_unit_test(memory_may_run_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

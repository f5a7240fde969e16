/* tests/api/sweep_table_test.c: tables of sweeps: what is filled in is what rows say, bit by bit;
   and where circuits are straight, so that closed forms answer, it is what whole solves say. */
#include "near.h"
#include "netgen.h"
#include "probe.h"
#include "rig.h"
#include "swept.h"
#include "tabled.h"

#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CIRCUITS = TEST_IS_SLOW ? 4 : 30 };

/* Adds a part between two nodes picked at random. */
static void draw_part(sl_circuit *c, uint64_t *random, int32_t nodes, int32_t n)
{
    char ends[64], name[16], values[96];
    const int32_t a = netgen_below(random, nodes);
    const int32_t b = (a + 1 + netgen_below(random, nodes - 1)) % nodes;
    snprintf(ends, sizeof ends, "n%d n%d", (int)a, (int)b);
    snprintf(name, sizeof name, "P%d", (int)n);
    const char *kind = "resistor";
    switch (netgen_below(random, n == 0 ? 12 : 10)) {
    case 10: /* its current is drawn through what may be cut off */
        kind = "source";
        snprintf(values, sizeof values, "current=%.17g", netgen_uniform(random, -3.0, 3.0));
        break;
    case 0:
        kind = "battery";
        snprintf(values, sizeof values, "cca=%.17g", netgen_log_uniform(random, 50.0, 900.0));
        break;
    case 1:
        snprintf(values, sizeof values, "resistance=%.17g", netgen_log_uniform(random, 1e8, 1e12));
        break;
    case 2: /* a joint of nothing, or a fuse */
        kind = netgen_below(random, 2) ? "fuse" : "cable";
        snprintf(values, sizeof values, kind[0] == 'f' ? "rating=20" : "size=2.5, length=2");
        break;
    case 3:
        snprintf(values, sizeof values, "resistance=%.17g", netgen_log_uniform(random, 1e-5, 1e-2));
        break;
    default:
        snprintf(values, sizeof values, "resistance=%.17g", netgen_log_uniform(random, 0.1, 1e3));
    }
    rig_part(c, kind, name, ends, values);
}

/* A cold one, and one after it in which the battery is charged and a part has opened. */
static void add_conditions(sl_circuit *c)
{
    const sl_condition cold = rig_condition(c, "cold"), warm = rig_condition(c, "warm");
    const sl_edit flat = rig_set(c, "B", "charge", 0.1), opened = rig_open(c, "P1", NULL);
    assert_int_equal(sl_condition_set_temperature(c, cold, -20.0), SL_OK);
    assert_int_equal(sl_condition_edit(c, cold, &flat), SL_OK);
    assert_int_equal(sl_condition_edit(c, warm, &opened), SL_OK);
    assert_int_equal(sl_condition_after(c, warm, cold), SL_OK);
}

/* A battery and `nodes` nodes: a tree, so that there are bridges, that leaves some out, so that
   some float; and more parts than that. Relays feed some, from coils anywhere. */
static sl_circuit *draw_circuit(uint64_t *random, int32_t nodes, int32_t relays)
{
    sl_circuit *c = rig_circuit(NULL);
    char ends[96], name[16], values[64];
    rig_part(c, "battery", "B", "n1 n0", "cca=500");
    for (int32_t k = 2; k < nodes; k++) {
        const int32_t back = netgen_below(random, k);
        snprintf(ends, sizeof ends, "n%d n%d", (int)back, (int)k);
        snprintf(name, sizeof name, "T%d", (int)k);
        snprintf(values, sizeof values, "resistance=%.17g", netgen_log_uniform(random, 1e-4, 1e3));
        if (netgen_below(random, 6) > 0) {
            rig_part(c, "resistor", name, ends, values);
        }
    }
    for (int32_t k = 0; k < nodes; k++) {
        draw_part(c, random, nodes, k);
    }
    for (int32_t k = 0; k < relays; k++) {
        snprintf(ends, sizeof ends, "n1 n%d n%d n0 -", 2 + (int)netgen_below(random, nodes - 2),
                 1 + (int)netgen_below(random, nodes - 1));
        snprintf(name, sizeof name, "K%d", (int)k);
        rig_part(c, "relay", name, ends, k % 2 ? "suppressor=680" : "");
    }
    if (sl_circuit_set_reference(c, sl_circuit_find_node(c, "n0")) != SL_OK) {
        exit(1);
    }
    add_conditions(c);
    return c;
}

static void add_faults(sl_sweep *sweep, uint64_t *random)
{
    const sl_circuit *c = sl_sweep_circuit(sweep);
    const int32_t nodes = sl_circuit_node_count(c);
    for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
        const sl_kind *kind = sl_circuit_part_kind(c, p);
        assert_int_equal(sl_sweep_add_modes(sweep, p, 3), SL_OK);
        for (int32_t e = 0; e < kind->element_count; e++) {
            for (double ohm = 1e-5; ohm < 1e10; ohm *= 31.0) {
                const sl_edit edit = {p, SL_SERIES, e, ohm};
                assert_int_equal(sl_sweep_add_edits(sweep, "in series", &edit, 1), SL_OK);
            }
            const sl_edit open = {p, SL_OPEN, e, 0.0};
            assert_int_equal(sl_sweep_add_edits(sweep, "open", &open, 1), SL_OK);
        }
        if (strcmp(kind->name, "resistor") == 0) {
            for (double ohm = 0.0; ohm < 1e9; ohm = 90.0 * ohm + 1e-4) {
                const sl_edit edit = {p, SL_SET, 0, ohm};
                assert_int_equal(sl_sweep_add_edits(sweep, "another", &edit, 1), SL_OK);
            }
        }
    }
    for (int32_t n = 0; n < nodes; n++) {
        const sl_node a = netgen_below(random, nodes), b = (a + 1) % nodes;
        for (double ohm = 1e-4; ohm < 1e10; ohm *= 43.0) {
            assert_int_equal(sl_sweep_add_leak(sweep, a, b, ohm), SL_OK);
        }
    }
}

/* Random circuits: all of it whole, in rows and in tables, and the last two in pieces. */
static void compare_random(int32_t relays, double *worst, sl_sweep_stats *sum)
{
    uint64_t random = 17 + (uint64_t)relays;
    for (int32_t n = 0; n < CIRCUITS; n++) {
        sl_circuit *c = draw_circuit(&random, 4 + netgen_below(&random, 12), relays);
        sl_sweep *sweep = swept_new(c);
        add_faults(sweep, &random);
        swept_read_anything(sweep, &random);
        table whole = table_rows(sweep, false), run = table_rows(sweep, true);
        table all = table_filled(sweep, true, whole.cases, false),
              pieces = table_filled(sweep, true, 7, false);
        table back = table_filled(sweep, true, 5, true);
        const double off = table_worst(sweep, &all, &whole);
        *worst = off > *worst ? off : *worst;
        table_same(&all, &run);
        table_same(&all, &pieces);
        table_same(&all, &back);
        assert_int_equal(all.stats.closed_forms, run.stats.closed_forms);
        assert_int_equal(all.stats.closed_forms, pieces.stats.closed_forms);
        sum->cases += all.stats.cases;
        sum->closed_forms += all.stats.closed_forms;
        table *const tables[] = {&whole, &run, &all, &pieces, &back};
        for (int t = 0; t < 5; t++) {
            table_end(tables[t]);
        }
        swept_free(c, sweep);
    }
    print_message("%d relays: %lld of %lld cases in closed form, worst %.1e\n", (int)relays,
                  (long long)sum->closed_forms, (long long)sum->cases, *worst);
}

static void straight_circuits_are_as_solved_whole(void **unused)
{
    (void)unused;
    double worst = 0.0;
    sl_sweep_stats sum = {0};
    compare_random(0, &worst, &sum);
    assert_true(worst <= TABLE_AGREE);
    assert_true(sum.closed_forms > sum.cases * 8 / 10);
}

/* Leaks, opens and resistances of any size in some parts, two at a time. */
static void add_paired_faults(sl_sweep *sweep, uint64_t *random)
{
    const sl_circuit *c = sl_sweep_circuit(sweep);
    const int32_t nodes = sl_circuit_node_count(c), parts = sl_circuit_part_count(c);
    for (int32_t n = 0; n < 9; n++) {
        const sl_part p = netgen_below(random, parts);
        const sl_node a = netgen_below(random, nodes), b = netgen_below(random, nodes);
        for (int32_t k = 0; k < 3; k++) {
            const double ohm = netgen_log_uniform(random, 1e-4, 1e7);
            const sl_edit series = {p, SL_SERIES, 0, ohm}, open = {p, SL_OPEN, 0, 0.0};
            assert_int_equal(sl_sweep_add_edits(sweep, "in", k == 2 ? &open : &series, 1), SL_OK);
        }
        for (int32_t k = 0; k < 2 && a != b; k++) {
            const double ohm = netgen_log_uniform(random, 1e-3, 1e5);
            assert_int_equal(sl_sweep_add_leak(sweep, a, b, ohm), SL_OK);
        }
    }
    sl_sweep_set_pairs(sweep, true);
}

/* Case by case: those that closed forms answer, against `whole`, and the others left out; and all
   of them against the table `all`. */
static double worst_of_closed(const sl_sweep *sweep, const table *whole, const table *all)
{
    table one = table_of(sweep);
    sl_sweeper *w = table_sweeper(sweep, true);
    int64_t closed = 0;
    for (int64_t k = 0; k < one.cases; k++) {
        double *value = one.value + k * one.readings;
        assert_int_equal(sl_sweeper_fill(w, k, 1, value, &one.mark[k], NULL), SL_OK);
        sl_sweeper_stats(w, &one.stats);
        assert_memory_equal(value, all->value + k * one.readings,
                            (size_t)one.readings * sizeof *value);
        if (one.stats.closed_forms == closed) {
            memcpy(value, whole->value + k * one.readings, (size_t)one.readings * sizeof *value);
            one.mark[k] = whole->mark[k];
        }
        closed = one.stats.closed_forms;
    }
    assert_int_equal(closed, all->stats.closed_forms);
    const double worst = table_worst(sweep, &one, whole);
    sl_sweeper_free(w);
    table_end(&one);
    return worst;
}

/* Nothing flows in a wire whose load is unplugged, and yet what it leads to floats once it is open,
   whatever its resistance. */
static void what_an_open_dead_end_leads_to_floats(void **unused)
{
    (void)unused;
    for (int n = 0; n < 60; n++) {
        char text[40];
        snprintf(text, sizeof text, "resistance=%.17g", 1e-5 * pow(1.5, n));
        sl_circuit *c = rig_circuit(NULL);
        rig_part(c, "battery", "B", "p 0", "cca=500");
        rig_part(c, "resistor", "F", "p a", text);
        rig_part(c, "resistor", "L", "a 0", "resistance=6");
        const sl_edit unplugged = rig_open(c, "L", NULL);
        assert_int_equal(sl_condition_edit(c, rig_condition(c, "off"), &unplugged), SL_OK);
        sl_sweep *sweep = swept_new(c);
        assert_int_equal(sl_sweep_add_modes(sweep, sl_circuit_find_part(c, "F"), 3), SL_OK);
        const sl_node feed = sl_circuit_find_node(c, "p"), far = sl_circuit_find_node(c, "a");
        swept_read(sweep, SL_SWEEP_VOLTAGE, far, sl_circuit_find_node(c, "0"));
        swept_read(sweep, SL_SWEEP_VOLTAGE, feed, far);
        table whole = table_rows(sweep, false);
        table all = table_filled(sweep, true, whole.cases, false);
        assert_true(isnan(whole.value[2]) && isnan(whole.value[3])); /* F is open */
        assert_true(table_worst(sweep, &all, &whole) <= TABLE_AGREE);
        table_end(&whole);
        table_end(&all);
        swept_free(c, sweep);
    }
}

static void pairs_of_faults_are_as_solved_whole(void **unused)
{
    (void)unused;
    double worst = 0.0;
    sl_sweep_stats sum = {0};
    uint64_t random = 31;
    for (int32_t n = 0; n < CIRCUITS; n++) {
        sl_circuit *c = draw_circuit(&random, 4 + netgen_below(&random, 12), 0);
        sl_sweep *sweep = swept_new(c);
        add_paired_faults(sweep, &random);
        for (sl_node k = 0; k < sl_circuit_node_count(c); k++) {
            swept_read(sweep, SL_SWEEP_VOLTAGE, k, sl_circuit_reference(c));
        }
        swept_read(sweep, SL_SWEEP_CURRENT, sl_circuit_find_part(c, "B"), 0);
        table whole = table_rows(sweep, false), all = table_filled(sweep, true, whole.cases, false);
        table back = table_filled(sweep, true, 5, true);
        worst = fmax(worst, worst_of_closed(sweep, &whole, &all));
        worst = fmax(worst, table_worst(sweep, &all, &whole));
        table_same(&all, &back);
        sum.cases += all.stats.cases;
        sum.closed_forms += all.stats.closed_forms;
        table_end(&whole);
        table_end(&all);
        table_end(&back);
        swept_free(c, sweep);
    }
    print_message("pairs: %lld of %lld cases in closed form, worst %.1e\n",
                  (long long)sum.closed_forms, (long long)sum.cases, worst);
    assert_true(worst <= TABLE_AGREE);
    assert_true(sum.closed_forms > sum.cases / 2);
}

static void relays_pull_and_drop_as_solved_whole(void **unused)
{
    (void)unused;
    double worst = 0.0;
    sl_sweep_stats sum = {0};
    compare_random(2, &worst, &sum);
    assert_true(worst <= TABLE_AGREE);
    assert_true(sum.closed_forms > sum.cases / 2 && sum.closed_forms < sum.cases);
}

/* Loop of 12.6 V with 6 mohm inside, 1 mohm of cable out, 1 mohm back, a starter of 34 mohm as a
   plain resistance. By hand: 12.6 / 0.042 = 300 A; 10 mohm more in the ground: 12.6 / 0.052 =
   242.3 A; a starter of 20 mohm: 12.6 / 0.028 = 450 A; the stud leaking to ground over 35 mohm, as
   much as starter and ground: 12.6 / 0.0245 = 514.3 A, of which half in the starter; the feed open:
   nothing, and the stud is at the ground's 0 V. */
static void a_starting_loop_is_as_by_hand(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "e 0", "voltage=12.6");
    rig_part(c, "resistor", "inside", "e post", "resistance=0.006");
    rig_part(c, "resistor", "feed", "post stud", "resistance=0.001");
    rig_part(c, "resistor", "starter", "stud case", "resistance=0.034");
    rig_part(c, "resistor", "ground", "case 0", "resistance=0.001");
    const sl_node zero = sl_circuit_find_node(c, "0"), stud = sl_circuit_find_node(c, "stud");
    assert_int_equal(sl_circuit_set_reference(c, zero), SL_OK);
    sl_sweep *sweep = swept_new(c);
    const sl_edit faults[] = {rig_series(c, "ground", NULL, 0.010),
                              rig_set(c, "starter", "resistance", 0.020),
                              rig_open(c, "feed", NULL)};
    for (int k = 0; k < 3; k++) {
        assert_int_equal(sl_sweep_add_edits(sweep, "f", &faults[k], 1), SL_OK);
    }
    assert_int_equal(sl_sweep_add_leak(sweep, stud, zero, 0.035), SL_OK);
    swept_read(sweep, SL_SWEEP_CURRENT, sl_circuit_find_part(c, "starter"), 0);
    swept_read(sweep, SL_SWEEP_VOLTAGE, stud, zero);
    table t = table_filled(sweep, true, 5, false);
    static const double amps[5] = {300.0, 12.6 / 0.052, 450.0, 0.0, 12.6 / 0.0245 / 2.0};
    for (int k = 0; k < 5; k++) {
        const double ohm = k == 1 ? 0.045 : k == 2 ? 0.021 : 0.035; /* starter and ground */
        assert_near("current", t.value[2 * k], amps[k], 1e-13);
        assert_near("stud", t.value[2 * k + 1], amps[k] * ohm, 1e-13);
    }
    assert_int_equal(t.stats.closed_forms, 4); /* the last digits of 300 A less 300 A are solved */
    table_end(&t);
    swept_free(c, sweep);
}

/* What closed forms do not speak of: curves, chatter, pairs. */
static void other_circuits_are_filled_in_too(void **unused)
{
    (void)unused;
    sl_circuit *circuits[2] = {swept_buzzer(), NULL};
    assert_int_equal(rig_every_kind(NULL, &circuits[1]), SL_OK);
    for (int k = 0; k < 2; k++) {
        const sl_circuit *c = circuits[k];
        sl_sweep *sweep = swept_new(c);
        for (sl_part p = 0; p < sl_circuit_part_count(c) && p < 12; p++) {
            assert_int_equal(sl_sweep_add_modes(sweep, p, 1), SL_OK);
        }
        sl_sweep_set_pairs(sweep, k == 0);
        swept_read_all(sweep);
        for (int quick = 0; quick < 2; quick++) {
            table run = table_rows(sweep, quick), all = table_filled(sweep, quick, 11, false);
            table_same(&all, &run);
            assert_int_equal(all.stats.chattering, run.stats.chattering);
            assert_int_equal(all.mark[0].outcome, k == 0 ? SL_CHATTERS : SL_SETTLED);
            table_end(&run);
            table_end(&all);
        }
        sl_sweep_free(sweep);
        sl_circuit_free(circuits[k]);
    }
}

typedef struct share {
    const sl_sweep *sweep;
    table *to;
    int64_t first, count;
} share;

static void *fill_share(void *user)
{
    const share *s = user;
    sl_sweeper *w = table_sweeper(s->sweep, true);
    sl_sweeper_fill(w, s->first, s->count, s->to->value + s->first * s->to->readings,
                    s->to->mark + s->first, NULL);
    sl_sweeper_free(w);
    return NULL;
}

static void threads_fill_in_the_same(void **unused)
{
    (void)unused;
    enum { THREADS = 4 };
    uint64_t random = 23;
    sl_circuit *c = draw_circuit(&random, 14, 1);
    sl_sweep *sweep = swept_new(c);
    add_faults(sweep, &random);
    swept_read_anything(sweep, &random);
    table one = table_filled(sweep, true, sl_sweep_case_count(sweep), false),
          many = table_of(sweep);
    pthread_t thread[THREADS];
    share shares[THREADS];
    for (int64_t k = 0; k < THREADS; k++) {
        const int64_t from = one.cases * k / THREADS, to = one.cases * (k + 1) / THREADS;
        shares[k] = (share){sweep, &many, from, to - from};
        assert_int_equal(pthread_create(&thread[k], NULL, fill_share, &shares[k]), 0);
    }
    for (int k = 0; k < THREADS; k++) {
        assert_int_equal(pthread_join(thread[k], NULL), 0);
    }
    table_same(&one, &many);
    table_end(&one);
    table_end(&many);
    swept_free(c, sweep);
}

/* Filled in again when memory has run out, from where it had come to; and once a condition is
   known, without any more. */
static void memory_may_run_out(void **unused)
{
    (void)unused;
    alloc_probe probe;
    bool ended = false;
    table want = {0};
    for (size_t after = 0; !ended; after += after < 60 ? 1 : 7) {
        const sl_alloc al = probe_start(&probe, PROBE_NEVER);
        sl_circuit *c = rig_circuit(&al);
        rig_part(c, "battery", "B", "p 0", "cca=500");
        rig_part(c, "resistor", "R", "p a", "resistance=1");
        rig_part(c, "relay", "K", "p b a 0 -", "");
        rig_part(c, "resistor", "S", "b 0", "resistance=2");
        sl_sweep *sweep = swept_new(c);
        assert_int_equal(sl_sweep_add_modes(sweep, 1, 9), SL_OK); /* the relay drops */
        const int64_t held = 1 + sl_sweep_fault_count(sweep);
        assert_int_equal(sl_sweep_add_modes(sweep, 3, 9), SL_OK); /* it holds */
        for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
            swept_read(sweep, SL_SWEEP_CURRENT, p, 0);
            swept_read(sweep, SL_SWEEP_STATE, p, 0);
        }
        sl_sweeper *w = table_sweeper(sweep, true);
        table t = table_of(sweep);
        probe.fail_at = probe.calls + after;
        int64_t done = 0, rest = 0;
        sl_status st = sl_sweeper_fill(w, 0, t.cases, t.value, t.mark, &done);
        ended = st == SL_OK;
        assert_true(st == SL_OK || st == SL_E_NOMEM);
        st = sl_sweeper_fill(w, done, t.cases, t.value + done * t.readings, t.mark + done, &rest);
        assert_int_equal(st, SL_OK);
        assert_int_equal(done + rest, t.cases);
        const size_t calls = probe.calls;
        st = sl_sweeper_fill(w, held, t.cases, t.value + held * t.readings, t.mark + held, NULL);
        assert_int_equal(st, SL_OK);
        assert_int_equal(probe.calls, calls);
        if (want.value) {
            table_same(&t, &want);
            table_end(&t);
        } else {
            want = t;
        }
        sl_sweeper_free(w);
        swept_free(c, sweep);
        assert_int_equal(probe.live_blocks, 0);
    }
    table_end(&want);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(straight_circuits_are_as_solved_whole),
        cmocka_unit_test(what_an_open_dead_end_leads_to_floats),
        cmocka_unit_test(pairs_of_faults_are_as_solved_whole),
        cmocka_unit_test(relays_pull_and_drop_as_solved_whole),
        cmocka_unit_test(a_starting_loop_is_as_by_hand),
        cmocka_unit_test(other_circuits_are_filled_in_too),
        cmocka_unit_test(threads_fill_in_the_same),
        cmocka_unit_test(memory_may_run_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Contrasts as a program sees them: loaded beside unplugged, figures by hand, what is noticed. Of
   the library this sees the public headers only. */
#include "near.h"
#include "probe.h"
#include "rig.h"
#include "strapline/contrast.h"
#include "swept.h"

#include <string.h>

enum { ROWS = 64, SYMPTOMS = 16 };

typedef struct kept_row {
    sl_contrast_row row;
    sl_sweep_row inner;
    sl_symptom symptom[SYMPTOMS];
} kept_row;

typedef struct kept {
    int32_t count, stop_after;
    kept_row row[ROWS];
} kept;

static bool keep(void *user, const sl_contrast_row *row)
{
    kept *k = user;
    assert_true(k->count < ROWS && row->symptom_count <= SYMPTOMS);
    kept_row *to = &k->row[k->count++];
    to->row = *row;
    to->inner = *row->row;
    for (int32_t s = 0; s < row->symptom_count; s++) {
        to->symptom[s] = row->symptom[s];
    }
    return k->count != k->stop_after;
}

/* 12 V through 1 ohm of feed and 1 ohm of ground into a load of 4 ohm. */
static sl_circuit *loop(const sl_alloc *al)
{
    sl_circuit *c = rig_circuit(al);
    rig_part(c, "source", "E", "e 0", "voltage=12");
    rig_part(c, "joint", "feed", "e a", "resistance=1");
    rig_part(c, "resistor", "load", "a b", "resistance=4");
    rig_part(c, "joint", "ground", "b 0", "resistance=1");
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "0")), SL_OK);
    return c;
}

static void read_between(sl_sweep *sweep, const char *red, const char *black, int32_t group)
{
    const sl_circuit *c = sl_sweep_circuit(sweep);
    const sl_sweep_reading r = {SL_SWEEP_VOLTAGE, sl_circuit_find_node(c, red),
                                sl_circuit_find_node(c, black), group};
    assert_int_equal(sl_sweep_add_reading(sweep, &r), SL_OK);
}

/* Ground: 6 ohm more, 12 V over 12 ohm: 1 A; b at 7 V, 4 V across the load. Unplugged: nothing
   flows, a meter finds 12 V at a and 0 V at b, good or bad. Feed open: a floats when unplugged. */
static sl_sweep *three_faults(const sl_circuit *c)
{
    sl_sweep *sweep = swept_new(c);
    const sl_edit faults[] = {rig_series(c, "ground", NULL, 6.0), rig_open(c, "feed", NULL),
                              rig_series(c, "ground", NULL, 1e-3)};
    for (int k = 0; k < 3; k++) {
        assert_int_equal(sl_sweep_add_edits(sweep, "fault", &faults[k], 1), SL_OK);
    }
    read_between(sweep, "b", "0", 0);
    read_between(sweep, "a", "b", 1);
    read_between(sweep, "a", "0", 2);
    return sweep;
}

static sl_contrast *contrast_of(const sl_sweep *sweep, double change_v)
{
    sl_edit unplug[8];
    const int32_t loads = sl_circuit_unplug(sl_sweep_circuit(sweep), unplug, 8);
    sl_contrast *ct = NULL;
    assert_int_equal(sl_contrast_new(sweep, unplug, loads, change_v, &ct), SL_OK);
    return ct;
}

static void end(sl_contrast *ct, sl_circuit *c, sl_sweep *sweep)
{
    sl_contrast_free(ct);
    swept_free(c, sweep);
}

static void a_poor_ground_shows_only_under_load(void **unused)
{
    (void)unused;
    sl_circuit *c = loop(NULL);
    sl_edit unplug[1];
    assert_int_equal(sl_circuit_unplug(c, NULL, 0), 1);
    assert_int_equal(sl_circuit_unplug(c, unplug, 1), 1);
    assert_int_equal(unplug[0].part, sl_circuit_find_part(c, "load"));
    sl_sweep *sweep = three_faults(c);
    sl_contrast *ct = contrast_of(sweep, 0.1);
    kept k = {0};
    int64_t done = 0;
    assert_int_equal(sl_contrast_run(ct, 0, 100, keep, &k, &done), SL_OK);
    assert_int_equal(done, 4);
    assert_int_equal(k.count, 4);

    const sl_contrast_row *good = &k.row[0].row, *poor = &k.row[1].row, *open = &k.row[2].row;
    assert_false(good->load_only);
    for (int g = 0; g < SL_SWEEP_GROUPS; g++) {
        assert_int_equal(good->best[g].reading, SL_NONE);
        assert_int_equal(good->alone[g].reading, SL_NONE);
    }
    assert_true(poor->load_only);
    assert_int_equal(poor->best[0].reading, 0);
    assert_near("b good", poor->best[0].good, 2.0, 1e-14);
    assert_near("b", poor->best[0].now, 7.0, 1e-14);
    assert_near("b alone", poor->best[0].alone_now, 0.0, 0.0);
    assert_near("load good", poor->best[1].good, 8.0, 1e-14);
    assert_near("load", poor->best[1].now, 4.0, 1e-14);
    assert_true(isnan(poor->best[1].alone_now) || poor->best[1].alone_now == 12.0);
    assert_near("load alone", poor->best[1].alone_now, poor->best[1].alone_good, 0.0);
    assert_int_equal(poor->alone[1].reading, SL_NONE);

    assert_false(open->load_only);
    assert_near("a alone, good", open->alone[2].alone_good, 12.0, 0.0);
    assert_true(isnan(open->alone[2].alone_now));
    assert_near("b, nothing flows", open->best[0].now, 0.0, 0.0);

    const sl_contrast_row *slight = &k.row[3].row; /* 2 mV: less than counts */
    assert_false(slight->load_only);
    assert_int_equal(slight->best[0].reading, SL_NONE);
    sl_sweep_stats stats;
    sl_contrast_stats(ct, &stats);
    assert_int_equal(stats.cases, 2 * (4 + 1)); /* each twice, and once more what is good */
    end(ct, c, sweep);
}

/* 0.5 V counts, 0.5 V and a hair less does not: 12 V over 6 ohm + R, R = 0.3 ohm: b gains 0.476 V.
 */
static void a_difference_counts_from_its_limit_on(void **unused)
{
    (void)unused;
    sl_circuit *c = loop(NULL);
    sl_sweep *sweep = swept_new(c);
    const sl_edit fault = rig_series(c, "ground", NULL, 0.3);
    assert_int_equal(sl_sweep_add_edits(sweep, "fault", &fault, 1), SL_OK);
    read_between(sweep, "b", "0", 0);
    const double gain = 12.0 * 1.3 / 6.3 - 2.0;
    for (int over = 0; over < 2; over++) {
        sl_contrast *ct = contrast_of(sweep, over ? gain * 1.000001 : gain * 0.999999);
        kept k = {0};
        assert_int_equal(sl_contrast_run(ct, 1, 1, keep, &k, NULL), SL_OK);
        assert_int_equal(k.row[0].row.best[0].reading, over ? SL_NONE : 0);
        sl_contrast_free(ct);
    }
    sl_contrast *none = NULL;
    assert_int_equal(sl_contrast_new(sweep, NULL, 0, 0.0, &none), SL_E_ARG);
    assert_null(none);
    sl_contrast_free(NULL);
    swept_free(c, sweep);
}

/* A coil of 40 ohm that has 10 ohm in its ground does not pull in at 0.8 * 12 V = 9.6 V: the ground
   shows 2.4 V, the load that gets nothing 12 V. Those across the ground go first all the same. */
static void the_faulty_part_goes_before_what_differs_more(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "e 0", "voltage=12");
    rig_part(c, "relay", "K", "e out e g -", "coil_resistance=40, pull_in=10");
    rig_part(c, "joint", "ground", "g 0", "resistance=0");
    rig_part(c, "resistor", "load", "out 0", "resistance=1000");
    sl_sweep *sweep = swept_new(c);
    const sl_part ground = sl_circuit_find_part(c, "ground");
    const int32_t corroded = 0; /* adds what is given */
    assert_int_equal(sl_sweep_add_mode(sweep, ground, corroded, 10.0), SL_OK);
    read_between(sweep, "out", "0", 0);
    read_between(sweep, "g", "0", 0);
    read_between(sweep, "e", "g", 0);
    read_between(sweep, "e", "g", 1);
    read_between(sweep, "out", "0", 1);
    sl_contrast *ct = contrast_of(sweep, 0.1);
    kept k = {0};
    assert_int_equal(sl_contrast_run(ct, 1, 1, keep, &k, NULL), SL_OK);
    assert_int_equal(k.row[0].row.best[0].reading, 1);
    assert_near("ground", k.row[0].row.best[0].now, 2.4, 1e-12);
    assert_int_equal(k.row[0].row.best[1].reading, 4); /* none of the faulty part: the greatest */
    end(ct, c, sweep);
}

/* A battery that is charged through a poor ground carries a current of its own; with the engine
   stopped a meter alone finds nothing there. */
static void the_engine_is_stopped_for_a_meter_alone(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "p 0", "cca=500, charge=0.5");
    rig_part(c, "joint", "strap", "block 0", "resistance=0.001");
    rig_part(c, "alternator", "G", "p block -", "rated_current=90, speed=2000");
    rig_part(c, "lamp", "L", "p block", "power=55");
    sl_edit quiet[4];
    assert_int_equal(sl_circuit_unplug(c, NULL, 0), 1);
    assert_int_equal(sl_circuit_quiet(c, NULL, 0), 2);
    assert_int_equal(sl_circuit_quiet(c, quiet, 4), 2);
    assert_int_equal(quiet[1].part, sl_circuit_find_part(c, "G"));
    sl_sweep *sweep = swept_new(c);
    const sl_edit poor = rig_series(c, "strap", NULL, 0.1);
    assert_int_equal(sl_sweep_add_edits(sweep, "poor", &poor, 1), SL_OK);
    read_between(sweep, "block", "0", 0);
    for (int stopped = 0; stopped < 2; stopped++) {
        sl_contrast *ct = NULL;
        assert_int_equal(sl_contrast_new(sweep, quiet, 1 + stopped, 0.1, &ct), SL_OK);
        kept k = {0};
        assert_int_equal(sl_contrast_run(ct, 1, 1, keep, &k, NULL), SL_OK);
        assert_int_equal(k.row[0].row.load_only, stopped);
        sl_contrast_free(ct);
    }
    swept_free(c, sweep);
}

/* A relay that is fed through its own rest contact buzzes once its switch is stuck closed. */
static void what_starts_to_chatter_is_a_symptom_at_both_ends(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "e 0", "voltage=12");
    rig_part(c, "switch", "S", "e feed", "");
    rig_part(c, "relay", "K", "feed out coil 0 coil", "");
    rig_part(c, "resistor", "load", "out 0", "resistance=1000");
    sl_sweep *sweep = swept_new(c);
    const sl_edit closed[] = {rig_set(c, "S", "position", 1.0), rig_open(c, "load", NULL)};
    assert_int_equal(sl_sweep_add_edits(sweep, "stuck", closed, 1), SL_OK);
    assert_int_equal(sl_sweep_add_edits(sweep, "open", closed + 1, 1), SL_OK);
    read_between(sweep, "out", "0", 0);
    sl_contrast *ct = contrast_of(sweep, 0.1);
    kept k = {0};
    assert_int_equal(sl_contrast_run(ct, 0, 3, keep, &k, NULL), SL_OK);
    assert_int_equal(k.count, 4);
    for (int n = 0; n < 4; n++) {
        int32_t chatters = 0;
        for (int32_t s = 0; s < k.row[n].row.symptom_count; s++) {
            const sl_symptom *symptom = &k.row[n].symptom[s];
            if (symptom->type == SL_STARTS_TO_CHATTER) {
                assert_int_equal(symptom->part, sl_circuit_find_part(c, "K"));
                assert_int_equal(symptom->index, SL_NONE);
                chatters++;
            }
        }
        assert_int_equal(chatters, n == 1 || n == 2);
        assert_int_equal(k.row[n].inner.outcome, n == 1 || n == 2 ? SL_CHATTERS : SL_SETTLED);
    }
    end(ct, c, sweep);
}

/* A lead on the feed of a lamp that is switched off finds the ground through it; behind a blown
   fuse it floats. That is no current which brings a fault out. */
static void what_floats_does_not_look_good(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "e 0", "voltage=12");
    rig_part(c, "switch", "S", "e feed", "");
    rig_part(c, "fuse", "F", "feed f", "rating=10");
    rig_part(c, "lamp", "L", "f 0", "power=21");
    sl_sweep *sweep = swept_new(c);
    const sl_edit blown = rig_set(c, "F", "link", 1.0);
    assert_int_equal(sl_sweep_add_edits(sweep, "blown", &blown, 1), SL_OK);
    read_between(sweep, "e", "feed", 0);
    sl_contrast *ct = contrast_of(sweep, 0.1);
    kept k = {0};
    assert_int_equal(sl_contrast_run(ct, 1, 1, keep, &k, NULL), SL_OK);
    assert_int_equal(k.row[0].row.best[0].reading, 0);
    assert_near("good", k.row[0].row.best[0].good, 12.0, 1e-12);
    assert_true(isnan(k.row[0].row.best[0].now));
    assert_false(k.row[0].row.load_only);
    end(ct, c, sweep);
}

/* Across the faulty joint and from there to ground the change is the same: the joint goes first. */
static void the_faulty_part_itself_goes_first_of_equals(void **unused)
{
    (void)unused;
    sl_circuit *c = loop(NULL);
    sl_sweep *sweep = swept_new(c);
    const sl_part feed = sl_circuit_find_part(c, "feed");
    assert_int_equal(sl_sweep_add_mode(sweep, feed, 2, 0.0), SL_OK); /* open */
    read_between(sweep, "a", "0", 0);                                /* 10 V gone */
    read_between(sweep, "e", "a", 0);                                /* 2 V to 12 V: 10 V more */
    sl_contrast *ct = contrast_of(sweep, 0.1);
    kept k = {0};
    assert_int_equal(sl_contrast_run(ct, 1, 1, keep, &k, NULL), SL_OK);
    assert_int_equal(k.row[0].row.best[0].reading, 1);
    end(ct, c, sweep);
}

/* A relay that lets go, a fuse that is blown, a lamp that dims: gone, new, less. */
static void symptoms_appear_disappear_and_change(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "p 0", "cca=500");
    rig_part(c, "fuse", "F", "p f", "rating=15");
    rig_part(c, "relay", "K", "p x f 0 -", "");
    rig_part(c, "joint", "J", "p l", "resistance=0.001");
    rig_part(c, "lamp", "L", "l 0", "power=21");
    sl_sweep *sweep = swept_new(c);
    const sl_edit blown = rig_set(c, "F", "link", 1.0), poor = rig_series(c, "J", NULL, 2.0);
    assert_int_equal(sl_sweep_add_edits(sweep, "blown", &blown, 1), SL_OK);
    assert_int_equal(sl_sweep_add_edits(sweep, "poor", &poor, 1), SL_OK);
    sl_contrast *ct = contrast_of(sweep, 0.1);
    kept k = {0};
    assert_int_equal(sl_contrast_run(ct, 1, 2, keep, &k, NULL), SL_OK);
    const sl_part fuse = sl_circuit_find_part(c, "F"), relay = sl_circuit_find_part(c, "K");
    assert_int_equal(k.row[0].row.symptom_count, 2);
    assert_true(k.row[0].symptom[0].type == SL_APPEARS && k.row[0].symptom[0].part == fuse);
    assert_true(isnan(k.row[0].symptom[0].good));
    assert_true(k.row[0].symptom[1].type == SL_DISAPPEARS && k.row[0].symptom[1].part == relay);
    bool dims = false;
    for (int32_t s = 0; s < k.row[1].row.symptom_count; s++) {
        const sl_symptom *symptom = &k.row[1].symptom[s];
        dims = dims || (symptom->type == SL_CHANGES && symptom->now < 0.9 * symptom->good &&
                        symptom->part == sl_circuit_find_part(c, "L"));
    }
    assert_true(dims);
    end(ct, c, sweep);
}

static void memory_may_run_out_and_the_run_goes_on(void **unused)
{
    (void)unused;
    alloc_probe probe;
    sl_alloc al = probe_start(&probe, PROBE_NEVER);
    int32_t ran_out = 0;
    size_t calls = SIZE_MAX;
    for (size_t fail_at = PROBE_NEVER, round = 0; round == 0 || fail_at < calls; round++) {
        al = probe_start(&probe, PROBE_NEVER);
        sl_circuit *c = loop(&al);
        sl_sweep *sweep = three_faults(c);
        const size_t before = probe.calls;
        probe.fail_at = round == 0 ? PROBE_NEVER : before + round - 1;
        sl_edit unplug[8];
        const int32_t loads = sl_circuit_unplug(c, unplug, 8);
        sl_contrast *ct = NULL;
        sl_status st = sl_contrast_new(sweep, unplug, loads, 0.1, &ct);
        if (st == SL_E_NOMEM) {
            assert_null(ct);
            ran_out++;
            st = sl_contrast_new(sweep, unplug, loads, 0.1, &ct);
        }
        assert_int_equal(st, SL_OK);
        kept k = {0};
        int64_t done = 0, rest = 0;
        if (sl_contrast_run(ct, 0, 4, keep, &k, &done) == SL_E_NOMEM) {
            ran_out++;
            assert_int_equal(sl_contrast_run(ct, done, 4, keep, &k, &rest), SL_OK);
        }
        assert_int_equal(done + rest, 4);
        assert_int_equal(k.count, 4);
        assert_true(k.row[1].row.load_only && !k.row[2].row.load_only);
        calls = round == 0 ? probe.calls : calls;
        fail_at = before + round;
        end(ct, c, sweep);
        assert_int_equal(probe.live_blocks, 0);
    }
    assert_true(ran_out > 20);
}

static void a_run_that_is_stopped_goes_on_from_there(void **unused)
{
    (void)unused;
    sl_circuit *c = loop(NULL);
    sl_sweep *sweep = three_faults(c);
    sl_contrast *ct = contrast_of(sweep, 0.1);
    kept k = {.stop_after = 2};
    int64_t done = 0;
    assert_int_equal(sl_contrast_run(ct, 0, 4, keep, &k, &done), SL_OK);
    assert_int_equal(done, 2);
    assert_int_equal(sl_contrast_run(ct, done, 4, keep, &k, &done), SL_OK);
    assert_int_equal(done, 2);
    assert_int_equal(k.count, 4);
    for (int n = 0; n < 4; n++) {
        assert_int_equal(k.row[n].inner.index, n);
    }
    assert_int_equal(sl_contrast_run(ct, -1, 1, keep, &k, &done), SL_E_ARG);
    assert_int_equal(sl_contrast_run(ct, 5, 1, keep, &k, &done), SL_E_ARG);
    end(ct, c, sweep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_poor_ground_shows_only_under_load),
        cmocka_unit_test(a_difference_counts_from_its_limit_on),
        cmocka_unit_test(the_faulty_part_itself_goes_first_of_equals),
        cmocka_unit_test(the_faulty_part_goes_before_what_differs_more),
        cmocka_unit_test(the_engine_is_stopped_for_a_meter_alone),
        cmocka_unit_test(what_starts_to_chatter_is_a_symptom_at_both_ends),
        cmocka_unit_test(what_floats_does_not_look_good),
        cmocka_unit_test(symptoms_appear_disappear_and_change),
        cmocka_unit_test(memory_may_run_out_and_the_run_goes_on),
        cmocka_unit_test(a_run_that_is_stopped_goes_on_from_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

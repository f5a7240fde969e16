/* Cases as a program sees them: faults put in and taken out, instruments, allocation, threads. Of
   the library this sees the public headers only. */
#include "near.h"
#include "probe.h"
#include "rig.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Every number a solved case gives, in one fixed order: answers of every end, node, part, element,
   parameter and notice. */
typedef struct readings {
    int32_t count, room;
    double *value;
} readings;

static void put(readings *r, double value)
{
    if (r->count == r->room) {
        r->room = 2 * r->room + 256;
        r->value = realloc(r->value, (size_t)r->room * sizeof *r->value);
    }
    r->value[r->count++] = value;
}

static void put_part(readings *r, const sl_case *cs, const sl_circuit *c, sl_part p)
{
    const sl_kind *kind = sl_circuit_part_kind(c, p);
    sl_part_answer answer = {0};
    put(r, sl_case_part(cs, p, &answer));
    put(r, answer.current_a);
    put(r, answer.drop_v);
    put(r, answer.power_w);
    put(r, answer.state);
    put(r, answer.chatters);
    for (int32_t e = 0; e < kind->element_count; e++) {
        double amps = 0.0, volts = 0.0;
        put(r, sl_case_element(cs, p, e, &amps, &volts));
        put(r, amps);
        put(r, volts);
    }
    for (int32_t n = 0; n < kind->param_count; n++) {
        double value = 0.0;
        put(r, sl_case_part_value(cs, p, n, &value));
        put(r, value);
    }
    sl_notice notice[4];
    int32_t notices = sl_case_notices(cs, p, notice, 4);
    put(r, notices);
    for (int32_t n = 0; n < notices && n < 4; n++) {
        put(r, notice[n].index);
        put(r, notice[n].value);
    }
}

static readings read_all(sl_case *cs, const sl_circuit *c, sl_status status)
{
    readings r = {0};
    put(&r, status);
    if (status != SL_OK) {
        return r;
    }
    put(&r, sl_case_outcome(cs));
    put(&r, sl_case_period_s(cs));
    for (int32_t view = 0; sl_case_view(cs, view) == SL_OK; view++) {
        sl_quality quality;
        sl_case_quality(cs, &quality);
        put(&r, quality.residual);
        put(&r, quality.power_balance);
        put(&r, quality.worst);
        put(&r, quality.iterations);
        put(&r, quality.flips);
        for (sl_node n = 0; n < sl_circuit_node_count(c); n++) {
            double volts = 0.0;
            put(&r, sl_case_node(cs, n, &volts));
            put(&r, volts);
        }
        for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
            put_part(&r, cs, c, p);
        }
    }
    return r;
}

static readings solve_and_read(sl_case *cs, const sl_circuit *c)
{
    return read_all(cs, c, sl_case_solve(cs));
}

/* The same to the last bit; frees both but for the first when keep is true. */
static void same(const char *what, readings *a, readings *b, bool keep)
{
    if (a->count != b->count ||
        memcmp(a->value, b->value, (size_t)a->count * sizeof *a->value) != 0) {
        int32_t at = 0;
        while (at < a->count && at < b->count &&
               memcmp(&a->value[at], &b->value[at], sizeof *a->value) == 0) {
            at++;
        }
        fail_msg("%s: reading %d of %d and %d: %.17g, %.17g", what, (int)at, (int)a->count,
                 (int)b->count, at < a->count ? a->value[at] : 0.0,
                 at < b->count ? b->value[at] : 0.0);
    }
    free(b->value);
    if (!keep) {
        free(a->value);
    }
}

static sl_circuit *every_kind(void)
{
    sl_circuit *c = NULL;
    sl_status st = rig_every_kind(NULL, &c);
    if (st != SL_OK) {
        fail_msg("%s: %s", sl_status_name(st), c ? sl_circuit_message(c) : "");
    }
    return c;
}

static void the_test_circuit_has_every_kind_and_settles(void **unused)
{
    (void)unused;
    sl_circuit *c = every_kind();
    for (int32_t k = 0; k < sl_kind_count(); k++) {
        bool found = false;
        for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
            found = found || sl_circuit_part_kind(c, p) == sl_kind_at(k);
        }
        assert_true(found);
    }
    for (sl_condition q = 0; q < sl_circuit_condition_count(c); q++) {
        sl_case *cs = rig_solved(c, q);
        assert_int_equal(sl_case_outcome(cs), SL_SETTLED);
        sl_case_free(cs);
    }
    sl_circuit_free(c);
}

/* A fault is put into a case that has solved before and into a fresh one: the same. Taken out
   again, everything is as it was. A fault without an answer says why. */
static void try_fault(sl_case *cs, const sl_circuit *c, sl_condition condition,
                      const sl_edit *fault, readings *healthy)
{
    char what[100];
    if (TEST_IS_SLOW && (fault->part + (int32_t)fault->change + fault->index) % 3 != 0) {
        return; /* of three that are much alike, one */
    }
    snprintf(what, sizeof what, "%s in \"%s\", change %d of %d",
             sl_circuit_part_name(c, fault->part), sl_circuit_condition_name(c, condition),
             (int)fault->change, (int)fault->index);
    assert_int_equal(sl_case_edit(cs, fault, 1), SL_OK);
    readings faulty = solve_and_read(cs, c);
    if (faulty.value[0] != SL_OK) {
        sl_status st = (sl_status)faulty.value[0];
        if (strlen(sl_case_message(cs)) < 10 || (st != SL_E_CONTRADICTION && st != SL_E_VALUE)) {
            fail_msg("%s: %s: %s", what, sl_status_name(st), sl_case_message(cs));
        }
    }
    sl_case *fresh = rig_case(c, condition);
    assert_int_equal(sl_case_edit(fresh, fault, 1), SL_OK);
    readings in_fresh = solve_and_read(fresh, c);
    sl_case_free(fresh);
    same(what, &faulty, &in_fresh, false);
    sl_case_clear(cs);
    readings again = solve_and_read(cs, c);
    same(what, healthy, &again, true);
}

static void every_fault_leaves_no_trace(void **unused)
{
    (void)unused;
    sl_circuit *c = every_kind();
    for (sl_condition q = 0; q < sl_circuit_condition_count(c); q++) {
        sl_case *cs = rig_case(c, q);
        readings healthy = solve_and_read(cs, c);
        for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
            const sl_kind *kind = sl_circuit_part_kind(c, p);
            if (kind == sl_kind_find("resistor") && sl_circuit_find_part(c, "R2") < p) {
                continue; /* they are all alike */
            }
            for (int32_t m = 0; m < kind->mode_count; m++) {
                sl_edit fault = rig_mode(c, p, m, 0.5);
                try_fault(cs, c, q, &fault, &healthy);
            }
            for (int32_t e = 0; e < kind->element_count; e++) {
                try_fault(cs, c, q, &(sl_edit){p, SL_SERIES, e, 1e-3}, &healthy);
                try_fault(cs, c, q, &(sl_edit){p, SL_SERIES, e, 1e9}, &healthy);
                try_fault(cs, c, q, &(sl_edit){p, SL_OPEN, e, 0.0}, &healthy);
            }
            try_fault(cs, c, q, &(sl_edit){p, SL_OPEN, -1, 0.0}, &healthy);
        }
        free(healthy.value);
        sl_case_free(cs);
    }
    sl_circuit_free(c);
}

static void repeated_solve_allocates_nothing(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    sl_circuit *c = NULL;
    assert_int_equal(rig_every_kind(&al, &c), SL_OK);
    for (sl_condition q = 0; q < sl_circuit_condition_count(c); q++) {
        sl_case *cs = rig_solved(c, q);
        sl_edit weak = rig_set(c, "B1", "charge", 0.4);
        assert_int_equal(sl_case_edit(cs, &weak, 1), SL_OK);
        const size_t calls = probe.calls, blocks = probe.live_blocks;
        for (int round = 0; round < 5; round++) {
            assert_int_equal(sl_case_solve(cs), SL_OK);
        }
        sl_case_clear(cs);
        assert_int_equal(sl_case_solve(cs), SL_OK);
        weak.value = 0.6;
        assert_int_equal(sl_case_edit(cs, &weak, 1), SL_OK); /* there is room for it */
        assert_int_equal(sl_case_solve(cs), SL_OK);
        assert_int_equal(probe.calls, calls);
        assert_int_equal(probe.live_blocks, blocks);
        sl_case_free(cs);
    }
    sl_circuit_free(c);
    assert_int_equal(probe.live_blocks, 0);
    assert_int_equal(probe.live_bytes, 0);
}

/* A case with a fault and a meter, read. Steps that run out of memory are done once more. */
static readings whole_way(const sl_alloc *al, int32_t *ran_out)
{
    readings r = {0};
    sl_circuit *c = NULL;
    assert_int_equal(rig_every_kind(al, &c), SL_OK);
#define STEP(call)                                                                                 \
    do {                                                                                           \
        sl_status st_ = (call);                                                                    \
        if (st_ == SL_E_NOMEM) {                                                                   \
            ++*ran_out;                                                                            \
            st_ = (call);                                                                          \
        }                                                                                          \
        assert_int_equal(st_, SL_OK);                                                              \
    } while (0)
    sl_case *cs = NULL;
    sl_part meter;
    STEP(sl_case_new(c, 2, &cs));
    STEP(sl_case_solve(cs));
    const sl_edit faults[] = {rig_series(c, "C2", NULL, 0.02), rig_set(c, "B1", "health", 0.5)};
    STEP(sl_case_edit(cs, faults, 2));
    STEP(sl_case_solve(cs));
    STEP(rig_attach(cs, "meter", "DMM", "engine B1-", "", &meter));
    STEP(rig_attach(cs, "relay", "probe", "stud frame stud frame -", "", &meter));
    STEP(sl_case_solve(cs));
#undef STEP
    r = read_all(cs, c, SL_OK);
    rig_free(c, cs);
    return r;
}

/* Allocations fail, one in each run: all of the first, and one in a few of the many that are alike.
   Whatever step it hits can be repeated, and nothing else changes. */
static void every_allocation_may_fail(void **unused)
{
    (void)unused;
    enum { STRIDE = TEST_IS_SLOW ? 17 : 7 };
    alloc_probe probe;
    sl_alloc al = probe_start(&probe, PROBE_NEVER);
    int32_t ran_out = 0;
    readings wanted = whole_way(&al, &ran_out);
    assert_int_equal(ran_out, 0);
    assert_int_equal(probe.live_blocks, 0);
    const size_t calls = probe.calls;
    assert_true(calls > 100);
    for (size_t fail_at = 0; fail_at < calls; fail_at += fail_at < 100 ? 1 : STRIDE) {
        al = probe_start(&probe, fail_at);
        readings got = whole_way(&al, &ran_out);
        assert_int_equal(probe.live_blocks, 0);
        assert_int_equal(probe.live_bytes, 0);
        same("after running out of memory", &wanted, &got, true);
    }
    assert_true(ran_out > (TEST_IS_SLOW ? 1 : 4));
    free(wanted.value);
}

static void half_built_objects_can_be_freed(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, 0);
    sl_circuit *c = (sl_circuit *)&probe;
    assert_int_equal(sl_circuit_new(&al, &c), SL_E_NOMEM);
    assert_ptr_equal(c, &probe); /* untouched */
    c = rig_circuit(&al);
    rig_part(c, "battery", "B1", "plus minus", "cca=500");
    probe.fail_at = probe.calls;
    sl_case *cs = (sl_case *)&probe;
    assert_int_equal(sl_case_new(c, 0, &cs), SL_E_NOMEM);
    assert_ptr_equal(cs, &probe);
    cs = rig_case(c, 0);
    probe.fail_at = probe.calls;
    assert_int_equal(sl_case_solve(cs), SL_E_NOMEM); /* and freed in the middle of it */
    sl_case_free(cs);
    rig_free(c, NULL);
    assert_int_equal(probe.live_blocks, 0);
}

static void *solve_a_lot(void *out)
{
    readings *all = out;
    for (int round = 0; round < 3; round++) {
        sl_circuit *c = NULL;
        if (rig_every_kind(NULL, &c) != SL_OK) {
            return NULL;
        }
        for (sl_condition q = 0; q < sl_circuit_condition_count(c); q++) {
            sl_case *cs = rig_case(c, q);
            sl_edit fault = rig_series(c, "C1", NULL, 0.01 * (round + 1));
            sl_case_edit(cs, &fault, 1);
            readings r = solve_and_read(cs, c);
            for (int32_t k = 0; k < r.count; k++) {
                put(all, r.value[k]);
            }
            free(r.value);
            sl_case_free(cs);
        }
        sl_circuit_free(c);
    }
    return out;
}

static void threads_with_circuits_of_their_own_do_not_meet(void **unused)
{
    (void)unused;
    enum { THREADS = 4 };
    pthread_t thread[THREADS];
    readings alone = {0}, together[THREADS] = {{0}};
    assert_non_null(solve_a_lot(&alone));
    for (int k = 0; k < THREADS; k++) {
        assert_int_equal(pthread_create(&thread[k], NULL, solve_a_lot, &together[k]), 0);
    }
    for (int k = 0; k < THREADS; k++) {
        void *done = NULL;
        assert_int_equal(pthread_join(thread[k], &done), 0);
        assert_ptr_equal(done, &together[k]);
        same("in a thread", &alone, &together[k], true);
    }
    free(alone.value);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_test_circuit_has_every_kind_and_settles),
        cmocka_unit_test(every_fault_leaves_no_trace),
        cmocka_unit_test(repeated_solve_allocates_nothing),
        cmocka_unit_test(every_allocation_may_fail),
        cmocka_unit_test(half_built_objects_can_be_freed),
        cmocka_unit_test(threads_with_circuits_of_their_own_do_not_meet),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Sweeps as a program sees them: what is run, in which order, the same as one case at a time, in
   threads, interrupted. Of the library this sees the public headers only. */
#include "near.h"
#include "rig.h"
#include "swept.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Every mode of every part, a leak and a short from some nodes, a swap. */
static sl_sweep *sweep_of(const sl_circuit *c, int32_t severities)
{
    sl_sweep *sweep = swept_new(c);
    for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
        assert_int_equal(sl_sweep_add_modes(sweep, p, severities), SL_OK);
    }
    const sl_node ground = sl_circuit_reference(c);
    for (sl_node n = 0; n < sl_circuit_node_count(c); n += 7) {
        if (n != ground) {
            assert_int_equal(sl_sweep_add_leak(sweep, n, ground, 0.01), SL_OK);
            assert_int_equal(sl_sweep_add_leak(sweep, n, ground, 100.0), SL_OK);
        }
    }
    swept_read_all(sweep);
    return sweep;
}

/* What one case, made for it alone, says of a case of the sweep. */
static void run_alone(const sl_sweep *sweep, int64_t index, rows *out)
{
    const sl_circuit *c = sl_sweep_circuit(sweep);
    sl_sweep_case what;
    assert_int_equal(sl_sweep_case_at(sweep, index, &what), SL_OK);
    sl_case *cs = rig_case(c, what.condition);
    const int32_t faults[2] = {what.fault, what.second};
    for (int k = 0; k < 2 && faults[k] != SL_NONE; k++) {
        sl_fault fault;
        assert_int_equal(sl_sweep_fault_at(sweep, faults[k], &fault), SL_OK);
        if (fault.type == SL_FAULT_LEAK) {
            const char *ends[2] = {sl_circuit_node_name(c, fault.node),
                                   sl_circuit_node_name(c, fault.to)};
            const sl_part_def def = {"resistor", k ? "leak 2" : "leak", ends, &fault.value, NULL,
                                     0};
            sl_part made;
            assert_int_equal(sl_case_attach(cs, &def, &made), SL_OK);
            continue;
        }
        assert_int_equal(fault.type, SL_FAULT_MODE);
        const sl_mode *mode = &sl_circuit_part_kind(c, fault.part)->modes[fault.mode];
        const sl_edit edit = {fault.part, mode->change, mode->index,
                              mode->change == SL_OPEN ? 0.0 : fault.value};
        assert_int_equal(sl_case_edit(cs, &edit, 1), SL_OK);
    }
    const sl_status st = sl_case_solve(cs);
    sl_sweep_row row = {index, what, st, "", SL_SETTLED, 0, 0.0, NULL, NULL, 0};
    double *value = calloc((size_t)out->readings, sizeof *value);
    row.value = value;
    row.outcome = st < 0 ? SL_SETTLED : sl_case_outcome(cs);
    row.period_s = st < 0 ? 0.0 : sl_case_period_s(cs);
    for (int32_t end = 0; end < (row.outcome == SL_CHATTERS ? 2 : 1); end++) {
        row.end = end;
        for (int32_t k = 0; k < out->readings; k++) {
            const sl_sweep_reading *r = sl_sweep_reading_at(sweep, k);
            double amps = NAN, volts = NAN;
            sl_part_answer part = {NAN, NAN, NAN, -1, false};
            if (st >= 0) {
                sl_case_view(cs, end);
                if (r->quantity == SL_SWEEP_VOLTAGE) {
                    sl_case_between(cs, r->a, r->b, &volts);
                } else if (r->quantity >= SL_SWEEP_ELEMENT_CURRENT) {
                    sl_case_element(cs, r->a, r->b, &amps, &volts);
                } else {
                    sl_case_part(cs, r->a, &part);
                }
            }
            const double all[] = {volts,
                                  part.current_a,
                                  part.drop_v,
                                  part.power_w,
                                  part.state < 0 ? (double)NAN : (double)part.state,
                                  amps,
                                  volts};
            value[k] = all[r->quantity];
        }
        swept_take(out, &row);
    }
    free(value);
    sl_case_free(cs);
}

static void every_mode_in_every_condition_is_as_one_case_alone(void **unused)
{
    (void)unused;
    sl_circuit *c = NULL;
    assert_int_equal(rig_every_kind(NULL, &c), SL_OK);
    sl_sweep *sweep = sweep_of(c, 2);
    const int64_t cases = sl_sweep_case_count(sweep);
    assert_true(cases > 3 * 200);
    rows swept = swept_run(sweep, false, 0, cases);
    rows alone = {.readings = sl_sweep_reading_count(sweep)};
    for (int64_t k = 0; k < cases; k++) {
        run_alone(sweep, k, &alone);
    }
    assert_true(swept.rows >= cases);
    swept_same(&swept, &alone);
    free(swept.value);
    free(alone.value);
    swept_free(c, sweep);
}

static void cases_come_in_their_order_and_pairs_leave_out_one_part_twice(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "p 0", "cca=500");
    rig_part(c, "cable", "C", "p a", "size=10, length=1");
    rig_part(c, "joint", "J", "a b", "resistance=0.001");
    rig_part(c, "lamp", "L", "b 0", "power=21");
    rig_condition(c, "one");
    rig_condition(c, "two");
    sl_sweep *sweep = swept_new(c);
    const sl_part joint = sl_circuit_find_part(c, "J"), lamp = sl_circuit_find_part(c, "L");
    assert_int_equal(sl_sweep_add_modes(sweep, joint, 2), SL_OK); /* 2 + 2 + 1 */
    const int32_t of_joint = sl_sweep_fault_count(sweep);
    assert_int_equal(of_joint, 5);
    assert_int_equal(sl_sweep_add_modes(sweep, lamp, 1), SL_OK);
    const sl_node a = sl_circuit_find_node(c, "a"), zero = sl_circuit_find_node(c, "0");
    assert_int_equal(sl_sweep_add_leak(sweep, a, zero, 1.0), SL_OK);
    assert_int_equal(sl_sweep_add_leak(sweep, a, sl_circuit_find_node(c, "p"), 1.0), SL_OK);
    const int32_t faults = sl_sweep_fault_count(sweep), of_lamp = faults - of_joint - 2;
    assert_int_equal(sl_sweep_case_count(sweep), 2 * (1 + faults));
    sl_sweep_set_pairs(sweep, true);
    const int64_t pairs = of_joint * of_lamp + 2 * (of_joint + of_lamp);
    const int64_t each = 1 + faults + pairs;
    assert_int_equal(sl_sweep_condition_cases(sweep), each);
    assert_int_equal(sl_sweep_case_count(sweep), 2 * each);
    int64_t k = 0;
    for (sl_condition q = 0; q < 2; q++) {
        sl_sweep_case what;
        for (int32_t f = -1; f < faults; f++, k++) {
            assert_int_equal(sl_sweep_case_at(sweep, k, &what), SL_OK);
            assert_true(what.condition == q && what.fault == f && what.second == SL_NONE);
        }
        for (int32_t j = 0; j < faults; j++) {
            const int32_t run = j < of_joint ? 0 : j < of_joint + of_lamp ? of_joint : faults - 2;
            for (int32_t i = 0; i < run; i++, k++) {
                assert_int_equal(sl_sweep_case_at(sweep, k, &what), SL_OK);
                assert_true(what.condition == q && what.fault == i && what.second == j);
            }
        }
    }
    assert_int_equal(k, 2 * each);
    sl_sweep_case what = {7, 8, 9};
    assert_int_equal(sl_sweep_case_at(sweep, k, &what), SL_E_ARG);
    assert_int_equal(sl_sweep_case_at(sweep, -1, &what), SL_E_ARG);
    assert_true(what.condition == 7 && what.fault == 8 && what.second == 9);

    swept_read_all(sweep); /* and a pair is what two edits in one case are */
    rows swept = swept_run(sweep, false, 0, 2 * each);
    rows alone = {.readings = sl_sweep_reading_count(sweep)};
    for (int64_t at = 0; at < 2 * each; at++) {
        run_alone(sweep, at, &alone);
    }
    swept_same(&swept, &alone);
    free(swept.value);
    free(alone.value);
    swept_free(c, sweep);
}

static void severities_span_their_range(void **unused)
{
    (void)unused;
    double v[5];
    sl_sweep_severities(1e-3, 10.0, 5, v); /* a decade each */
    const double decades[5] = {0.001, 0.01, 0.1, 1.0, 10.0};
    for (int k = 0; k < 5; k++) {
        assert_near("decade", v[k], decades[k], 0.0);
    }
    sl_sweep_severities(1e-3, 10.0, 1, v);
    assert_near("middle of ratios", v[0], 0.1, 0.0);
    sl_sweep_severities(0.2, 0.8, 3, v);
    assert_near("step", v[1], 0.5, 0.0);
    sl_sweep_severities(-5.0, 15.0, 1, v);
    assert_near("middle of steps", v[0], 5.0, 0.0);
    sl_sweep_severities(0.01, 0.9999, 2, v);
    assert_near("the end itself", v[1], 0.9999, 0.0);
    sl_sweep_severities(1e-3, 10.0, 4, v); /* 10^(-3 + 4/3) = 0.02154 */
    assert_near("three digits", v[1], 0.0215, 0.0);
}

/* Next smaller sections of IEC 60228 class 5; a strap given by its resistance has no size. */
static void sizes_go_one_down(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "p 0", "cca=500");
    rig_part(c, "cable", "C", "p a", "size=35, length=1, basis=iec60228");
    rig_part(c, "cable", "thin", "a b", "size=0.5, length=1");
    rig_part(c, "strap", "S", "b d", "per_metre=0.001, length=1");
    rig_part(c, "fuse", "F", "d e", "rating=15");
    rig_part(c, "fuse", "G", "e 0", "rating=20, style=maxi"); /* the smallest of its style */
    sl_sweep *sweep = swept_new(c);
    static const struct {
        const char *part;
        double value; /* 0: none */
    } wanted[] = {{"C", 25.0}, {"thin", 0.0}, {"S", 0.0}, {"F", 10.0}, {"G", 0.0}};
    for (size_t k = 0; k < sizeof wanted / sizeof *wanted; k++) {
        const sl_part part = sl_circuit_find_part(c, wanted[k].part);
        const int32_t before = sl_sweep_fault_count(sweep);
        double value = 0.0;
        assert_int_equal(sl_sweep_add_modes(sweep, part, 3), SL_OK);
        for (int32_t f = before; f < sl_sweep_fault_count(sweep); f++) {
            sl_fault fault;
            assert_int_equal(sl_sweep_fault_at(sweep, f, &fault), SL_OK);
            if (strncmp(sl_circuit_part_kind(c, part)->modes[fault.mode].name, "wrong", 5) == 0) {
                assert_true(value == 0.0);
                value = fault.value;
            }
        }
        assert_near(wanted[k].part, value, wanted[k].value, 0.0);
    }
    swept_free(c, sweep);
}

typedef struct share {
    const sl_sweep *sweep;
    int64_t first, count;
    rows out;
} share;

static void *run_share(void *user)
{
    share *s = user;
    s->out = swept_run(s->sweep, true, s->first, s->count);
    return NULL;
}

static void threads_give_the_same_digits(void **unused)
{
    (void)unused;
    enum { THREADS = 3 };
    sl_circuit *c = NULL;
    assert_int_equal(rig_every_kind(NULL, &c), SL_OK);
    sl_sweep *sweep = sweep_of(c, 1);
    const int64_t cases = sl_sweep_case_count(sweep);
    rows one = swept_run(sweep, true, 0, cases), joined = {0};
    share shares[THREADS];
    pthread_t thread[THREADS];
    for (int k = 0; k < THREADS; k++) {
        const int64_t first = cases * k / THREADS, last = cases * (k + 1) / THREADS;
        shares[k] = (share){sweep, first, last - first, {0}};
        assert_int_equal(pthread_create(&thread[k], NULL, run_share, &shares[k]), 0);
    }
    for (int k = 0; k < THREADS; k++) {
        assert_int_equal(pthread_join(thread[k], NULL), 0);
        for (size_t i = 0; i < shares[k].out.count; i++) {
            swept_put(&joined, shares[k].out.value[i]);
        }
        joined.rows += shares[k].out.rows;
        free(shares[k].out.value);
    }
    swept_same(&one, &joined);
    free(one.value);
    free(joined.value);
    swept_free(c, sweep);
}

static void an_interrupted_run_goes_on_where_it_was(void **unused)
{
    (void)unused;
    sl_circuit *c = swept_buzzer();
    sl_sweep *sweep = sweep_of(c, 2);
    const int64_t cases = sl_sweep_case_count(sweep);
    rows whole = swept_run(sweep, true, 0, cases);
    assert_true(whole.rows > cases); /* some chatter: two rows */
    sl_sweeper *w = NULL;
    const sl_sweep_setup setup = {NULL, 0, true, false};
    assert_int_equal(sl_sweeper_new(sweep, &setup, &w), SL_OK);
    for (int64_t stop = 1; stop < whole.rows; stop++) {
        rows r = {.readings = sl_sweep_reading_count(sweep), .stop_after = stop};
        int64_t done = 0, rest = 0;
        assert_int_equal(sl_sweeper_run(w, 0, cases, swept_take, &r, &done), SL_OK);
        assert_int_equal(r.rows, stop);
        assert_memory_equal(r.value, whole.value, r.count * sizeof *r.value);
        assert_true(done <= stop && done >= stop / 2);
        rows more = {.readings = r.readings};
        assert_int_equal(sl_sweeper_run(w, done, cases, swept_take, &more, &rest), SL_OK);
        assert_int_equal(done + rest, cases);
        assert_memory_equal(more.value, whole.value + (whole.count - more.count),
                            more.count * sizeof *more.value);
        free(r.value);
        free(more.value);
    }
    sl_sweep_stats stats;
    sl_sweeper_stats(w, &stats);
    assert_int_equal(stats.full_solves, stats.cases);
    assert_true(stats.chattering > 0);
    sl_sweeper_free(w);
    free(whole.value);
    swept_free(c, sweep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_mode_in_every_condition_is_as_one_case_alone),
        cmocka_unit_test(cases_come_in_their_order_and_pairs_leave_out_one_part_twice),
        cmocka_unit_test(severities_span_their_range),
        cmocka_unit_test(sizes_go_one_down),
        cmocka_unit_test(threads_give_the_same_digits),
        cmocka_unit_test(an_interrupted_run_goes_on_where_it_was),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

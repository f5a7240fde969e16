/* Sweeps as a program sees them: what is run, in which order, the same as one case at a time, in
   threads, interrupted, short of memory. Of the library this sees the public headers only. */
#include "near.h"
#include "probe.h"
#include "rig.h"
#include "strapline/sweep.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Rows as they came, each a header and its values, in one flat list. */
typedef struct rows {
    size_t count, room;
    double *value;
    int32_t readings;
    int64_t rows, stop_after; /* 0: never */
} rows;

static void put(rows *r, double value)
{
    if (r->count == r->room) {
        r->room = 2 * r->room + 256;
        r->value = realloc(r->value, r->room * sizeof *r->value);
    }
    r->value[r->count++] = value;
}

static bool take(void *user, const sl_sweep_row *row)
{
    rows *r = user;
    put(r, (double)row->index);
    put(r, row->what.condition);
    put(r, row->what.fault);
    put(r, row->what.second);
    put(r, row->status);
    put(r, row->outcome);
    put(r, row->end);
    put(r, row->period_s);
    for (int32_t k = 0; k < r->readings; k++) {
        put(r, row->value[k]);
    }
    put(r, row->notice_count);
    for (int32_t k = 0; k < row->notice_count; k++) {
        put(r, row->notice[k].part);
        put(r, row->notice[k].index);
        put(r, row->notice[k].value);
    }
    r->rows++;
    return r->rows != r->stop_after;
}

/* Bit by bit, so that NaN is itself and -0 is not 0. */
static void assert_same(const rows *a, const rows *b)
{
    assert_int_equal(a->count, b->count);
    assert_int_equal(a->rows, b->rows);
    assert_memory_equal(a->value, b->value, a->count * sizeof *a->value);
}

static void add_readings(sl_sweep *sweep)
{
    const sl_circuit *c = sl_sweep_circuit(sweep);
    for (sl_node n = 0; n < sl_circuit_node_count(c); n++) {
        const sl_sweep_reading r = {SL_SWEEP_VOLTAGE, n, sl_circuit_reference(c), 0};
        assert_int_equal(sl_sweep_add_reading(sweep, &r), SL_OK);
    }
    for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
        for (sl_sweep_quantity q = SL_SWEEP_CURRENT; q <= SL_SWEEP_STATE; q++) {
            const sl_sweep_reading r = {q, p, 0, 1};
            assert_int_equal(sl_sweep_add_reading(sweep, &r), SL_OK);
        }
        for (int32_t e = 0; e < sl_circuit_part_kind(c, p)->element_count; e++) {
            const sl_sweep_reading amps = {SL_SWEEP_ELEMENT_CURRENT, p, e, 2};
            const sl_sweep_reading volts = {SL_SWEEP_ELEMENT_DROP, p, e, 3};
            assert_int_equal(sl_sweep_add_reading(sweep, &amps), SL_OK);
            assert_int_equal(sl_sweep_add_reading(sweep, &volts), SL_OK);
        }
    }
}

/* Every mode of every part, a leak and a short from some nodes, a swap. */
static sl_sweep *sweep_of(const sl_circuit *c, int32_t severities)
{
    sl_sweep *sweep = NULL;
    assert_int_equal(sl_sweep_new(c, &sweep), SL_OK);
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
    add_readings(sweep);
    return sweep;
}

static rows run(const sl_sweep *sweep, bool notices, int64_t first, int64_t count)
{
    rows r = {.readings = sl_sweep_reading_count(sweep)};
    const sl_sweep_setup setup = {NULL, 0, notices, false};
    sl_sweeper *w = NULL;
    int64_t done = -1;
    assert_int_equal(sl_sweeper_new(sweep, &setup, &w), SL_OK);
    assert_int_equal(sl_sweeper_run(w, first, count, take, &r, &done), SL_OK);
    assert_int_equal(done, count);
    sl_sweeper_free(w);
    return r;
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
        take(out, &row);
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
    rows swept = run(sweep, false, 0, cases);
    rows alone = {.readings = sl_sweep_reading_count(sweep)};
    for (int64_t k = 0; k < cases; k++) {
        run_alone(sweep, k, &alone);
    }
    assert_true(swept.rows >= cases);
    assert_same(&swept, &alone);
    free(swept.value);
    free(alone.value);
    sl_sweep_free(sweep);
    sl_circuit_free(c);
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
    sl_sweep *sweep = NULL;
    assert_int_equal(sl_sweep_new(c, &sweep), SL_OK);
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

    add_readings(sweep); /* and a pair is what two edits in one case are */
    rows swept = run(sweep, false, 0, 2 * each);
    rows alone = {.readings = sl_sweep_reading_count(sweep)};
    for (int64_t at = 0; at < 2 * each; at++) {
        run_alone(sweep, at, &alone);
    }
    assert_same(&swept, &alone);
    free(swept.value);
    free(alone.value);
    sl_sweep_free(sweep);
    sl_circuit_free(c);
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
    sl_sweep *sweep = NULL;
    assert_int_equal(sl_sweep_new(c, &sweep), SL_OK);
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
    sl_sweep_free(sweep);
    sl_circuit_free(c);
}

typedef struct share {
    const sl_sweep *sweep;
    int64_t first, count;
    rows out;
} share;

static void *run_share(void *user)
{
    share *s = user;
    s->out = run(s->sweep, true, s->first, s->count);
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
    rows one = run(sweep, true, 0, cases), joined = {0};
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
            put(&joined, shares[k].out.value[i]);
        }
        joined.rows += shares[k].out.rows;
        free(shares[k].out.value);
    }
    assert_same(&one, &joined);
    free(one.value);
    free(joined.value);
    sl_sweep_free(sweep);
    sl_circuit_free(c);
}

/* A battery of 12 V feeds, through its own contact, the coil that opens it: a buzzer. */
static sl_circuit *buzzer(void)
{
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "p 0", "cca=500");
    rig_part(c, "relay", "K", "p lamp coil 0 rest", "");
    rig_part(c, "joint", "J", "rest coil", "resistance=0.001");
    rig_part(c, "lamp", "L", "lamp 0", "power=5");
    return c;
}

static void an_interrupted_run_goes_on_where_it_was(void **unused)
{
    (void)unused;
    sl_circuit *c = buzzer();
    sl_sweep *sweep = sweep_of(c, 2);
    const int64_t cases = sl_sweep_case_count(sweep);
    rows whole = run(sweep, true, 0, cases);
    assert_true(whole.rows > cases); /* some chatter: two rows */
    sl_sweeper *w = NULL;
    const sl_sweep_setup setup = {NULL, 0, true, false};
    assert_int_equal(sl_sweeper_new(sweep, &setup, &w), SL_OK);
    for (int64_t stop = 1; stop < whole.rows; stop++) {
        rows r = {.readings = sl_sweep_reading_count(sweep), .stop_after = stop};
        int64_t done = 0, rest = 0;
        assert_int_equal(sl_sweeper_run(w, 0, cases, take, &r, &done), SL_OK);
        assert_int_equal(r.rows, stop);
        assert_memory_equal(r.value, whole.value, r.count * sizeof *r.value);
        assert_true(done <= stop && done >= stop / 2);
        rows more = {.readings = r.readings};
        assert_int_equal(sl_sweeper_run(w, done, cases, take, &more, &rest), SL_OK);
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
    sl_sweep_free(sweep);
    sl_circuit_free(c);
}

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
    sl_sweep *sweep = NULL;
    assert_int_equal(sl_sweep_new(c, &sweep), SL_OK);
    const sl_part battery = sl_circuit_find_part(c, "B1");
    const sl_kind *kind = sl_circuit_part_kind(c, battery);
    int32_t weak = 0;
    while (strcmp(kind->modes[weak].name, "weak") != 0) {
        weak++;
    }
    for (int k = 0; k < 50; k++) {
        assert_int_equal(sl_sweep_add_mode(sweep, battery, weak, 0.3 + 0.01 * k), SL_OK);
    }
    add_readings(sweep);
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
    sl_sweep_free(sweep);
    sl_circuit_free(c);
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
    STEP(sl_sweep_add_swap(sweep, 1, 2));
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
    if (sl_sweeper_run(w, 0, cases, take, &r, &done) == SL_E_NOMEM) {
        ++*ran_out;
        assert_int_equal(sl_sweeper_run(w, done, cases, take, &r, &rest), SL_OK);
    }
    assert_int_equal(done + rest, cases);
#undef STEP
    sl_sweeper_free(w);
    sl_sweep_free(sweep);
    sl_circuit_free(c);
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
        assert_same(&wanted, &got);
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
    sl_sweep *sweep = NULL;
    assert_int_equal(sl_sweep_new(c, &sweep), SL_OK);
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
    sl_sweep_free(sweep);
    sl_circuit_free(c);
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
    sl_sweep *sweep = NULL;
    assert_int_equal(sl_sweep_new(c, &sweep), SL_OK);
    const sl_part w1 = sl_circuit_find_part(c, "W1"), w2 = sl_circuit_find_part(c, "W2");
    assert_int_equal(sl_sweep_add_swap(sweep, w1, w1), SL_E_ARG);
    assert_int_equal(sl_sweep_add_swap(sweep, w1, sl_circuit_find_part(c, "R1")), SL_E_ARG);
    assert_int_equal(sl_sweep_add_swap(sweep, w1, w2), SL_OK);
    const sl_sweep_reading r1 = {SL_SWEEP_CURRENT, sl_circuit_find_part(c, "R1"), 0, 0};
    const sl_sweep_reading r2 = {SL_SWEEP_CURRENT, sl_circuit_find_part(c, "R2"), 0, 0};
    assert_int_equal(sl_sweep_add_reading(sweep, &r1), SL_OK);
    assert_int_equal(sl_sweep_add_reading(sweep, &r2), SL_OK);
    rows r = run(sweep, false, 0, 2);
    const double *good = r.value + 8, *bad = r.value + 8 + 3 + 8;
    assert_near("R1", good[0], 4.0, 1e-14); /* 12 / (0.1 + 0.5 + 2.4) */
    assert_near("R2", good[1], 0.0, 0.0);
    assert_near("R1 swapped", bad[0], 0.0, 0.0);
    assert_near("R2 swapped", bad[1], 2.0, 1e-14); /* 12 / (0.1 + 0.5 + 5.4) */
    free(r.value);
    sl_sweep_free(sweep);
    sl_circuit_free(c);
}

static void what_is_wrong_is_refused_and_leaves_the_sweep_alone(void **unused)
{
    (void)unused;
    sl_circuit *c = buzzer();
    sl_sweep *sweep = NULL;
    assert_int_equal(sl_sweep_new(c, &sweep), SL_OK);
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
        cmocka_unit_test(every_mode_in_every_condition_is_as_one_case_alone),
        cmocka_unit_test(cases_come_in_their_order_and_pairs_leave_out_one_part_twice),
        cmocka_unit_test(severities_span_their_range),
        cmocka_unit_test(sizes_go_one_down),
        cmocka_unit_test(threads_give_the_same_digits),
        cmocka_unit_test(an_interrupted_run_goes_on_where_it_was),
        cmocka_unit_test(repeated_cases_allocate_nothing),
        cmocka_unit_test(every_allocation_may_fail),
        cmocka_unit_test(a_starting_loop_is_as_by_hand),
        cmocka_unit_test(swapped_wires_feed_each_other),
        cmocka_unit_test(what_is_wrong_is_refused_and_leaves_the_sweep_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* tests/api/quick_test.c: faults answered from the healthy circuit are what whole solves say. */
#include "near.h"
#include "netgen.h"
#include "rig.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CASES = TEST_IS_SLOW ? 2000 : 100000 };

#define AGREE 1e-9 /* relative */
#define AGREE_V 1e-12
#define AGREE_A 1e-12

/* What a run of comparisons came to. */
typedef struct tally {
    int64_t cases, quick, whole, settled, refused;
    double worst_v, worst_a;
} tally;

static double off(double got, double want, double floor)
{
    if (isnan(got) || isnan(want)) {
        return isnan(got) && isnan(want) ? 0.0 : INFINITY;
    }
    return fabs(got - want) / (fabs(want) + floor / AGREE);
}

static void compare_view(const sl_circuit *c, const sl_case *quick, const sl_case *whole, tally *t)
{
    for (sl_node n = 0; n < sl_circuit_node_count(c); n++) {
        double a, b;
        sl_status qs = sl_case_node(quick, n, &a), ws = sl_case_node(whole, n, &b);
        assert_int_equal(qs, ws);
        t->worst_v = fmax(t->worst_v, off(a, b, AGREE_V));
    }
    for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
        sl_part_answer a, b;
        assert_int_equal(sl_case_part(quick, p, &a), sl_case_part(whole, p, &b));
        assert_int_equal(a.state, b.state);
        assert_int_equal(a.chatters, b.chatters);
        int32_t elements = sl_circuit_part_kind(c, p)->element_count;
        for (int32_t e = 0; e < elements; e++) {
            double ai, au, bi, bu;
            sl_case_element(quick, p, e, &ai, &au);
            sl_case_element(whole, p, e, &bi, &bu);
            double now = off(ai, bi, AGREE_A);
            if (now > AGREE && t->worst_a <= AGREE) {
                print_message("%s: %.17g A, and not %.17g A\n", sl_circuit_part_name(c, p), ai, bi);
            }
            t->worst_a = fmax(t->worst_a, now);
        }
    }
}

static void compare(const sl_circuit *c, sl_case *quick, sl_case *whole, const sl_edit *edits,
                    int32_t count, tally *t)
{
    sl_case_clear(quick);
    sl_case_clear(whole);
    if (sl_case_edit(quick, edits, count) != SL_OK) {
        return;
    }
    assert_int_equal(sl_case_edit(whole, edits, count), SL_OK);
    sl_status qs = sl_case_solve(quick), ws = sl_case_solve(whole);
    t->cases++;
    assert_int_equal(qs, ws);
    if (ws != SL_OK) {
        t->refused++;
        return;
    }
    assert_int_equal(sl_case_outcome(quick), sl_case_outcome(whole));
    double before = fmax(t->worst_v, t->worst_a);
    int32_t views = sl_case_outcome(whole) == SL_CHATTERS ? 2 : 1;
    for (int32_t v = 0; v < views; v++) {
        sl_case_view(quick, v);
        sl_case_view(whole, v);
        compare_view(c, quick, whole, t);
    }
    if (fmax(t->worst_v, t->worst_a) > AGREE && !(before > AGREE)) {
        for (int32_t k = 0; k < count; k++) {
            print_message("differs with %s: change %d index %d value %.17g\n",
                          sl_circuit_part_name(c, edits[k].part), (int)edits[k].change,
                          (int)edits[k].index, edits[k].value);
        }
    }
    t->settled += views == 1;
}

static void take_effort(const sl_case *quick, tally *t)
{
    sl_effort effort = sl_case_effort(quick);
    t->quick += effort.quick;
    t->whole += effort.whole;
}

static void say(const char *what, const tally *t)
{
    print_message("%s: %lld cases, %lld refused; steady states %lld quick, %lld whole; "
                  "volts to %.1e, amps to %.1e\n",
                  what, (long long)t->cases, (long long)t->refused, (long long)t->quick,
                  (long long)t->whole, t->worst_v, t->worst_a);
}

/* A mode at some share of its range, or a change no kind speaks of. */
static bool draw_fault(const sl_circuit *c, uint64_t *random, sl_edit *edit)
{
    sl_part part = netgen_below(random, sl_circuit_part_count(c));
    const sl_kind *kind = sl_circuit_part_kind(c, part);
    int32_t mode = netgen_below(random, kind->mode_count + 2);
    if (mode < kind->mode_count) {
        *edit = rig_mode(c, part, mode, netgen_uniform(random, 0.0, 1.0));
    } else {
        double ohm = netgen_log_uniform(random, 1e-4, 1e9);
        *edit = (sl_edit){part, mode == kind->mode_count ? SL_OPEN : SL_SERIES,
                          netgen_below(random, kind->element_count), ohm};
    }
    return true;
}

static void every_kind(void **state)
{
    (void)state;
    sl_circuit *c = NULL;
    assert_int_equal(rig_every_kind(NULL, &c), SL_OK);
    tally t = {0};
    uint64_t random = 11;
    for (sl_condition held = 0; held < sl_circuit_condition_count(c); held++) {
        sl_case *quick = rig_case(c, held), *whole = rig_case(c, held);
        sl_case_set_quick(quick, true);
        for (int32_t n = 0; n < CASES / 50; n++) {
            sl_edit edits[2];
            draw_fault(c, &random, &edits[0]);
            draw_fault(c, &random, &edits[1]);
            compare(c, quick, whole, edits, 1 + n % 2, &t);
        }
        take_effort(quick, &t);
        sl_case_free(quick);
        sl_case_free(whole);
    }
    say("every kind", &t);
    assert_true(t.worst_v <= AGREE);
    assert_true(t.worst_a <= AGREE);
    sl_circuit_free(c);
}

/* A vehicle: a battery, trees of feeds and grounds of which some joints hang on next to nothing,
   lamps, motors, resistors and meters from one to the other, leaks to the ground. */
static sl_circuit *draw_vehicle(uint64_t *random, int32_t nodes)
{
    sl_circuit *c = rig_circuit(NULL);
    char ends[64], name[32], values[96];
    rig_part(c, "battery", "B", "p0 g0", "cca=500");
    for (int32_t k = 1; k < nodes; k++) {
        for (int side = 0; side < 2; side++) {
            int32_t back = k - 1 - netgen_below(random, k < 4 ? k : 4);
            snprintf(ends, sizeof ends, "%c%d %c%d", "pg"[side], (int)back, "pg"[side], (int)k);
            snprintf(name, sizeof name, "W%c%d", "pg"[side], (int)k);
            snprintf(values, sizeof values, "resistance=%.17g",
                     netgen_log_uniform(random, 1e-4, 0.1));
            rig_part(c, "resistor", name, ends, values);
        }
    }
    for (int32_t k = 0; k < 2 * nodes; k++) {
        int32_t a = netgen_below(random, nodes), b = netgen_below(random, nodes);
        const char *kind = "resistor";
        switch (netgen_below(random, 8)) {
        case 0:
        case 1:
            kind = "lamp";
            snprintf(values, sizeof values, "power=%.17g", netgen_log_uniform(random, 3.0, 60.0));
            break;
        case 2:
            snprintf(values, sizeof values, "resistance=10e6");
            break;
        case 3:
            snprintf(values, sizeof values, "resistance=%.17g",
                     netgen_log_uniform(random, 1e9, 1e12));
            break;
        case 4: /* closes a loop of feeds or grounds */
            snprintf(values, sizeof values, "resistance=%.17g",
                     netgen_log_uniform(random, 1e-3, 10.0));
            break;
        default:
            snprintf(values, sizeof values, "resistance=%.17g",
                     netgen_log_uniform(random, 0.3, 300.0));
        }
        snprintf(ends, sizeof ends, "p%d g%d", (int)a, (int)b);
        snprintf(name, sizeof name, "L%d", (int)k);
        rig_part(c, kind, name, ends, values);
    }
    return c;
}

static void vehicles(void **state)
{
    (void)state;
    tally t = {0};
    uint64_t random = 5;
    while (t.cases < CASES) {
        sl_circuit *c = draw_vehicle(&random, 6 + netgen_below(&random, 25));
        sl_case *quick = rig_case(c, 0), *whole = rig_case(c, 0);
        sl_case_set_quick(quick, true);
        for (int32_t n = 0; n < 400; n++) {
            sl_edit edits[2];
            draw_fault(c, &random, &edits[0]);
            draw_fault(c, &random, &edits[1]);
            compare(c, quick, whole, edits, 1 + (n % 4 == 3), &t);
        }
        take_effort(quick, &t);
        sl_case_free(quick);
        rig_free(c, whole);
    }
    say("vehicles", &t);
    assert_true(t.worst_v <= AGREE);
    assert_true(t.worst_a <= AGREE);
    assert_true(t.quick > t.whole);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_kind), cmocka_unit_test(vehicles)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Curved parts: circuits of one and two unknowns against bisection, and thousands of random ones
   that must all find their operating point, proved. */
#include "near.h"
#include "netgen.h"
#include "rig.h"
#include "solve/solve.h"
#include "tangle.h"

#include <stdio.h>

static void add(sl_circuit *c, const char *kind, const char *name, const char *nodes,
                const char *param, double value)
{
    char text[60];
    snprintf(text, sizeof text, "%s=%.17g", param, value);
    rig_part(c, kind, name, nodes, text);
}

/* The law of a load in a solved case; that of a starter at rest is straight. */
static const sl__law *law_of(const sl_case *cs, const sl_circuit *c, const char *part)
{
    sl_part p = sl_circuit_find_part(c, part);
    for (int32_t k = cs->branch_at[p]; k < cs->branch_at[p + 1]; k++) {
        const sl__law *law = &cs->branch[k].law;
        if (law->form == SL__CURVE || (law->form == SL__OHMIC && law->ohm > 0.0)) {
            return law;
        }
    }
    fail_msg("%s has no law", part);
    return NULL;
}

static long double current(const sl__law *law, long double v)
{
    if (law->form == SL__OHMIC) {
        return v / law->ohm;
    }
    double i, slope;
    sl__law_current(law, (double)v, &i, &slope);
    return i + slope * (v - (double)v);
}

/* The voltage between low and high at which a rising function of it is zero. */
static long double bisect(long double (*f)(const void *, long double), const void *data,
                          long double low, long double high)
{
    for (int n = 0; n < 200; n++) {
        long double middle = 0.5L * (low + high);
        if (f(data, middle) > 0.0L) {
            high = middle;
        } else {
            low = middle;
        }
    }
    return 0.5L * (low + high);
}

static void close_to(uint64_t seed, const char *what, double got, long double wanted,
                     long double tolerance)
{
    if (!(fabsl(got - wanted) <= tolerance)) {
        fail_msg("seed %d: %s: got %.17g, wanted %.20Lg", (int)seed, what, got, wanted);
    }
}

/* E behind R feeds one curve: i(v) = (E - v) / R. */
typedef struct loop {
    const sl__law *law;
    long double e, ohm;
} loop;

static long double one_loop(const void *data, long double v)
{
    const loop *l = data;
    return current(l->law, v) - (l->e - v) / l->ohm;
}

static void one_unknown_agrees_with_bisection(void **unused)
{
    (void)unused;
    for (uint64_t seed = 1; seed <= 1000; seed++) {
        uint64_t random = seed;
        sl_circuit *c = rig_grounded();
        double e = netgen_uniform(&random, -15.0, 15.0);
        double ohm = netgen_log_uniform(&random, 1e-6, 1e9);
        add(c, "source", "E", "e 0", "voltage", e);
        add(c, "resistor", "R", "e a", "resistance", ohm);
        tangle_load(c, "L", "a", "0", &random);
        sl_case *cs = rig_solved(c, 0);
        loop l = {law_of(cs, c, "L"), e, ohm};
        long double v = bisect(one_loop, &l, fminl(e, 0.0L), fmaxl(e, 0.0L));
        close_to(seed, "volts", rig_volts(cs, c, "a"), v, 1e-13L * fabsl(v));
        long double i = current(l.law, v);
        close_to(seed, "amps", rig_amps(cs, c, "R"), i, 1e-12L * fabsl(i));
        rig_free(c, cs);
    }
}

/* Two curves in series across E: i1(E - v) = i2(v), the middle hangs on nothing else. */
typedef struct string {
    const sl__law *upper, *lower;
    long double e;
} string;

static long double at_the_middle(const void *data, long double v)
{
    const string *s = data;
    return current(s->lower, v) - current(s->upper, s->e - v);
}

static void two_in_series_share_as_bisection_says(void **unused)
{
    (void)unused;
    for (uint64_t seed = 1; seed <= 500; seed++) {
        uint64_t random = seed;
        sl_circuit *c = rig_grounded();
        double e = netgen_uniform(&random, -30.0, 30.0);
        add(c, "source", "E", "e 0", "voltage", e);
        tangle_load(c, "L1", "e", "m", &random);
        tangle_load(c, "L2", "m", "0", &random);
        sl_case *cs = rig_solved(c, 0);
        string s = {law_of(cs, c, "L1"), law_of(cs, c, "L2"), e};
        long double v = bisect(at_the_middle, &s, fminl(e, 0.0L), fmaxl(e, 0.0L));
        close_to(seed, "middle", rig_volts(cs, c, "m"), v, 1e-12L * fabsl(v));
        rig_free(c, cs);
    }
}

/* E1 R1 - a - R2 - b - R3 E2, a curve at a and one at b; E2 may feed back. */
typedef struct ladder {
    const sl__law *at_a, *at_b;
    long double e1, e2, r1, r2, r3, a;
} ladder;

static long double at_b(const void *data, long double b)
{
    const ladder *l = data;
    return current(l->at_b, b) + (b - l->a) / l->r2 + (b - l->e2) / l->r3;
}

static long double at_a(const void *data, long double a)
{
    ladder l = *(const ladder *)data;
    l.a = a;
    long double b = bisect(at_b, &l, -40.0L, 40.0L);
    return current(l.at_a, a) + (a - b) / l.r2 + (a - l.e1) / l.r1;
}

static void two_unknowns_agree_with_nested_bisection(void **unused)
{
    (void)unused;
    for (uint64_t seed = 1; seed <= 60; seed++) {
        uint64_t random = seed;
        sl_circuit *c = rig_grounded();
        double e1 = netgen_uniform(&random, -30.0, 30.0), e2 = netgen_uniform(&random, -30.0, 30.0);
        double r1 = netgen_log_uniform(&random, 1e-3, 1e4);
        double r2 = netgen_log_uniform(&random, 1e-3, 1e4);
        double r3 = netgen_log_uniform(&random, 1e-3, 1e4);
        add(c, "source", "E1", "e1 0", "voltage", e1);
        add(c, "source", "E2", "e2 0", "voltage", e2);
        add(c, "resistor", "R1", "e1 a", "resistance", r1);
        add(c, "resistor", "R2", "a b", "resistance", r2);
        add(c, "resistor", "R3", "b e2", "resistance", r3);
        tangle_load(c, "LA", "a", "0", &random);
        tangle_load(c, "LB", "0", "b", &random); /* the other way round */
        sl_case *cs = rig_solved(c, 0);
        ladder l = {law_of(cs, c, "LA"), law_of(cs, c, "LB"), e1, e2, r1, r2, r3, 0.0L};
        /* both loads are odd in voltage: the way round does not matter to the oracle */
        l.a = bisect(at_a, &l, -40.0L, 40.0L);
        long double b = bisect(at_b, &l, -40.0L, 40.0L);
        close_to(seed, "a", rig_volts(cs, c, "a"), l.a, 1e-12L);
        close_to(seed, "b", rig_volts(cs, c, "b"), b, 1e-12L);
        rig_free(c, cs);
    }
}

/* P behind R from E: v = (E + sqrt(E^2 - 4 P R)) / 2; when it cannot have its power it draws as the
   resistance that takes P at the voltage where it gives up. */
static void falling_current_finds_the_stable_of_its_two_voltages(void **unused)
{
    (void)unused;
    int32_t folded = 0;
    for (uint64_t seed = 1; seed <= 1000; seed++) {
        uint64_t random = seed;
        sl_circuit *c = rig_grounded();
        const double reset_v = 5.5;
        double e = netgen_uniform(&random, 11.0, 15.0),
               ohm = netgen_log_uniform(&random, 1e-3, 1e2);
        double most = e * e / (4.0 * ohm), watts = netgen_log_uniform(&random, 1e-3, 3.0) * most;
        watts = fmin(fmax(watts, 0.01), 10000.0);
        char values[80];
        add(c, "source", "E", "e 0", "voltage", e);
        add(c, "resistor", "R", "e a", "resistance", ohm);
        snprintf(values, sizeof values, "power=%.17g, low_voltage=draws less", watts);
        rig_part(c, "module", "M", "a 0 -", values);
        sl_case *cs = rig_solved(c, 0);
        double root = e * e - 4.0 * watts * ohm, v = 0.5 * (e + sqrt(fmax(root, 0.0)));
        if (root < 0.0 || v < reset_v) {
            v = e / (1.0 + ohm * watts / (reset_v * reset_v));
            folded++;
        }
        if (fabs(root) > 0.01 * e * e) { /* where both voltages meet, nothing is certain */
            assert_near("volts", rig_volts(cs, c, "a"), v, 1e-12);
        }
        sl_quality quality;
        sl_case_quality(cs, &quality);
        assert_at_most("residual", quality.residual, 1e-12);
        rig_free(c, cs);
    }
    assert_true(folded > 100 && folded < 900);
}

static void random_circuits_all_find_an_operating_point(void **unused)
{
    (void)unused;
    int32_t most = 0, curved = 0;
    for (uint64_t seed = 1; seed <= 4000; seed++) {
        sl_circuit *c = tangle_knot(seed);
        sl_case *cs = rig_case(c, 0);
        if (sl_case_solve(cs) != SL_OK) {
            fail_msg("seed %d: %s", (int)seed, sl_case_message(cs));
        }
        sl_quality quality;
        sl_case_quality(cs, &quality);
        if (!(quality.residual < 1e-12 && quality.power_balance < 1e-12)) {
            fail_msg("seed %d: residual %g, powers %g", (int)seed, quality.residual,
                     quality.power_balance);
        }
        curved += cs->curves.rows;
        most = quality.iterations > most ? quality.iterations : most;
        rig_free(c, cs);
    }
    print_message("%d of 4000 with curves, at most %d iterations\n", (int)curved, (int)most);
    assert_true(curved > 3000);
    assert_true(most <= 40);
}

/* Lamps between the posts of one battery, a hundred in parallel: each sees all the others. */
static void curves_on_the_same_rows_do_not_disturb_each_other(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    add(c, "source", "E", "e 0", "voltage", 12.0);
    add(c, "resistor", "R", "e a", "resistance", 0.01);
    for (int32_t i = 0; i < 100; i++) {
        char name[16];
        snprintf(name, sizeof name, "L%d", (int)i);
        rig_part(c, "lamp", name, i % 2 ? "a 0" : "0 a", "power=5");
    }
    sl_case *cs = rig_solved(c, 0);
    double share = rig_amps(cs, c, "R") / 100.0;
    assert_near("L1", rig_amps(cs, c, "L1"), share, 1e-14);
    assert_near("L2", rig_amps(cs, c, "L2"), -share, 1e-14);
    sl_quality quality;
    sl_case_quality(cs, &quality);
    assert_at_most("residual", quality.residual, 1e-14);
    rig_free(c, cs);
}

static void nothing_flows_where_nothing_drives(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "lamp", "L1", "a 0", "power=21");
    rig_part(c, "lamp", "L2", "b c", "power=21"); /* floats */
    rig_part(c, "lamp", "L3", "a d", "power=21"); /* ends in air */
    sl_case *cs = rig_solved(c, 0);
    for (int i = 1; i <= 3; i++) {
        char name[16];
        snprintf(name, sizeof name, "L%d", i);
        assert_near(name, rig_amps(cs, c, name), 0.0, 0.0);
    }
    assert_near("d", rig_volts(cs, c, "d"), 0.0, 0.0);
    assert_near("L2", rig_across(cs, c, "b", "c"), 0.0, 0.0);
    rig_free(c, cs);
}

/* What the digits of its ends do not tell of a current is no reason to go on: dead ends behind some
   nanoohms, of a million random circuits those that once went on until the last step. */
static void dead_ends_behind_next_to_nothing_take_no_more_steps(void **unused)
{
    (void)unused;
    static const uint64_t of[] = {151806, 343094, 371496, 575379, 614104,
                                  660053, 934028, 991960, 1091085};
    for (size_t n = 0; n < sizeof of / sizeof *of; n++) {
        sl_circuit *c = tangle_knot(of[n]);
        sl_case *cs = rig_solved(c, 0);
        sl_quality quality;
        sl_case_quality(cs, &quality);
        assert_in_range(quality.iterations, 1, 50);
        assert_at_most("residual", quality.residual, 1e-12);
        assert_at_most("powers", quality.power_balance, 1e-12);
        rig_free(c, cs);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_unknown_agrees_with_bisection),
        cmocka_unit_test(two_in_series_share_as_bisection_says),
        cmocka_unit_test(two_unknowns_agree_with_nested_bisection),
        cmocka_unit_test(falling_current_finds_the_stable_of_its_two_voltages),
        cmocka_unit_test(random_circuits_all_find_an_operating_point),
        cmocka_unit_test(curves_on_the_same_rows_do_not_disturb_each_other),
        cmocka_unit_test(nothing_flows_where_nothing_drives),
        cmocka_unit_test(dead_ends_behind_next_to_nothing_take_no_more_steps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* What each parameter does to a reading: by hand, and against whole solves. */
#include "near.h"
#include "probe.h"
#include "rig.h"
#include "strapline/sensitivity.h"

#include <stdlib.h>

static sl_part part_of(const sl_circuit *c, const char *name)
{
    sl_part part = sl_circuit_find_part(c, name);
    assert_true(part != SL_NONE);
    return part;
}

static double slope(const sl_effects *e, const sl_circuit *c, const char *part, const char *param)
{
    sl_part p = part_of(c, part);
    return sl_effects_param(e, p, rig_param(sl_circuit_part_kind(c, p), param));
}

static sl_reading volts(const sl_circuit *c, const char *red, const char *black)
{
    return (sl_reading){SL_NONE, -1, sl_circuit_find_node(c, red), sl_circuit_find_node(c, black)};
}

static sl_reading amps(const sl_circuit *c, const char *part)
{
    return (sl_reading){part_of(c, part), -1, SL_NONE, SL_NONE};
}

static sl_effects *effects(sl_case *cs, sl_reading of)
{
    sl_effects *e = NULL;
    assert_int_equal(sl_effects_find(cs, &of, &e), SL_OK);
    return e;
}

static sl_circuit *divider(void)
{
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "top 0", "voltage=12");
    rig_part(c, "resistor", "R1", "top mid", "resistance=2");
    rig_part(c, "resistor", "R2", "mid 0", "resistance=1");
    rig_part(c, "source", "J", "mid 0", "current=3");
    sl_circuit_set_reference(c, sl_circuit_find_node(c, "0"));
    return c;
}

/* By hand: V = (E/R1 + J) / (1/R1 + 1/R2) = 6 V with the above; dV/dE = R2/(R1 + R2),
   dV/dJ = R1 R2/(R1 + R2), dV/dR = parallel / R^2 times the voltage on R, against the reading's
   direction for R1. */
static void test_divider(void **state)
{
    (void)state;
    sl_circuit *c = divider();
    sl_case *cs = rig_solved(c, 0);
    sl_effects *e = effects(cs, volts(c, "mid", "0"));
    assert_near("V", sl_effects_reading(e), 6.0, 1e-15);
    assert_near("dV/dE", slope(e, c, "E", "voltage"), 1.0 / 3.0, 1e-10);
    assert_near("dV/dJ", slope(e, c, "J", "current"), 2.0 / 3.0, 1e-10);
    assert_near("dV/dR1", slope(e, c, "R1", "resistance"), -(2.0 / 3.0) * 6.0 / 4.0, 1e-9);
    assert_near("dV/dR2", slope(e, c, "R2", "resistance"), (2.0 / 3.0) * 6.0, 1e-9);
    assert_near("a joint at R2", sl_effects_series(e, part_of(c, "R2"), 0), (2.0 / 3.0) * 6.0,
                1e-12);
    assert_true(sl_effects_series(e, part_of(c, "J"), 0) == 0.0);
    assert_near("a joint at E", sl_effects_series(e, part_of(c, "E"), 0), -1.0, 1e-12);
    assert_true(sl_effects_param(e, SL_NONE, 0) == 0.0);
    assert_true(isnan(slope(e, c, "E", "current")));
    sl_effects_free(e);
    /* The current of R1 is (E - V)/R1 = 3 A; that of the source is against its arrow. */
    e = effects(cs, amps(c, "R1"));
    assert_near("dI/dE", slope(e, c, "E", "voltage"), 1.0 / 3.0, 1e-10);
    assert_near("dI/dJ", slope(e, c, "J", "current"), -1.0 / 3.0, 1e-10);
    assert_near("dI/dR1", slope(e, c, "R1", "resistance"), -1.0, 1e-9);
    sl_effects_free(e);
    e = effects(cs, amps(c, "E"));
    assert_near("the source's dI/dE", slope(e, c, "E", "voltage"), -1.0 / 3.0, 1e-10);
    sl_effects_free(e);
    rig_free(c, cs);
}

/* A joint of 0 ohm is a link; its resistance can only grow. By hand: I = 12 / (1 + R), dV/dR of
   the load of 1 ohm is -12 V/ohm at R = 0, and the drop of the joint itself gains 12. */
static void test_link(void **state)
{
    (void)state;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "top 0", "voltage=12");
    rig_part(c, "joint", "J", "top load", "resistance=0");
    rig_part(c, "resistor", "R", "load 0", "resistance=1");
    sl_circuit_set_reference(c, sl_circuit_find_node(c, "0"));
    sl_case *cs = rig_solved(c, 0);
    sl_effects *e = effects(cs, volts(c, "load", "0"));
    assert_near("the load", slope(e, c, "J", "resistance"), -12.0, 1e-6);
    sl_effects_free(e);
    e = effects(cs, volts(c, "top", "load"));
    assert_near("the joint", slope(e, c, "J", "resistance"), 12.0, 1e-6);
    sl_effects_free(e);
    e = effects(cs, amps(c, "J"));
    assert_near("its current", slope(e, c, "J", "resistance"), -12.0, 1e-6);
    assert_near("by the source", slope(e, c, "E", "voltage"), 1.0, 1e-9);
    sl_effects_free(e);
    rig_free(c, cs);
}

/* Behind 10 Mohm and beside 10 uohm every digit is still there: I = 12 V / (1e7 + 1e-5), and the
   drop of the cable by its own resistance is that current. */
static void test_wide_ratio(void **state)
{
    (void)state;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "top 0", "voltage=12");
    rig_part(c, "resistor", "leak", "top a", "resistance=1e7");
    rig_part(c, "resistor", "cable", "a 0", "resistance=1e-5");
    sl_circuit_set_reference(c, sl_circuit_find_node(c, "0"));
    sl_case *cs = rig_solved(c, 0);
    sl_effects *e = effects(cs, volts(c, "a", "0"));
    assert_near("cable", slope(e, c, "cable", "resistance"), 12.0 / 1e7, 1e-9);
    assert_near("leak", slope(e, c, "leak", "resistance"), -12.0 * 1e-5 / 1e14, 1e-9);
    sl_effects_free(e);
    rig_free(c, cs);
}

static void test_no_reading(void **state)
{
    (void)state;
    sl_circuit *c = divider();
    rig_part(c, "resistor", "far", "x y", "resistance=1");
    sl_case *cs = rig_case(c, 0);
    sl_reading of = volts(c, "mid", "0");
    sl_effects *e = NULL;
    assert_int_equal(sl_effects_find(cs, &of, &e), SL_E_ARG);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    of = volts(c, "mid", "x");
    assert_int_equal(sl_effects_find(cs, &of, &e), SL_W_FLOATING);
    of.red = 1000;
    assert_int_equal(sl_effects_find(cs, &of, &e), SL_E_ARG);
    of = (sl_reading){1000, -1, 0, 0};
    assert_int_equal(sl_effects_find(cs, &of, &e), SL_E_ARG);
    assert_null(e);
    sl_effects_free(NULL);
    rig_free(c, cs);
}

/* Central differences of whole solves, fourth order; NaN where the edit is refused. */
static double difference(sl_case *cs, const sl_reading *of, sl_part part, int32_t param, double at)
{
    const double h = at != 0.0 ? 1e-3 * fabs(at) : 1e-5;
    double f[5];
    for (int i = -2; i <= 2; i++) {
        sl_edit edit = {part, SL_SET, param, at + i * h};
        sl_case_clear(cs);
        if (sl_case_edit(cs, &edit, 1) != SL_OK || sl_case_solve(cs) != SL_OK ||
            sl_case_reading(cs, of, &f[i + 2]) != SL_OK) {
            return NAN;
        }
    }
    const double left = f[2] - f[1], right = f[3] - f[2];
    const double inner = (f[3] - f[1]) / 2.0, outer = (f[4] - f[0]) / 4.0;
    const bool kink = fabs(left - right) > 0.005 * (fabs(left) + fabs(right)) ||
                      fabs(inner - outer) > 1e-4 * fabs(inner) + 1e-11 * fmax(1.0, fabs(f[2]));
    return kink ? NAN : (8.0 * (f[3] - f[1]) - (f[4] - f[0])) / (12.0 * h);
}

/* Every parameter of every kind of part, in every condition of a circuit that has one of each. */
static int32_t check_condition(const sl_circuit *c, sl_condition condition, const sl_reading *of)
{
    sl_case *cs = rig_solved(c, condition);
    sl_effects *e = effects(cs, *of);
    const double size = fmax(fabs(sl_effects_reading(e)), 1.0);
    enum { STRIDE = TEST_IS_SLOW ? 5 : 1 };
    int32_t checked = 0;
    for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
        const sl_kind *kind = sl_circuit_part_kind(c, p);
        for (int32_t k = p % STRIDE; k < kind->param_count; k += STRIDE) {
            const double got = sl_effects_param(e, p, k);
            double at = NAN;
            sl_case_clear(cs);
            assert_int_equal(sl_case_solve(cs), SL_OK);
            sl_case_part_value(cs, p, k, &at);
            const double wanted = isnan(got) ? NAN : difference(cs, of, p, k, at);
            if (isnan(wanted)) {
                continue;
            }
            /* What differences of solutions are worth: those of parts that adjust themselves are
               right to 1e-11. */
            const double noise = 1e-8 * size / fmax(fabs(at), 1e-5);
            if (!(fabs(got - wanted) <= 1e-5 * fabs(wanted) + noise)) {
                print_error("%s %s: got %.12g, solves say %.12g\n", sl_circuit_part_name(c, p),
                            kind->params[k].name, got, wanted);
                fail();
            }
            checked++;
        }
    }
    sl_effects_free(e);
    sl_case_free(cs);
    return checked;
}

static void test_every_kind(void **state)
{
    (void)state;
    sl_circuit *c = NULL;
    assert_int_equal(rig_every_kind(NULL, &c), SL_OK);
    int32_t checked = 0;
    for (sl_condition k = 0; k < sl_circuit_condition_count(c); k++) {
        sl_case *cs = rig_solved(c, k);
        sl_reading of = {SL_NONE, -1, 0, 0};
        double unused;
        while (of.black == 0 || sl_case_between(cs, of.red, of.black, &unused) != SL_OK) {
            of.black++;
        }
        sl_case_free(cs);
        checked += check_condition(c, k, &of);
        of = (sl_reading){.part = 0, .element = 0, .red = SL_NONE, .black = SL_NONE};
        checked += check_condition(c, k, &of);
    }
    assert_true(checked > (TEST_IS_SLOW ? 60 : 300));
    sl_circuit_free(c);
}

/* Every allocation fails once: an error each time, and nothing is left behind. */
static void test_no_memory(void **state)
{
    (void)state;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    sl_circuit *c = NULL;
    assert_int_equal(rig_every_kind(&al, &c), SL_OK);
    sl_case *cs = rig_solved(c, 0);
    const sl_reading of = {.part = 0, .element = 0, .red = SL_NONE, .black = SL_NONE};
    const int64_t blocks = (int64_t)probe.live_blocks;
    sl_status st = SL_E_NOMEM;
    for (size_t fail_at = 0; st != SL_OK; fail_at++) {
        sl_effects *e = NULL;
        probe.fail_at = probe.calls + fail_at;
        st = sl_effects_find(cs, &of, &e);
        assert_true(st == SL_OK || st == SL_E_NOMEM);
        assert_true((st == SL_OK) == (e != NULL));
        sl_effects_free(e);
        assert_int_equal(probe.live_blocks, blocks);
    }
    rig_free(c, cs);
    assert_int_equal(probe.live_blocks, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_divider),    cmocka_unit_test(test_link),
        cmocka_unit_test(test_wide_ratio), cmocka_unit_test(test_no_reading),
        cmocka_unit_test(test_every_kind), cmocka_unit_test(test_no_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* tests/external/constant_power_test.c: loads whose current falls as the voltage rises, in whole
   circuits: closed forms, and thousands of random circuits against an iteration that starts from no
   load and can only come to the operating point of the highest voltages. */
#include <stdio.h>
#include <string.h>

#include "modulegen.h"
#include "near.h"
#include "netgen.h"
#include "rig.h"

enum { RESET, RUNNING, ASLEEP }; /* states of a module */

static void add(sl_circuit *c, const char *kind, const char *name, const char *nodes,
                const char *param, double value)
{
    char text[60];
    snprintf(text, sizeof text, "%s=%.17g", param, value);
    rig_part(c, kind, name, nodes, text);
}

/* E behind R feeds one module. */
static sl_circuit *feed(double e, double ohm, const char *values)
{
    sl_circuit *c = rig_grounded();
    add(c, "source", "E", "e 0", "voltage", e);
    add(c, "resistor", "R", "e a", "resistance", ohm);
    rig_part(c, "module", "M", "a 0 -", values);
    return c;
}

/* W11: own example: V = (E + sqrt(E^2 - 4 P R)) / 2; computed. */
static void w11_constant_power(void **unused)
{
    (void)unused;
    sl_circuit *c = feed(12.6, 0.1, "power=120");
    sl_case *cs = rig_solved(c, 0);
    double v = 0.5 * (12.6 + sqrt(12.6 * 12.6 - 4.0 * 120.0 * 0.1));
    assert_near("W11 V", v, 11.562129, 1e-7);
    assert_near("W11 V", rig_volts(cs, c, "a"), v, 1e-12);
    assert_near("W11 I", rig_amps(cs, c, "M"), 120.0 / v, 1e-12);
    assert_int_equal(sl_case_outcome(cs), SL_SETTLED);
    assert_int_equal(rig_state(cs, c, "M"), RUNNING);
    rig_free(c, cs);
}

static void node_name(char *text, size_t size, int32_t n)
{
    snprintf(text, size, n ? "n%d" : "0", (int)n);
}

static sl_circuit *circuit_of(const modulegen *car, const char *low_voltage)
{
    sl_circuit *c = rig_grounded();
    char nodes[40], name[40], values[200], a[16], b[16];
    add(c, "source", "E", "e 0", "voltage", car->e);
    add(c, "resistor", "RE", "e n1", "resistance", car->source_ohm);
    for (int32_t r = 0; r < car->nodes; r++) {
        for (int32_t k = 0; k < r; k++) {
            if (car->g[r][k] > 0.0) {
                node_name(a, sizeof a, r);
                node_name(b, sizeof b, k);
                snprintf(nodes, sizeof nodes, "%s %s", a, b);
                snprintf(name, sizeof name, "R%d.%d", (int)r, (int)k);
                add(c, "resistor", name, nodes, "resistance", 1.0 / car->g[r][k]);
            }
        }
    }
    for (int32_t i = 0; i < car->ports; i++) {
        node_name(a, sizeof a, car->port[i].from);
        node_name(b, sizeof b, car->port[i].to);
        snprintf(nodes, sizeof nodes, "%s %s -", a, b);
        snprintf(name, sizeof name, "M%d", (int)i);
        snprintf(values, sizeof values,
                 "power=%.17g, reset=%.17g, recover=%.17g, working=60, low_voltage=%s",
                 car->port[i].watts, car->port[i].fold_v, 1.01 * car->port[i].fold_v, low_voltage);
        rig_part(c, "module", name, nodes, values);
    }
    return c;
}

static double module_volts(const sl_case *cs, const sl_circuit *c, int32_t i)
{
    char name[16];
    snprintf(name, sizeof name, "M%d", (int)i);
    double amps, volts = (double)NAN;
    sl_case_element(cs, sl_circuit_find_part(c, name), 0, &amps, &volts);
    return volts;
}

static void solve_or_fail(sl_case *cs, uint64_t seed)
{
    if (sl_case_solve(cs) != SL_OK) {
        fail_msg("seed %d: %s", (int)seed, sl_case_message(cs));
    }
    sl_quality quality;
    sl_case_quality(cs, &quality);
    if (!(quality.residual < 1e-12 && quality.power_balance < 1e-12)) {
        fail_msg("seed %d: residual %g, powers %g", (int)seed, quality.residual,
                 quality.power_balance);
    }
}

static void modules_that_draw_less_end_at_the_best_stable_point(void **unused)
{
    (void)unused;
    static modulegen car;
    int32_t runs = 0, collapses = 0, both = 0, most = 0;
    for (uint64_t seed = 1; seed <= 4000; seed++) {
        uint64_t random = seed;
        modulegen_draw(&car, &random);
        double wanted[MODULEGEN_PORTS] = {0.0}, v[MODULEGEN_PORTS] = {0.0};
        const modulegen_fate end_of = modulegen_from_no_load(&car, wanted);
        sl_circuit *c = circuit_of(&car, "draws less");
        sl_case *cs = rig_case(c, 0);
        solve_or_fail(cs, seed);
        for (int32_t i = 0; i < car.ports; i++) {
            v[i] = module_volts(cs, c, i);
            if (end_of == MODULEGEN_RUNS && !(fabs(v[i] - wanted[i]) <= 1e-7 * wanted[i])) {
                fail_msg("seed %d: module %d at %.9g V, wanted %.9g", (int)seed, (int)i, v[i],
                         wanted[i]);
            }
        }
        if (!modulegen_stable(&car, v)) {
            fail_msg("seed %d: not stable", (int)seed);
        }
        runs += end_of == MODULEGEN_RUNS;
        collapses += end_of == MODULEGEN_COLLAPSES;
        both += end_of == MODULEGEN_RUNS && modulegen_folds(&car);
        sl_quality quality;
        sl_case_quality(cs, &quality);
        most = quality.iterations > most ? quality.iterations : most;
        rig_free(c, cs);
    }
    print_message("%d run (%d could also fold), %d collapse, at most %d iterations\n", (int)runs,
                  (int)both, (int)collapses, (int)most);
    assert_true(runs > 1000 && collapses > 500 && both > 100);
}

/* With resets: whoever is said to run has its power, whoever is said to be in reset could not
   start, and all run where the iteration says that they can. */
static void modules_that_reset_never_tell_a_voltage_they_cannot_have(void **unused)
{
    (void)unused;
    static modulegen car;
    int32_t settled = 0, resets = 0, chatters = 0;
    for (uint64_t seed = 1; seed <= 2000; seed++) {
        uint64_t random = seed;
        modulegen_draw(&car, &random);
        double wanted[MODULEGEN_PORTS] = {0.0};
        const modulegen_fate end_of = modulegen_from_no_load(&car, wanted);
        sl_circuit *c = circuit_of(&car, "resets");
        sl_case *cs = rig_case(c, 0);
        solve_or_fail(cs, seed);
        chatters += sl_case_outcome(cs) == SL_CHATTERS;
        settled += sl_case_outcome(cs) == SL_SETTLED;
        assert_true(end_of != MODULEGEN_RUNS || sl_case_outcome(cs) != SL_CHATTERS);
        for (int32_t i = 0; i < car.ports && sl_case_outcome(cs) != SL_CHATTERS; i++) {
            char name[16];
            snprintf(name, sizeof name, "M%d", (int)i);
            const double volts = module_volts(cs, c, i);
            if (rig_state(cs, c, name) == RUNNING) {
                assert_true(volts >= car.port[i].fold_v);
                assert_near(name, volts * rig_amps(cs, c, name), car.port[i].watts, 1e-12);
            } else {
                assert_int_equal(rig_state(cs, c, name), RESET);
                assert_true(volts < 1.01 * car.port[i].fold_v && end_of != MODULEGEN_RUNS);
                resets++;
            }
        }
        rig_free(c, cs);
    }
    print_message("%d settle, %d modules in reset, %d chatter\n", (int)settled, (int)resets,
                  (int)chatters);
    assert_true(settled > 500 && chatters > 100);
}

/* Lamps, motors and modules together. The modules as current sources, stepped from no load, are the
   oracle: what is left has no falling curve. */
static void add_modules(sl_circuit *c, const modulegen *car, bool as_sources)
{
    char nodes[40], name[40], a[16], b[16], values[160];
    for (int32_t i = 0; i < car->ports; i++) {
        node_name(a, sizeof a, car->port[i].from);
        node_name(b, sizeof b, car->port[i].to);
        snprintf(name, sizeof name, "M%d", (int)i);
        if (as_sources) {
            snprintf(nodes, sizeof nodes, "%s %s", b, a);
            add(c, "source", name, nodes, "current", 0.0);
        } else {
            snprintf(nodes, sizeof nodes, "%s %s -", a, b);
            snprintf(values, sizeof values,
                     "power=%.17g, reset=%.17g, recover=60, working=60, "
                     "low_voltage=draws less",
                     car->port[i].watts, car->port[i].fold_v);
            rig_part(c, "module", name, nodes, values);
        }
    }
}

static sl_circuit *mixed(const modulegen *car, uint64_t random, bool as_sources)
{
    modulegen bare = *car;
    bare.ports = 0;
    sl_circuit *c = circuit_of(&bare, "resets");
    for (int32_t k = 0; k < 6; k++) {
        char nodes[40], name[40], a[16], b[16];
        const int32_t port = netgen_below(&random, car->ports);
        node_name(a, sizeof a, car->port[port].from);
        node_name(b, sizeof b, netgen_below(&random, car->nodes));
        if (strcmp(a, b) == 0) {
            continue;
        }
        snprintf(nodes, sizeof nodes, "%s %s", a, b);
        snprintf(name, sizeof name, "L%d", (int)k);
        const double amps = netgen_log_uniform(&random, 0.02, 5.0);
        static const char *const kinds[] = {"lamp", "led_lamp", "motor", "glow_plug"};
        add(c, kinds[k % 4], name, nodes, "current", amps);
    }
    add_modules(c, car, as_sources);
    return c;
}

static void lamps_and_motors_beside_modules(void **unused)
{
    (void)unused;
    static modulegen car;
    int32_t runs = 0, folds = 0;
    for (uint64_t seed = 1; seed <= 300; seed++) {
        uint64_t random = seed;
        modulegen_draw(&car, &random);
        sl_circuit *c = mixed(&car, seed, false), *oracle = mixed(&car, seed, true);
        sl_case *cs = rig_case(c, 0), *step = rig_case(oracle, 0);
        solve_or_fail(cs, seed);
        double v[MODULEGEN_PORTS];
        bool still = false, down = false;
        for (int32_t n = 0; n < 2000 && !still && !down; n++) {
            solve_or_fail(step, seed);
            still = true;
            sl_edit edit[MODULEGEN_PORTS];
            for (int32_t i = 0; i < car.ports; i++) {
                char name[16];
                snprintf(name, sizeof name, "M%d", (int)i);
                v[i] = -module_volts(step, oracle, i);
                const double next = car.port[i].watts / v[i];
                still = still && next + rig_amps(step, oracle, name) <= 1e-13 * next;
                down = down || v[i] < car.port[i].fold_v;
                edit[i] = rig_set(oracle, name, "current", next);
            }
            sl_case_clear(step);
            assert_int_equal(sl_case_edit(step, edit, car.ports), SL_OK);
        }
        for (int32_t i = 0; i < car.ports && still && !down; i++) {
            if (!(fabs(module_volts(cs, c, i) - v[i]) <= 1e-7 * v[i])) {
                fail_msg("seed %d: module %d at %.9g V, wanted %.9g", (int)seed, (int)i,
                         module_volts(cs, c, i), v[i]);
            }
        }
        runs += still && !down;
        folds += down;
        rig_free(c, cs);
        rig_free(oracle, step);
    }
    print_message("%d run, %d do not\n", (int)runs, (int)folds);
    assert_true(runs > 100);
}

/* P > E^2 / 4 R: no operating point. 12.6 V behind 0.5 ohm gives at most 79.38 W. */
static void power_that_is_not_to_be_had(void **unused)
{
    (void)unused;
    /* It resets, its supply recovers, it starts: without end, and in reset it draws 20 mA at 12 V.
     */
    sl_circuit *c = feed(12.6, 0.5, "power=120");
    sl_case *cs = rig_solved(c, 0);
    assert_int_equal(sl_case_outcome(cs), SL_CHATTERS);
    assert_near("period", sl_case_period_s(cs), 0.205, 1e-12);
    assert_int_equal(rig_state(cs, c, "M"), RESET);
    assert_near("in reset", rig_volts(cs, c, "a"), 12.6 * 600.0 / 600.5, 1e-12);
    assert_int_equal(sl_case_view(cs, 1), SL_OK);
    assert_int_equal(rig_state(cs, c, "M"), RUNNING);
    assert_true(rig_volts(cs, c, "a") < 5.5);
    rig_free(c, cs);
    /* One that stays off ends in reset. */
    c = feed(12.6, 0.5, "power=120, low_voltage=stays off");
    cs = rig_solved(c, 0);
    assert_int_equal(sl_case_outcome(cs), SL_SETTLED);
    assert_int_equal(rig_state(cs, c, "M"), RESET);
    assert_near("off", rig_volts(cs, c, "a"), 12.6 * 600.0 / 600.5, 1e-12);
    rig_free(c, cs);
    /* One that draws less goes on as 5.5^2 / 120 ohm, and says that it starves. */
    c = feed(12.6, 0.5, "power=120, low_voltage=draws less");
    cs = rig_solved(c, 0);
    const double ohm = 5.5 * 5.5 / 120.0;
    assert_near("less", rig_volts(cs, c, "a"), 12.6 * ohm / (ohm + 0.5), 1e-12);
    sl_notice notice;
    assert_int_equal(sl_case_notices(cs, sl_circuit_find_part(c, "M"), &notice, 1), 1);
    assert_string_equal(sl_kind_find("module")->notices[notice.index].name, "starves");
    rig_free(c, cs);
    /* With less than 79.38 W there is a point, and a second one below half the voltage. */
    c = feed(12.6, 0.5, "power=79");
    cs = rig_solved(c, 0);
    assert_near("just enough", rig_volts(cs, c, "a"), 6.3 + 0.5 * sqrt(12.6 * 12.6 - 158.0), 1e-12);
    assert_int_equal(rig_state(cs, c, "M"), RUNNING);
    rig_free(c, cs);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(w11_constant_power),
        cmocka_unit_test(power_that_is_not_to_be_had),
        cmocka_unit_test(modules_that_draw_less_end_at_the_best_stable_point),
        cmocka_unit_test(modules_that_reset_never_tell_a_voltage_they_cannot_have),
        cmocka_unit_test(lamps_and_motors_beside_modules),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* How nodes hang together: classes, loops, islands, contradictions, and the currents of links. */
#include "near.h"
#include "netgen.h"
#include "rig.h"
#include "solve/solve.h"

#include <stdio.h>
#include <string.h>

static void has(const char *text, const char *word, bool wanted)
{
    if (!!strstr(text, word) != wanted) {
        fail_msg("\"%s\" %s %s", text, wanted ? "lacks" : "holds", word);
    }
}

/* Fails to solve with SL_E_CONTRADICTION; the message holds the first words, not the others. */
static void contradicts(sl_circuit *c, const char *const *with, const char *const *without)
{
    sl_case *cs = rig_case(c, 0);
    assert_int_equal(sl_case_solve(cs), SL_E_CONTRADICTION);
    for (; *with; with++) {
        has(sl_case_message(cs), *with, true);
    }
    for (; without && *without; without++) {
        has(sl_case_message(cs), *without, false);
    }
    double volts = 7.0;
    assert_int_equal(sl_case_node(cs, 0, &volts), SL_E_ARG); /* nothing to read */
    assert_near("untouched", volts, 7.0, 0.0);
    rig_free(c, cs);
}

#define WORDS(...) ((const char *const[]){__VA_ARGS__, NULL})

static void links_and_sources_make_one_class(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E1", "a 0", "voltage=12");
    rig_part(c, "resistor", "J1", "a b", "resistance=0");
    rig_part(c, "source", "E2", "c b", "voltage=5");
    rig_part(c, "source", "E3", "c d", "voltage=3");
    rig_part(c, "source", "E4", "e d", "voltage=-20");
    sl_case *cs = rig_solved(c, 0);
    assert_int_equal(cs->net.rows, 0); /* no unknown is left */
    assert_near("a", rig_volts(cs, c, "a"), 12.0, 0.0);
    assert_near("b", rig_volts(cs, c, "b"), 12.0, 0.0);
    assert_near("c = b + 5", rig_volts(cs, c, "c"), 17.0, 0.0);
    assert_near("d = c - 3", rig_volts(cs, c, "d"), 14.0, 0.0);
    assert_near("e = d - 20", rig_volts(cs, c, "e"), -6.0, 0.0);
    assert_near("between", rig_across(cs, c, "e", "b"), -18.0, 0.0);
    assert_near("no load, no current", rig_amps(cs, c, "E1"), 0.0, 0.0);
    rig_free(c, cs);
}

/* E with 1 ohm to a, joined to b; 2 V more at c; 4 ohm from c to 0: (10 + 2) / (1 + 4) A. */
static void offsets_hold_within_a_class_that_floats_on_a_row(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "e 0", "voltage=10");
    rig_part(c, "resistor", "R1", "e a", "resistance=1");
    rig_part(c, "resistor", "J", "b a", "resistance=0");
    rig_part(c, "source", "U", "c b", "voltage=2");
    rig_part(c, "resistor", "R2", "c 0", "resistance=4");
    sl_case *cs = rig_solved(c, 0);
    assert_int_equal(cs->net.rows, 1);
    assert_near("a = 10 - 2.4", rig_volts(cs, c, "a"), 7.6, 1e-15);
    assert_near("b", rig_volts(cs, c, "b"), 7.6, 1e-15);
    assert_near("c", rig_volts(cs, c, "c"), 9.6, 1e-15);
    assert_near("12 V / 5 ohm", rig_amps(cs, c, "R1"), 2.4, 1e-15);
    assert_near("against its direction", rig_amps(cs, c, "J"), -2.4, 1e-15);
    assert_near("out of its positive end", rig_amps(cs, c, "U"), -2.4, 1e-15);
    rig_free(c, cs);
}

/* 200 sources end to end, as awkward in binary as can be; every offset right to the last bit. */
static void long_chain_of_sources_adds_up_exactly(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    uint64_t random = 5;
    long double sum[201] = {0.0L};
    for (int i = 0; i < 200; i++) {
        char name[16], nodes[40], value[60];
        double volts = netgen_uniform(&random, -59.0, 59.0);
        bool up = netgen_below(&random, 2);
        snprintf(name, sizeof name, "E%d", i);
        snprintf(nodes, sizeof nodes, "n%d n%d", up ? i + 1 : i, up ? i : i + 1);
        snprintf(value, sizeof value, "voltage=%.17g", volts);
        rig_part(c, "source", name, nodes, value);
        sum[i + 1] = sum[i] + (up ? volts : -volts);
    }
    rig_part(c, "resistor", "J", "n0 0", "resistance=0");
    rig_part(c, "resistor", "R", "n200 0", "resistance=3");
    sl_case *cs = rig_solved(c, 0);
    for (int i = 0; i <= 200; i++) {
        char node[16];
        snprintf(node, sizeof node, "n%d", i);
        assert_near(node, rig_volts(cs, c, node), (double)sum[i], 1e-17);
    }
    assert_near("J carries it all", rig_amps(cs, c, "J"), -(double)(sum[200] / 3.0L), 2e-16);
    assert_near("so does the last", fabs(rig_amps(cs, c, "E199")), (double)fabsl(sum[200] / 3.0L),
                2e-16);
    rig_free(c, cs);
}

/* A triangle of links between feed and load: who carries how much is undefined, all else is not. */
static void loop_of_plain_links_leaves_only_its_own_currents_undefined(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "e 0", "voltage=12");
    rig_part(c, "resistor", "F", "e a", "resistance=0");
    static const char *const loop[] = {"J1", "J2", "J3", "P1", "P2"};
    rig_part(c, "resistor", "J1", "a b", "resistance=0");
    rig_part(c, "resistor", "J2", "b c", "resistance=0");
    rig_part(c, "resistor", "J3", "c a", "resistance=0");
    rig_part(c, "resistor", "B", "c d", "resistance=0"); /* a bridge between two loops */
    rig_part(c, "resistor", "P1", "d g", "resistance=0");
    rig_part(c, "source", "P2", "g d", "voltage=0"); /* 0 V is a plain link */
    rig_part(c, "resistor", "R", "g 0", "resistance=6");
    sl_case *cs = rig_solved(c, 0);
    assert_near("load", rig_volts(cs, c, "g"), 12.0, 0.0);
    assert_near("feed", rig_amps(cs, c, "F"), 2.0, 1e-15);
    assert_near("bridge", rig_amps(cs, c, "B"), 2.0, 1e-15);
    assert_near("source", rig_amps(cs, c, "E"), -2.0, 1e-15);
    for (int i = 0; i < 5; i++) {
        sl_part part = sl_circuit_find_part(c, loop[i]);
        sl_part_answer answer;
        assert_int_equal(sl_case_part(cs, part, &answer), SL_W_UNDETERMINED);
        assert_true(isnan(answer.current_a) && isnan(answer.power_w));
        assert_near("drop", answer.drop_v, 0.0, 0.0);
        double amps = 0.0, volts = 1.0;
        assert_int_equal(sl_case_element(cs, part, 0, &amps, &volts), SL_W_UNDETERMINED);
        assert_true(isnan(amps) && volts == 0.0);
    }
    rig_free(c, cs);
}

static void loop_of_sources_is_refused_with_every_part_of_it(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E1", "a 0", "voltage=12");
    rig_part(c, "resistor", "J1", "a b", "resistance=0");
    rig_part(c, "resistor", "side", "b x", "resistance=0");
    rig_part(c, "source", "E2", "b d", "voltage=5");
    rig_part(c, "resistor", "J2", "d 0", "resistance=0");
    rig_part(c, "resistor", "load", "a 0", "resistance=5");
    contradicts(c, WORDS("\"E1\"", "\"J1\"", "\"E2\"", "\"J2\""), WORDS("side", "load"));

    c = rig_grounded(); /* equal ones, in parallel: no telling who gives how much */
    rig_part(c, "source", "E1", "a 0", "voltage=12");
    rig_part(c, "source", "E2", "a 0", "voltage=12");
    contradicts(c, WORDS("\"E1\"", "\"E2\""), NULL);

    c = rig_grounded(); /* shorted, off the reference */
    rig_part(c, "source", "E1", "p q", "voltage=1");
    rig_part(c, "resistor", "J1", "p q", "resistance=0");
    rig_part(c, "resistor", "R", "p 0", "resistance=1");
    contradicts(c, WORDS("\"E1\"", "\"J1\""), WORDS("\"R\""));
}

static void current_source_into_an_open_circuit_is_refused_by_name(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "I1", "a 0", "current=1");
    rig_part(c, "resistor", "R1", "a b", "resistance=1");
    rig_part(c, "source", "fine", "d 0", "current=3");
    rig_part(c, "resistor", "R2", "d 0", "resistance=1");
    contradicts(c, WORDS("\"I1\""), WORDS("fine", "R1"));

    c = rig_grounded(); /* 2 A in, 1 A out of the same node */
    rig_part(c, "source", "I1", "a 0", "current=2");
    rig_part(c, "source", "I2", "b a", "current=1");
    rig_part(c, "resistor", "R", "b 0", "resistance=1");
    contradicts(c, WORDS("\"I1\"", "\"I2\""), WORDS("\"R\""));
}

/* 2 A into an island and 2 A out again elsewhere: fine, though its level is nobody's. */
static void currents_that_leave_an_island_again_are_right(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "I1", "a 0", "current=2");
    rig_part(c, "resistor", "R", "a b", "resistance=3");
    rig_part(c, "source", "I2", "0 b", "current=2");
    sl_case *cs = rig_solved(c, 0);
    assert_near("2 A * 3 ohm", rig_across(cs, c, "a", "b"), 6.0, 1e-15);
    assert_near("R", rig_amps(cs, c, "R"), 2.0, 1e-15);
    assert_true(isnan(rig_volts(cs, c, "a")));
    rig_free(c, cs);
}

static void floating_island_keeps_its_inner_voltages(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "e 0", "voltage=12");
    rig_part(c, "resistor", "R", "e 0", "resistance=12");
    rig_part(c, "battery", "B", "p q", "resistance=1");
    rig_part(c, "source", "U", "s q", "voltage=3");
    rig_part(c, "resistor", "R1", "p r", "resistance=5");
    rig_part(c, "resistor", "R2", "r q", "resistance=6");
    sl_case *cs = rig_solved(c, 0);
    assert_int_equal(cs->net.islands, 1);
    static const char *const inside[] = {"p", "q", "r", "s"};
    for (int i = 0; i < 4; i++) {
        double volts = 0.0;
        sl_node node = sl_circuit_find_node(c, inside[i]);
        assert_int_equal(sl_case_node(cs, node, &volts), SL_W_FLOATING);
        assert_true(isnan(volts));
        volts = 0.0;
        sl_node e = sl_circuit_find_node(c, "e");
        assert_int_equal(sl_case_between(cs, node, e, &volts), SL_W_FLOATING);
        assert_true(isnan(volts));
        assert_int_equal(sl_case_between(cs, node, node, &volts), SL_OK);
        assert_near("to itself", volts, 0.0, 0.0);
    }
    double amps = rig_amps(cs, c, "R1");
    assert_near("share of R2", rig_across(cs, c, "r", "q"), 6.0 * amps, 1e-15);
    assert_near("other way round", rig_across(cs, c, "q", "r"), -6.0 * amps, 1e-15);
    assert_near("3 V beside it", rig_across(cs, c, "s", "q"), 3.0, 1e-15);
    assert_near("one loop", rig_amps(cs, c, "R2"), amps, 1e-15);
    assert_true(amps > 1.0 && amps < 1.1); /* about 12.6 V / 12 ohm */
    assert_near("the rest is not disturbed", rig_amps(cs, c, "R"), 1.0, 1e-15);
    rig_free(c, cs);
}

/* A meter of 10 Mohm from the island to the reference carries nothing and fixes its level. */
static void one_resistance_to_the_reference_fixes_an_island(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "U", "p q", "voltage=3");
    rig_part(c, "resistor", "R", "p q", "resistance=1e-4");
    sl_case *cs = rig_case(c, 0);
    sl_part meter;
    assert_int_equal(rig_attach(cs, "meter", "V", "q 0", "", &meter), SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_near("q", rig_volts(cs, c, "q"), 0.0, 0.0);
    assert_near("p", rig_volts(cs, c, "p"), 3.0, 0.0);
    assert_near("30 kA inside", rig_amps(cs, c, "R"), 3e4, 1e-15);
    rig_free(c, cs);
}

/* Batteries of E = 10 V by sources of voltage with 0.5 ohm: 2E / (2r + R), E / (r/2 + R). */
static void batteries_in_series_and_in_parallel(void **unused)
{
    (void)unused;
    for (int parallel = 0; parallel < 2; parallel++) {
        sl_circuit *c = rig_grounded();
        rig_part(c, "battery", "B1", "p 0", "resistance=0.5");
        rig_part(c, "battery", "B2", parallel ? "p 0" : "q p", "resistance=0.5");
        rig_part(c, "resistor", "R", parallel ? "p 0" : "q 0", "resistance=4");
        sl_case *cs = rig_solved(c, 0);
        double open_v = cs->branch[0].law.open_v;
        double amps = parallel ? open_v / 4.25 : 2.0 * open_v / 5.0;
        assert_near("load", rig_amps(cs, c, "R"), amps, 3e-16);
        assert_near("B1", rig_amps(cs, c, "B1"), parallel ? -0.5 * amps : -amps, 3e-16);
        assert_near("B2", rig_amps(cs, c, "B2"), rig_amps(cs, c, "B1"), 3e-16);
        rig_free(c, cs);
    }
}

static void source_across_a_part_of_its_own_class(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "a b", "voltage=12");
    rig_part(c, "resistor", "R", "b a", "resistance=4");
    rig_part(c, "lamp", "L", "a b", "current=1.75"); /* its rated current at 12 V */
    rig_part(c, "resistor", "tie", "b 0", "resistance=1");
    sl_case *cs = rig_solved(c, 0);
    assert_false(cs->curves.rows); /* its voltage is known without solving */
    assert_near("R", rig_amps(cs, c, "R"), -3.0, 1e-15);
    assert_near("lamp", rig_amps(cs, c, "L"), 1.75, 1e-14);
    assert_near("source feeds both", rig_amps(cs, c, "E"), -4.75, 1e-14);
    assert_near("b stays at 0", rig_volts(cs, c, "b"), 0.0, 0.0);
    assert_near("nothing in the tie", rig_amps(cs, c, "tie"), 0.0, 0.0);
    rig_free(c, cs);
}

/* Random trees of links fed at the root, a load at each node: a link carries what is below it. */
static void links_carry_what_is_beyond_them(void **unused)
{
    (void)unused;
    for (uint64_t seed = 1; seed <= 60; seed++) {
        enum { NODES = 40 };
        uint64_t random = seed;
        sl_circuit *c = rig_grounded();
        int up[NODES] = {0};
        bool down[NODES] = {false};
        long double below[NODES] = {0.0L};
        rig_part(c, "source", "E", "n0 0", "voltage=12");
        for (int i = 0; i < NODES; i++) {
            char name[16], nodes[40], value[60];
            if (i > 0) {
                up[i] = netgen_below(&random, i);
                down[i] = netgen_below(&random, 2);
                snprintf(name, sizeof name, "J%d", i);
                snprintf(nodes, sizeof nodes, "n%d n%d", down[i] ? up[i] : i, down[i] ? i : up[i]);
                rig_part(c, "resistor", name, nodes, "resistance=0");
            }
            double amps = netgen_log_uniform(&random, 1e-9, 300.0);
            below[i] = amps;
            snprintf(name, sizeof name, "I%d", i);
            snprintf(nodes, sizeof nodes, "0 n%d", i);
            snprintf(value, sizeof value, "current=%.17g", amps);
            rig_part(c, "source", name, nodes, value);
        }
        for (int i = NODES - 1; i > 0; i--) {
            below[up[i]] += below[i];
        }
        sl_case *cs = rig_solved(c, 0);
        for (int i = 1; i < NODES; i++) {
            char name[16];
            snprintf(name, sizeof name, "J%d", i);
            double wanted = (double)(down[i] ? below[i] : -below[i]);
            assert_near(name, rig_amps(cs, c, name), wanted, 2e-16);
        }
        assert_near("E", rig_amps(cs, c, "E"), -(double)below[0], 2e-16);
        rig_free(c, cs);
    }
}

/* Fault resistances have nodes of their own inside the parts; several add up. */
static void resistances_put_in_series_add_up(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "a 0", "voltage=12");
    rig_part(c, "resistor", "J", "a b", "resistance=0");
    rig_part(c, "resistor", "R", "b 0", "resistance=4");
    sl_case *cs = rig_case(c, 0);
    const sl_edit edits[] = {rig_series(c, "J", NULL, 1.0), rig_series(c, "E", NULL, 2.0),
                             rig_series(c, "J", "body", 3.0), rig_series(c, "R", NULL, 2.0)};
    assert_int_equal(sl_case_edit(cs, edits, 4), SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_near("12 V / 12 ohm", rig_amps(cs, c, "R"), 1.0, 1e-15);
    assert_near("E less 2 ohm", rig_volts(cs, c, "a"), 10.0, 1e-15);
    assert_near("J less 4 ohm", rig_volts(cs, c, "b"), 6.0, 1e-15);
    sl_part_answer answer;
    assert_int_equal(sl_case_part(cs, sl_circuit_find_part(c, "R"), &answer), SL_OK);
    assert_near("power with what is put in series", answer.power_w, 6.0, 1e-15);
    rig_free(c, cs);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(links_and_sources_make_one_class),
        cmocka_unit_test(offsets_hold_within_a_class_that_floats_on_a_row),
        cmocka_unit_test(long_chain_of_sources_adds_up_exactly),
        cmocka_unit_test(loop_of_plain_links_leaves_only_its_own_currents_undefined),
        cmocka_unit_test(loop_of_sources_is_refused_with_every_part_of_it),
        cmocka_unit_test(current_source_into_an_open_circuit_is_refused_by_name),
        cmocka_unit_test(currents_that_leave_an_island_again_are_right),
        cmocka_unit_test(floating_island_keeps_its_inner_voltages),
        cmocka_unit_test(one_resistance_to_the_reference_fixes_an_island),
        cmocka_unit_test(batteries_in_series_and_in_parallel),
        cmocka_unit_test(source_across_a_part_of_its_own_class),
        cmocka_unit_test(links_carry_what_is_beyond_them),
        cmocka_unit_test(resistances_put_in_series_add_up),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

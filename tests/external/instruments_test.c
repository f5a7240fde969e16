/* What instruments show, against hand calculation and published figures. */
#include "near.h"
#include "rig.h"
#include "strapline/strapline.h"

#include <stdio.h>
#include <string.h>

static sl_part part_of(const sl_circuit *c, const char *name)
{
    return sl_circuit_find_part(c, name);
}

static sl_multimeter usual(void)
{
    sl_multimeter meter;
    sl_multimeter_usual(&meter);
    return meter;
}

static sl_ohms ohms(const sl_circuit *c, sl_condition condition, const char *red, const char *black)
{
    sl_case *cs = rig_case(c, condition);
    const sl_multimeter meter = usual();
    sl_ohms found;
    assert_int_equal(sl_case_ohms(cs, sl_circuit_find_node(c, red), sl_circuit_find_node(c, black),
                                  &meter, &found),
                     SL_OK);
    sl_case_free(cs);
    return found;
}

/* Two resistors of 10 Mohm across 12 V: a meter of 10 Mohm across one of them makes it 5 Mohm, and
   a third of 12 V; one of 100 kohm reads far less; a divider of 1 kohm does not notice the first.
 */
static void a_voltmeter_loads_a_divider(void **unused)
{
    (void)unused;
    static const struct {
        double divider_ohm, input_ohm;
    } rows[] = {{10e6, 10e6}, {10e6, 100e3}, {1e3, 10e6}};
    for (int n = 0; n < 3; n++) {
        sl_circuit *c = rig_grounded();
        char text[60];
        sl_part meter;
        snprintf(text, sizeof text, "resistance=%g", rows[n].divider_ohm);
        rig_part(c, "source", "E", "top 0", "voltage=12");
        rig_part(c, "resistor", "R1", "top mid", text);
        rig_part(c, "resistor", "R2", "mid 0", text);
        sl_case *cs = rig_case(c, 0);
        snprintf(text, sizeof text, "input_resistance=%g", rows[n].input_ohm);
        assert_int_equal(rig_attach(cs, "meter", "DMM", "mid 0", text, &meter), SL_OK);
        assert_int_equal(sl_case_solve(cs), SL_OK);
        const double lower = 1.0 / (1.0 / rows[n].divider_ohm + 1.0 / rows[n].input_ohm);
        assert_near("mid", rig_volts(cs, c, "mid"), 12.0 * lower / (lower + rows[n].divider_ohm),
                    1e-12);
        rig_free(c, cs);
    }
}

/* A part by itself, in every range; leads in, both ways the same. Above the last range: OL. */
static void ohms_of_a_part_by_itself(void **unused)
{
    (void)unused;
    static const double values[] = {0.0549, 4.7, 599.0, 601.0, 48e3, 1e6, 59e6};
    static const double ranges[] = {600.0, 600.0, 600.0, 6e3, 60e3, 6e6, 60e6};
    for (int n = 0; n < 7; n++) {
        sl_circuit *c = rig_grounded();
        char text[40];
        snprintf(text, sizeof text, "resistance=%.17g", values[n]);
        rig_part(c, "resistor", "R1", "a 0", text);
        const sl_ohms found = ohms(c, 0, "a", "0");
        assert_near("ohm", found.ohm, values[n] + 0.2, 1e-9);
        assert_near("swapped", found.swapped_ohm, found.ohm, 1e-9);
        assert_near("range", found.range_ohm, ranges[n], 1e-12);
        assert_false(found.live);
        rig_free(c, NULL);
    }
    sl_circuit *c = rig_grounded();
    rig_part(c, "resistor", "R1", "a 0", "resistance=61e6");
    rig_part(c, "resistor", "R2", "b c", "resistance=1");
    assert_true(isinf(ohms(c, 0, "a", "0").ohm));
    const sl_ohms apart = ohms(c, 0, "b", "0");
    assert_true(isinf(apart.ohm) && isinf(apart.swapped_ohm) && isnan(apart.before_v));
    assert_false(apart.live);
    rig_free(c, NULL);
}

/* A live divider, 6 V over 900 and 100 ohm: 0.6 V behind 90 ohm across the lower one. The meter on
   its lowest range sends 3 V through 3000 ohm and 0.2 ohm of leads. */
static double by_hand(double emf, double behind, double range)
{
    const double out_a = (3.0 - emf) / (5.0 * range + 0.2 + behind);
    return (3.0 - 5.0 * range * out_a) / out_a;
}

static void ohms_on_a_live_divider_are_false_both_ways(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    const sl_condition off = rig_condition(c, "off"), on = rig_condition(c, "on");
    rig_part(c, "source", "E", "top 0", "voltage=6");
    rig_part(c, "switch", "SW", "top fed", "resistance=0");
    rig_part(c, "resistor", "R1", "fed mid", "resistance=900");
    rig_part(c, "resistor", "R2", "mid 0", "resistance=100");
    const sl_edit closed = rig_set(c, "SW", "position", 1.0);
    assert_int_equal(sl_condition_edit(c, on, &closed), SL_OK);
    const sl_ohms dead = ohms(c, off, "mid", "0");
    assert_near("dead", dead.ohm, 100.2, 1e-9);
    assert_false(dead.live);
    const sl_ohms live = ohms(c, on, "mid", "0");
    assert_true(live.live);
    assert_near("before", live.before_v, 0.6, 1e-12);
    /* On 600 ohm it would show 863 ohm, so it goes to 6 kohm, where the error is ten times as
       large, and on: OL. Swapped it stays within the first range. */
    assert_true(by_hand(0.6, 90.0, 600.0) > 600.0);
    assert_true(isinf(live.ohm));
    assert_near("swapped", live.swapped_ohm, by_hand(-0.6, 90.0, 600.0), 1e-9);
    assert_true(live.swapped_ohm < 0.0);
    /* A tenth of the voltage: numbers both ways, both wrong, their signs apart. */
    sl_case *cs = rig_case(c, on);
    const sl_edit low = rig_set(c, "E", "voltage", 1.5);
    const sl_multimeter meter = usual();
    sl_ohms found;
    assert_int_equal(sl_case_edit(cs, &low, 1), SL_OK);
    assert_int_equal(sl_case_ohms(cs, sl_circuit_find_node(c, "mid"), sl_circuit_find_node(c, "0"),
                                  &meter, &found),
                     SL_OK);
    assert_near("false", found.ohm, by_hand(0.15, 90.0, 600.0), 1e-9);
    assert_near("false, swapped", found.swapped_ohm, by_hand(-0.15, 90.0, 600.0), 1e-9);
    assert_true(found.ohm > 200.0 && found.swapped_ohm < 0.0 && found.live);
    rig_free(c, cs);
}

/* Each side of one digit of its display: 3 V / (5 x 6000) is 100 uV. */
static void live_begins_where_it_shows(void **unused)
{
    (void)unused;
    for (int above = 0; above < 2; above++) {
        sl_circuit *c = rig_grounded();
        rig_part(c, "source", "E", "top 0", above ? "voltage=101e-6" : "voltage=99e-6");
        rig_part(c, "resistor", "R1", "top mid", "resistance=10");
        assert_int_equal(ohms(c, 0, "mid", "0").live, above);
        rig_free(c, NULL);
    }
}

/* After an ohmmeter the case is as it was. */
static void an_ohmmeter_leaves_nothing_behind(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "top 0", "voltage=12");
    rig_part(c, "resistor", "R1", "top mid", "resistance=10e6");
    rig_part(c, "resistor", "R2", "mid 0", "resistance=5e6");
    sl_case *cs = rig_solved(c, 0);
    const double before = rig_volts(cs, c, "mid");
    const sl_multimeter meter = usual();
    sl_ohms once, twice;
    const sl_node mid = sl_circuit_find_node(c, "mid"), zero = sl_circuit_find_node(c, "0");
    assert_int_equal(sl_case_ohms(cs, mid, zero, &meter, &once), SL_OK);
    assert_int_equal(sl_case_ohms(cs, mid, zero, &meter, &twice), SL_OK);
    assert_memory_equal(&once, &twice, sizeof once);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_near("mid", rig_volts(cs, c, "mid"), before, 1e-15);
    assert_int_equal(sl_case_ohms(cs, mid, mid, &meter, &once), SL_E_ARG);
    assert_int_equal(sl_case_ohms(cs, 99, zero, &meter, &once), SL_E_ARG);
    assert_int_equal(sl_case_ohms(cs, mid, zero, &(sl_multimeter){0}, &once), SL_E_ARG);
    rig_free(c, cs);
}

/* 12 V over 1.15 ohm of load: 10.43 A; with 0.05 ohm of burden 10 A, and 0.5 V lost in the meter.
 */
static void an_ammeter_in_series_changes_the_current(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "top 0", "voltage=12");
    rig_part(c, "resistor", "LOAD", "top 0", "resistance=1.15");
    sl_case *cs = rig_solved(c, 0);
    const sl_part load = part_of(c, "LOAD");
    const sl_multimeter meter = usual();
    double amps, drop;
    assert_int_equal(sl_case_element(cs, load, 0, &amps, &drop), SL_OK);
    assert_near("without", amps, 12.0 / 1.15, 1e-13);
    const sl_edit in = sl_multimeter_in_series(&meter, load, -1);
    assert_int_equal(sl_case_edit(cs, &in, 1), SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_int_equal(sl_case_element(cs, load, 0, &amps, &drop), SL_OK);
    assert_near("with", amps, 12.0 / 1.2, 1e-13);
    assert_near("meter's fuse", meter.fuse_a, 10.0, 0.0);
    rig_free(c, cs);
}

/* Kirchhoff: a clamp round every lead on one side of a node reads what one round the other side
   does, and round all of them nothing. */
static void a_clamp_adds_what_is_in_its_jaws(void **unused)
{
    (void)unused;
    sl_circuit *c;
    assert_int_equal(rig_every_kind(NULL, &c), SL_OK);
    sl_case *cs = rig_solved(c, sl_circuit_find_condition(c, "crank"));
    for (sl_node node = 0; node < sl_circuit_node_count(c); node++) {
        sl_clamped leads[120];
        int32_t count = 0;
        double sizes = 0.0, sum = 0.0, last = 0.0;
        for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
            const sl_kind *kind = sl_circuit_part_kind(c, p);
            for (int32_t t = 0; t < kind->terminal_count; t++) {
                if (sl_circuit_part_node(c, p, t) == node) {
                    double amps;
                    assert_int_equal(sl_case_terminal(cs, p, t, &amps), SL_OK);
                    leads[count++] = (sl_clamped){p, t, false};
                    sizes += fabs(amps);
                    last = amps;
                }
            }
        }
        assert_true(count > 0 && count < 120);
        assert_int_equal(sl_case_clamp(cs, leads, count, &sum), SL_OK);
        assert_at_most("all", fabs(sum), 1e-9 * sizes + 1e-12);
        assert_int_equal(sl_case_clamp(cs, leads, count - 1, &sum), SL_OK);
        assert_at_most("all but one", fabs(sum + last), 1e-9 * sizes + 1e-12);
    }
    rig_free(c, cs);
}

static void a_clamp_tells_one_of_two_cables(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "+ 0", "voltage=12");
    rig_part(c, "resistor", "LOAD", "+ engine", "resistance=0.06");
    rig_part(c, "resistor", "N1", "engine 0", "resistance=2e-3");
    rig_part(c, "resistor", "N2", "engine 0", "resistance=6e-3");
    sl_case *cs = rig_solved(c, 0);
    const double all = 12.0 / (0.06 + 1.5e-3);
    const sl_clamped one[] = {{part_of(c, "N1"), 0, false}};
    const sl_clamped two[] = {{part_of(c, "N1"), 0, false}, {part_of(c, "N2"), 1, true}};
    const sl_clamped against[] = {{part_of(c, "N1"), 0, false}, {part_of(c, "LOAD"), 0, true}};
    double amps;
    assert_int_equal(sl_case_clamp(cs, one, 1, &amps), SL_OK);
    assert_near("one of two", amps, 0.75 * all, 1e-12);
    assert_int_equal(sl_case_clamp(cs, two, 2, &amps), SL_OK);
    assert_near("both", amps, all, 1e-12);
    assert_int_equal(sl_case_clamp(cs, against, 2, &amps), SL_OK);
    assert_near("against", amps, -0.25 * all, 1e-12);
    assert_int_equal(sl_case_clamp(cs, &(sl_clamped){99, 0, false}, 1, &amps), SL_E_ARG);
    assert_int_equal(sl_case_terminal(cs, part_of(c, "N1"), 2, &amps), SL_E_ARG);
    rig_free(c, cs);
}

/* US Army TM 5-2420-230-24-2: both cables together lose no more than 0.5 V at 500 A, which is
   1 mohm; at half of it 0.25 V. A pile at the far end of 1 mohm, battery of 4 mohm. */
static void a_carbon_pile_draws_what_it_is_set_to(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "battery", "B1", "+ 0", "resistance=4e-3");
    rig_part(c, "resistor", "P", "+ stud", "resistance=0.6e-3");
    rig_part(c, "resistor", "N", "case 0", "resistance=0.4e-3");
    static const double amps[] = {500.0, 250.0};
    for (int n = 0; n < 2; n++) {
        sl_case *cs = rig_case(c, 0);
        sl_pile pile;
        const sl_node stud = sl_circuit_find_node(c, "stud"),
                      ground = sl_circuit_find_node(c, "case");
        assert_int_equal(sl_case_pile(cs, stud, ground, amps[n], 2e-3, &pile), SL_OK);
        assert_true(pile.reached);
        assert_near("drops", rig_across(cs, c, "+", "stud") + rig_across(cs, c, "case", "0"),
                    amps[n] * 1e-3, 1e-12);
        assert_near("set to", pile.ohm, pile.drop_v / amps[n], 1e-15);
        sl_case_free(cs);
        /* The resistance it was set to draws that current. */
        cs = rig_case(c, 0);
        char text[40];
        sl_part load;
        sl_part_answer answer;
        snprintf(text, sizeof text, "resistance=%.17g", pile.ohm);
        assert_int_equal(rig_attach(cs, "resistor", "LOAD", "stud case", text, &load), SL_OK);
        assert_int_equal(sl_case_solve(cs), SL_OK);
        assert_int_equal(sl_case_part(cs, load, &answer), SL_OK);
        assert_near("drawn", answer.current_a, amps[n], 1e-9);
        sl_case_free(cs);
    }
    sl_circuit_free(c);
}

/* What cannot give so much gives what it has: 12 V behind 1 ohm into 2 mohm; and nothing where
   nothing is connected. */
static void a_pile_wound_right_in(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "+ 0", "voltage=12");
    rig_part(c, "resistor", "R1", "+ a", "resistance=1");
    rig_part(c, "resistor", "R2", "loose 1", "resistance=1");
    const char *const reds[] = {"a", "loose"};
    const double wanted[] = {12.0 / 1.002, 0.0};
    for (int n = 0; n < 2; n++) {
        sl_case *cs = rig_case(c, 0);
        sl_pile pile;
        assert_int_equal(sl_case_pile(cs, sl_circuit_find_node(c, reds[n]),
                                      sl_circuit_find_node(c, "0"), 100.0, 2e-3, &pile),
                         SL_OK);
        assert_false(pile.reached);
        assert_near("amps", pile.current_a, wanted[n], 1e-12);
        assert_int_equal(sl_case_pile(cs, 0, 1, -1.0, 2e-3, &pile), SL_E_ARG);
        sl_case_free(cs);
    }
    sl_circuit_free(c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_voltmeter_loads_a_divider),
        cmocka_unit_test(ohms_of_a_part_by_itself),
        cmocka_unit_test(ohms_on_a_live_divider_are_false_both_ways),
        cmocka_unit_test(live_begins_where_it_shows),
        cmocka_unit_test(an_ohmmeter_leaves_nothing_behind),
        cmocka_unit_test(an_ammeter_in_series_changes_the_current),
        cmocka_unit_test(a_clamp_adds_what_is_in_its_jaws),
        cmocka_unit_test(a_clamp_tells_one_of_two_cables),
        cmocka_unit_test(a_carbon_pile_draws_what_it_is_set_to),
        cmocka_unit_test(a_pile_wound_right_in),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

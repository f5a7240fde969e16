/* The calls on a case one by one: what they return, what they leave alone, and where their limits
   are. Of the library this sees the public headers only. */
#include "near.h"
#include "rig.h"

#include <stdio.h>
#include <string.h>

/* E of 12 V, 2 ohm to "a", 4 ohm from there to "0"; a lamp that nothing feeds at "loose". */
static sl_circuit *divider(void)
{
    sl_circuit *c = rig_circuit(NULL);
    sl_node zero;
    assert_int_equal(sl_circuit_node(c, "0", &zero), SL_OK);
    assert_int_equal(sl_circuit_set_reference(c, zero), SL_OK);
    rig_part(c, "source", "E", "e 0", "voltage=12");
    rig_part(c, "resistor", "R1", "e a", "resistance=2");
    rig_part(c, "resistor", "R2", "a 0", "resistance=4");
    rig_part(c, "lamp", "L", "loose end", "power=5");
    return c;
}

static void outputs_stay_untouched_after_a_failure(void **unused)
{
    (void)unused;
    sl_circuit *c = divider();
    sl_case *none = (sl_case *)c;
    assert_int_equal(sl_case_new(c, 1, &none), SL_E_ARG);
    assert_int_equal(sl_case_new(c, -1, &none), SL_E_ARG);
    assert_ptr_equal(none, c);
    sl_case *cs = rig_case(c, 0);
    assert_string_equal(sl_case_message(cs), "");
    for (int solved = 0; solved < 2; solved++) {
        sl_part_answer answer, painted;
        memset(&painted, 0x5a, sizeof painted);
        memcpy(&answer, &painted, sizeof answer);
        double volts = 5.0, amps = 6.0, value = 7.0;
        const int32_t bad = solved ? 99 : 0; /* before a solve nothing can be read */
        assert_int_equal(sl_case_node(cs, bad, &volts), SL_E_ARG);
        assert_int_equal(sl_case_node(cs, -1, &volts), SL_E_ARG);
        assert_int_equal(sl_case_between(cs, 0, bad, &volts), SL_E_ARG);
        assert_int_equal(sl_case_between(cs, -1, 0, &volts), SL_E_ARG);
        assert_int_equal(sl_case_part(cs, bad, &answer), SL_E_ARG);
        assert_int_equal(sl_case_part(cs, -1, &answer), SL_E_ARG);
        assert_int_equal(sl_case_element(cs, bad, 0, &amps, &volts), SL_E_ARG);
        assert_int_equal(sl_case_element(cs, 0, solved, &amps, &volts), SL_E_ARG);
        assert_int_equal(sl_case_element(cs, 0, -1, &amps, &volts), SL_E_ARG);
        assert_int_equal(sl_case_part_value(cs, bad, 0, &value), SL_E_ARG);
        assert_int_equal(sl_case_part_value(cs, 1, solved, &value), SL_E_ARG);
        assert_int_equal(sl_case_part_value(cs, 1, -1, &value), SL_E_ARG);
        assert_int_equal(sl_case_notices(cs, bad, NULL, 0), 0);
        assert_memory_equal(&answer, &painted, sizeof answer);
        assert_true(volts == 5.0 && amps == 6.0 && value == 7.0);
        assert_int_equal(sl_case_solve(cs), SL_OK);
    }
    rig_free(c, cs);
}

static void an_edit_takes_the_answers_away_until_the_next_solve(void **unused)
{
    (void)unused;
    sl_circuit *c = divider();
    sl_case *cs = rig_solved(c, 0);
    assert_near("12 V * 4/6", rig_volts(cs, c, "a"), 8.0, 1e-15);
    const sl_edit fault = rig_set(c, "R2", "resistance", 1.0);
    assert_int_equal(sl_case_edit(cs, &fault, 1), SL_OK);
    assert_true(isnan(rig_volts(cs, c, "a")));
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_near("12 V * 1/3", rig_volts(cs, c, "a"), 4.0, 1e-15);
    double value = 0.0;
    sl_part r2 = sl_circuit_find_part(c, "R2");
    assert_int_equal(sl_case_part_value(cs, r2, 0, &value), SL_OK);
    assert_near("with the fault", value, 1.0, 0.0);
    assert_int_equal(sl_circuit_part_value(c, r2, 0, &value, NULL), SL_OK);
    assert_near("the circuit keeps its own", value, 4.0, 0.0);
    sl_case_clear(cs);
    assert_true(isnan(rig_volts(cs, c, "a")));
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_near("healthy", rig_volts(cs, c, "a"), 8.0, 1e-15);
    rig_free(c, cs);
}

static sl_origin origin_of(const sl_case *cs, const sl_circuit *c, const char *part,
                           const char *param)
{
    const sl_part at = sl_circuit_find_part(c, part);
    sl_origin origin = SL_NOT_SET;
    assert_int_equal(
        sl_case_part_origin(cs, at, rig_param(sl_circuit_part_kind(c, at), param), &origin), SL_OK);
    return origin;
}

static void a_value_says_whether_condition_or_fault_set_it(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B1", "+ 0", "cca=600, charge=0.9");
    const sl_part lamp = rig_part(c, "lamp", "L1", "+ 0", "power=21");
    sl_condition warm;
    assert_int_equal(sl_circuit_add_condition(c, "warm", &warm), SL_OK);
    const sl_edit held = rig_set(c, "B1", "charge", 0.8);
    assert_int_equal(sl_condition_edit(c, warm, &held), SL_OK);
    sl_case *cs = rig_solved(c, warm);
    assert_int_equal(origin_of(cs, c, "B1", "cca"), SL_GIVEN);
    assert_int_equal(origin_of(cs, c, "B1", "charge"), SL_BY_CONDITION);
    assert_int_equal(origin_of(cs, c, "B1", "health"), SL_BY_DEFAULT);
    assert_int_equal(origin_of(cs, c, "B1", "temperature"), SL_WORKED_OUT); /* that around it */
    assert_int_equal(origin_of(cs, c, "B1", "capacity"), SL_NOT_SET);
    assert_int_equal(origin_of(cs, c, "L1", "current"), SL_WORKED_OUT);
    const sl_edit faults[] = {rig_set(c, "B1", "charge", 0.5), rig_set(c, "B1", "health", 1.0),
                              rig_set(c, "L1", "power", 5.0)};
    assert_int_equal(sl_case_edit(cs, faults, 3), SL_OK);
    sl_origin origin;
    assert_int_equal(sl_case_part_origin(cs, lamp, 0, &origin), SL_E_ARG); /* not solved */
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_int_equal(origin_of(cs, c, "B1", "charge"), SL_BY_FAULT);
    assert_int_equal(origin_of(cs, c, "B1", "health"), SL_BY_FAULT); /* to what it was */
    assert_int_equal(origin_of(cs, c, "L1", "power"), SL_BY_FAULT);
    assert_int_equal(origin_of(cs, c, "L1", "current"), SL_WORKED_OUT); /* from the fault's */
    assert_int_equal(sl_case_part_origin(cs, lamp, 99, &origin), SL_E_ARG);
    assert_int_equal(sl_case_part_origin(cs, 99, 0, &origin), SL_E_ARG);
    sl_case_clear(cs);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_int_equal(origin_of(cs, c, "B1", "charge"), SL_BY_CONDITION);
    assert_int_equal(origin_of(cs, c, "L1", "power"), SL_GIVEN);
    rig_free(c, cs);
}

static void parts_answer_for_current_drop_and_power(void **unused)
{
    (void)unused;
    sl_circuit *c = divider();
    sl_case *cs = rig_solved(c, 0);
    static const struct {
        const char *part;
        double amps, volts, watts;
    } rows[] = {{"E", -2.0, 12.0, -24.0}, {"R1", 2.0, 4.0, 8.0}, {"R2", 2.0, 8.0, 16.0}};
    for (int i = 0; i < 3; i++) {
        sl_part_answer answer;
        assert_int_equal(sl_case_part(cs, sl_circuit_find_part(c, rows[i].part), &answer), SL_OK);
        assert_near(rows[i].part, answer.current_a, rows[i].amps, 1e-15);
        assert_near(rows[i].part, answer.drop_v, rows[i].volts, 1e-15);
        assert_near(rows[i].part, answer.power_w, rows[i].watts, 1e-15);
        assert_int_equal(answer.state, -1);
        assert_false(answer.chatters);
    }
    sl_quality quality;
    sl_case_quality(cs, &quality);
    assert_at_most("powers", quality.power_balance, 1e-15);
    rig_free(c, cs);
}

/* The lamp hangs on nothing. A meter from it to ground gives both its ends a level. */
static void a_meter_gives_a_floating_node_a_reading(void **unused)
{
    (void)unused;
    sl_circuit *c = divider();
    sl_case *cs = rig_solved(c, 0);
    double volts = 0.0;
    assert_int_equal(sl_case_node(cs, sl_circuit_find_node(c, "end"), &volts), SL_W_FLOATING);
    sl_part meter = SL_NONE, second = SL_NONE;
    assert_int_equal(rig_attach(cs, "meter", "DMM", "loose 0", "", &meter), SL_OK);
    assert_int_equal(meter, sl_circuit_part_count(c)); /* numbers go on after the circuit's */
    assert_int_equal(sl_case_part(cs, meter, &(sl_part_answer){0}), SL_E_ARG); /* not solved yet */
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_near("loose", rig_volts(cs, c, "loose"), 0.0, 0.0);
    assert_near("end", rig_volts(cs, c, "end"), 0.0, 0.0);

    /* and one at "a" shows what its own resistance leaves of 8 V behind 4/3 ohm */
    assert_int_equal(rig_attach(cs, "meter", "old", "a 0", "input_resistance=1000", &second),
                     SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    sl_notice notice[2] = {{-7, 0.0}, {-7, 0.0}};
    assert_int_equal(sl_case_notices(cs, second, notice, 2), 1);
    assert_near("reading", notice[0].value, 8.0 * 1000.0 / (1000.0 + 4.0 / 3.0), 1e-15);
    notice[0].index = -7;
    assert_int_equal(sl_case_notices(cs, second, notice, 0), 1); /* counted, not written */
    assert_int_equal(notice[0].index, -7);
    assert_int_equal(notice[1].index, -7);

    /* faults can be in what is attached; clearing keeps it attached */
    const sl_edit broken = {second, SL_OPEN, -1, 0.0};
    assert_int_equal(sl_case_edit(cs, &broken, 1), SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_near("no load", rig_volts(cs, c, "a"), 8.0, 1e-15);
    sl_case_clear(cs);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_near("loaded", rig_volts(cs, c, "a"), 8.0 * 1000.0 / (1000.0 + 4.0 / 3.0), 1e-15);
    assert_int_equal(sl_circuit_part_count(c), 4); /* the circuit knows nothing of it */
    rig_free(c, cs);
}

static void attaching_is_checked_like_adding(void **unused)
{
    (void)unused;
    sl_circuit *c = divider();
    sl_case *cs = rig_case(c, 0);
    static const struct {
        const char *kind, *name, *nodes, *values, *word;
        sl_status status;
    } rows[] = {
        {"meter", "DMM", "a nowhere", "", "nowhere", SL_E_NAME},
        {"meter", "R1", "a 0", "", "R1", SL_E_NAME},
        {"oscillograph", "X", "a 0", "", "oscillograph", SL_E_NAME},
        {"meter", "DMM", "a a", "", "\"a\"", SL_E_ARG},
        {"meter", "DMM", "a -", "", "black", SL_E_ARG},
        {"meter", "DMM", "a 0", "input_resistance=1", "input_resistance", SL_E_VALUE},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        sl_part part = -77;
        assert_int_equal(
            rig_attach(cs, rows[i].kind, rows[i].name, rows[i].nodes, rows[i].values, &part),
            rows[i].status);
        assert_int_equal(part, -77);
        if (!strstr(sl_case_message(cs), rows[i].word)) {
            fail_msg("\"%s\" lacks %s", sl_case_message(cs), rows[i].word);
        }
    }
    sl_part part;
    assert_int_equal(rig_attach(cs, "meter", "DMM", "a 0", "", &part), SL_OK);
    assert_int_equal(rig_attach(cs, "meter", "DMM", "a 0", "", &part), SL_E_NAME);
    assert_int_equal(rig_attach(cs, "relay", "K", "a 0 a 0 -", "", &part), SL_OK); /* 87a its own */
    assert_int_equal(sl_case_solve(cs), SL_OK);
    double volts = 0.0;
    sl_node own = sl_circuit_node_count(c);
    assert_int_equal(sl_case_node(cs, own, &volts), SL_OK); /* its coil wants 8 V and has less */
    assert_near("87a is on 30", volts, rig_volts(cs, c, "a"), 1e-15);
    rig_free(c, cs);
}

/* Copper: 1 + 0.00393 (T - 20): 0.9214 at 0 C, 1.393 at 120 C. */
static void conditions_have_temperatures_of_their_own(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "p 0", "resistance=1, temperature=20");
    rig_part(c, "cable", "C", "p 0", "per_metre=1, length=1");
    assert_int_equal(sl_circuit_set_temperature(c, 120.0), SL_OK);
    sl_condition plain = rig_condition(c, "plain"), cold = rig_condition(c, "cold");
    assert_int_equal(sl_condition_set_temperature(c, cold, 0.0), SL_OK);
    double ohm[2];
    for (int i = 0; i < 2; i++) {
        sl_case *cs = rig_solved(c, i ? cold : plain);
        ohm[i] = rig_volts(cs, c, "p") / rig_amps(cs, c, "C");
        sl_case_free(cs);
    }
    assert_near("the circuit's", ohm[0], 1.393, 1e-14);
    assert_near("its own", ohm[1], 0.9214, 1e-14);
    sl_circuit_free(c);
}

/* What warms itself is as warm as the current of the state that is read makes it: neither that of
   another order of two racing relays, nor that of the other end of a chatter. */
static void values_that_adjust_themselves_are_those_of_the_state_in_view(void **unused)
{
    (void)unused;
    for (int chatters = 0; chatters < 2; chatters++) {
        sl_circuit *c = rig_circuit(NULL);
        rig_part(c, "source", "E", "feed 0", "voltage=12");
        assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "0")), SL_OK);
        rig_part(c, "relay", "K1", chatters ? "feed out c1 0 c1" : "feed out c1 0 c2",
                 "operate_time=0.005");
        rig_part(c, "relay", "K2", "feed other c2 0 c1", "operate_time=0.006");
        rig_part(c, "cable", "C", "out load", "size=2.5, length=2, heating=steady");
        rig_part(c, "resistor", "R", "load 0", "resistance=0.5");
        const int32_t metal = rig_param(sl_kind_find("cable"), "metal_temperature");
        const sl_part cable = sl_circuit_find_part(c, "C");
        if (chatters) { /* K2 stays out of it */
            const sl_edit idle = rig_open(c, "K2", NULL);
            assert_int_equal(sl_condition_edit(c, 0, &idle), SL_OK);
        }
        sl_case *cs = rig_solved(c, 0);
        assert_int_equal(sl_case_outcome(cs), chatters ? SL_CHATTERS : SL_TIMING);
        for (int32_t view = 0; view <= chatters; view++) {
            double celsius = 0.0;
            assert_int_equal(sl_case_view(cs, view), SL_OK);
            assert_int_equal(sl_case_part_value(cs, cable, metal, &celsius), SL_OK);
            bool carries = fabs(rig_amps(cs, c, "C")) > 1.0;
            assert_int_equal(carries, view == chatters);
            assert_int_equal(celsius > 30.0, carries);
        }
        rig_free(c, cs);
    }
}

/* A long line of equal parts: from post n of 20000 one sees 1 ohm a part. */
static void long_lines_are_solved(void **unused)
{
    (void)unused;
    enum { PARTS = 20000 };
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "n0 n20000", "voltage=10");
    for (int i = 0; i < PARTS; i++) {
        char name[16], nodes[40];
        snprintf(name, sizeof name, "R%d", i);
        snprintf(nodes, sizeof nodes, "n%d n%d", i, i + 1);
        rig_part(c, "resistor", name, nodes, "resistance=1");
    }
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "n20000")), SL_OK);
    assert_int_equal(sl_circuit_node_count(c), PARTS + 1);
    sl_case *cs = rig_solved(c, 0);
    for (int i = 0; i < PARTS; i += 999) {
        char node[16];
        snprintf(node, sizeof node, "n%d", i);
        assert_near(node, rig_volts(cs, c, node), 10.0 * (PARTS - i) / PARTS, 1e-15);
    }
    assert_near("E", rig_amps(cs, c, "E"), -10.0 / PARTS, 1e-15);
    rig_free(c, cs);
}

/* 12 V through a key switch at start, 1 ohm behind it: what a fault adds to a contact is part of
   the drop across that contact, and adds up with the load to the source. */
static void drop_of_an_element_has_what_faults_added_to_it(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "feed ground", "voltage=12");
    sl_part key = rig_part(c, "key_switch", "KEY", "feed ign acc start", "position=start");
    rig_part(c, "resistor", "R", "start ground", "resistance=1");
    rig_part(c, "resistor", "I", "ign ground", "resistance=10");
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "ground")), SL_OK);
    sl_case *cs = rig_case(c, 0);
    sl_edit worn = rig_series(c, "KEY", "start contact", 0.5);
    assert_int_equal(sl_case_edit(cs, &worn, 1), SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    double amps, volts;
    int32_t contact = rig_element(sl_kind_find("key_switch"), "start contact");
    assert_int_equal(sl_case_element(cs, key, contact, &amps, &volts), SL_OK);
    assert_near("12 V over 5 + 500 mohm + 1 ohm", amps, 12.0 / 1.505, 1e-14);
    assert_near("drop", volts, 12.0 * 0.505 / 1.505, 1e-14);
    sl_part_answer whole; /* 30 against 15, though 75 leads nowhere */
    assert_int_equal(sl_case_part(cs, key, &whole), SL_OK);
    assert_near("drop of the part", whole.drop_v, 12.0 * 0.005 / 10.005, 1e-14);
    rig_free(c, cs);
}

/* A lead reaches the stud of a starter that nobody named, not the inside of an alternator; a
   starter whose solenoid is elsewhere has neither stud nor solenoid. */
static void leads_reach_studs_and_nothing_inside_a_part(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "+ 0", "cca=600");
    rig_part(c, "starter", "M1", "+ 0", "cranking_current=180");
    rig_part(c, "starter", "M2", "+ 0", "solenoid=none");
    rig_part(c, "alternator", "G", "+ 0", "rated_current=60");
    rig_part(c, "resistor", "R", "+ G.sense", "resistance=10");
    const struct {
        const char *node;
        sl_reach reach;
    } rows[] = {{"+", SL_TEST_POINT},      {"M1.M", SL_TEST_POINT}, {"M1.S", SL_TEST_POINT},
                {"M2.M", SL_INSIDE},       {"M2.S", SL_INSIDE},     {"G.inside", SL_INSIDE},
                {"G.sense", SL_TEST_POINT}};
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        const sl_node node = sl_circuit_find_node(c, rows[k].node);
        assert_true(node != SL_NONE);
        assert_int_equal(sl_circuit_node_reach(c, node), rows[k].reach);
    }
    assert_int_equal(sl_circuit_node_reach(c, SL_NONE), SL_INSIDE);
    assert_int_equal(sl_circuit_node_reach(c, sl_circuit_node_count(c)), SL_INSIDE);

    const sl_kind *starter = sl_kind_find("starter");
    const int32_t contacts = rig_element(starter, "contacts"),
                  motor = rig_element(starter, "motor");
    const sl_part m1 = sl_circuit_find_part(c, "M1"), m2 = sl_circuit_find_part(c, "M2");
    assert_false(sl_circuit_part_lacks(c, m1, SL_LACKS_ELEMENT, contacts));
    assert_true(sl_circuit_part_lacks(c, m2, SL_LACKS_ELEMENT, contacts));
    assert_false(sl_circuit_part_lacks(c, m2, SL_LACKS_ELEMENT, motor));
    assert_false(sl_circuit_part_lacks(c, SL_NONE, SL_LACKS_ELEMENT, contacts));
    sl_case *cs = rig_case(c, 0);
    const sl_edit burnt = {m2, SL_SERIES, contacts, 0.01};
    assert_int_equal(sl_case_edit(cs, &burnt, 1), SL_E_ARG);
    assert_string_equal(sl_case_message(cs), "starter \"M2\": this one has no contacts");
    assert_false(sl_case_part_lacks(cs, m2, SL_LACKS_ELEMENT, contacts)); /* not solved */
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_true(sl_case_part_lacks(cs, m2, SL_LACKS_ELEMENT, contacts));
    rig_free(c, cs);
}

/* The other end of an unused contact: the part may not have it at all. */
static void a_terminal_left_out_may_not_be_there(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "+ 0", "cca=600");
    rig_part(c, "relay", "K", "+ out + 0", "");
    assert_int_equal(sl_circuit_node_reach(c, sl_circuit_find_node(c, "K.87a")), SL_UNUSED);
    sl_circuit_free(c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(outputs_stay_untouched_after_a_failure),
        cmocka_unit_test(an_edit_takes_the_answers_away_until_the_next_solve),
        cmocka_unit_test(a_value_says_whether_condition_or_fault_set_it),
        cmocka_unit_test(parts_answer_for_current_drop_and_power),
        cmocka_unit_test(a_meter_gives_a_floating_node_a_reading),
        cmocka_unit_test(attaching_is_checked_like_adding),
        cmocka_unit_test(conditions_have_temperatures_of_their_own),
        cmocka_unit_test(values_that_adjust_themselves_are_those_of_the_state_in_view),
        cmocka_unit_test(long_lines_are_solved),
        cmocka_unit_test(drop_of_an_element_has_what_faults_added_to_it),
        cmocka_unit_test(leads_reach_studs_and_nothing_inside_a_part),
        cmocka_unit_test(a_terminal_left_out_may_not_be_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Circuits: everything is checked at the door, and what is refused leaves no trace. */
#include "circuit/circuit.h"
#include "near.h"
#include "probe.h"
#include "rig.h"

#include <string.h>

#define NONE ((double)NAN)

/* A part is refused with that status, a message that holds `word`, and nothing changed. */
static void refused(sl_circuit *c, const sl_part_def *def, sl_status status, const char *word)
{
    const int32_t nodes = sl_circuit_node_count(c), parts = sl_circuit_part_count(c);
    const int32_t values = c->parts.value_count, ends = c->parts.node_count;
    sl_part out = -77;
    assert_int_equal(sl_circuit_add(c, def, &out), status);
    if (!strstr(sl_circuit_message(c), word)) {
        fail_msg("\"%s\" does not hold \"%s\"", sl_circuit_message(c), word);
    }
    assert_int_equal(out, -77);
    assert_int_equal(sl_circuit_node_count(c), nodes);
    assert_int_equal(sl_circuit_part_count(c), parts);
    assert_int_equal(c->parts.value_count, values);
    assert_int_equal(c->parts.node_count, ends);
    assert_int_equal(sl_circuit_find_node(c, "new a"), SL_NONE);
    assert_int_equal(sl_circuit_find_node(c, "new b"), SL_NONE);
}

static const char *const new_nodes[] = {"new a", "new b"};

static void resistor_refused(sl_circuit *c, const char *name, const char *const *nodes, double ohm,
                             sl_status status, const char *word)
{
    const sl_part_def def = {.kind = "resistor", .name = name, .nodes = nodes, .values = &ohm};
    refused(c, &def, status, word);
}

static void a_new_circuit_is_empty(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    assert_string_equal(sl_circuit_message(c), "");
    assert_int_equal(sl_circuit_node_count(c), 0);
    assert_int_equal(sl_circuit_part_count(c), 0);
    assert_int_equal(sl_circuit_reference(c), SL_NONE);
    assert_null(sl_circuit_node_name(c, 0));
    assert_null(sl_circuit_node_name(c, -1));
    assert_null(sl_circuit_part_name(c, 0));
    assert_null(sl_circuit_part_kind(c, 0));
    assert_int_equal(sl_circuit_part_node(c, 0, 0), SL_NONE);
    assert_int_equal(sl_circuit_find_part(c, "B1"), SL_NONE);
    sl_circuit_free(c);
    sl_circuit_free(NULL);
}

static void nodes_are_made_once_and_need_a_name(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    char name[] = "stud";
    sl_node a = -1, b = -1, none = -77;
    assert_int_equal(sl_circuit_node(c, name, &a), SL_OK);
    name[0] = 'm'; /* the text was copied */
    assert_int_equal(sl_circuit_node(c, "stud", &b), SL_OK);
    assert_int_equal(a, b);
    assert_string_equal(sl_circuit_node_name(c, a), "stud");
    assert_int_equal(sl_circuit_node(c, "", &none), SL_E_ARG);
    assert_int_equal(sl_circuit_node(c, NULL, &none), SL_E_ARG);
    assert_int_equal(none, -77);
    assert_int_equal(sl_circuit_node_count(c), 1);
    sl_circuit_free(c);
}

static void a_part_is_held_as_given(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    sl_part b = rig_part(c, "battery", "B1", "plus minus", "cca=500");
    sl_part k = rig_part(c, "relay", "K1", "plus out coil minus -", "");
    assert_int_equal(b, 0);
    assert_int_equal(k, 1);
    assert_string_equal(sl_circuit_part_name(c, k), "K1");
    assert_string_equal(sl_circuit_part_kind(c, k)->name, "relay");
    assert_int_equal(sl_circuit_find_part(c, "K1"), k);
    assert_int_equal(sl_circuit_part_node(c, k, 0), sl_circuit_part_node(c, b, 0));
    assert_int_equal(sl_circuit_part_node(c, k, 3), sl_circuit_find_node(c, "minus"));
    /* a terminal left out has a node of its own */
    assert_int_equal(sl_circuit_part_node(c, k, 4), sl_circuit_find_node(c, "K1.87a"));
    assert_int_equal(sl_circuit_part_node(c, k, 5), SL_NONE);
    assert_int_equal(sl_circuit_part_node(c, k, -1), SL_NONE);
    sl_circuit_free(c);
}

static void unknown_kind_is_refused(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    const sl_part_def def = {
        .kind = "capacitor", .name = "X1", .nodes = new_nodes, .values = (double[]){1.0}};
    refused(c, &def, SL_E_NAME, "capacitor");
    sl_circuit_free(c);
}

static void names_of_parts_are_checked(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "resistor", "R1", "a b", "resistance=1");
    resistor_refused(c, "R1", new_nodes, 1.0, SL_E_NAME, "R1");
    resistor_refused(c, "K1: open", new_nodes, 1.0, SL_E_ARG, "colon");
    resistor_refused(c, "", new_nodes, 1.0, SL_E_ARG, "name");
    resistor_refused(c, NULL, new_nodes, 1.0, SL_E_ARG, "name");
    sl_circuit_free(c);
}

static void terminals_are_checked(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    resistor_refused(c, "R1", (const char *const[]){"new a", NULL}, 1.0, SL_E_ARG, "terminal b");
    resistor_refused(c, "R1", (const char *const[]){"", "new b"}, 1.0, SL_E_ARG, "terminal a");
    resistor_refused(c, "R1", (const char *const[]){"new a", "new a"}, 1.0, SL_E_ARG, "new a");
    /* the same where only one of several elements is shorted: coil of a relay */
    double value[40];
    for (int i = 0; i < 40; i++) {
        value[i] = NONE;
    }
    const sl_part_def relay = {.kind = "relay",
                               .name = "K1",
                               .nodes = (const char *const[]){"x", "y", "new a", "new a", NULL},
                               .values = value};
    refused(c, &relay, SL_E_ARG, "coil");
    assert_int_equal(sl_circuit_node_count(c), 0);
    sl_circuit_free(c);
}

/* Two parts whose names differ only far behind must not share the nodes made from their names. */
static void names_too_long_for_a_node_of_their_own_are_refused(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    char name[700];
    memset(name, 'K', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    double value[40];
    for (int i = 0; i < 40; i++) {
        value[i] = NONE;
    }
    const char *nodes[] = {"new a", "new b", "x", "y", NULL};
    const sl_part_def def = {.kind = "relay", .name = name, .nodes = nodes, .values = value};
    refused(c, &def, SL_E_ARG, "87a");
    nodes[4] = "z"; /* all terminals named: nothing stands against it */
    sl_part part = SL_NONE;
    assert_int_equal(sl_circuit_add(c, &def, &part), SL_OK);
    assert_string_equal(sl_circuit_part_name(c, part), name);
    sl_circuit_free(c);
}

static void values_are_checked(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    static const double bad[] = {-1.0, -1e-300, 1.1e15, INFINITY, -INFINITY};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        resistor_refused(c, "R1", new_nodes, bad[i], SL_E_VALUE, "resistance");
    }
    resistor_refused(c, "R1", new_nodes, NONE, SL_E_VALUE, "missing");
    assert_int_equal(rig_try(c, "resistor", "R0", "a b", "resistance=0", &(sl_part){0}), SL_OK);
    assert_int_equal(rig_try(c, "resistor", "R9", "a b", "resistance=1e15", &(sl_part){0}), SL_OK);
    sl_part out = -77;
    /* a choice is a whole number; what concerns several parameters is checked too */
    assert_int_equal(rig_try(c, "switch", "S1", "a b", "position=0.5", &out), SL_E_VALUE);
    assert_int_equal(rig_try(c, "source", "E1", "a b", "", &out), SL_E_VALUE);
    assert_int_equal(rig_try(c, "source", "E1", "a b", "voltage=1, current=1", &out), SL_E_VALUE);
    assert_int_equal(rig_try(c, "lamp", "L1", "a b", "power=21, current=5", &out), SL_E_VALUE);
    assert_int_equal(out, -77);
    sl_circuit_free(c);
}

static void the_speed_of_the_engine_reaches_all_that_turn_with_it(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    const sl_part lamp = rig_part(c, "lamp", "L1", "a 0", "power=21");
    rig_part(c, "battery", "B1", "a 0", "cca=600");
    assert_int_equal(sl_condition_set_engine_speed(c, 0, 1500.0), SL_E_VALUE);
    assert_non_null(strstr(sl_circuit_message(c), "turns with the engine"));
    const sl_part port = rig_part(c, "alternator", "G1", "a 0", "");
    const sl_part starboard = rig_part(c, "alternator", "G2", "b 0", "");
    sl_condition running;
    assert_int_equal(sl_circuit_add_condition(c, "running", &running), SL_OK);
    assert_int_equal(sl_condition_set_engine_speed(c, running, 30001.0), SL_E_VALUE);
    assert_int_equal(c->condition[running].edit_count, 0);
    assert_int_equal(sl_condition_set_engine_speed(c, running, -1.0), SL_E_VALUE);
    assert_int_equal(sl_condition_set_engine_speed(c, 99, 1500.0), SL_E_ARG);
    assert_int_equal(sl_condition_set_engine_speed(c, running, 1500.0), SL_OK);
    const sl_edit other = rig_set(c, "G2", "speed", 800.0);
    assert_int_equal(sl_condition_edit(c, running, &other), SL_OK);
    sl_case *cs = rig_solved(c, running);
    const int32_t speed = rig_param(sl_circuit_part_kind(c, port), "speed");
    double rpm = 0.0;
    assert_int_equal(sl_case_part_value(cs, port, speed, &rpm), SL_OK);
    assert_near("of the engine", rpm, 1500.0, 0.0);
    assert_int_equal(sl_case_part_value(cs, starboard, speed, &rpm), SL_OK);
    assert_near("of its own", rpm, 800.0, 0.0);
    assert_int_equal(sl_circuit_part_value(c, lamp, 0, &rpm, NULL), SL_OK);
    rig_free(c, cs);
}

static void origins_of_values_are_told(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    sl_part l = rig_part(c, "lamp", "L1", "a b", "power=21");
    sl_part s = rig_part(c, "source", "E1", "a b", "voltage=12");
    const sl_kind *lamp = sl_circuit_part_kind(c, l), *source = sl_circuit_part_kind(c, s);
    const struct {
        sl_part part;
        int32_t param;
        double value;
        sl_origin origin;
    } rows[] = {
        {l, rig_param(lamp, "power"), 21.0, SL_GIVEN},
        {l, rig_param(lamp, "voltage"), 12.0, SL_BY_DEFAULT},
        {l, rig_param(lamp, "current"), 1.75, SL_WORKED_OUT}, /* 21 W / 12 V */
        {s, rig_param(source, "voltage"), 12.0, SL_GIVEN},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double value = NONE;
        sl_origin origin = SL_NOT_SET;
        assert_int_equal(sl_circuit_part_value(c, rows[i].part, rows[i].param, &value, &origin),
                         SL_OK);
        assert_near("value", value, rows[i].value, 1e-15);
        assert_int_equal(origin, rows[i].origin);
    }
    double value = 0.0;
    sl_origin origin = SL_GIVEN;
    int32_t current = rig_param(source, "current");
    assert_int_equal(sl_circuit_part_value(c, s, current, &value, &origin), SL_OK);
    assert_true(isnan(value));
    assert_int_equal(origin, SL_NOT_SET);
    assert_int_equal(sl_circuit_part_value(c, s, current, NULL, NULL), SL_OK);
    value = 5.0;
    assert_int_equal(sl_circuit_part_value(c, s, 99, &value, NULL), SL_E_ARG);
    assert_int_equal(sl_circuit_part_value(c, s, -1, &value, NULL), SL_E_ARG);
    assert_int_equal(sl_circuit_part_value(c, 9, 0, &value, NULL), SL_E_ARG);
    assert_near("untouched", value, 5.0, 0.0);
    sl_circuit_free(c);
}

static void reference_is_the_first_battery_unless_said(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "resistor", "R1", "a b", "resistance=1");
    assert_int_equal(sl_circuit_reference(c), SL_NONE);
    sl_case *cs = NULL;
    assert_int_equal(sl_case_new(c, 0, &cs), SL_E_REFERENCE);
    assert_null(cs);
    rig_part(c, "battery", "B1", "a minus", "cca=500");
    rig_part(c, "battery", "B2", "b other", "cca=500");
    assert_int_equal(sl_circuit_reference(c), sl_circuit_find_node(c, "minus"));
    assert_int_equal(sl_circuit_set_reference(c, -1), SL_E_ARG);
    assert_int_equal(sl_circuit_set_reference(c, 99), SL_E_ARG);
    assert_int_equal(sl_circuit_reference(c), sl_circuit_find_node(c, "minus"));
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "b")), SL_OK);
    assert_int_equal(sl_circuit_reference(c), sl_circuit_find_node(c, "b"));
    sl_circuit_free(c);
}

static void temperatures_are_checked(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    static const double bad[] = {-60.1, 200.1, INFINITY, (double)NAN};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        assert_int_equal(sl_circuit_set_temperature(c, bad[i]), SL_E_VALUE);
        assert_non_null(strstr(sl_circuit_message(c), "temperature"));
        assert_int_equal(sl_condition_set_temperature(c, 0, bad[i]), SL_E_VALUE);
    }
    assert_near("as it was", c->celsius, 20.0, 0.0);
    assert_int_equal(sl_circuit_set_temperature(c, -60.0), SL_OK);
    assert_int_equal(sl_condition_set_temperature(c, 0, 200.0), SL_OK);
    assert_int_equal(sl_condition_set_temperature(c, 1, 20.0), SL_E_ARG);
    assert_int_equal(sl_condition_set_temperature(c, -1, 20.0), SL_E_ARG);
    sl_circuit_free(c);
}

static void rest_stands_in_until_a_condition_is_given(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    assert_int_equal(sl_circuit_condition_count(c), 1);
    assert_string_equal(sl_circuit_condition_name(c, 0), "rest");
    sl_condition key = rig_condition(c, "key on");
    assert_int_equal(key, 0);
    assert_int_equal(sl_circuit_condition_count(c), 1);
    assert_string_equal(sl_circuit_condition_name(c, 0), "key on");
    assert_int_equal(sl_circuit_find_condition(c, "rest"), SL_NONE);
    assert_int_equal(sl_circuit_find_condition(c, "key on"), 0);
    /* "rest" can be one of the given ones, and only once */
    assert_int_equal(rig_condition(c, "rest"), 1);
    sl_condition out = -77;
    assert_int_equal(sl_circuit_add_condition(c, "rest", &out), SL_E_NAME);
    assert_int_equal(sl_circuit_add_condition(c, "", &out), SL_E_ARG);
    assert_int_equal(sl_circuit_add_condition(c, NULL, &out), SL_E_ARG);
    assert_int_equal(out, -77);
    assert_null(sl_circuit_condition_name(c, 2));
    sl_circuit_free(c);

    c = rig_circuit(NULL);
    assert_int_equal(rig_condition(c, "rest"), 0); /* also as the first */
    assert_int_equal(sl_circuit_add_condition(c, "rest", &out), SL_E_NAME);
    sl_circuit_free(c);
}

/* What was said of the stand-in goes with it. */
static void stand_in_takes_its_edits_away(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    sl_circuit *c = rig_circuit(&al);
    rig_part(c, "battery", "B1", "plus minus", "cca=500");
    sl_edit weak = rig_set(c, "B1", "charge", 0.5);
    assert_int_equal(sl_condition_edit(c, 0, &weak), SL_OK);
    assert_int_equal(sl_condition_set_temperature(c, 0, -20.0), SL_OK);
    rig_condition(c, "first");
    assert_int_equal(c->condition[0].edit_count, 0);
    assert_true(isnan(c->condition[0].celsius));
    assert_int_equal(c->condition[0].after, SL_NONE);
    sl_circuit_free(c);
    assert_int_equal(probe.live_blocks, 0);
}

static void first_condition_without_memory_keeps_the_stand_in(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    sl_circuit *c = rig_circuit(&al);
    probe.fail_at = probe.calls;
    sl_condition out = -77;
    assert_int_equal(sl_circuit_add_condition(c, "key on", &out), SL_E_NOMEM);
    assert_int_equal(out, -77);
    assert_int_equal(sl_circuit_condition_count(c), 1);
    assert_string_equal(sl_circuit_condition_name(c, 0), "rest");
    assert_int_equal(rig_condition(c, "key on"), 0);
    assert_int_equal(sl_circuit_condition_count(c), 1);
    sl_circuit_free(c);
    assert_int_equal(probe.live_blocks, 0);
}

static void a_condition_comes_after_an_earlier_one_only(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    sl_condition a = rig_condition(c, "a"), b = rig_condition(c, "b");
    assert_int_equal(sl_condition_after(c, b, a), SL_OK);
    assert_int_equal(sl_condition_after(c, a, b), SL_E_ARG);
    assert_int_equal(sl_condition_after(c, b, b), SL_E_ARG);
    assert_int_equal(sl_condition_after(c, b, -1), SL_E_ARG);
    assert_int_equal(sl_condition_after(c, 2, a), SL_E_ARG);
    assert_int_equal(c->condition[b].after, a);
    sl_circuit_free(c);
}

static void edits_are_checked(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "resistor", "R1", "a b", "resistance=1");
    rig_part(c, "relay", "K1", "a b c d -", "suppressor=680");
    const struct {
        sl_edit edit;
        sl_status status;
    } rows[] = {
        {{0, SL_SET, 0, 5.0}, SL_OK},          {{0, SL_SET, 0, -1.0}, SL_E_VALUE},
        {{0, SL_SET, 0, NONE}, SL_E_VALUE},    {{0, SL_SET, 1, 1.0}, SL_E_ARG},
        {{0, SL_SET, -1, 1.0}, SL_E_ARG},      {{2, SL_SET, 0, 1.0}, SL_E_ARG},
        {{-1, SL_SET, 0, 1.0}, SL_E_ARG},      {{0, SL_OPEN, -1, 0.0}, SL_OK},
        {{0, SL_OPEN, 0, 0.0}, SL_OK},         {{0, SL_OPEN, 1, 0.0}, SL_E_ARG},
        {{0, SL_OPEN, -2, 0.0}, SL_E_ARG},     {{0, SL_SERIES, -1, 0.05}, SL_OK},
        {{0, SL_SERIES, 0, 1e15}, SL_OK},      {{0, SL_SERIES, 0, 0.0}, SL_E_VALUE},
        {{0, SL_SERIES, 0, -1.0}, SL_E_VALUE}, {{0, SL_SERIES, 0, NONE}, SL_E_VALUE},
        {{0, SL_SERIES, 0, 2e15}, SL_E_VALUE}, {{1, SL_SERIES, 3, 1.0}, SL_OK},
        {{1, SL_SERIES, 4, 1.0}, SL_E_ARG},    {{1, SL_SERIES, -1, 1.0}, SL_E_ARG}, /* which? */
        {{1, SL_OPEN, -1, 0.0}, SL_OK},
    };
    sl_case *cs = NULL;
    assert_int_equal(sl_circuit_set_reference(c, 0), SL_OK);
    assert_int_equal(sl_case_new(c, 0, &cs), SL_OK);
    int32_t good = 0;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_int_equal(sl_condition_edit(c, 0, &rows[i].edit), rows[i].status);
        assert_int_equal(sl_case_edit(cs, &rows[i].edit, 1), rows[i].status); /* the same door */
        good += rows[i].status == SL_OK;
        assert_int_equal(c->condition[0].edit_count, good);
    }
    assert_int_equal(sl_condition_edit(c, 1, &rows[0].edit), SL_E_ARG);
    assert_int_equal(sl_condition_edit(c, -1, &rows[0].edit), SL_E_ARG);
    rig_free(c, cs);
}

/* Of several edits none is taken when one is wrong. */
static void edits_come_together_or_not_at_all(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E1", "a 0", "voltage=12");
    rig_part(c, "resistor", "R1", "a b", "resistance=1");
    rig_part(c, "resistor", "R2", "b 0", "resistance=1");
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "0")), SL_OK);
    sl_case *cs = rig_case(c, 0);
    const sl_edit edits[] = {rig_set(c, "R2", "resistance", 3.0),
                             rig_set(c, "R2", "resistance", -3.0)};
    assert_int_equal(sl_case_edit(cs, edits, 2), SL_E_VALUE);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_near("12 / 2", rig_volts(cs, c, "b"), 6.0, 1e-15);
    assert_int_equal(sl_case_edit(cs, edits, 1), SL_OK);
    assert_int_equal(sl_case_edit(cs, NULL, 0), SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_near("12 * 3/4", rig_volts(cs, c, "b"), 9.0, 1e-15);
    rig_free(c, cs);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_new_circuit_is_empty),
        cmocka_unit_test(nodes_are_made_once_and_need_a_name),
        cmocka_unit_test(a_part_is_held_as_given),
        cmocka_unit_test(unknown_kind_is_refused),
        cmocka_unit_test(names_of_parts_are_checked),
        cmocka_unit_test(terminals_are_checked),
        cmocka_unit_test(names_too_long_for_a_node_of_their_own_are_refused),
        cmocka_unit_test(values_are_checked),
        cmocka_unit_test(the_speed_of_the_engine_reaches_all_that_turn_with_it),
        cmocka_unit_test(origins_of_values_are_told),
        cmocka_unit_test(reference_is_the_first_battery_unless_said),
        cmocka_unit_test(temperatures_are_checked),
        cmocka_unit_test(rest_stands_in_until_a_condition_is_given),
        cmocka_unit_test(stand_in_takes_its_edits_away),
        cmocka_unit_test(first_condition_without_memory_keeps_the_stand_in),
        cmocka_unit_test(a_condition_comes_after_an_earlier_one_only),
        cmocka_unit_test(edits_are_checked),
        cmocka_unit_test(edits_come_together_or_not_at_all),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

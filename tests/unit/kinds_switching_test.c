/* Switches of every shape: which contacts are closed in which position, and what is hot. */
#include "kindprobe.h"
#include "near.h"

#include <string.h>

/* Elements that are there, "1" or "0" each. */
static const char *closed(probe *part, const char *position, double ohm)
{
    static char text[PROBE_ELEMENTS + 1];
    probe_choose(part, "position", position);
    const sl__law *law = probe_laws(part, 20.0, 0);
    const int32_t count = part->kind->about.element_count;
    for (int32_t n = 0; n < count; n++) {
        text[n] = law[n].form == SL__OHMIC ? '1' : '0';
        if (law[n].form == SL__OHMIC) {
            assert_near("resistance", law[n].ohm, ohm, 1e-15);
        }
    }
    text[count] = '\0';
    return text;
}

static void positions_close_their_contacts(void **unused)
{
    (void)unused;
    static const struct {
        const char *kind, *position, *closed;
        double mohm;
    } rows[] = {
        {"switch", "open", "0", 5},
        {"switch", "closed", "1", 5},
        {"double_switch", "open", "00", 5},
        {"double_switch", "closed", "11", 5},
        {"changeover", "a", "10", 5},
        {"changeover", "b", "01", 5},
        {"changeover", "off", "00", 5},
        {"selector", "off", "00", 0.3},
        {"selector", "1", "10", 0.3},
        {"selector", "2", "01", 0.3},
        {"selector", "both", "11", 0.3},
        /* 75, 15 and 50 */
        {"key_switch", "off", "000", 5},
        {"key_switch", "accessory", "100", 5},
        {"key_switch", "on", "110", 5},
        {"key_switch", "start", "011", 5},
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = probe_of(rows[r].kind);
        assert_string_equal(closed(&part, rows[r].position, 1e-3 * rows[r].mohm), rows[r].closed);
        probe_set(&part, "resistance", 0.02);
        assert_string_equal(closed(&part, rows[r].position, 0.02), rows[r].closed);
        const sl_kind *about = &part.kind->about;
        assert_string_equal(about->params[about->position_param].name, "position");
    }
}

/* Terminals in the order of a circuit file, and the ends of each contact. */
static void contacts_join_their_terminals(void **unused)
{
    (void)unused;
    static const struct {
        const char *kind, *element, *from, *to;
    } rows[] = {
        {"double_switch", "first", "a1", "b1"},
        {"double_switch", "second", "a2", "b2"},
        {"changeover", "to a", "common", "a"},
        {"changeover", "to b", "common", "b"},
        {"selector", "to 1", "1", "common"},
        {"selector", "to 2", "2", "common"},
        {"key_switch", "accessory contact", "30", "75"},
        {"key_switch", "ignition contact", "30", "15"},
        {"key_switch", "start contact", "30", "50"},
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        const sl_kind *about = sl_kind_find(rows[r].kind);
        assert_non_null(about);
        bool found = false;
        for (int32_t n = 0; n < about->element_count; n++) {
            if (strcmp(about->elements[n].name, rows[r].element) == 0) {
                found = true;
                assert_string_equal(about->terminals[about->elements[n].from].name, rows[r].from);
                assert_string_equal(about->terminals[about->elements[n].to].name, rows[r].to);
            }
        }
        assert_true(found);
    }
}

static void key_switch_can_keep_or_lose_a_feed_while_starting(void **unused)
{
    (void)unused;
    probe part = probe_of("key_switch");
    probe_choose(&part, "accessory_while_starting", "on");
    assert_string_equal(closed(&part, "start", 5e-3), "111");
    probe_mode(&part, "no ignition at start", 0.0);
    assert_string_equal(closed(&part, "start", 5e-3), "101");
    assert_string_equal(closed(&part, "on", 5e-3), "110"); /* fires once the key is let go */
    probe_mode(&part, "stuck at start", 3.0);
    probe_laws(&part, 20.0, 0);
    assert_int_equal(part.law[2].form, SL__OHMIC);
}

/* A disconnect while cranking: a US Army TM allows 0.5 V, and a mechanical switch 0.1 V. */
static void disconnect_is_a_switch_of_little_resistance(void **unused)
{
    (void)unused;
    probe part = probe_of("switch");
    probe_choose(&part, "style", "disconnect");
    assert_string_equal(closed(&part, "open", 0.3e-3), "0");
    assert_string_equal(closed(&part, "closed", 0.3e-3), "1");
    assert_true(300.0 * part.law[0].ohm <= 0.1);
    assert_null(probe_notice(&part, 0.16, 520.0, NULL)); /* in the cold */
    assert_null(probe_notice(&part, 0.199, 300.0, NULL));
    assert_string_equal(probe_notice(&part, -0.201, -300.0, NULL), "hot");
    /* 18 mohm at 300 A */
    double watts = 0.0;
    assert_string_equal(probe_notice(&part, 5.4, 300.0, &watts), "hot");
    assert_near("1620 W", watts, 1620.0, 1e-12);
    probe_choose(&part, "style", "ordinary");
    assert_string_equal(closed(&part, "closed", 5e-3), "1");
    assert_null(probe_notice(&part, 0.099, 300.0, NULL));
    assert_string_equal(probe_notice(&part, 0.101, 300.0, NULL), "hot");
}

static void hot_contacts_add_up(void **unused)
{
    (void)unused;
    static const char *const kinds[] = {"double_switch", "changeover", "selector", "key_switch"};
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
        probe part = probe_of(kinds[k]);
        probe_laws(&part, 20.0, 0);
        const sl__flow flow[PROBE_ELEMENTS] = {{.v = 0.3, .i = 20.0},
                                               {.v = -0.1, .i = -20.0, .added_v = -0.2}};
        sl__notice_list list = {0};
        part.kind->notice(part.p, 0, flow, &list);
        assert_int_equal(list.count, 1);
        assert_near("6 W and 6 W", list.item[0].value, 12.0, 1e-12);
        const sl__flow cool[PROBE_ELEMENTS] = {{.v = 0.09, .i = 200.0}, {.v = 12.0, .i = 0.0}};
        list = (sl__notice_list){0};
        part.kind->notice(part.p, 0, cool, &list);
        assert_int_equal(list.count, 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(positions_close_their_contacts),
        cmocka_unit_test(contacts_join_their_terminals),
        cmocka_unit_test(key_switch_can_keep_or_lose_a_feed_while_starting),
        cmocka_unit_test(disconnect_is_a_switch_of_little_resistance),
        cmocka_unit_test(hot_contacts_add_up),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

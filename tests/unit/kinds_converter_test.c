/* What makes one voltage from another: the converter, the equaliser and the bench supply. */
#include "kindprobe.h"
#include "near.h"

#include <string.h>

#include <string.h>

static double current(const sl__law *law, double v)
{
    double i = 0.0, slope = 0.0;
    assert_int_equal(law->form, SL__CURVE);
    sl__law_current(law, v, &i, &slope);
    return i;
}

enum { INPUT, OUTPUT, REFERENCE, GROUND_LINK, BLEED };
enum { OFF, WORKING };

static probe down(void)
{
    probe c = probe_of("converter");
    probe_set(&c, "output_voltage", 13.2);
    probe_set(&c, "current_limit", 20.0);
    return c;
}

static void a_converter_gives_what_it_is_asked_up_to_its_limit(void **unused)
{
    (void)unused;
    probe c = down();
    const sl__law *law = probe_laws(&c, 20.0, WORKING);
    assert_near("no load", law[REFERENCE].open_v, 13.2, 1e-12);
    assert_near("half", current(&law[OUTPUT], -0.05), -10.0, 1e-6);
    assert_near("limit", current(&law[OUTPUT], -0.1), -20.0, 1e-6);
    assert_near("0.1 % more for a volt", current(&law[OUTPUT], -1.1), -20.02, 1e-6);
    assert_near("none in", current(&law[OUTPUT], 1.0), 1e-6, 1e-9);
    law = probe_laws(&c, 20.0, OFF);
    assert_near("off", law[REFERENCE].open_v, 0.0, 0.0);
    assert_near("off, blocks", current(&law[OUTPUT], 12.0), 12e-6, 1e-9);
    assert_int_equal(law[INPUT].form, SL__OHMIC);
}

static void a_converters_input_takes_power(void **unused)
{
    (void)unused;
    probe c = down();
    probe_set(&c, "draw", 100.0);
    const sl__law *law = probe_laws(&c, 20.0, WORKING);
    for (double volts = 21.0; volts < 30.0; volts += 1.0) {
        assert_near("100 W", volts * current(&law[INPUT], volts), 100.0, 1e-12);
    }
    /* below the cut-out voltage a resistance */
    assert_near("folded", current(&law[INPUT], 10.5), 0.5 * current(&law[INPUT], 21.0), 1e-12);

    sl__flow flow[5] = {{.v = 0.0}};
    flow[OUTPUT] = (sl__flow){.v = -0.05, .i = -10.0};
    flow[REFERENCE] = (sl__flow){.v = 13.2, .i = -10.0};
    flow[INPUT] = (sl__flow){.v = 24.0, .i = 4.0};
    assert_near("in", c.kind->trim(c.p, 20.0, WORKING, flow), 13.15 * 10.0 / 0.88 + 1.0, 1e-12);
    assert_near("off", c.kind->trim(c.p, 20.0, OFF, flow), 100.0, 0.0);
    flow[OUTPUT].i = flow[REFERENCE].i = 1e-6; /* somebody feeds its output */
    assert_near("idle", c.kind->trim(c.p, 20.0, WORKING, flow), 1.0, 1e-12);
}

static void a_converter_switches_by_its_input(void **unused)
{
    (void)unused;
    const struct {
        double output_v, cut_out, recovery;
    } kinds[] = {{13.2, 21.0, 23.0}, {27.0, 10.5, 11.5}};
    for (int k = 0; k < 2; k++) {
        probe c = down();
        probe_set(&c, "output_voltage", kinds[k].output_v);
        probe_laws(&c, 20.0, OFF);
        for (double volts = 5.0; volts < 30.0; volts += 0.0625) {
            sl__flow flow[5] = {{.v = 0.0}};
            flow[INPUT] = (sl__flow){.v = volts, .i = 0.1};
            assert_int_equal(c.kind->wants(c.p, 20.0, WORKING, flow), volts >= kinds[k].cut_out);
            assert_int_equal(c.kind->wants(c.p, 20.0, OFF, flow), volts >= kinds[k].recovery);
            flow[INPUT].i = 0.0; /* a broken feed with voltage at its far end */
            assert_int_equal(c.kind->wants(c.p, 20.0, WORKING, flow), OFF);
        }
    }
    probe c = down();
    probe_set(&c, "recovery", 20.0);
    probe_laws(&c, 20.0, OFF);
    assert_near("in proportion", c.p[probe_param(&c, "cut_out")], 20.0 * 10.5 / 11.5, 1e-12);
    probe_set(&c, "cut_out", 20.5);
    probe_complains(&c, "cut_out", "recovery");
}

static void grounds_are_joined_or_not(void **unused)
{
    (void)unused;
    probe c = down();
    assert_int_equal(probe_laws(&c, 20.0, WORKING)[GROUND_LINK].form, SL__OHMIC);
    probe_choose(&c, "grounds", "isolated");
    assert_int_equal(probe_laws(&c, 20.0, WORKING)[GROUND_LINK].form, SL__ABSENT);
}

enum { UPPER, UPPER_HALF, LOWER, LOWER_HALF, IDLE };

/* For the limit at the tap, what is taken and what is given add up to it. */
static void an_equaliser_moves_charge_and_loses_a_tenth(void **unused)
{
    (void)unused;
    probe e = probe_of("equaliser");
    probe_set(&e, "half", 12.5);
    const sl__law *law = probe_laws(&e, 20.0, WORKING);
    assert_near("holds", law[UPPER_HALF].open_v, 12.5, 0.0);
    assert_near("both", law[LOWER_HALF].open_v, 12.5, 0.0);
    for (double off = -0.2; off <= 0.2; off += 0.0125) { /* the tap below half */
        double upper = current(&law[UPPER], off), lower = current(&law[LOWER], -off);
        double moved = fmin(fmax(off / 0.05, -1.0), 1.0) * 10.0;
        assert_at_most("moved", fabs(upper - lower - moved), 1e-6);
        double taken = fmax(upper, lower), given = -fmin(upper, lower);
        assert_at_most("a tenth is lost", fabs(given - 0.9 * taken), 1e-6);
        assert_true((12.5 + off) * upper + (12.5 - off) * lower >= 0.0); /* no power from nothing */
    }
    assert_near("idle", 24.0 / law[IDLE].ohm, 10e-3, 1e-12);
    law = probe_laws(&e, 20.0, OFF);
    assert_near("off", current(&law[UPPER], 12.6), 12.6e-6, 1e-9);
}

static void an_equaliser_wants_both_halves(void **unused)
{
    (void)unused;
    probe e = probe_of("equaliser");
    const struct {
        double upper, lower;
        int32_t from_off, from_working;
    } rows[] = {
        {12.6, 12.4, WORKING, WORKING}, {12.6, 8.8, OFF, WORKING}, {8.5, 12.6, OFF, OFF},
        {-12.5, 12.6, OFF, OFF},        {25.0, -12.5, OFF, OFF},   {SL__NAN, 12.6, OFF, OFF},
    };
    probe_laws(&e, 20.0, OFF);
    for (int r = 0; r < SL__COUNT(rows); r++) {
        sl__flow flow[5] = {{.v = 0.0}};
        flow[UPPER].v = rows[r].upper - 12.0;
        flow[LOWER].v = rows[r].lower - 12.0;
        flow[UPPER_HALF].v = flow[LOWER_HALF].v = 12.0;
        assert_int_equal(e.kind->wants(e.p, 20.0, OFF, flow), rows[r].from_off);
        assert_int_equal(e.kind->wants(e.p, 20.0, WORKING, flow), rows[r].from_working);
        double half = e.kind->trim(e.p, 20.0, WORKING, flow);
        assert_near("half", half,
                    isnan(rows[r].upper) ? 12.0 : 0.5 * (rows[r].upper + rows[r].lower), 1e-12);
        assert_near("kept", e.kind->trim(e.p, 20.0, OFF, flow), 12.0, 0.0);
    }
}

static void a_supply_limits_and_blocks(void **unused)
{
    (void)unused;
    probe s = probe_of("supply");
    probe_set(&s, "voltage", 12.0);
    const sl__law *law = probe_laws(&s, 20.0, 0);
    assert_near("held", law[1].open_v, 12.0, 0.0);
    assert_near("5 mohm", current(&law[0], -5e-3), -1.0, 1e-3);
    assert_near("limit", current(&law[0], -25e-3), -5.0, 1e-6);
    assert_near("0.01 % more for a volt", current(&law[0], -10.025), -5.006, 1e-6);
    assert_near("none in", current(&law[0], 1.0), 1e-4, 1e-9);
    /* below -0.7 V at its sockets a diode */
    assert_near("reversed", current(&law[0], -13.7) - current(&law[0], -12.7), -50.0, 0.01);
    probe_choose(&s, "output", "off");
    law = probe_laws(&s, 20.0, 0);
    assert_near("off", law[1].open_v, 0.0, 0.0);
    assert_near("off, blocks", current(&law[0], 12.0), 12e-4, 1e-9);
}

static void a_jump_pack_helps_up_to_its_limit(void **unused)
{
    (void)unused;
    probe j = probe_of("jump_pack");
    const sl__law *law = probe_laws(&j, 20.0, 0);
    assert_near("at rest", law[1].open_v, 13.2, 0.0);
    assert_near("10 mohm", current(&law[0], -1.0), -100.0, 1e-5);
    assert_near("limit", current(&law[0], -4.0), -400.0, 1e-6);
    assert_near("0.1 % more for a volt", current(&law[0], -5.0), -400.4, 1e-6);
    assert_near("a charged battery gets none back", current(&law[0], 1.5), 1.5e-6, 1e-9);
    /* backwards on a battery of 12 V it gives its limit, and no diode adds to it */
    assert_near("reversed", current(&law[0], -13.2 - 12.0), -400.0 * (1.0 + 21.2e-3), 1e-6);

    static const struct {
        double clamps_v, amps;
        const char *name;
    } rows[] = {{13.2, 0.99, NULL},
                {13.0, 1.01, "helps"},
                {9.3, 399.9, "helps"},
                {9.2, 400.0, "current limit"},
                {-0.4, 401.0, "current limit"},
                {-0.6, 401.0, "reversed"}};
    for (int r = 0; r < SL__COUNT(rows); r++) {
        const sl__flow flow[2] = {{.v = rows[r].clamps_v - 13.2, .i = -rows[r].amps},
                                  {.v = 13.2, .i = -rows[r].amps}};
        sl__notice_list list = {0};
        j.kind->notice(j.p, 0, flow, &list);
        assert_int_equal(list.count, rows[r].name ? 1 : 0);
        if (rows[r].name) {
            assert_string_equal(j.kind->about.notices[list.item[0].index].name, rows[r].name);
            assert_near("amperes", list.item[0].value, rows[r].amps, 0.0);
        }
    }
    probe_choose(&j, "clamps", "off");
    assert_int_equal(probe_laws(&j, 20.0, 0)[0].form, SL__ABSENT);
}

/* The one notice of a part with v across its first element, -0.49 V and -0.51 V. */
static void wrong_polarity_is_told(void **unused)
{
    (void)unused;
    static const struct {
        const char *kind, *field;
        double value;
    } parts[] = {{"converter", "output_voltage", 13.0},
                 {"inverter", "load", 100.0},
                 {"led_lamp", "power", 5.0},
                 {"module", "power", 12.0},
                 {"supply", "voltage", 12.0}};
    for (int k = 0; k < SL__COUNT(parts); k++) {
        probe part = probe_of(parts[k].kind);
        probe_set(&part, parts[k].field, parts[k].value);
        probe_laws(&part, 20.0, 0);
        for (int over = 0; over < 2; over++) {
            sl__flow flow[PROBE_ELEMENTS] = {{.v = over ? -0.51 : -0.49, .i = -0.1}};
            sl__notice_list list = {0};
            part.kind->notice(part.p, 0, flow, &list);
            bool told = list.count == 1 &&
                        strcmp(part.kind->about.notices[list.item[0].index].name, "reversed") == 0;
            if (told != (over == 1)) {
                fail_msg("%s at %g V", parts[k].kind, flow[0].v);
            }
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_converter_gives_what_it_is_asked_up_to_its_limit),
        cmocka_unit_test(a_converters_input_takes_power),
        cmocka_unit_test(a_converter_switches_by_its_input),
        cmocka_unit_test(grounds_are_joined_or_not),
        cmocka_unit_test(an_equaliser_moves_charge_and_loses_a_tenth),
        cmocka_unit_test(an_equaliser_wants_both_halves),
        cmocka_unit_test(a_supply_limits_and_blocks),
        cmocka_unit_test(a_jump_pack_helps_up_to_its_limit),
        cmocka_unit_test(wrong_polarity_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* One voltage from another in whole circuits: equalisers, converters, a bench supply. */
#include <string.h>

#include "build.h"
#include "near.h"

static const build_value DEFAULTS[] = {{NULL, 0}};

/* Two 12 V batteries in series with an equaliser; the tap takes `tap_a`. */
typedef struct set_24 {
    build b;
    sl_part equaliser, upper, lower;
} set_24;

static set_24 with_equaliser(double tap_a)
{
    set_24 s = {.b = build_grounded()};
    s.upper = build_battery(&s.b, "24", "12", 1.0, 10e-3);
    s.lower = build_battery(&s.b, "12", "0", 1.0, 10e-3);
    s.equaliser = build_part(&s.b, "equaliser", (const char *[]){"eq 24", "eq 12", "0", NULL, NULL},
                             DEFAULTS);
    build_resistor(&s.b, "24", "eq 24", 1e-3);
    build_resistor(&s.b, "12", "eq 12", 1e-3);
    build_takes(&s.b, "12", tap_a);
    return s;
}

static double tap_off_half(const build *b)
{
    return 0.5 * build_volts(b, "24") - build_volts(b, "12");
}

static void an_equaliser_holds_the_tap_at_half(void **unused)
{
    (void)unused;
    for (double tap_a = -30.0; tap_a <= 30.0; tap_a += 2.5) {
        set_24 s = with_equaliser(tap_a);
        build_solve(&s.b);
        assert_string_equal(build_state(&s.b, s.equaliser), "working");
        double moved = build_across(&s.b, "eq 12", "12") / 1e-3; /* into the tap */
        double taken = build_across(&s.b, "24", "eq 24") / 1e-3;
        /* what the tap gets is what one half gives and what the other takes; 0.9 of it arrives */
        double share = moved > 0.0 ? 1.0 / 1.9 : 0.9 / 1.9,
               idle = build_volts(&s.b, "eq 24") / 2400;
        assert_at_most("moved", fabs(moved), 10.0 + 1e-3);
        assert_at_most("from the upper", fabs(taken - idle - share * moved), 1e-4);
        double off = 0.5 * build_volts(&s.b, "eq 24") - build_volts(&s.b, "eq 12");
        if (fabs(moved) < 10.0) {
            assert_at_most("in proportion", fabs(off - moved / 10.0 * 0.05), 1e-6);
        } else {
            assert_true(fabs(off) >= 0.05);
            assert_true(build_notices(&s.b, s.equaliser, "at its limit", NULL));
        }
        assert_true(build_watts(&s.b, s.equaliser) > 0.0);
        /* without it the lower battery alone carries the tap, and is off by half of 10 mohm x I */
        set_24 bare = with_equaliser(tap_a);
        build_open(&bare.b, bare.equaliser);
        build_solve(&bare.b);
        assert_near("bare", tap_off_half(&bare.b), 0.5 * tap_a * 10e-3, 1e-9);
        assert_true(fabs(tap_a) < 1.0 || fabs(tap_off_half(&s.b)) < fabs(tap_off_half(&bare.b)));
        build_free(&bare.b);
        build_free(&s.b);
    }
}

static void an_equaliser_needs_all_three_wires(void **unused)
{
    (void)unused;
    for (int wire = 0; wire < 3; wire++) {
        build b = build_grounded();
        sl_part upper = build_battery(&b, "24", "12", 1.0, 10e-3);
        sl_part lower = build_battery(&b, "12", "0", 0.5, 10e-3);
        sl_part eq = build_part(&b, "equaliser",
                                (const char *[]){"eq 24", "eq 12", "eq 0", NULL, NULL}, DEFAULTS);
        sl_part wires[] = {build_resistor(&b, "24", "eq 24", 1e-3),
                           build_resistor(&b, "12", "eq 12", 1e-3),
                           build_resistor(&b, "0", "eq 0", 1e-3)};
        build_open(&b, wires[wire]);
        build_solve(&b);
        assert_at_most("upper", fabs(build_amps(&b, upper)), 0.012); /* what it uses itself */
        assert_at_most("lower", fabs(build_amps(&b, lower)), 0.012);
        assert_at_most("and no more", fabs(build_amps(&b, wires[1])), 0.001);
        assert_true(build_notices(&b, eq, "does nothing", NULL) == (wire != 1));
        build_free(&b);
    }
}

/* 12 V loads of a 24 V set by a converter. */
static void a_converter_takes_the_power_it_gives(void **unused)
{
    (void)unused;
    for (double load = 0.0; load <= 30.0; load += 2.0) {
        build b = build_grounded();
        build_battery(&b, "12", "0", 1.0, 10e-3);
        build_battery(&b, "24", "12", 1.0, 10e-3);
        build_resistor(&b, "24", "feed", 50e-3);
        sl_part dc = build_part(&b, "converter", (const char *[]){"feed", "0", "out", NULL, NULL},
                                BUILD_VALUES({"output_voltage", 13.2}, {"current_limit", 20.0}));
        build_resistor(&b, "out", "0", load > 0.0 ? 13.2 / load : 1e6);
        build_solve(&b);
        assert_string_equal(build_state(&b, dc), "working");
        double out = build_volts(&b, "out"), in_w = build_volts(&b, "feed") * build_amps(&b, dc);
        double amps = 0.0, volts = 0.0;
        assert_int_equal(sl_case_element(b.cs, dc, 1, &amps, &volts), SL_OK);
        amps = -amps;
        double ground = (amps - out / 10e3) * 1e-3; /* what its return is below the load's */
        assert_near("power", in_w, amps * (out + ground) / 0.88 + 1.0, 1e-7);
        if (amps < 20.0) {
            assert_near("held", out, 13.2 - 0.1 * amps / 20.0, 2e-3);
        } else {
            assert_near("limit", amps, 20.0 * (1.0 + 1e-3 * (13.1 - out)), 1e-3);
            assert_true(build_notices(&b, dc, "current limit", NULL));
        }
        assert_true(build_watts(&b, dc) > 0.0);
        build_free(&b);
    }
}

static void a_converter_cuts_out_and_recovers(void **unused)
{
    (void)unused;
    build b = build_grounded();
    sl_part feed = build_voltage(&b, "24", "0", 24.0);
    sl_part dc = build_part(&b, "converter", (const char *[]){"24", "0", "out", NULL, NULL},
                            BUILD_VALUES({"output_voltage", 13.2}, {"current_limit", 20.0}));
    build_resistor(&b, "out", "0", 2.0);
    sl_condition good = build_setting(&b, "good", SL_NONE, feed, "voltage", 24.0);
    sl_condition low = build_setting(&b, "low", good, feed, "voltage", 22.0);
    sl_condition flat = build_setting(&b, "flat", low, feed, "voltage", 20.9);
    sl_condition back = build_setting(&b, "back", flat, feed, "voltage", 22.0);
    const struct {
        sl_condition in;
        const char *state;
    } steps[] = {{good, "working"}, {low, "working"}, {flat, "off"}, {back, "off"}};
    for (size_t k = 0; k < sizeof steps / sizeof *steps; k++) {
        build_solve_in(&b, steps[k].in);
        assert_string_equal(build_state(&b, dc), steps[k].state);
        assert_true((build_volts(&b, "out") > 13.0) == (strcmp(steps[k].state, "working") == 0));
        assert_true(build_notices(&b, dc, "cut off", NULL) == (strcmp(steps[k].state, "off") == 0));
    }
    build_free(&b);
    /* a feed that cannot bear the load: it cuts out, the voltage comes back, and so on */
    b = build_grounded();
    build_voltage(&b, "24", "0", 25.0);
    build_resistor(&b, "24", "feed", 0.5);
    build_part(&b, "converter", (const char *[]){"feed", "0", "out", NULL, NULL},
               BUILD_VALUES({"output_voltage", 13.2}, {"current_limit", 20.0}));
    build_resistor(&b, "out", "0", 0.7);
    build_solve(&b);
    assert_int_equal(sl_case_outcome(b.cs), SL_CHATTERS);
    assert_near("start_time and stop_time", sl_case_period_s(b.cs), 0.6, 1e-9);
    build_free(&b);
}

static void an_isolated_converter_floats_until_it_is_joined(void **unused)
{
    (void)unused;
    build b = build_grounded();
    build_voltage(&b, "12", "0", 12.6);
    const char *nodes[] = {"12", "0", "out +", "out -", NULL};
    build_part(&b, "converter", nodes,
               BUILD_VALUES({"output_voltage", 24.0}, {"current_limit", 5.0}, {"grounds", 1}));
    build_resistor(&b, "out +", "out -", 24.0);
    build_solve(&b);
    double volts = 0.0;
    assert_int_equal(sl_case_node(b.cs, sl_circuit_find_node(b.circuit, "out +"), &volts),
                     SL_W_FLOATING);
    assert_near("across it", build_across(&b, "out +", "out -"), 24.0 - 0.02, 1e-3);
    build_resistor(&b, "out +", "12", 1e-3); /* in series with the battery */
    build_case(&b);
    build_solve(&b);
    assert_near("below ground", build_volts(&b, "out -"), 12.6 - 23.98, 2e-3);
    build_free(&b);
}

static void a_supply_holds_its_voltage_or_its_current(void **unused)
{
    (void)unused;
    for (double ohm = 0.5; ohm < 50.0; ohm *= 1.3) {
        build b = build_grounded();
        sl_part ps = build_pair(&b, "supply", "+", "0",
                                BUILD_VALUES({"voltage", 12.0}, {"current_limit", 5.0}));
        build_resistor(&b, "+", "0", ohm);
        build_solve(&b);
        double held = 12.0 * ohm / (ohm + 5e-3), amps = build_volts(&b, "+") / ohm;
        if (held / ohm <= 5.0) {
            assert_near("voltage", build_volts(&b, "+"), held, 1e-6);
            assert_false(build_notices(&b, ps, "current limit", NULL));
        } else {
            assert_near("current", amps, 5.0, 0.0015);
            assert_true(build_notices(&b, ps, "current limit", NULL));
        }
        build_set(&b, ps, "output", 0.0);
        build_solve(&b);
        assert_near("off", build_volts(&b, "+"), 0.0, 0.0);
        build_free(&b);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_equaliser_holds_the_tap_at_half),
        cmocka_unit_test(an_equaliser_needs_all_three_wires),
        cmocka_unit_test(a_converter_takes_the_power_it_gives),
        cmocka_unit_test(a_converter_cuts_out_and_recovers),
        cmocka_unit_test(an_isolated_converter_floats_until_it_is_joined),
        cmocka_unit_test(a_supply_holds_its_voltage_or_its_current),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

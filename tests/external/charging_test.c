/* Alternators as whole circuits, each against what it comes to by hand. Numbers without a source
   are worked out here from the parts' own laws. */
#include <string.h>

#include "build.h"
#include "near.h"

/* 60 A through 12 mohm of feed and 8 mohm of ground drop 1.2 V: 14.2 V held at the stud is 13.0 V
   at the battery. */
static build far_battery(const build_value *more, const char *sense, sl_part *generator)
{
    build b = build_grounded();
    *generator = build_alternator(&b, "stud", "block", sense, more);
    build_resistor(&b, "stud", "+", 12e-3);
    build_resistor(&b, "block", "0", 8e-3);
    build_takes(&b, "+", 60.0);
    build_solve(&b);
    return b;
}

static void held_at_the_stud_it_is_short_at_the_battery(void **unused)
{
    (void)unused;
    sl_part g;
    build b = far_battery(BUILD_VALUES({"regulation", 1e-3}), NULL, &g);
    assert_near("stud", build_across(&b, "stud", "block"), 14.2, 1e-4);
    assert_near("battery", build_volts(&b, "+"), 13.0, 1e-4);
    assert_near("feed", build_across(&b, "stud", "+"), 0.72, 1e-9);
    assert_near("ground", build_across(&b, "0", "block"), 0.48, 1e-9);
    assert_near("it gives", build_amps(&b, g), -60.0, 1e-9);
    double amps = 0.0;
    assert_true(build_notices(&b, g, "charging", &amps));
    assert_near("notice", amps, 60.0, 1e-9);
    build_free(&b);

    b = far_battery(NULL, NULL, &g); /* 0.1 V from no load to 90 A */
    assert_near("with its own droop", build_volts(&b, "+"), 13.0 - 0.1 * 60.0 / 90.0, 1e-5);
    build_free(&b);
}

/* The sense wire brings the feed's 0.72 V back, but the regulator measures against its own case:
   what is lost in the ground stays lost. */
static void a_sense_wire_brings_back_the_feed(void **unused)
{
    (void)unused;
    sl_part g;
    build b = far_battery(BUILD_VALUES({"regulation", 1e-3}, {"sensing", 1}), "+", &g);
    assert_near("sensed", build_across(&b, "+", "block"), 14.2, 1e-4);
    assert_near("battery", build_volts(&b, "+"), 14.2 - 0.48, 1e-4);
    assert_near("stud", build_across(&b, "stud", "block"), 14.92, 1e-4);
    assert_false(build_notices(&b, g, "overcharging", NULL));
    build_free(&b);
}

static void without_its_sense_wire_it_gives_all_it_can(void **unused)
{
    (void)unused;
    const char *const modes[] = {"open wire", "never connected"};
    for (int k = 0; k < 2; k++) {
        build b = build_grounded();
        sl_part g =
            build_alternator(&b, "+", "0", k == 0 ? "+" : NULL, BUILD_VALUES({"sensing", 1}));
        /* a full battery on charge holds its voltage up by itself */
        build_pair(&b, "battery", "+", "0",
                   BUILD_VALUES({"resistance", 0.02}, {"surface_charge", 1.5}));
        if (k == 0) {
            build_solve(&b);
            assert_true(build_volts(&b, "+") < 14.2);
            assert_false(build_notices(&b, g, "overcharging", NULL));
            build_case(&b);
            sl_edit open = {g, SL_OPEN, 2, 0.0};
            assert_int_equal(sl_case_edit(b.cs, &open, 1), SL_OK);
        }
        build_solve(&b);
        double held = build_at_rest_v(12.65) + 1.5, volts = 0.0;
        assert_near(modes[k], build_amps(&b, g), -90.0, 0.2);
        assert_true(build_notices(&b, g, "at its limit", NULL));
        assert_true(build_notices(&b, g, "overcharging", &volts));
        assert_near("volts", volts, held - build_amps(&b, g) * 0.02, 1e-6);
        build_free(&b);
    }
}

/* Sense wires over a bad cable: slopes of the trim from gentle to nearly one. */
static void sensing_settles_over_any_cable(void **unused)
{
    (void)unused;
    for (double cable = 1e-4; cable < 3.0; cable *= 1.7) {
        for (double inner = 1e-3; inner < 0.5; inner *= 2.3) {
            for (double rise = 0.0; rise < 1.6; rise += 0.3) {
                build b = build_grounded();
                sl_part g = build_alternator(&b, "stud", "0", "+", BUILD_VALUES({"sensing", 1}));
                build_resistor(&b, "stud", "+", cable);
                build_pair(&b, "battery", "+", "0",
                           BUILD_VALUES({"resistance", inner}, {"surface_charge", rise}));
                build_takes(&b, "+", 5.0);
                build_solve(&b);
                double amps = -build_amps(&b, g), stud = build_volts(&b, "stud");
                double sensed = build_volts(&b, "+");
                bool limited = amps >= 90.0, full = stud >= 2.0 * 14.2 - 0.1 * amps / 90.0 - 1e-9;
                if (!limited && !full) {
                    assert_near("held", sensed, 14.2 - 0.1 * amps / 90.0, 1e-9);
                } else {
                    assert_true(sensed < 14.2);
                }
                build_free(&b);
            }
        }
    }
}

/* A regulated alternator clamps the bus: (14.2 - Voc) over all the resistance there is. */
static void the_battery_takes_what_the_difference_drives(void **unused)
{
    (void)unused;
    build b = build_grounded();
    sl_part g = build_alternator(&b, "stud", "block", NULL,
                                 BUILD_VALUES({"rated_current", 200.0}, {"regulation", 0.2}));
    build_resistor(&b, "stud", "+", 3e-3);
    build_resistor(&b, "block", "0", 2e-3);
    sl_part one = build_battery(&b, "+", "0", 1.0, 20e-3);
    build_solve(&b);
    double wanted = (14.2 - build_at_rest_v(12.65)) / (20e-3 + 3e-3 + 2e-3 + 0.2 / 200.0);
    assert_near("charge", build_amps(&b, one), wanted, 1e-6);
    assert_near("gives", build_amps(&b, g), -wanted, 1e-6);
    build_free(&b);
}

/* Below the limit the voltage holds; above it the battery gives the rest. */
static void at_its_limit_the_battery_gives_the_rest(void **unused)
{
    (void)unused;
    for (double load = 10.0; load <= 200.0; load += 10.0) {
        build b = build_grounded();
        sl_part g = build_alternator(&b, "+", "0", NULL, NULL);
        sl_part one = build_battery(&b, "+", "0", 1.0, 50e-3);
        build_takes(&b, "+", load);
        build_solve(&b);
        double volts = build_volts(&b, "+"), gives = -build_amps(&b, g);
        double into = build_amps(&b, one);
        assert_near("sum", gives, load + into, 1e-9);
        assert_near("battery", volts, build_at_rest_v(12.65) + into * 50e-3, 1e-9);
        if (gives < 90.0) {
            assert_near("held", volts, 14.2 - 0.1 * gives / 90.0, 1e-6);
            assert_true(build_notices(&b, g, "charging", NULL));
        } else {
            assert_near("limited", gives, 90.0 * (1.0 + 0.01 * (14.1 - volts)), 1e-5);
            assert_true(build_notices(&b, g, "at its limit", NULL));
        }
        assert_int_equal(gives >= 90.0, load > 62.0); /* 90 A less what 14.1 V drives: 29.2 A */
        build_free(&b);
    }
}

/* Two engines on one bus: the droop shares the load; the one set higher gives more. */
static void two_alternators_share_by_their_droop(void **unused)
{
    (void)unused;
    build b = build_grounded();
    sl_part one = build_alternator(&b, "+", "0", NULL, NULL);
    sl_part two = build_alternator(&b, "+", "0", NULL, BUILD_VALUES({"set_point", 14.23}));
    build_takes(&b, "+", 60.0);
    build_solve(&b);
    /* i = 900 S x (set - v): the sum is 60 A, the difference 900 x 0.03 = 27 A */
    assert_near("lower", build_amps(&b, one), -16.5, 1e-4);
    assert_near("higher", build_amps(&b, two), -43.5, 1e-4);
    build_free(&b);
}

static void two_remote_alternators_settle(void **unused)
{
    (void)unused;
    for (double cable = 1e-3; cable < 0.05; cable *= 2.0) {
        build b = build_grounded();
        sl_part one = build_alternator(&b, "stud 1", "0", "+", BUILD_VALUES({"sensing", 1}));
        sl_part two = build_alternator(&b, "stud 2", "0", "+", BUILD_VALUES({"sensing", 1}));
        build_resistor(&b, "stud 1", "+", cable);
        build_resistor(&b, "stud 2", "+", 1.5 * cable);
        build_battery(&b, "+", "0", 1.0, 20e-3);
        build_takes(&b, "+", 20.0);
        build_solve(&b);
        assert_near("alike", build_amps(&b, one), build_amps(&b, two), 1e-6);
        assert_near("held", build_volts(&b, "+"), 14.2 + 0.1 * build_amps(&b, one) / 90.0, 1e-8);
        build_free(&b);
    }
}

static void at_rest_it_leaks_and_no_more(void **unused)
{
    (void)unused;
    build b = build_grounded();
    sl_part g = build_pair(&b, "alternator", "+", "0", BUILD_VALUES({"speed", 0.0}));
    build_battery(&b, "+", "0", 1.0, 10e-3);
    build_solve(&b);
    assert_near("leak", build_amps(&b, g), build_at_rest_v(12.65) / 100e3, 1e-5);
    assert_false(build_notices(&b, g, "not charging", NULL));
    build_set(&b, g, "leak_resistance", 50.0);
    build_solve(&b);
    assert_near("drain", build_amps(&b, g), build_at_rest_v(12.65) / (50.0 + 10e-3), 1e-6);
    build_free(&b);
}

/* A battery put in the wrong way round is shorted by the rectifier. */
static void reversed_the_rectifier_conducts(void **unused)
{
    (void)unused;
    build b = build_grounded();
    sl_part g = build_pair(&b, "alternator", "+", "0", BUILD_VALUES({"speed", 0.0}));
    build_battery(&b, "0", "+", 1.0, 10e-3);
    build_solve(&b);
    assert_near("amps", build_amps(&b, g), -(build_at_rest_v(12.65) - 1.4) / (10e-3 + 5e-3), 1e-4);
    build_free(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(held_at_the_stud_it_is_short_at_the_battery),
        cmocka_unit_test(a_sense_wire_brings_back_the_feed),
        cmocka_unit_test(without_its_sense_wire_it_gives_all_it_can),
        cmocka_unit_test(sensing_settles_over_any_cable),
        cmocka_unit_test(the_battery_takes_what_the_difference_drives),
        cmocka_unit_test(at_its_limit_the_battery_gives_the_rest),
        cmocka_unit_test(two_alternators_share_by_their_droop),
        cmocka_unit_test(two_remote_alternators_settle),
        cmocka_unit_test(at_rest_it_leaks_and_no_more),
        cmocka_unit_test(reversed_the_rectifier_conducts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Two batteries on one alternator: sensing relays, isolators; and booster leads. */
#include <string.h>

#include "build.h"
#include "near.h"

static const build_value DEFAULTS[] = {{NULL, 0}};

/* A truck idling with everything on: the alternator at its limit, both banks falling. */
static void idling_with_everything_on_both_banks_give(void **unused)
{
    (void)unused;
    build b = build_grounded();
    sl_part g = build_alternator(&b, "main +", "0", NULL,
                                 BUILD_VALUES({"rated_current", 120.0}, {"speed", 700.0}));
    sl_part first = build_battery(&b, "main +", "0", 0.75, 5e-3);
    sl_part second = build_battery(&b, "aux +", "0", 0.75, 8e-3);
    sl_part relay = build_part(&b, "sensing_relay", (const char *[]){"main +", "aux +", "0"},
                               BUILD_VALUES({"starts", 1}, {"opens", 11.0}));
    build_takes(&b, "main +", 100.0);
    build_takes(&b, "aux +", 60.0);
    build_solve(&b);
    assert_string_equal(build_state(&b, relay), "closed");
    assert_true(build_notices(&b, g, "at its limit", NULL));
    assert_true(build_amps(&b, g) > -90.0); /* 1750 rpm of its own: about 61 % */
    assert_true(build_amps(&b, first) < -1.0 && build_amps(&b, second) < -1.0);
    build_free(&b);
}

/* Split charging: contacts of 12 mohm at 60 A leave the auxiliary side 0.72 V short. */
static void burned_contacts_leave_the_auxiliary_short(void **unused)
{
    (void)unused;
    build b = build_grounded();
    build_alternator(&b, "main", "0", NULL, BUILD_VALUES({"regulation", 1e-3}));
    sl_part relay = build_part(&b, "sensing_relay", (const char *[]){"main", "aux", "0"}, DEFAULTS);
    build_resistor(&b, "aux", "0", (14.2 - 0.72) / 60.0);
    sl_edit burned = {relay, SL_SERIES, 0, 11e-3}; /* to the 1 mohm of good ones */
    build_case(&b);
    assert_int_equal(sl_case_edit(b.cs, &burned, 1), SL_OK);
    build_solve(&b);
    assert_string_equal(build_state(&b, relay), "closed");
    assert_near("through them", build_volts(&b, "aux") / ((14.2 - 0.72) / 60.0), 60.0, 1e-4);
    assert_near("short of it", build_across(&b, "main", "aux"), 0.72, 1e-4);
    build_free(&b);
}

/* One voltage, two states: closed while it comes down from charging, open while it comes up. */
static void a_sensing_relay_remembers(void **unused)
{
    (void)unused;
    build b = build_grounded();
    sl_part feed = build_voltage(&b, "main", "0", 12.6);
    sl_part relay = build_part(&b, "sensing_relay", (const char *[]){"main", "aux", "0"}, DEFAULTS);
    build_resistor(&b, "aux", "0", 10.0);
    sl_condition rest = build_setting(&b, "rest", SL_NONE, feed, "voltage", 12.6);
    sl_condition rising = build_setting(&b, "rising", rest, feed, "voltage", 13.2);
    sl_condition charging = build_setting(&b, "charging", rising, feed, "voltage", 14.2);
    sl_condition falling = build_setting(&b, "falling", charging, feed, "voltage", 13.2);
    sl_condition off = build_setting(&b, "off", falling, feed, "voltage", 12.7);
    const struct {
        sl_condition in;
        const char *state;
        double aux_v;
    } steps[] = {
        {rest, "open", 0.0},
        {rising, "open", 0.0},
        {charging, "closed", 14.2 * 10.0 / 10.001},
        {falling, "closed", 13.2 * 10.0 / 10.001},
        {off, "open", 0.0},
    };
    for (size_t k = 0; k < sizeof steps / sizeof *steps; k++) {
        build_solve_in(&b, steps[k].in);
        assert_string_equal(build_state(&b, relay), steps[k].state);
        assert_near(steps[k].state, build_volts(&b, "aux"), steps[k].aux_v, 1e-9);
    }
    build_free(&b);
}

/* A small alternator and a flat auxiliary bank: closing pulls the voltage down until it opens. */
static void a_sensing_relay_that_pulls_its_voltage_down_cycles(void **unused)
{
    (void)unused;
    build b = build_grounded();
    build_alternator(&b, "main", "0", NULL, BUILD_VALUES({"rated_current", 40.0}));
    sl_part relay = build_part(&b, "sensing_relay", (const char *[]){"main", "aux", "0"}, DEFAULTS);
    build_pair(&b, "battery", "main", "0",
               BUILD_VALUES({"resistance", 0.1}, {"surface_charge", 1.0}));
    build_battery(&b, "aux", "0", 0.0, 5e-3);
    build_solve(&b);
    assert_int_equal(sl_case_outcome(b.cs), SL_CHATTERS);
    assert_near("once in close_time and open_time", sl_case_period_s(b.cs), 15.0, 1e-9);
    sl_part_answer answer;
    assert_true(sl_case_part(b.cs, relay, &answer) >= SL_OK);
    assert_true(answer.chatters);
    build_free(&b);
}

/* What the diodes drop is missing at the batteries, unless the alternator senses behind them. */
static void an_isolator_drops_and_blocks(void **unused)
{
    (void)unused;
    for (int remote = 0; remote < 2; remote++) {
        build b = build_grounded();
        build_alternator(&b, "stud", "0", "1 +",
                         BUILD_VALUES({"sensing", remote}, {"regulation", 1e-3}));
        sl_part iso = build_part(&b, "isolator", (const char *[]){"stud", "1 +", "2 +"}, DEFAULTS);
        build_takes(&b, "1 +", 40.0);
        build_resistor(&b, "2 +", "0", 100.0);
        build_solve(&b);
        double lost = build_across(&b, "stud", "1 +");
        assert_true(lost > 0.5 && lost < 1.0);
        assert_near("behind it", build_volts(&b, "1 +"), remote ? 14.2 : 14.2 - lost, 1e-4);
        double sense = remote ? build_volts(&b, "1 +") / 50e3 : 0.0;
        assert_near("through it", build_amps(&b, iso),
                    40.0 + sense + build_volts(&b, "2 +") / 100.0, 1e-9);
        build_free(&b);
    }
    /* at rest the full battery does not feed the flat one's loads */
    build b = build_grounded();
    sl_part g = build_pair(&b, "alternator", "stud", "0", DEFAULTS);
    build_part(&b, "isolator", (const char *[]){"stud", "1 +", "2 +"}, DEFAULTS);
    sl_part full = build_battery(&b, "1 +", "0", 1.0, 10e-3);
    build_battery(&b, "2 +", "0", 0.1, 10e-3);
    build_takes(&b, "2 +", 20.0);
    build_solve(&b);
    assert_at_most("what leaks", fabs(build_amps(&b, full)), 1e-4);
    assert_at_most("to the alternator", fabs(build_amps(&b, g)), 1e-3);
    build_free(&b);
}

/* A jump start: 150 A through both leads, and the one poor clamp. */
static void booster_leads_add_their_clamps(void **unused)
{
    (void)unused;
    build b = build_grounded();
    build_voltage(&b, "van +", "van -", 12.6);
    sl_part leads =
        build_part(&b, "booster_leads", (const char *[]){"van +", "van -", "B +", "engine"},
                   BUILD_VALUES({"size", 25.0}, {"length", 3.0}));
    build_current(&b, "engine", "B +", 150.0);
    build_resistor(&b, "engine", "0", 1e-3);
    build_solve(&b);
    double lead = 3.0 * 1e-6 / 58.0 / 25e-6 + 2e-3;
    assert_near("each lead", build_across(&b, "van +", "B +"), 150.0 * lead, 1e-9);
    assert_near("at the engine", build_across(&b, "B +", "engine"), 12.6 - 300.0 * lead, 1e-9);
    double amps = 0.0;
    assert_true(build_notices(&b, leads, "carries", &amps));
    assert_near("carries", amps, 150.0, 1e-9);
    build_free(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(idling_with_everything_on_both_banks_give),
        cmocka_unit_test(burned_contacts_leave_the_auxiliary_short),
        cmocka_unit_test(a_sensing_relay_remembers),
        cmocka_unit_test(a_sensing_relay_that_pulls_its_voltage_down_cycles),
        cmocka_unit_test(an_isolator_drops_and_blocks),
        cmocka_unit_test(booster_leads_add_their_clamps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

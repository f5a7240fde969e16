/* Relays and solenoids: thresholds, history, chatter, races. */
#include "near.h"
#include "rig.h"

#include <string.h>

enum { RELEASED, PULLED_IN };

/* A circuit with 12 V, or what is given, between "+" and "0". */
static sl_circuit *start(const char *volts)
{
    sl_circuit *c = rig_circuit(NULL);
    sl_node zero;
    assert_int_equal(sl_circuit_node(c, "0", &zero), SL_OK);
    assert_int_equal(sl_circuit_set_reference(c, zero), SL_OK);
    rig_part(c, "source", "E", "+ 0", volts);
    return c;
}

static int32_t flips(const sl_case *cs)
{
    sl_quality quality;
    sl_case_quality(cs, &quality);
    return quality.flips;
}

static bool chatters(const sl_case *cs, const sl_circuit *c, const char *part)
{
    sl_part_answer answer;
    assert_true(sl_case_part(cs, sl_circuit_find_part(c, part), &answer) >= 0);
    return answer.chatters;
}

static void relay_pulls_in_at_its_threshold_and_lets_go_below_the_other(void **unused)
{
    (void)unused;
    static const struct {
        const char *volts, *from;
        int32_t state, flips;
    } rows[] = {
        {"voltage=7.999", "starts=released", RELEASED, 0},
        {"voltage=8.001", "starts=released", PULLED_IN, 1},
        {"voltage=-8.001", "starts=released", PULLED_IN, 1},
        {"voltage=5", "starts=released", RELEASED, 0},
        {"voltage=5", "starts=pulled in", PULLED_IN, 0}, /* in between it stays */
        {"voltage=1.501", "starts=pulled in", PULLED_IN, 0},
        {"voltage=1.499", "starts=pulled in", RELEASED, 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        sl_circuit *c = start(rows[i].volts);
        rig_part(c, "relay", "K", "+ out + 0 rest", rows[i].from);
        rig_part(c, "resistor", "R1", "out 0", "resistance=10");
        rig_part(c, "resistor", "R2", "rest 0", "resistance=10");
        sl_case *cs = rig_solved(c, 0);
        assert_int_equal(sl_case_outcome(cs), SL_SETTLED);
        assert_int_equal(rig_state(cs, c, "K"), rows[i].state);
        assert_int_equal(flips(cs), rows[i].flips);
        assert_false(chatters(cs, c, "K"));
        assert_near("period", sl_case_period_s(cs), 0.0, 0.0);
        assert_int_equal(rig_amps(cs, c, "R1") != 0.0, rows[i].state == PULLED_IN);
        assert_int_equal(rig_amps(cs, c, "R2") != 0.0, rows[i].state == RELEASED);
        assert_int_equal(sl_case_view(cs, 1), SL_E_ARG);
        assert_int_equal(sl_case_view(cs, 0), SL_OK);
        rig_free(c, cs);
    }
}

/* on (12 V) -> sag (5 V) -> off (1 V) -> again (5 V); beside it a sag that comes after nothing. */
static void conditions_start_as_the_one_before_them_ended(void **unused)
{
    (void)unused;
    sl_circuit *c = start("voltage=12");
    rig_part(c, "relay", "K", "+ out + 0 -", "");
    static const struct {
        const char *name;
        double volts;
        int32_t after, state;
    } rows[] = {
        {"on", 12.0, SL_NONE, PULLED_IN},  {"sag", 5.0, 0, PULLED_IN},
        {"off", 1.0, 1, RELEASED},         {"again", 5.0, 2, RELEASED},
        {"alone", 5.0, SL_NONE, RELEASED}, {"straight", 5.0, 0, PULLED_IN},
    };
    enum { ROWS = sizeof rows / sizeof *rows };
    for (int32_t i = 0; i < ROWS; i++) {
        sl_condition condition = rig_condition(c, rows[i].name);
        const sl_edit edit = rig_set(c, "E", "voltage", rows[i].volts);
        assert_int_equal(sl_condition_edit(c, condition, &edit), SL_OK);
        if (rows[i].after != SL_NONE) {
            assert_int_equal(sl_condition_after(c, condition, rows[i].after), SL_OK);
        }
    }
    for (int32_t i = 0; i < ROWS; i++) {
        sl_case *cs = rig_solved(c, i);
        assert_int_equal(rig_state(cs, c, "K"), rows[i].state);
        assert_near(rows[i].name, rig_volts(cs, c, "+"), rows[i].volts, 0.0);
        assert_int_equal(sl_case_outcome(cs), SL_SETTLED);
        sl_case_free(cs);
    }
    /* a fault was there all along */
    sl_case *cs = rig_case(c, 1);
    const sl_edit broken = rig_open(c, "K", "coil");
    assert_int_equal(sl_case_edit(cs, &broken, 1), SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_int_equal(rig_state(cs, c, "K"), RELEASED);
    sl_case_clear(cs);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_int_equal(rig_state(cs, c, "K"), PULLED_IN);
    rig_free(c, cs);
}

/* The coil is fed through the relay's own rest contact. */
static void relay_that_interrupts_itself_chatters(void **unused)
{
    (void)unused;
    sl_circuit *c = start("voltage=12");
    rig_part(c, "relay", "K", "+ out coil 0 coil", "operate_time=0.02, release_time=0.005");
    rig_part(c, "relay", "calm", "+ out2 + 0 -", "");
    rig_part(c, "resistor", "R", "out 0", "resistance=12");
    sl_case *cs = rig_solved(c, 0);
    assert_int_equal(sl_case_outcome(cs), SL_CHATTERS);
    assert_near("operate + release", sl_case_period_s(cs), 0.025, 1e-12);
    assert_true(chatters(cs, c, "K"));
    assert_false(chatters(cs, c, "calm"));
    for (int32_t view = 0; view < 2; view++) {
        assert_int_equal(sl_case_view(cs, view), SL_OK);
        assert_int_equal(rig_state(cs, c, "K"), view);
        assert_int_equal(rig_state(cs, c, "calm"), PULLED_IN);
        assert_near("coil", rig_volts(cs, c, "coil"), view ? 0.0 : 12.0, 1e-3);
        assert_near("load", rig_amps(cs, c, "R"), view ? 1.0 : 0.0, 1e-3);
        sl_quality quality;
        sl_case_quality(cs, &quality);
        assert_at_most("residual", quality.residual, 1e-12);
    }
    assert_int_equal(sl_case_view(cs, 2), SL_E_ARG);
    assert_int_equal(sl_case_view(cs, -1), SL_E_ARG);
    /* a fault that ends the chatter, and back */
    const sl_edit broken = rig_open(c, "K", "rest contact");
    assert_int_equal(sl_case_edit(cs, &broken, 1), SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_int_equal(sl_case_outcome(cs), SL_SETTLED);
    assert_near("period", sl_case_period_s(cs), 0.0, 0.0);
    assert_false(chatters(cs, c, "K"));
    rig_free(c, cs);
}

/* Two that never meet in the same moment again: 10 ms, and 25.003 ms, that is 250 s for both. */
static void two_that_chatter_each_at_its_own_pace_are_both_found(void **unused)
{
    (void)unused;
    sl_circuit *c = start("voltage=12");
    rig_part(c, "relay", "K1", "+ out1 coil1 0 coil1", "");
    rig_part(c, "relay", "K2", "+ out2 coil2 0 coil2", "operate_time=0.02, release_time=0.005003");
    rig_part(c, "relay", "calm", "+ out3 + 0 -", "");
    sl_case *cs = rig_solved(c, 0);
    assert_int_equal(sl_case_outcome(cs), SL_CHATTERS);
    assert_near("of the faster", sl_case_period_s(cs), 0.01, 0.05);
    assert_true(chatters(cs, c, "K1") && chatters(cs, c, "K2") && !chatters(cs, c, "calm"));
    assert_int_equal(rig_state(cs, c, "K1") + rig_state(cs, c, "K2"), 0);
    assert_int_equal(sl_case_view(cs, 1), SL_OK);
    assert_int_equal(rig_state(cs, c, "K1") + rig_state(cs, c, "K2"), 2);
    rig_free(c, cs);
}

/* A relay whose load pulls its own supply down: 12 V behind 10 ohm, 1 ohm switched on. */
static void relay_that_starves_itself_chatters(void **unused)
{
    (void)unused;
    sl_circuit *c = start("voltage=12");
    rig_part(c, "resistor", "weak", "+ a", "resistance=10");
    rig_part(c, "relay", "K", "a out a 0 -", "");
    rig_part(c, "resistor", "R", "out 0", "resistance=1");
    sl_case *cs = rig_solved(c, 0);
    assert_int_equal(sl_case_outcome(cs), SL_CHATTERS);
    assert_near("85 / 95 of 12 V", rig_volts(cs, c, "a"), 12.0 * 85.0 / 95.0, 1e-12);
    assert_int_equal(sl_case_view(cs, 1), SL_OK);
    assert_true(rig_volts(cs, c, "a") < 1.5);
    rig_free(c, cs);
}

/* Low: both windings of the solenoid pull in. Then the motor takes the voltage away from them. */
static void solenoid_on_a_weak_battery_chatters(void **unused)
{
    (void)unused;
    for (int weak = 0; weak < 2; weak++) {
        sl_circuit *c = rig_circuit(NULL);
        rig_part(c, "battery", "B1", "+ 0", weak ? "resistance=0.05" : "resistance=0.006");
        rig_part(c, "switch", "KEY", "+ S", "position=closed");
        rig_part(c, "starter", "M1", "+ 0 S -", "");
        sl_case *cs = rig_solved(c, 0);
        if (weak) {
            assert_int_equal(sl_case_outcome(cs), SL_CHATTERS);
            assert_near("20 + 10 ms", sl_case_period_s(cs), 0.03, 1e-12);
            assert_true(rig_volts(cs, c, "S") > 8.0);
            assert_int_equal(rig_state(cs, c, "M1"), RELEASED);
            assert_int_equal(sl_case_view(cs, 1), SL_OK);
            assert_int_not_equal(rig_state(cs, c, "M1"), RELEASED);
            assert_true(rig_volts(cs, c, "S") < 2.5 && rig_volts(cs, c, "S") > 0.5);
            assert_true(rig_amps(cs, c, "M1") > 100.0);
        } else {
            assert_int_equal(sl_case_outcome(cs), SL_SETTLED);
            assert_int_equal(rig_state(cs, c, "M1"), PULLED_IN);
            assert_true(rig_volts(cs, c, "S") > 9.0);
        }
        rig_free(c, cs);
    }
}

/* Each coil is fed through the other's rest contact: whoever is first keeps the other out. */
static void interlocked_relays_race(void **unused)
{
    (void)unused;
    static const struct {
        const char *k1, *k2;
        int32_t first;
    } rows[] = {
        {"operate_time=0.005", "operate_time=0.006", 1},
        {"operate_time=0.006", "operate_time=0.005", 2},
        {"", "", 0}, /* the same time: one of them, and no telling which */
        {"operate_time=0.005", "operate_time=0.5", 3}, /* so much slower that it never wins */
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        sl_circuit *c = start("voltage=12");
        rig_part(c, "relay", "K1", "+ out1 coil1 0 coil2", rows[i].k1);
        rig_part(c, "relay", "K2", "+ out2 coil2 0 coil1", rows[i].k2);
        sl_case *cs = rig_solved(c, 0);
        assert_int_equal(sl_case_outcome(cs), rows[i].first == 3 ? SL_SETTLED : SL_TIMING);
        int32_t k1 = rig_state(cs, c, "K1"), k2 = rig_state(cs, c, "K2");
        assert_int_equal(k1 + k2, 1);
        assert_true(rows[i].first == 0 || (rows[i].first != 2) == (k1 == PULLED_IN));
        assert_int_equal(flips(cs), 1);
        assert_near("coil of the loser", rig_volts(cs, c, k1 ? "coil2" : "coil1"), 0.0, 0.0);
        rig_free(c, cs);
    }
}

static void relays_that_do_not_meet_do_not_race(void **unused)
{
    (void)unused;
    sl_circuit *c = start("voltage=12");
    rig_part(c, "relay", "K1", "+ out1 + 0 -", "");
    rig_part(c, "relay", "K2", "+ out2 + 0 -", "operate_time=0.02");
    rig_part(c, "relay", "K3", "+ out3 out1 0 -", ""); /* its coil waits for K1 */
    rig_part(c, "relay", "K4", "+ out4 out3 0 -", ""); /* and this one for K3 */
    sl_case *cs = rig_solved(c, 0);
    assert_int_equal(sl_case_outcome(cs), SL_SETTLED);
    assert_int_equal(flips(cs), 4);
    static const char *const names[] = {"K1", "K2", "K3", "K4"};
    for (int i = 0; i < 4; i++) {
        assert_int_equal(rig_state(cs, c, names[i]), PULLED_IN);
    }
    rig_free(c, cs);
}

/* The fast one's rest contact feeds the coil of a slow one that would hold itself in for good, as a
   breaker stays open: but it is not that far when the fast one moves. */
static void slow_parts_take_no_part_in_a_race_of_fast_ones(void **unused)
{
    (void)unused;
    for (int slow = 0; slow < 2; slow++) {
        sl_circuit *c = start("voltage=12");
        rig_part(c, "relay", "slow", "+ coil coil 0 -", slow ? "operate_time=10" : "");
        rig_part(c, "relay", "fast", "+ out + 0 coil", "operate_time=0.006");
        sl_case *cs = rig_solved(c, 0);
        assert_int_equal(sl_case_outcome(cs), slow ? SL_SETTLED : SL_TIMING);
        assert_int_equal(rig_state(cs, c, "slow"), RELEASED);
        assert_int_equal(rig_state(cs, c, "fast"), PULLED_IN);
        rig_free(c, cs);
    }
}

/* K2 takes the voltage from the coil of K1 long before K1 has moved. */
static void interruption_stops_a_timer(void **unused)
{
    (void)unused;
    sl_circuit *c = start("voltage=12");
    rig_part(c, "relay", "K1", "+ out1 coil1 0 -", "operate_time=0.05");
    rig_part(c, "relay", "K2", "+ out2 + 0 coil1", "operate_time=0.005");
    sl_case *cs = rig_solved(c, 0);
    assert_int_equal(sl_case_outcome(cs), SL_SETTLED); /* in any order it ends like this */
    assert_int_equal(rig_state(cs, c, "K1"), RELEASED);
    assert_int_equal(rig_state(cs, c, "K2"), PULLED_IN);
    assert_int_equal(flips(cs), 1);
    rig_free(c, cs);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(relay_pulls_in_at_its_threshold_and_lets_go_below_the_other),
        cmocka_unit_test(conditions_start_as_the_one_before_them_ended),
        cmocka_unit_test(relay_that_interrupts_itself_chatters),
        cmocka_unit_test(two_that_chatter_each_at_its_own_pace_are_both_found),
        cmocka_unit_test(relay_that_starves_itself_chatters),
        cmocka_unit_test(solenoid_on_a_weak_battery_chatters),
        cmocka_unit_test(interlocked_relays_race),
        cmocka_unit_test(relays_that_do_not_meet_do_not_race),
        cmocka_unit_test(slow_parts_take_no_part_in_a_race_of_fast_ones),
        cmocka_unit_test(interruption_stops_a_timer),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* tests/external/heat_test.c: what currents do in time, in whole circuits: conductors and fuses
   that warm, breakers that trip and cycle, and the inrush of a starter that lets its solenoid go.
 */
#include <string.h>

#include "near.h"
#include "rig.h"

#define PI 3.14159265358979323846

static double value(const sl_case *cs, const sl_circuit *c, const char *part, const char *param)
{
    sl_part at = sl_circuit_find_part(c, part);
    double got = (double)NAN;
    assert_int_equal(
        sl_case_part_value(cs, at, rig_param(sl_circuit_part_kind(c, at), param), &got), SL_OK);
    return got;
}

/* Names of the notices of a part, joined by ";". */
static const char *said(const sl_case *cs, const sl_circuit *c, const char *part)
{
    static char text[300];
    sl_notice list[8];
    sl_part at = sl_circuit_find_part(c, part);
    int32_t count = sl_case_notices(cs, at, list, 8);
    text[0] = '\0';
    for (int32_t n = 0; n < count; n++) {
        strcat(text, n ? ";" : "");
        strcat(text, sl_circuit_part_kind(c, at)->notices[list[n].index].name);
    }
    return text;
}

static void assert_proved(const sl_case *cs)
{
    sl_quality quality;
    sl_case_quality(cs, &quality);
    assert_at_most("residual", quality.residual, 1e-12);
    assert_at_most("power balance", quality.power_balance, 1e-12);
}

/* Loss of a metre of wire of 2.5 mm2 where it lies, by the formulas of the reference page written
   out once more: Churchill and Chu, radiation at 0.9, 0.73 of both. */
static double loss_w(double air_c, double c)
{
    const double d = 1e-3 * (1.15 * sqrt(10.0 / PI) + 0.8 + 0.2 * sqrt(2.5));
    const double air_k = air_c + 273.15, wire_k = c + 273.15, film_k = 0.5 * (air_k + wire_k);
    const double nu = 1.51e-5 * pow(film_k / 293.15, 1.75);
    const double ra = 9.81 * (c - air_c) / film_k * d * d * d * 0.71 / nu / nu;
    const double root =
        0.6 + 0.387 * pow(ra, 1.0 / 6.0) / pow(1.0 + pow(0.559 / 0.71, 9.0 / 16.0), 8.0 / 27.0);
    const double h = root * root * 0.0257 * pow(film_k / 293.15, 0.82) / d;
    const double radiation = 0.9 * 5.670374e-8 * (pow(wire_k, 4.0) - pow(air_k, 4.0));
    return 0.73 * PI * d * (h * (c - air_c) + radiation);
}

static double ohm_at(double metres, double c)
{
    return metres / 58.0 / 2.5 * (1.0 + 0.00393 * (c - 20.0));
}

/* A source, 20 m of wire and a load, both unknowns by halving: the wire as warm as its current
   makes it, the current what its resistance lets through. */
static void warm_wire_and_its_current_agree(void **unused)
{
    (void)unused;
    static const struct {
        double air_c, load_ohm;
    } rows[] = {{20.0, 2.0}, {20.0, 0.4}, {20.0, 0.05}, {-30.0, 0.4}, {60.0, 0.4}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        double lo = rows[r].air_c, hi = 1000.0;
        for (int round = 0; round < 100; round++) {
            double c = 0.5 * (lo + hi), amps = 12.6 / (ohm_at(20.0, c) + rows[r].load_ohm);
            if (loss_w(rows[r].air_c, c) < amps * amps * ohm_at(1.0, c)) {
                lo = c;
            } else {
                hi = c;
            }
        }
        sl_circuit *c = rig_circuit(NULL);
        rig_part(c, "source", "E", "+ 0", "voltage=12.6");
        rig_part(c, "cable", "W", "+ a", "size=2.5, length=20, heating=steady");
        rig_part(c, "resistor", "R", "a 0", "resistance=1");
        sl_condition rest = rig_condition(c, "rest");
        sl_edit load = rig_set(c, "R", "resistance", rows[r].load_ohm);
        assert_int_equal(sl_condition_edit(c, rest, &load), SL_OK);
        assert_int_equal(sl_condition_set_temperature(c, rest, rows[r].air_c), SL_OK);
        assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "0")), SL_OK);
        sl_case *cs = rig_solved(c, rest);
        assert_near("metal", value(cs, c, "W", "metal_temperature"), lo, 1e-9);
        assert_near("current", rig_amps(cs, c, "W"), 12.6 / (ohm_at(20.0, lo) + rows[r].load_ohm),
                    1e-10);
        assert_string_equal(said(cs, c, "W"), lo > 80.0 ? "too hot" : "");
        assert_proved(cs);
        /* solved again, the same to the last bit; without heating, colder and more current */
        double first = rig_amps(cs, c, "W");
        assert_int_equal(sl_case_solve(cs), SL_OK);
        assert_true(rig_amps(cs, c, "W") == first);
        sl_edit none = rig_set(c, "W", "heating", 0.0);
        assert_int_equal(sl_case_edit(cs, &none, 1), SL_OK);
        assert_int_equal(sl_case_solve(cs), SL_OK);
        assert_near("cold", rig_amps(cs, c, "W"),
                    12.6 / (ohm_at(20.0, rows[r].air_c) + rows[r].load_ohm), 1e-12);
        assert_near("surroundings", value(cs, c, "W", "metal_temperature"), rows[r].air_c, 1e-12);
        sl_case_clear(cs);
        assert_int_equal(sl_case_solve(cs), SL_OK);
        assert_true(rig_amps(cs, c, "W") == first);
        rig_free(c, cs);
    }
}

/* A short at its end: as hot as its own resistance lets it get, and a short wire melts. */
static void shorted_wires_are_answered(void **unused)
{
    (void)unused;
    static const struct {
        const char *values, *said;
    } rows[] = {{"size=0.75, length=10, heating=steady", "too hot"},
                {"size=0.75, length=0.5, heating=steady", "too hot"},
                {"size=0.75, length=10", "overloaded"},
                {"size=0.75, length=0.5", "overloaded;melts"},
                {"size=25, length=0.5, heating=steady, broken_strands=0.99", "too hot"}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        sl_circuit *c = rig_circuit(NULL);
        rig_part(c, "battery", "B", "+ 0", "resistance=0.006");
        rig_part(c, "cable", "W", "+ a", rows[r].values);
        rig_part(c, "cable", "W2", "a 0", rows[r].values);
        sl_case *cs = rig_solved(c, 0);
        assert_string_equal(said(cs, c, "W"), rows[r].said);
        double metal_c = value(cs, c, "W", "metal_temperature");
        assert_true(metal_c >= 20.0 && metal_c <= 1083.0);
        assert_near("alike", value(cs, c, "W2", "metal_temperature"), metal_c, 1e-9);
        assert_proved(cs);
        rig_free(c, cs);
    }
}

/* Two wires side by side: as one warms it leaves more to the other; of unequal ones both heat
   balances hold. */
static void parallel_wires_share_warm(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "I", "a 0", "current=100");
    rig_part(c, "cable", "W1", "a 0", "size=2.5, length=1, heating=steady");
    rig_part(c, "cable", "W2", "a 0", "size=2.5, length=1.7, heating=steady");
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "0")), SL_OK);
    sl_case *cs = rig_solved(c, 0);
    static const char *const names[] = {"W1", "W2"};
    static const double metres[] = {1.0, 1.7};
    for (int n = 0; n < 2; n++) {
        double metal_c = value(cs, c, names[n], "metal_temperature"),
               amps = rig_amps(cs, c, names[n]);
        assert_near("law", rig_volts(cs, c, "a"), amps * ohm_at(metres[n], metal_c), 1e-9);
        assert_near("heat", loss_w(20.0, metal_c), amps * amps * ohm_at(1.0, metal_c), 1e-8);
    }
    assert_true(rig_amps(cs, c, "W1") / rig_amps(cs, c, "W2") < 1.7);
    assert_proved(cs);
    rig_free(c, cs);
}

/* 10 m of 0.75 mm2 out and back from 12.6 V, the published limit of its resistance: 22.6 A at the
   far end, 151 % of a fuse of 15 A and 91 % of one of 25 A. */
static void short_at_the_far_end_against_the_fuse(void **unused)
{
    (void)unused;
    static const struct {
        const char *rating, *said;
        double load;
    } rows[] = {{"rating=15", "over 135 %", 1.51}, {"rating=25", "", 0.91}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        sl_circuit *c = rig_circuit(NULL);
        rig_part(c, "battery", "B", "+ 0", "resistance=0.008");
        rig_part(c, "fuse", "F", "+ f", rows[r].rating);
        rig_part(c, "cable", "out", "f a", "size=0.75, length=10, basis=iec60228");
        rig_part(c, "cable", "back", "a 0", "size=0.75, length=10, basis=iec60228");
        sl_case *cs = rig_solved(c, 0);
        double rating = value(cs, c, "F", "rating");
        assert_near("share of its rating", rig_amps(cs, c, "F") / rating, rows[r].load, 0.06);
        assert_string_equal(said(cs, c, "F"), rows[r].said);
        assert_string_equal(said(cs, c, "out"), "overloaded"); /* whichever fuse it is */
        rig_free(c, cs);
    }
}

/* A fuse of 10 A that carries 10 A: 77 mV cold, 1.44 times as much warm. */
static void warm_fuse_in_its_circuit(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "I", "a 0", "current=10");
    rig_part(c, "fuse", "F", "a 0", "rating=10");
    assert_int_equal(sl_circuit_set_reference(c, sl_circuit_find_node(c, "0")), SL_OK);
    sl_case *cs = rig_solved(c, 0);
    assert_near("cold", rig_volts(cs, c, "a"), 0.077, 1e-12);
    const sl_edit steady = rig_set(c, "F", "heating", 1.0);
    assert_int_equal(sl_case_edit(cs, &steady, 1), SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    assert_near("warm", rig_volts(cs, c, "a"), 0.077 * 1.44, 1e-12);
    assert_near("warmth", value(cs, c, "F", "warmth"), 1.44, 1e-12);
    rig_free(c, cs);
}

/* 12 V behind 10 mohm, a breaker of 20 A and a load. */
static sl_circuit *behind_breaker(const char *values, double load_ohm, sl_case **cs)
{
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "+ 0", "resistance=0.01");
    rig_part(c, "breaker", "CB", "+ a", values);
    rig_part(c, "resistor", "R", "a 0", "resistance=1");
    sl_condition rest = rig_condition(c, "rest");
    const sl_edit load = rig_set(c, "R", "resistance", load_ohm);
    assert_int_equal(sl_condition_edit(c, rest, &load), SL_OK);
    *cs = rig_solved(c, rest);
    return c;
}

static void breakers_trip_and_stay_or_cycle(void **unused)
{
    (void)unused;
    static const struct {
        const char *values;
        double load_ohm, trips_s; /* 0: it does not */
        sl_outcome outcome;
        const char *said;
    } rows[] = {
        {"rating=20", 0.64, 0.0, SL_SETTLED, ""},
        {"rating=20", 0.50, 0.0, SL_SETTLED, "overloaded"},
        {"rating=20", 0.30, 20.0, SL_SETTLED, "tripped"},
        {"rating=20, reset=held", 0.30, 20.0, SL_SETTLED, "tripped"},
        {"rating=20, reset=automatic", 0.30, 20.0, SL_CHATTERS, "trips"},
        {"rating=20, reset=automatic", 0.165, 3.0, SL_CHATTERS, "trips"},
        {"rating=20, reset=automatic, trip_time=5, reset_time=8", 0.30, 5.0, SL_CHATTERS, "trips"},
        {"rating=20, position=off", 0.30, 0.0, SL_SETTLED, ""},
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        sl_case *cs;
        sl_circuit *c = behind_breaker(rows[r].values, rows[r].load_ohm, &cs);
        assert_int_equal(sl_case_outcome(cs), rows[r].outcome);
        assert_string_equal(said(cs, c, "CB"), rows[r].said);
        bool off = strstr(rows[r].values, "off"), open = strcmp(rows[r].said, "tripped") == 0;
        if (rows[r].outcome == SL_CHATTERS) {
            double cools_s = strstr(rows[r].values, "=8") ? 8.0 : 10.0;
            assert_near("cycle", sl_case_period_s(cs), rows[r].trips_s + cools_s, 0.1);
            assert_true(rig_amps(cs, c, "R") > 27.0);
            assert_int_equal(sl_case_view(cs, 1), SL_OK);
            assert_string_equal(said(cs, c, "CB"), "tripped");
            assert_true(rig_amps(cs, c, "R") == 0.0);
        } else if (open && strstr(rows[r].values, "held")) {
            assert_near("by its heater", rig_amps(cs, c, "R"), 0.126, 0.01);
        } else {
            assert_int_equal(rig_amps(cs, c, "R") != 0.0, !off && !open);
        }
        assert_proved(cs);
        rig_free(c, cs);
    }
}

/* The heater of a held one keeps it open until the voltage goes; a manual one waits for a hand. */
static void reset_breakers_close_again(void **unused)
{
    (void)unused;
    static const struct {
        const char *values;
        int32_t after_key, after_hand;
    } rows[] = {{"rating=20, reset=held", 0, 0}, {"rating=20", 1, 0}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        sl_circuit *c = rig_circuit(NULL);
        rig_part(c, "battery", "B", "+ 0", "resistance=0.01");
        rig_part(c, "switch", "KEY", "+ key", "position=closed");
        rig_part(c, "breaker", "CB", "key a", rows[r].values);
        rig_part(c, "resistor", "R", "a 0", "resistance=1");
        const sl_edit shorted = rig_set(c, "R", "resistance", 0.2);
        const sl_edit key_off = rig_set(c, "KEY", "position", 0.0);
        const sl_edit by_hand = rig_set(c, "CB", "position", 1.0);
        sl_condition fault = rig_condition(c, "short"), off = rig_condition(c, "off"),
                     on = rig_condition(c, "on"), hand = rig_condition(c, "hand"),
                     again = rig_condition(c, "again");
        assert_int_equal(sl_condition_edit(c, fault, &shorted), SL_OK);
        assert_int_equal(sl_condition_edit(c, off, &key_off), SL_OK);
        assert_int_equal(sl_condition_edit(c, hand, &by_hand), SL_OK);
        assert_int_equal(sl_condition_after(c, off, fault), SL_OK);
        assert_int_equal(sl_condition_after(c, on, off), SL_OK);
        assert_int_equal(sl_condition_after(c, hand, on), SL_OK);
        assert_int_equal(sl_condition_after(c, again, hand), SL_OK);
        static const char *const names[] = {"short", "on", "again"};
        const int32_t wanted[] = {1, rows[r].after_key, rows[r].after_hand};
        for (int n = 0; n < 3; n++) {
            sl_case *cs = rig_solved(c, sl_circuit_find_condition(c, names[n]));
            assert_int_equal(rig_state(cs, c, "CB"), wanted[n]);
            sl_case_free(cs);
        }
        sl_circuit_free(c);
    }
}

enum { RELEASED, PULLED_IN, SPINNING_UP, AT_REST, TURNING };

/* A car: battery, 1 mohm either side, key, solenoid. */
static sl_circuit *car(double battery_ohm, double ground_ohm)
{
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "+ 0", "resistance=0.006");
    rig_part(c, "resistor", "feed", "+ stud", "resistance=0.001");
    rig_part(c, "switch", "KEY", "+ S", "position=closed, resistance=0.02");
    rig_part(c, "starter", "M", "stud engine S -", "");
    rig_part(c, "resistor", "ground", "engine 0", "resistance=0.001");
    sl_condition crank = rig_condition(c, "crank");
    const sl_edit edits[] = {rig_set(c, "B", "resistance", battery_ohm),
                             rig_set(c, "ground", "resistance", ground_ohm)};
    assert_int_equal(sl_condition_edit(c, crank, &edits[0]), SL_OK);
    assert_int_equal(sl_condition_edit(c, crank, &edits[1]), SL_OK);
    return c;
}

/* The motor stands still when the contacts close: 4 V / 780 A of resistance. A healthy car and one
   with a poor ground keep enough at S; a dying battery does not, pulls in again, and so on. A dead
   one does not even pull in. */
static void inrush_lets_the_solenoid_of_a_dying_battery_go(void **unused)
{
    (void)unused;
    static const struct {
        double battery_ohm, ground_ohm;
        bool chatters;
        const char *said;
    } rows[] = {
        {0.006, 0.001, false, "cranks"},   {0.006, 0.011, false, "cranks"},
        {0.015, 0.001, false, "cranks"},   {0.025, 0.001, false, "cranks slowly"},
        {0.035, 0.001, true, ""},          {0.040, 0.001, true, ""},
        {0.050, 0.001, true, ""},          {0.006, 0.040, true, ""},
        {0.080, 0.001, false, "no click"},
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        sl_circuit *c = car(rows[r].battery_ohm, rows[r].ground_ohm);
        sl_case *cs = rig_solved(c, 0);
        assert_int_equal(sl_case_outcome(cs), rows[r].chatters ? SL_CHATTERS : SL_SETTLED);
        assert_string_equal(said(cs, c, "M"), rows[r].said);
        if (rows[r].chatters) {
            assert_near("20 + 10 ms", sl_case_period_s(cs), 0.03, 1e-12);
            assert_int_equal(rig_state(cs, c, "M"), RELEASED);
            assert_true(rig_across(cs, c, "S", "engine") > 8.0);
            assert_int_equal(sl_case_view(cs, 1), SL_OK);
            assert_int_equal(rig_state(cs, c, "M"), SPINNING_UP);
            assert_string_equal(said(cs, c, "M"), "clicking");
            assert_true(rig_across(cs, c, "S", "engine") < 3.0);
            /* as if it were locked, but for what the windings take */
            double ohm = rows[r].battery_ohm + rows[r].ground_ohm + 0.0012 + 4.0 / 780.0;
            assert_near("inrush", rig_amps(cs, c, "B"), -12.65 / ohm, 0.03);
        } else {
            bool cranks = strncmp(rows[r].said, "cranks", 6) == 0;
            assert_int_equal(rig_state(cs, c, "M"), cranks ? PULLED_IN : RELEASED);
            assert_true(rig_across(cs, c, "S", "engine") > 3.0);
        }
        assert_proved(cs);
        rig_free(c, cs);
    }
}

/* One that holds on at less, or spins up before it has let go, cranks with the same battery. */
static void what_ends_the_chatter(void **unused)
{
    (void)unused;
    static const struct {
        const char *param;
        double value;
    } rows[] = {{"hold", 1.0}, {"spin_up_time", 0.009}, {"release_time", 0.061}, {"drag", 0.0}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        sl_circuit *c = car(0.040, 0.001);
        sl_case *cs = rig_case(c, 0);
        const sl_edit edit = rig_set(c, "M", rows[r].param, rows[r].value);
        assert_int_equal(sl_case_edit(cs, &edit, 1), SL_OK);
        assert_int_equal(sl_case_solve(cs), SL_OK);
        bool settles = strcmp(rows[r].param, "drag") != 0; /* the engine is not the cause */
        assert_int_equal(sl_case_outcome(cs), settles ? SL_SETTLED : SL_CHATTERS);
        rig_free(c, cs);
    }
}

/* Without a solenoid the relay that feeds it plays its part: a motorcycle with a coil of 4 ohm. */
static void inrush_lets_a_starter_relay_go(void **unused)
{
    (void)unused;
    static const struct {
        const char *battery;
        bool chatters;
    } rows[] = {{"resistance=0.02", false}, {"resistance=0.067", true}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        sl_circuit *c = rig_circuit(NULL);
        rig_part(c, "battery", "B", "+ 0", rows[r].battery);
        rig_part(c, "switch", "START", "+ coil", "position=closed");
        rig_part(c, "relay", "K", "+ stud coil 0 -", "coil_resistance=4, pull_in=7, drop_out=2");
        rig_part(c, "starter", "M", "stud 0 - -",
                 "solenoid=none, cranking_current=90, cranking_voltage=10");
        sl_condition rest = rig_condition(c, "rest"), crank = rig_condition(c, "crank");
        const sl_edit open = rig_set(c, "START", "position", 0.0);
        assert_int_equal(sl_condition_edit(c, rest, &open), SL_OK);
        assert_int_equal(sl_condition_after(c, crank, rest), SL_OK);
        sl_case *cs = rig_solved(c, rest);
        assert_int_equal(rig_state(cs, c, "M"), AT_REST);
        assert_string_equal(said(cs, c, "M"), "");
        sl_case_free(cs);
        cs = rig_solved(c, crank);
        assert_int_equal(sl_case_outcome(cs), rows[r].chatters ? SL_CHATTERS : SL_SETTLED);
        if (rows[r].chatters) {
            assert_int_equal(sl_case_view(cs, 1), SL_OK);
            assert_int_equal(rig_state(cs, c, "M"), AT_REST);
            assert_string_equal(said(cs, c, "M"), "stands still");
        } else {
            assert_int_equal(rig_state(cs, c, "M"), TURNING);
            assert_string_equal(said(cs, c, "M"), "cranks");
        }
        rig_free(c, cs);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(warm_wire_and_its_current_agree),
        cmocka_unit_test(shorted_wires_are_answered),
        cmocka_unit_test(parallel_wires_share_warm),
        cmocka_unit_test(short_at_the_far_end_against_the_fuse),
        cmocka_unit_test(warm_fuse_in_its_circuit),
        cmocka_unit_test(breakers_trip_and_stay_or_cycle),
        cmocka_unit_test(reset_breakers_close_again),
        cmocka_unit_test(inrush_lets_the_solenoid_of_a_dying_battery_go),
        cmocka_unit_test(what_ends_the_chatter),
        cmocka_unit_test(inrush_lets_a_starter_relay_go),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

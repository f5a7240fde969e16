/* Joint, fuse, switch, heater and meter. */
#include "kindprobe.h"
#include "near.h"

#include <string.h>

static void clean_joints_have_the_resistance_of_their_type(void **unused)
{
    (void)unused;
    /* post: 0.05 to 0.2 mohm; connector: 1 to 5 mohm; from memory. The others: no source. */
    static const struct {
        const char *type;
        double mohm;
    } rows[] = {{"bolted", 0.1}, {"post", 0.1},  {"clamp", 0.05},   {"lug", 0.05},
                {"stud", 0.1},   {"crimp", 0.5}, {"connector", 3.0}};
    probe plain = probe_of("joint");
    assert_near("bolted when not said", probe_ohm(&plain, 20.0), 0.1e-3, 1e-12);
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = probe_of("joint");
        probe_choose(&part, "type", rows[r].type);
        assert_near(rows[r].type, probe_ohm(&part, 20.0), rows[r].mohm * 1e-3, 1e-12);
        /* A manual asks each connection of a cranking circuit to show 0.0 V on a scale of 1 V. */
        if (rows[r].mohm <= 0.1) {
            assert_true(200.0 * probe_ohm(&part, 20.0) < 0.05);
        }
        probe_set(&part, "resistance", 0.0);
        assert_true(probe_ohm(&part, 20.0) == 0.0);
        probe_set(&part, "resistance", 0.06);
        assert_near("given", probe_ohm(&part, 20.0), 0.06, 1e-15);
    }
}

static void used_and_corroded_joints_have_more(void **unused)
{
    (void)unused;
    static const struct {
        const char *type;
        double used_mohm, corroded_mohm;
    } rows[] = {{"bolted", 0.3, 10}, {"post", 0.3, 10}, {"clamp", 0.2, 5},    {"lug", 0.2, 5},
                {"stud", 0.3, 5},    {"crimp", 2, 20},  {"connector", 10, 50}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = probe_of("joint");
        probe_choose(&part, "type", rows[r].type);
        probe_choose(&part, "surface", "used");
        assert_near(rows[r].type, probe_ohm(&part, 20.0), rows[r].used_mohm * 1e-3, 1e-12);
        probe_choose(&part, "surface", "corroded");
        assert_near(rows[r].type, probe_ohm(&part, 20.0), rows[r].corroded_mohm * 1e-3, 1e-12);
        probe_set(&part, "resistance", 0.06);
        assert_near("given", probe_ohm(&part, 20.0), 0.06, 1e-15);
    }
}

static void hot_joint_is_noticed(void **unused)
{
    (void)unused;
    probe part = probe_of("joint");
    double watts = 0.0;
    assert_null(probe_notice(&part, 0.02, 200.0, &watts));
    /* A good clamp of 0.1 mohm cranking a car at 238 A, 5.7 W, and a truck at 700 A, 49 W. */
    assert_null(probe_notice(&part, 0.0238, 238.0, &watts));
    assert_null(probe_notice(&part, 0.07, 700.0, &watts));
    /* The two sides of 0.1 V and of 5 W. */
    assert_null(probe_notice(&part, 0.099, 300.0, &watts));
    assert_string_equal(probe_notice(&part, 0.101, 300.0, &watts), "heat");
    assert_null(probe_notice(&part, 2.49, 2.0, &watts));
    assert_string_equal(probe_notice(&part, 2.51, 2.0, &watts), "heat");
    /* 40 mohm at 20 A: 0.8 V and 16 W */
    assert_string_equal(probe_notice(&part, 0.8, 20.0, &watts), "heat");
    assert_near("16 W", watts, 16.0, 1e-12);
    assert_string_equal(probe_notice(&part, -0.8, -20.0, &watts), "heat");
    assert_null(probe_notice(&part, 12.6, 0.0, &watts));
}

/* Cold resistance of blade-type fuses, mohm, from memory. */
static const struct {
    const char *style;
    double rating_a, mohm;
} fuses[] = {
    {"blade", 1, 123},   {"blade", 2, 53.5},    {"blade", 3, 31.1},  {"blade", 4, 22.8},
    {"blade", 5, 17.85}, {"blade", 7.5, 10.91}, {"blade", 10, 7.7},  {"blade", 15, 4.8},
    {"blade", 20, 3.38}, {"blade", 25, 2.52},   {"blade", 30, 1.97}, {"blade", 35, 1.61},
    {"blade", 40, 1.44}, {"mini", 2, 54},       {"mini", 3, 30},     {"mini", 4, 22},
    {"mini", 5, 16.5},   {"mini", 7.5, 10.4},   {"mini", 10, 7.2},   {"mini", 15, 4.4},
    {"mini", 20, 3.0},   {"mini", 25, 2.2},     {"mini", 30, 1.8},   {"maxi", 20, 3.2},
    {"maxi", 30, 2.0},   {"maxi", 40, 1.4},     {"maxi", 50, 1.1},   {"maxi", 60, 0.85},
    {"maxi", 70, 0.7},   {"maxi", 80, 0.58},
};

static probe fuse(const char *style, double rating_a)
{
    probe part = probe_of("fuse");
    probe_choose(&part, "style", style);
    probe_set(&part, "rating", rating_a);
    return part;
}

static void fuse_resistance_follows_the_table(void **unused)
{
    (void)unused;
    for (size_t r = 0; r < sizeof fuses / sizeof *fuses; r++) {
        probe part = fuse(fuses[r].style, fuses[r].rating_a);
        assert_near(fuses[r].style, probe_ohm(&part, 20.0), fuses[r].mohm * 1e-3, 1e-12);
        if (r == 0 || strcmp(fuses[r].style, fuses[r - 1].style) != 0) {
            continue;
        }
        /* The geometric middle of two ratings has the geometric middle of their resistances. */
        part = fuse(fuses[r].style, sqrt(fuses[r].rating_a * fuses[r - 1].rating_a));
        assert_near("between", probe_ohm(&part, 20.0),
                    sqrt(fuses[r].mohm * fuses[r - 1].mohm) * 1e-3, 1e-12);
    }
    /* 0.38 A through a 10 A fuse is 2.9 mV. */
    probe part = probe_of("fuse");
    probe_set(&part, "rating", 10.0);
    assert_near("2.9 mV", 0.38 * probe_ohm(&part, 20.0), 2.9e-3, 0.02);
}

static void fuse_outside_its_table_needs_a_resistance(void **unused)
{
    (void)unused;
    static const struct {
        const char *style;
        double rating_a;
        const char *param, *word;
    } rows[] = {
        {"blade", 0.5, "rating", "1 A to 40 A"}, {"blade", 50, "rating", "1 A to 40 A"},
        {"mini", 1, "rating", "2 A to 30 A"},    {"mini", 40, "rating", "2 A to 30 A"},
        {"maxi", 10, "rating", "20 A to 80 A"},  {"maxi", 100, "rating", "20 A to 80 A"},
        {"bolt", 25, "rating", "30 A to 500 A"}, {"fusible link", 60, "resistance", "resistance"},
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = fuse(rows[r].style, rows[r].rating_a);
        probe_complains(&part, rows[r].param, rows[r].word);
        probe_set(&part, "resistance", 0.7e-3);
        assert_near("given", probe_ohm(&part, 20.0), 0.7e-3, 1e-15);
    }
}

static void blown_fuse_is_not_there(void **unused)
{
    (void)unused;
    probe part = fuse("mini", 15.0);
    assert_int_equal(probe_laws(&part, 20.0, 0)->form, SL__OHMIC);
    probe_mode(&part, "blown", 1.0);
    assert_int_equal(probe_laws(&part, 20.0, 0)->form, SL__ABSENT);
    assert_string_equal(probe_notice(&part, 12.6, 0.0, NULL), "blown");
}

/* Opening times of ISO 8820-3, from memory: 135 % 0.75 to 600 s, 160 % 0.25 to 50, 200 % 0.15 to 5,
   350 % 0.04 to 0.5, 600 % 0.02 to 0.1. */
static void overload_names_the_band_of_opening_times(void **unused)
{
    (void)unused;
    static const struct {
        double load;
        const char *text;
    } rows[] = {
        {0.5, NULL},
        {1.09, NULL},
        {1.11, "0.75 s"},
        {1.34, "0.75 s"},
        {1.36, "0.25 to 600"},
        {1.59, "0.25 to 600"},
        {1.61, "0.15 to 50"},
        {1.99, "0.15 to 50"},
        {2.01, "0.04 to 5 s"},
        {3.49, "0.04 to 5 s"},
        {3.51, "0.02 to 0.5"},
        {5.99, "0.02 to 0.5"},
        {6.01, "opens at once"},
        {50.0, "opens at once"},
    };
    probe part = fuse("blade", 20.0);
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        for (int sign = -1; sign <= 1; sign += 2) {
            double load = 0.0;
            const char *name = probe_notice(&part, 0.1, sign * rows[r].load * 20.0, &load);
            if (!rows[r].text) {
                assert_null(name);
                continue;
            }
            assert_non_null(name);
            assert_near("load", load, rows[r].load, 1e-12);
            const sl_kind *about = &part.kind->about;
            for (int32_t n = 0; n < about->notice_count; n++) {
                if (strcmp(about->notices[n].name, name) == 0) {
                    assert_non_null(strstr(about->notices[n].text, rows[r].text));
                }
            }
        }
    }
}

static void switch_is_there_only_when_closed(void **unused)
{
    (void)unused;
    probe part = probe_of("switch");
    assert_int_equal(probe_laws(&part, 20.0, 0)->form, SL__ABSENT);
    probe_choose(&part, "position", "closed");
    assert_near("closed", probe_ohm(&part, 20.0), 5e-3, 1e-12);
    probe_set(&part, "resistance", 0.0);
    assert_true(probe_ohm(&part, 20.0) == 0.0);
    probe_mode(&part, "stuck open", 0.0);
    assert_int_equal(probe_laws(&part, 20.0, 0)->form, SL__ABSENT);
    probe_mode(&part, "stuck closed", 1.0);
    assert_int_equal(probe_laws(&part, 20.0, 0)->form, SL__OHMIC);
    assert_string_equal(part.kind->about.params[part.kind->about.position_param].name, "position");
}

static void heater_follows_its_rating(void **unused)
{
    (void)unused;
    probe part = probe_of("heater");
    probe_complains(&part, "power", "resistance");
    probe_set(&part, "power", 144.0);
    assert_near("144 / 144", probe_ohm(&part, -40.0), 1.0, 1e-14);
    probe_set(&part, "voltage", 24.0);
    assert_near("576 / 144", probe_ohm(&part, 20.0), 4.0, 1e-14);
    probe_set(&part, "resistance", 4.05);
    assert_near("given, and agrees", probe_ohm(&part, 20.0), 4.05, 1e-14);
    probe_set(&part, "resistance", 1.0);
    probe_complains(&part, "resistance", "do not agree");

    probe warm = probe_of("heater");
    probe_set(&warm, "resistance", 2.0);
    probe_set(&warm, "coefficient", 0.004);
    assert_near("20 C", probe_ohm(&warm, 20.0), 2.0, 1e-14);
    assert_near("120 C", probe_ohm(&warm, 120.0), 2.8, 1e-14);
    probe_set(&warm, "temperature", -30.0);
    assert_near("its own", probe_ohm(&warm, 120.0), 1.6, 1e-14);
}

static void heat_is_told_against_the_rated_power(void **unused)
{
    (void)unused;
    double heat = 0.0;
    probe part = probe_of("heater");
    probe_set(&part, "power", 144.0);
    assert_string_equal(probe_notice(&part, 12.0, 12.0, &heat), "heat");
    assert_near("all of it", heat, 1.0, 1e-14);
    assert_string_equal(probe_notice(&part, -6.0, -6.0, &heat), "heat");
    assert_near("half the voltage", heat, 0.25, 1e-14);
    /* 12 V over heater and a poor joint of 1 ohm: only its own heat counts. */
    assert_string_equal(probe_notice(&part, 12.0, 6.0, &heat), "heat");
    assert_near("joint left out", heat, 0.25, 1e-14);
    assert_string_equal(probe_notice(&part, 12.0, 0.0, &heat), "cold");
    assert_string_equal(probe_notice(&part, 1.1, 1.1, &heat), "cold");
}

static void meter_reads_its_own_input(void **unused)
{
    (void)unused;
    double volts = 0.0;
    probe part = probe_of("meter");
    const double ohm = probe_ohm(&part, 20.0);
    assert_near("10 Mohm", ohm, 10e6, 1e-15);
    /* 0.16 Mohm in series is the least a bare meter shows as 0.2 V of 12.6 V. */
    const double amps = 12.6 / (ohm + 0.16e6);
    assert_string_equal(probe_notice(&part, amps * ohm, amps, &volts), "reading");
    assert_near("12.4 V", volts, 12.4, 2e-4);
    assert_string_equal(probe_notice(&part, 12.6, 0.0, &volts), "reading");
    assert_true(volts == 0.0);
    assert_string_equal(probe_notice(&part, -5.0, -0.5e-6, &volts), "reading");
    assert_near("leads swapped", volts, -5.0, 1e-12);
    probe_set(&part, "input_resistance", 200e3);
    assert_near("20 kohm per volt, range of 10 V", probe_ohm(&part, 20.0), 200e3, 1e-15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(clean_joints_have_the_resistance_of_their_type),
        cmocka_unit_test(used_and_corroded_joints_have_more),
        cmocka_unit_test(hot_joint_is_noticed),
        cmocka_unit_test(fuse_resistance_follows_the_table),
        cmocka_unit_test(fuse_outside_its_table_needs_a_resistance),
        cmocka_unit_test(blown_fuse_is_not_there),
        cmocka_unit_test(overload_names_the_band_of_opening_times),
        cmocka_unit_test(switch_is_there_only_when_closed),
        cmocka_unit_test(heater_follows_its_rating),
        cmocka_unit_test(heat_is_told_against_the_rated_power),
        cmocka_unit_test(meter_reads_its_own_input),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

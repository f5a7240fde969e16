/* The load test at half the cold cranking rating, against the table it is from; displays. */
#include "near.h"
#include "rig.h"
#include "strapline/strapline.h"

#include <stdio.h>
#include <string.h>

/* Vehicle maker service data: several model tables agree. The warmest row holds from 20 C up. */
static const struct {
    double celsius, volts;
} table[] = {
    {21.0, 9.6}, {16.0, 9.5}, {10.0, 9.4},  {4.0, 9.3},
    {-1.0, 9.1}, {-7.0, 8.9}, {-12.0, 8.7}, {-18.0, 8.5},
};
enum { ROWS = sizeof table / sizeof *table };

static void the_table_at_its_rows_and_between(void **unused)
{
    (void)unused;
    for (int n = 0; n < ROWS; n++) {
        assert_near("row", sl_load_test_least_v(table[n].celsius), table[n].volts, 1e-15);
    }
    for (int n = 1; n < ROWS - 1; n++) {
        const double half = 0.5 * (table[n].celsius + table[n + 1].celsius);
        assert_near("between", sl_load_test_least_v(half),
                    0.5 * (table[n].volts + table[n + 1].volts), 1e-14);
    }
    assert_near("20 C", sl_load_test_least_v(20.0), 9.6, 1e-15);
    assert_near("hot", sl_load_test_least_v(45.0), 9.6, 1e-15);
    assert_true(sl_load_test_least_v(19.9) < 9.6);
    assert_true(isnan(sl_load_test_least_v(-18.01)) && isnan(sl_load_test_least_v((double)NAN)));
}

/* A battery of 500 A whose resistance is given: at 250 A it loses 250 A times that, by hand. */
static sl_load_test tested(double celsius, double ohm, double charge, double cells)
{
    sl_circuit *c = rig_circuit(NULL);
    char text[160];
    snprintf(text, sizeof text, "cca=500, resistance=%.17g, charge=%.17g, cells=%g", ohm, charge,
             cells);
    rig_part(c, "battery", "B1", "B+ B-", text);
    /* All of this is off the battery while it is tested. */
    rig_part(c, "resistor", "LOAD", "B+ B-", "resistance=0.01");
    rig_part(c, "battery", "B2", "B+ B-", "cca=500");
    assert_int_equal(sl_circuit_set_temperature(c, celsius), SL_OK);
    sl_case *cs = rig_case(c, 0);
    sl_load_test test;
    assert_int_equal(sl_case_load_test(cs, sl_circuit_find_part(c, "B1"), &test), SL_OK);
    rig_free(c, cs);
    return test;
}

static void both_sides_of_every_row(void **unused)
{
    (void)unused;
    for (int n = 0; n < ROWS; n++) {
        const double rest = tested(table[n].celsius, 1e-3, 1.0, 6.0).rest_v;
        for (int above = 0; above < 2; above++) {
            const double wanted = table[n].volts + (above ? 1e-3 : -1e-3);
            const sl_load_test test = tested(table[n].celsius, (rest - wanted) / 250.0, 1.0, 6.0);
            assert_near("load", test.load_a, 250.0, 1e-12);
            assert_near("rating", test.rating_a, 500.0, 0.0);
            assert_near("loaded", test.loaded_v, wanted, 1e-9);
            assert_near("least", test.least_v, table[n].volts, 1e-15);
            assert_near("temperature", test.celsius + 100.0, table[n].celsius + 100.0, 1e-15);
            assert_int_equal(test.verdict, above ? SL_PASSES : SL_FAILS);
        }
    }
}

/* Twice the cells, twice the limit. */
static void a_battery_of_24_v(void **unused)
{
    (void)unused;
    const double rest = tested(21.0, 1e-3, 1.0, 12.0).rest_v;
    assert_near("least", tested(21.0, 1e-3, 1.0, 12.0).least_v, 19.2, 1e-15);
    assert_int_equal(tested(21.0, (rest - 19.21) / 250.0, 1.0, 12.0).verdict, SL_PASSES);
    assert_int_equal(tested(21.0, (rest - 19.19) / 250.0, 1.0, 12.0).verdict, SL_FAILS);
}

/* US Army TM 5-3805-262-20: 12.4 V or more before other tests. */
static void a_flat_battery_is_charged_first(void **unused)
{
    (void)unused;
    int seen[2] = {0, 0};
    for (int n = 0; n <= 20; n++) {
        const sl_load_test test = tested(21.0, 4e-3, 0.6 + 0.01 * n, 6.0);
        const int below = test.rest_v < 12.4;
        assert_int_equal(test.verdict, below ? SL_CHARGE_FIRST : SL_PASSES);
        seen[below]++;
    }
    assert_true(seen[0] > 0 && seen[1] > 0);
}

/* A battery that cannot give half its rating fails at what it gives. */
static void a_battery_that_cannot_give_it(void **unused)
{
    (void)unused;
    const sl_load_test test = tested(21.0, 0.5, 1.0, 6.0);
    assert_int_equal(test.verdict, SL_FAILS);
    assert_near("load", test.load_a, test.rest_v / 0.502, 1e-9);
}

static void what_cannot_be_tested(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B1", "B+ B-", "resistance=5e-3");
    rig_part(c, "battery", "B2", "B+ B-", "cca=500, temperature=-30");
    rig_part(c, "resistor", "R1", "B+ B-", "resistance=1");
    static const struct {
        const char *part;
        sl_status status;
        const char *word;
    } rows[] = {
        {"B1", SL_E_VALUE, "cca"}, {"B2", SL_E_VALUE, "-18 C"}, {"R1", SL_E_ARG, "resistor"}};
    for (int n = 0; n < 3; n++) {
        sl_case *cs = rig_case(c, 0);
        sl_load_test test;
        assert_int_equal(sl_case_load_test(cs, sl_circuit_find_part(c, rows[n].part), &test),
                         rows[n].status);
        assert_non_null(strstr(sl_case_message(cs), rows[n].word));
        assert_int_equal(sl_case_load_test(cs, 99, &test), SL_E_ARG);
        sl_case_free(cs);
    }
    sl_circuit_free(c);
}

/* 6000 counts from 0.1 mV: 600.0 mV, 6.000 V, 60.00 V, 600.0 V. */
static void a_display_has_so_many_digits(void **unused)
{
    (void)unused;
    static const sl_display volts = {6000.0, 1e-4, 600.0};
    static const struct {
        double value, shown, step;
        bool fits;
    } rows[] = {
        {0.0481e-3, 0.0, 1e-4, true}, {-0.00004, 0.0, 1e-4, true}, {0.06185, 0.0619, 1e-4, true},
        {0.6, 0.6, 1e-4, true},       {0.60006, 0.6, 1e-3, true},  {-12.6349, -12.63, 1e-2, true},
        {5.9996, 6.0, 1e-3, true},    {6.0006, 6.0, 1e-2, true},   {599.96, 600.0, 0.1, true},
        {600.1, 600.1, 0.1, false},   {-1e9, -1e9, 0.1, false},
    };
    for (size_t n = 0; n < sizeof rows / sizeof *rows; n++) {
        double shown, step;
        assert_int_equal(sl_display_show(&volts, rows[n].value, &shown, &step), rows[n].fits);
        assert_true(shown == rows[n].shown && !(shown == 0.0 && signbit(shown)));
        assert_near("step", step, rows[n].step, 1e-15);
    }
    static const sl_display clamp = {6000.0, 0.01, 2000.0};
    double shown, step;
    assert_true(sl_display_show(&clamp, 123.4567, &shown, &step));
    assert_true(shown == 123.5);
    assert_true(sl_display_show(&clamp, 1234.4, &shown, &step));
    assert_true(shown == 1234.0);
    assert_false(sl_display_show(&clamp, 2001.0, &shown, &step));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_at_its_rows_and_between),
        cmocka_unit_test(both_sides_of_every_row),
        cmocka_unit_test(a_battery_of_24_v),
        cmocka_unit_test(a_flat_battery_is_charged_first),
        cmocka_unit_test(a_battery_that_cannot_give_it),
        cmocka_unit_test(what_cannot_be_tested),
        cmocka_unit_test(a_display_has_so_many_digits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

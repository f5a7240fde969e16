/* tests/external/wiring_drops_test.c: worked voltage drops of published wiring rules. */
#include "build.h"
#include "near.h"

static const double EXACT = 1e-12;

/* The drop of a cable of so many units of length, at so much resistance for each. */
static double drop(double ohm_per_unit, double units, double amps)
{
    build b = build_start();
    build_reference(&b, "0");
    sl_part wire =
        build_pair(&b, "cable", "near", "far",
                   (build_value[]){{"per_metre", ohm_per_unit}, {"length", units}, {NULL, 0}});
    build_voltage(&b, "near", "0", 28.0);
    build_current(&b, "0", "far", amps);
    build_solve(&b);
    double volts = build_drop(&b, wire);
    assert_near("far end", build_volts(&b, "far"), 28.0 - volts, EXACT);
    build_free(&b);
    return volts;
}

/* FAA AC 43.13-1B, tables 11-7 and 11-8, 20 A; verified, products computed. Of the printed drops
   two are not those of their row: 3.60 stands for 3.555, and .366 for 0.491. */
static void faa_tables_11_7_and_11_8(void **state)
{
    (void)state;
    static const struct {
        double ohm_per_foot, feet, volts, printed, rounding; /* printed 0: not a drop of its row */
    } rows[] = {
        {0.00044, 107, 0.9416, 0.942, 0.0005}, {0.00028, 90, 0.504, 0.504, 0.0005},
        {0.00202, 88, 3.5552, 0, 0},           {0.00306, 100, 6.12, 6.12, 0.005},
        {0.00126, 39, 0.9828, 0.98, 0.005},    {0.00126, 19.5, 0.4914, 0, 0},
        {0.00126, 156, 3.9312, 3.93, 0.005},   {0.00126, 273, 6.8796, 6.88, 0.005},
    };
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        double volts = drop(rows[k].ohm_per_foot, rows[k].feet, 20.0);
        assert_near("FAA", volts, rows[k].volts, EXACT);
        if (rows[k].printed > 0.0) {
            assert_near("FAA, as printed", volts, rows[k].printed,
                        rows[k].rounding / rows[k].printed);
        }
    }
}

/* ABYC E-11: E = K I L/CM with K = 10.75 ohm circular mil/ft, L out and back; circuit verified,
   answer computed. 10 A over 11 + 10 ft within 3 % of 12 V needs 6 271 circular mil: AWG 12 (6 500)
   is enough, SAE 12 (5 833) is not. */
static void abyc_three_percent(void **state)
{
    (void)state;
    const double allowed = 0.03 * 12.0, k = 10.75, feet = 11.0 + 10.0;
    assert_near("needed", drop(k / (k * 10.0 * feet / allowed), feet, 10.0), allowed, EXACT);
    assert_near("6 271 circular mil", drop(k / 6271.0, feet, 10.0), allowed, 1e-4);
    assert_true(drop(k / 6500.0, feet, 10.0) < allowed);
    assert_true(drop(k / 5833.0, feet, 10.0) > allowed);
}

/* SAE J541, light and medium duty, seen in a summary: 0.200 V per 100 A is 2.0 mohm. 2.0 m of 35
   mm2 class 5 cable at its greatest resistance leaves 0.89 mohm for joints; computed. */
static void sae_drop_per_hundred_amperes(void **state)
{
    (void)state;
    double cable = drop(0.554e-3, 2.0, 100.0);
    assert_near("2.0 m of 35 mm2", 0.200 - cable, 0.0892, EXACT);
    assert_near("at 200 A", drop(1e-3, 2.0, 200.0), 0.40, EXACT);
    assert_near("1.0 mohm at 500 A", drop(0.5e-3, 2.0, 500.0), 0.5, EXACT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(faa_tables_11_7_and_11_8),
        cmocka_unit_test(abyc_three_percent),
        cmocka_unit_test(sae_drop_per_hundred_amperes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

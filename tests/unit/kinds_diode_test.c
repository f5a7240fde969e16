/* Diodes: the law against a solution by halving, what a data sheet would say, and no overflow. */
#include "kindprobe.h"
#include "near.h"

#include <stdlib.h>
#include <string.h>

static probe silicon(void)
{
    probe d = probe_of("diode");
    probe_set(&d, "rated_current", 100.0);
    return d;
}

static probe schottky(void)
{
    probe d = silicon();
    probe_choose(&d, "type", "schottky");
    return d;
}

/* Shockley's law written out as voltage over current, without the leakage. */
typedef struct shockley {
    double thermal_v, saturation_a, ohm;
} shockley;

static shockley constants(double rated_a, double drop_v, double emission, double celsius)
{
    const double kelvin = 273.15 + celsius;
    shockley s = {.thermal_v = emission * 1.380649e-23 * kelvin / 1.602176634e-19,
                  .ohm = 0.15 * drop_v / rated_a};
    const double junction_v = 0.85 * drop_v * (1.0 - 0.0026 * (celsius - 20.0));
    s.saturation_a = rated_a / (exp(junction_v / s.thermal_v) - 1.0);
    return s;
}

static double needed_v(const shockley *s, double i)
{
    return s->thermal_v * log1p(i / s->saturation_a) + i * s->ohm;
}

static void the_law_is_shockleys(void **unused)
{
    (void)unused;
    const double hot_and_cold[] = {-40.0, 20.0, 125.0};
    for (int type = 0; type < 2; type++) {
        for (int t = 0; t < 3; t++) {
            probe d = type == 0 ? silicon() : schottky();
            probe_set(&d, "leak_resistance", 1e9);
            const sl__law law = *probe_laws(&d, hot_and_cold[t], 0);
            const shockley s =
                constants(100.0, type == 0 ? 0.9 : 0.5, type == 0 ? 1.8 : 1.1, hot_and_cold[t]);
            for (double i = 1e-6; i < 3e4; i *= 3.0) {
                const double v = needed_v(&s, i);
                double got = 0.0, slope = 0.0;
                sl__law_current(&law, v, &got, &slope);
                assert_near("current", got, i + v * 1e-9, 1e-8);
                const double ohm = s.thermal_v / (i + s.saturation_a) + s.ohm;
                assert_near("slope", slope, 1.0 / ohm + 1e-9, 1e-7);
            }
        }
    }
}

static void it_drops_what_it_should_at_its_rating(void **unused)
{
    (void)unused;
    probe d = silicon();
    assert_near("silicon", probe_amps(&d, 0.9), 100.0, 1e-6);
    d = schottky();
    assert_near("schottky", probe_amps(&d, 0.5), 100.0, 1e-6);
    probe_set(&d, "drop", 0.6);
    assert_near("as given", probe_amps(&d, 0.6), 100.0, 1e-6);
    /* an isolator: 0.5 to 1.0 V is common practice, from a tenth of its rating to all of it */
    probe iso = probe_of("isolator");
    assert_true(probe_amps(&iso, 0.5) < 12.0);
    assert_true(probe_amps(&iso, 1.0) > 120.0);
}

/* The drop at a small current falls by about 2 mV for each kelvin. */
static void it_drops_less_when_hot(void **unused)
{
    (void)unused;
    const shockley cold = constants(100.0, 0.9, 1.8, 20.0), hot = constants(100.0, 0.9, 1.8, 70.0);
    const double fall_mv = 1e3 * (needed_v(&cold, 100.0) - needed_v(&hot, 100.0)) / 50.0;
    assert_true(fall_mv > 1.9 && fall_mv < 2.1);
    probe d = silicon();
    probe_set(&d, "temperature", 70.0);
    assert_near("its own temperature", probe_amps(&d, needed_v(&hot, 10.0)), 10.0, 1e-5);
}

static void it_blocks_but_for_its_leakage(void **unused)
{
    (void)unused;
    probe d = silicon();
    const double amps = probe_amps(&d, -12.0);
    assert_true(amps < 0.0 && amps > -100e-6);
    probe_mode(&d, "leaking", 100.0);
    assert_near("leaking", probe_amps(&d, -12.0), -0.12, 1e-4);
}

static void no_voltage_is_too_much_for_it(void **unused)
{
    (void)unused;
    for (int type = 0; type < 2; type++) {
        for (double rated = 1e-3; rated < 6e3; rated *= 10.0) {
            probe d = type == 0 ? silicon() : schottky();
            probe_set(&d, "rated_current", rated);
            const sl__law law = *probe_laws(&d, 20.0, 0);
            double last = -INFINITY;
            for (int n = -120; n <= 120; n++) {
                const double v = n == 0 ? 0.0 : copysign(pow(10.0, abs(n) / 4.0 - 12.0), n);
                double i = 0.0, slope = 0.0;
                sl__law_current(&law, v, &i, &slope);
                assert_true(isfinite(i) && isfinite(slope) && slope > 0.0);
                assert_true(i > last);
                last = i;
                if (fabs(v) > 100.0 && v > 0.0) { /* a resistance in the end */
                    assert_near("series", slope, rated / (0.15 * (type == 0 ? 0.9 : 0.5)), 0.01);
                }
            }
            double i = 1.0, slope = 0.0;
            sl__law_current(&law, 0.0, &i, &slope);
            assert_near("at rest", i, 0.0, 0.0);
        }
    }
}

static void a_shorted_one_conducts_both_ways(void **unused)
{
    (void)unused;
    probe d = silicon();
    probe_mode(&d, "shorted", 1.0);
    assert_near("resistance", probe_ohm(&d, 20.0), 0.15 * 0.9 / 100.0, 1e-12);
    probe iso = probe_of("isolator");
    const struct {
        const char *mode;
        double value;
        sl__form a, b;
    } modes[] = {
        {"A shorted", 1.0, SL__OHMIC, SL__CURVE},
        {"B shorted", 2.0, SL__CURVE, SL__OHMIC},
        {"both shorted", 3.0, SL__OHMIC, SL__OHMIC},
    };
    for (int m = 0; m < 3; m++) {
        probe_mode(&iso, modes[m].mode, modes[m].value);
        const sl__law *law = probe_laws(&iso, 20.0, 0);
        assert_int_equal(law[0].form, modes[m].a);
        assert_int_equal(law[1].form, modes[m].b);
    }
}

static void more_than_its_rating_is_noticed(void **unused)
{
    (void)unused;
    probe d = silicon();
    double amps = 0.0;
    assert_null(probe_notice(&d, 0.9, 99.0, NULL));
    assert_string_equal(probe_notice(&d, 0.9, 101.0, &amps), "overloaded");
    assert_near("amps", amps, 101.0, 0.0);
    probe iso = probe_of("isolator");
    assert_null(probe_notice(&iso, 0.9, 119.0, NULL));
    assert_string_equal(probe_notice(&iso, 0.9, 121.0, NULL), "overloaded");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_law_is_shockleys),
        cmocka_unit_test(it_drops_what_it_should_at_its_rating),
        cmocka_unit_test(it_drops_less_when_hot),
        cmocka_unit_test(it_blocks_but_for_its_leakage),
        cmocka_unit_test(no_voltage_is_too_much_for_it),
        cmocka_unit_test(a_shorted_one_conducts_both_ways),
        cmocka_unit_test(more_than_its_rating_is_noticed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

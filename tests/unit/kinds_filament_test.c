/* Lamps against rerating tables, and the loaded test worked out by bisection. */
#include "kindprobe.h"
#include "near.h"

static probe lamp(double volts, double amps)
{
    probe part = probe_of("lamp");
    probe_set(&part, "voltage", volts);
    probe_set(&part, "current", amps);
    return part;
}

/* A 12.8 V, 2.10 A lamp; ratios computed from the exponents 0.55, 1.55 and 0.45. */
static const struct {
    double volts, current, power, resistance, amps;
} rerated[] = {
    {6, 0.6592, 0.3090, 0.7111, 1.3843},    {8, 0.7722, 0.4826, 0.8094, 1.6216},
    {9, 0.8239, 0.5793, 0.8534, 1.7302},    {10, 0.8730, 0.6821, 0.8949, 1.8334},
    {11, 0.9200, 0.7906, 0.9341, 1.9321},   {12, 0.9651, 0.9048, 0.9714, 2.0268},
    {12.8, 1.0000, 1.0000, 1.0000, 2.1000}, {13.5, 1.0297, 1.0860, 1.0242, 2.1624},
    {14, 1.0505, 1.1490, 1.0411, 2.2061},   {14.5, 1.0710, 1.2132, 1.0577, 2.2491},
};

static void rerating_table_comes_out(void **unused)
{
    (void)unused;
    probe part = lamp(12.8, 2.10);
    for (size_t r = 0; r < sizeof rerated / sizeof *rerated; r++) {
        const double volts = rerated[r].volts, amps = probe_amps(&part, volts);
        assert_near("amperes", amps, rerated[r].amps, 5e-5);
        assert_near("current", amps / 2.10, rerated[r].current, 1e-4);
        assert_near("power", volts * amps / (12.8 * 2.10), rerated[r].power, 2e-4);
        assert_near("resistance", volts / amps / (12.8 / 2.10), rerated[r].resistance, 1e-4);
    }
}

/* 12.6 V through the leftover resistance: the voltage across a lamp, by halving. */
static double lamp_volts(probe *part, double supply_v, double ohm)
{
    double low = 0.0, high = supply_v;
    for (int n = 0; n < 200; n++) {
        const double middle = 0.5 * (low + high);
        if (probe_amps(part, middle) * ohm < supply_v - middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

/* Printed digits of the loaded test: a meter of 10 Mohm, 0.25 A, 21 W, and 48 ohm. */
static const struct {
    double ohm, meter_v, small_v, large_v, fixed_v;
} loaded[] = {
    {0.01, 12.60, 12.60, 12.58, 12.60}, {1, 12.60, 12.35, 10.94, 12.34},
    {10, 12.60, 10.30, 3.59, 10.43},    {50, 12.60, 4.93, 0.34, 6.17},
    {140, 12.60, 1.49, 0.06, 3.22},     {500, 12.60, 0.18, 0.02, 1.10},
};

static double to_digits(double volts)
{
    return round(volts * 100.0) / 100.0;
}

static void loaded_test_table_comes_out_to_its_digits(void **unused)
{
    (void)unused;
    probe small = probe_of("test_lamp"), large = probe_of("lamp");
    probe meter = probe_of("meter"), fixed = probe_of("heater");
    probe_set(&large, "power", 21.0);
    probe_set(&fixed, "resistance", 48.0);
    const double meter_ohm = probe_ohm(&meter, 20.0), fixed_ohm = probe_ohm(&fixed, 20.0);
    for (size_t r = 0; r < sizeof loaded / sizeof *loaded; r++) {
        const double ohm = loaded[r].ohm;
        assert_near("meter", to_digits(12.6 * meter_ohm / (meter_ohm + ohm)), loaded[r].meter_v,
                    1e-12);
        assert_near("0.25 A", to_digits(lamp_volts(&small, 12.6, ohm)), loaded[r].small_v, 1e-12);
        assert_near("21 W", to_digits(lamp_volts(&large, 12.6, ohm)), loaded[r].large_v, 1e-12);
        assert_near("48 ohm", to_digits(12.6 * fixed_ohm / (fixed_ohm + ohm)), loaded[r].fixed_v,
                    1e-12);
    }
}

/* Fraction of full light when the lamp alone has that voltage. */
static double light_at(probe *part, double volts)
{
    double light = 0.0;
    assert_string_equal(probe_notice(part, volts, probe_amps(part, volts), &light), "light");
    return light;
}

/* 1.3 times 13.2 V are 17.16 V: 4 % of its life, by the 12th power. A 12 V lamp on 24 V. */
static void a_lamp_on_far_too_much_burns_out(void **unused)
{
    (void)unused;
    probe part = lamp(12.0, 1.75);
    double light = 0.0;
    light_at(&part, 17.1);
    assert_string_equal(probe_notice(&part, 17.2, probe_amps(&part, 17.2), &light), "burns out");
    assert_string_equal(probe_notice(&part, -24.0, probe_amps(&part, -24.0), &light), "burns out");
    assert_near("light", light, pow(24.0 / 13.2, 3.4), 1e-12);
}

static void light_falls_with_the_power_of_3_4(void **unused)
{
    (void)unused;
    static const struct {
        double part, percent;
    } rows[] = {{0.95, 84}, {0.90, 70}, {0.85, 58}, {0.80, 47}, {0.70, 30}};
    probe part = lamp(12.0, 1.75);
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        const double light = light_at(&part, rows[r].part * 13.2);
        assert_near("percent", round(light * 100.0), rows[r].percent, 1e-12);
    }
    assert_near("full at 13.2 V", light_at(&part, 13.2), 1.0, 1e-12);
    assert_near("either way round", light_at(&part, -13.2), 1.0, 1e-12);
    /* A crimp of 0.35 ohm leaves 12.4 V: 81 %. A tail at 7.9 V against 13.5 V: 16 %. */
    assert_near("12.4 V", round(light_at(&part, 12.4) * 100.0), 81.0, 1e-12);
    probe_set(&part, "full_light", 13.5);
    assert_near("7.9 V", round(light_at(&part, 7.9) * 100.0), 16.0, 1e-12);
    /* 24 V lamps count from 28.0 V. */
    probe truck = lamp(24.0, 0.875);
    assert_near("full at 28 V", light_at(&truck, 28.0), 1.0, 1e-12);
}

static void dark_below_one_percent(void **unused)
{
    (void)unused;
    probe part = lamp(12.0, 1.75);
    double value = -1.0;
    const double edge_v = 13.2 * pow(0.01, 1.0 / 3.4);
    assert_near("just lit", light_at(&part, edge_v * 1.001), 0.01, 0.01);
    const double below = edge_v * 0.999;
    assert_string_equal(probe_notice(&part, below, probe_amps(&part, below), &value), "dark");
    /* 12 V over lamp and open filament, or over a poor contact with little current: dark. */
    assert_string_equal(probe_notice(&part, 12.0, 0.0, &value), "dark");
    assert_string_equal(probe_notice(&part, 12.0, 0.2, &value), "dark");
}

/* The two sides of 5 % of 12 V: a lamp that is switched off, or has only a lifted ground across it,
   says nothing; a dark test lamp does. */
static void lamp_that_is_off_says_nothing(void **unused)
{
    (void)unused;
    probe part = lamp(12.0, 1.75), test = probe_of("test_lamp");
    assert_null(probe_notice(&part, 0.0, 0.0, NULL));
    assert_null(probe_notice(&part, (double)NAN, 0.0, NULL)); /* nothing joins its ends */
    for (double sign = -1.0; sign <= 1.0; sign += 2.0) {
        assert_null(probe_notice(&part, sign * 0.599, 0.0, NULL));
        assert_string_equal(probe_notice(&part, sign * 0.601, 0.0, NULL), "dark");
    }
    assert_string_equal(probe_notice(&test, 0.0, 0.0, NULL), "dark");
    /* A poor contact in its socket takes all of it: the lamp is dark, and somebody switched it on.
     */
    const sl__flow flow = {.v = 0.01, .i = 0.012, .added_v = 12.0};
    sl__notice_list list = {0};
    probe_laws(&part, 20.0, 0);
    part.kind->notice(part.p, 0, &flow, &list);
    assert_int_equal(list.count, 1);
    assert_string_equal(part.kind->about.notices[list.item[0].index].text, "lamp dark");
}

static void cold_filament_is_ohmic_and_meets_the_curve(void **unused)
{
    (void)unused;
    static const double ratios[] = {1.0, 5.0, 10.0, 13.0, 20.0};
    for (size_t r = 0; r < sizeof ratios / sizeof *ratios; r++) {
        probe part = lamp(12.0, 2.5);
        probe_set(&part, "cold_ratio", ratios[r]);
        const sl__law *law = probe_laws(&part, 20.0, 0);
        const double knee = 12.0 * pow(ratios[r], -1.0 / 0.45);
        double i = 0.0, slope = 0.0, above = 0.0;
        law->curve(law->k, 0.0, &i, &slope);
        assert_true(i == 0.0);
        assert_near("cold", slope, ratios[r] * 2.5 / 12.0, 1e-12);
        law->curve(law->k, knee * (1.0 - 1e-9), &i, &slope);
        law->curve(law->k, knee * (1.0 + 1e-9), &above, &slope);
        assert_true(above > i);
        assert_near("no step", above, i, 1e-8);
        assert_near("resistance there", knee / i, 12.0 / 2.5 / ratios[r], 1e-8);
        assert_near("typical", law->scale_s, 2.5 / 12.0, 1e-12);
    }
}

static void current_never_steps_down_across_the_knee(void **unused)
{
    (void)unused;
    for (double ratio = 1.0; ratio <= 20.0; ratio += 0.37) {
        probe part = lamp(12.0, 0.25);
        probe_set(&part, "cold_ratio", ratio);
        const sl__law *law = probe_laws(&part, 20.0, 0);
        double v = 12.0 * pow(ratio, -1.0 / 0.45), last = 0.0;
        for (int n = 0; n < 40; n++) {
            v = nextafter(v, 0.0);
        }
        for (int n = 0; n < 80; n++) {
            double i = 0.0, slope = 0.0;
            law->curve(law->k, v, &i, &slope);
            assert_true(i >= last && slope > 0.0 && isfinite(slope));
            last = i;
            v = nextafter(v, 100.0);
        }
    }
}

static void odd_to_the_last_bit(void **unused)
{
    (void)unused;
    probe part = lamp(12.0, 1.75);
    const double volts[] = {1e-300, 1e-6, 0.05, 0.08, 1.0, 12.6, 60.0, 1e300};
    for (size_t r = 0; r < sizeof volts / sizeof *volts; r++) {
        assert_true(probe_amps(&part, -volts[r]) == -probe_amps(&part, volts[r]));
        assert_true(isfinite(probe_amps(&part, volts[r])));
    }
}

static void rating_is_worked_out(void **unused)
{
    (void)unused;
    probe part = probe_of("lamp");
    probe_complains(&part, "power", "current");
    probe_set(&part, "power", 21.0);
    assert_near("21 W is 1.75 A", probe_amps(&part, 12.0), 1.75, 1e-12);
    /* 25.2 W at 13.5 V, computed; the UN rule allows 26.5 W. */
    assert_near("13.5 V", 13.5 * probe_amps(&part, 13.5), 25.2, 1e-3);
    probe_set(&part, "current", 1.75);
    assert_near("both agree", probe_amps(&part, 12.0), 1.75, 1e-12);
    probe_set(&part, "current", 1.9);
    probe_complains(&part, "current", "do not agree");
    probe_set(&part, "voltage", 11.0); /* 20.9 W, which is 21 W as printed */
    assert_near("the current counts", probe_amps(&part, 11.0), 1.9, 1e-12);

    probe test = probe_of("test_lamp");
    assert_near("0.25 A", probe_amps(&test, 12.0), 0.25, 1e-12);
    probe_set(&test, "power", 55.0);
    assert_near("a headlamp as load", probe_amps(&test, 12.0), 55.0 / 12.0, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rerating_table_comes_out),
        cmocka_unit_test(loaded_test_table_comes_out_to_its_digits),
        cmocka_unit_test(a_lamp_on_far_too_much_burns_out),
        cmocka_unit_test(light_falls_with_the_power_of_3_4),
        cmocka_unit_test(dark_below_one_percent),
        cmocka_unit_test(lamp_that_is_off_says_nothing),
        cmocka_unit_test(cold_filament_is_ohmic_and_meets_the_curve),
        cmocka_unit_test(current_never_steps_down_across_the_knee),
        cmocka_unit_test(odd_to_the_last_bit),
        cmocka_unit_test(rating_is_worked_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

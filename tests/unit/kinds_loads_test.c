/* Motor, glow plug, LED lamp, lamp monitor, and a load given by measured points. */
#include "kindprobe.h"
#include "near.h"

#include <string.h>

static double current(const sl__law *law, double v)
{
    double i = 0.0, slope = 0.0;
    sl__law_current(law, v, &i, &slope);
    return i;
}

/* Its slope against the difference of its currents, and never falling, from -30 to 30 V. */
static void check_smooth_rise(const char *label, const sl__law *law)
{
    double last = -INFINITY;
    for (double v = -30.0; v <= 30.0; v += 0.0137) {
        double i = 0.0, slope = 0.0;
        sl__law_current(law, v, &i, &slope);
        assert_true(i >= last && slope >= 0.0 && isfinite(slope));
        last = i;
        const double h = 1e-6;
        const double middle = 0.5 * (current(law, v + h) - current(law, v - h)) / h;
        const double left = (i - current(law, v - h)) / h, right = (current(law, v + h) - i) / h;
        if (fabs(left - right) < 1e-3 * law->scale_s) { /* no kink */
            assert_at_most(label, fabs(middle - slope), 1e-3 * law->scale_s);
        }
    }
}

static probe motor(double current_a, const char *load, const char *field)
{
    probe part = probe_of("motor");
    probe_set(&part, "current", current_a);
    probe_choose(&part, "load", load);
    probe_choose(&part, "field", field);
    return part;
}

static const struct {
    double current_a;
    const char *load, *field;
} motors[] = {
    {15.0, "fan", "magnet"},
    {5.0, "constant", "magnet"},
    {350.0, "constant", "series"}, /* a winch */
    {0.05, "fan", "magnet"},
};

static void motor_meets_its_rating_and_its_stall(void **unused)
{
    (void)unused;
    for (size_t m = 0; m < sizeof motors / sizeof *motors; m++) {
        probe part = motor(motors[m].current_a, motors[m].load, motors[m].field);
        double speed = 0.0;
        assert_near("rated", probe_amps(&part, 12.0), motors[m].current_a, 1e-12);
        assert_string_equal(probe_notice(&part, 12.0, motors[m].current_a, &speed), "turns");
        assert_near("at its speed", speed, 1.0, 1e-12);
        check_smooth_rise(motors[m].load, probe_laws(&part, 20.0, 0));

        probe_mode(&part, "seized", 1.0);
        const double ohm = probe_ohm(&part, 20.0);
        assert_near("stalled: 5 times", 12.0 / ohm, 5.0 * motors[m].current_a, 1e-12);
        assert_string_equal(probe_notice(&part, 12.0, 12.0 / ohm, &speed), "stalled");
        assert_near("takes", speed, 5.0 * motors[m].current_a, 1e-12);
        probe_set(&part, "stall_current", 8.0 * motors[m].current_a);
        assert_near("given", 12.0 / probe_ohm(&part, 20.0), 8.0 * motors[m].current_a, 1e-12);
    }
}

/* The fan by hand: R = 12 / 75 ohm; E = 12 - 15 R = 9.6 V at rated speed; the torque there is 144
   W, of which 14.4 W stay. At half speed: 14.4 + 32.4 W = 9.6 V x 4.875 A, 4.8 V + 4.875 R = 5.58
   V. */
static void fan_follows_the_square_of_its_speed(void **unused)
{
    (void)unused;
    probe part = motor(15.0, "fan", "magnet");
    assert_near("half speed", probe_amps(&part, 5.58), 4.875, 1e-12);
    double speed = 0.0;
    assert_string_equal(probe_notice(&part, 5.58, 4.875, &speed), "turns");
    assert_near("half", speed, 0.5, 1e-12);
    assert_string_equal(probe_notice(&part, -5.58, -4.875, &speed), "backwards");
    assert_near("still below 1.5 A, 0.24 V", probe_amps(&part, 0.2), 0.2 * 75.0 / 12.0, 1e-12);
    probe_set(&part, "speed", 3000.0);
    sl__complaint bad;
    assert_true(probe_complete(&part, &bad));
    sl__notice_list list = {0};
    const sl__flow flow = {5.58, 4.875, 0.0};
    part.kind->notice(part.p, 0, &flow, &list);
    assert_int_equal(list.count, 2);
    assert_near("rpm", list.item[1].value, 1500.0, 1e-12);
}

/* A constant torque takes nearly the same current at any voltage, and its speed falls instead. */
static void constant_torque_keeps_its_current(void **unused)
{
    (void)unused;
    probe part = motor(5.0, "constant", "magnet");
    const double amps = probe_amps(&part, 8.0);
    assert_true(amps > 4.85 && amps < 5.0);
    double speed = 0.0;
    assert_string_equal(probe_notice(&part, 8.0, amps, &speed), "turns");
    /* 8 V less 4.9 A x 0.48 ohm, of 9.6 V */
    assert_near("speed", speed, (8.0 - amps * 0.48) / 9.6, 1e-12);
    probe_mode(&part, "dragging", 2.0);
    assert_true(probe_amps(&part, 8.0) > 1.9 * amps);
    /* 9.5 A just start it at twice its load: 4.56 V */
    assert_string_equal(probe_notice(&part, 4.0, probe_amps(&part, 4.0), &speed), "stalled");
    assert_string_equal(probe_notice(&part, 12.0, 0.0, &speed), "stands still");
    assert_null(probe_notice(&part, 0.05, 0.05, &speed)); /* nobody has switched it on */
    probe_mode(&part, "runs light", 0.05);
    assert_true(probe_amps(&part, 12.0) < 0.3);
}

static void motors_that_cannot_stand_are_refused(void **unused)
{
    (void)unused;
    probe part = motor(5.0, "constant", "magnet");
    probe_set(&part, "stall_current", 5.0);
    probe_complains(&part, "stall_current", "more than");
    part = motor(5.0, "fan", "series");
    probe_complains(&part, "field", "fan");
}

/* R = R_cold + (R_hot - R_cold) P / P_hot, by bisection; hot 1.2 ohm at 12 V and 10 A, cold 0.6. */
static void glow_plug_limits_itself(void **unused)
{
    (void)unused;
    probe part = probe_of("glow_plug");
    probe_complains(&part, "power", "current");
    probe_set(&part, "current", 10.0);
    assert_near("rated", probe_amps(&part, 12.0), 10.0, 1e-14);
    for (double v = 0.5; v < 20.0; v += 0.7) {
        double low = 0.6, high = 60.0;
        for (int n = 0; n < 100; n++) {
            const double ohm = 0.5 * (low + high);
            *(ohm < 0.6 + 0.6 * v * v / ohm / 120.0 ? &low : &high) = ohm;
        }
        assert_near("settled", probe_amps(&part, v), v / low, 1e-13);
    }
    check_smooth_rise("glow plug", probe_laws(&part, 20.0, 0));
    double heat = 0.0;
    assert_string_equal(probe_notice(&part, 6.0, 6.0, &heat), "heat");
    assert_near("36 W of 120", heat, 0.3, 1e-14);
    assert_string_equal(probe_notice(&part, 12.0, 0.0, &heat), "cold");
    assert_null(probe_notice(&part, 0.05, 0.05, &heat));
    probe_choose(&part, "element", "cold");
    assert_near("first moment", probe_ohm(&part, 20.0), 0.6, 1e-14);
    part = probe_of("glow_plug");
    probe_set(&part, "power", 120.0);
    probe_set(&part, "cold_ratio", 1.0);
    assert_near("no limit: a resistance", probe_amps(&part, 6.0), 5.0, 1e-14);
}

static probe led(const char *driver)
{
    probe part = probe_of("led_lamp");
    probe_set(&part, "current", 0.25);
    probe_choose(&part, "driver", driver);
    return part;
}

static void led_lamp_is_dark_below_its_threshold_and_blocks(void **unused)
{
    (void)unused;
    static const char *const drivers[] = {"resistor", "regulator"};
    for (int d = 0; d < 2; d++) {
        probe part = led(drivers[d]);
        assert_near(drivers[d], probe_amps(&part, 12.0), 0.25, 1e-6);
        assert_true(probe_amps(&part, 4.0) < 1e-6);
        assert_true(probe_amps(&part, -60.0) <= 0.0 && probe_amps(&part, -60.0) > -1e-9);
        check_smooth_rise(drivers[d], probe_laws(&part, 20.0, 0));
    }
    /* resistor: straight from 6 V to 12 V; regulator: straight to 9 V, then level */
    probe part = led("resistor");
    assert_near("half way", probe_amps(&part, 9.0), 0.125, 1e-6);
    assert_near("above", probe_amps(&part, 14.4), 0.35, 1e-6);
    part = led("regulator");
    assert_near("half way", probe_amps(&part, 7.5), 0.125, 1e-3);
    assert_near("level", probe_amps(&part, 14.4), probe_amps(&part, 60.0), 1e-9);
    probe_mode(&part, "partly dead", 0.4);
    assert_near("0.4 of it", probe_amps(&part, 14.4), 0.1, 1e-6);
    probe_set(&part, "threshold", 12.0);
    probe_complains(&part, "threshold", "below");
    part = led("regulator");
    probe_set(&part, "full", 5.0);
    probe_complains(&part, "full", "between");
}

static void led_lamp_glows_by_its_current(void **unused)
{
    (void)unused;
    probe part = led("resistor");
    double value = 0.0;
    assert_string_equal(probe_notice(&part, 9.0, 0.125, &value), "light");
    assert_near("half light", value, 0.5, 1e-14);
    assert_string_equal(probe_notice(&part, 6.0, 1e-3, &value), "ghost glow");
    assert_near("by 1 mA", value, 1e-3, 1e-14);
    assert_string_equal(probe_notice(&part, 5.0, 10e-6, &value), "dark");
    assert_null(probe_notice(&part, 0.05, 0.0, &value));
    assert_string_equal(probe_notice(&part, -12.0, -1e-12, &value), "reversed");
    assert_near("by so much", value, -12.0, 0.0);
}

/* What its two elements carry with a lamp of that resistance at the output, 12 V at the supply. */
static const char *report(probe *part, double lamp_ohm, double supply_v, double *value)
{
    const sl__law *law = probe_laws(part, 20.0, 0);
    const double below = 1.0 / (1.0 / law[1].ohm + 1.0 / lamp_ohm);
    const double all_a = supply_v / (law[0].ohm + below), out_v = all_a * below;
    const sl__flow flow[2] = {{supply_v - out_v, all_a, 0.0}, {out_v, out_v / law[1].ohm, 0.0}};
    sl__notice_list list = {0};
    part->kind->notice(part->p, 0, flow, &list);
    assert_true(list.count <= 1);
    *value = list.count ? list.item[0].value : 0.0;
    return list.count ? part->kind->about.notices[list.item[0].index].name : NULL;
}

static void monitor_finds_a_lamp_that_is_out(void **unused)
{
    (void)unused;
    probe part = probe_of("lamp_monitor");
    double value = 0.0;
    /* not fed: 12 V x 100 k / 110 k when the lamp is out, nothing over a cold filament */
    assert_null(report(&part, 0.6, 12.0, &value));
    assert_string_equal(report(&part, INFINITY, 12.0, &value), "lamp out, not fed");
    assert_near("10.9 V", value, 120.0 / 11.0, 1e-12);
    assert_null(report(&part, INFINITY, 5.0, &value)); /* too little to report anything */
    probe_choose(&part, "position", "on");
    assert_null(report(&part, 6.0, 12.0, &value));
    assert_string_equal(report(&part, 100.0, 12.0, &value), "lamp out");
    assert_near("0.12 A", value, 12.0 / 100.02, 1e-5);
    probe_set(&part, "least_current", 3.0);
    assert_string_equal(report(&part, 6.0, 12.0, &value), "lamp out"); /* one of two */
    probe_mode(&part, "stuck off", 0.0);
    assert_null(report(&part, 6.0, 12.0, &value));
}

static probe measured(const double *points, int32_t count)
{
    probe part = probe_of("measured");
    sl__complaint bad;
    assert_true(probe_points(&part, points, count, &bad));
    return part;
}

static void measured_points_are_met_and_joined_straight(void **unused)
{
    (void)unused;
    static const double up[] = {6.0, 4.1, 12.0, 7.0, 14.0, 7.4};
    probe part = measured(up, 3);
    for (const double *point = up; point < up + 6; point += 2) {
        assert_true(probe_amps(&part, point[0]) == point[1]);
        assert_true(probe_amps(&part, -point[0]) == -point[1]);
    }
    assert_true(probe_amps(&part, 0.0) == 0.0);
    assert_near("from 0", probe_amps(&part, 3.0), 2.05, 1e-14);
    assert_near("between", probe_amps(&part, 9.0), 5.55, 1e-14);
    assert_near("beyond", probe_amps(&part, 24.0), 9.4, 1e-14);
    check_smooth_rise("measured", probe_laws(&part, 20.0, 0));
    probe_choose(&part, "reverse", "blocks");
    assert_true(probe_amps(&part, -12.0) == 0.0);
    check_smooth_rise("blocks", probe_laws(&part, 20.0, 0));

    static const double both[] = {-12.0, -0.1, -1.0, 0.0, 0.0, 0.0, 0.7, 1.0, 0.8, 5.0};
    part = measured(both, 5);
    assert_near("reverse as measured", probe_amps(&part, -6.5), -0.05, 1e-14);
    assert_near("reverse beyond", probe_amps(&part, -23.0), -0.2, 1e-14);
    assert_near("forward", probe_amps(&part, 0.75), 3.0, 1e-14);
    check_smooth_rise("both ways", probe_laws(&part, 20.0, 0));
    static const double without_0[] = {-12.0, -0.1, 0.5, 1.0};
    part = measured(without_0, 2);
    assert_near("through 0", probe_amps(&part, -6.0), -0.05, 1e-14);
    assert_near("through 0", probe_amps(&part, 0.25), 0.5, 1e-14);
}

static void measured_currents_may_fall(void **unused)
{
    (void)unused;
    static const double falls[] = {6.0, 20.0, 12.0, 10.0, 15.0, 8.0};
    probe part = measured(falls, 3);
    assert_near("falls", probe_amps(&part, 9.0), 15.0, 1e-14);
    assert_near("level beyond", probe_amps(&part, 30.0), 8.0, 1e-14);
    assert_near("and back", probe_amps(&part, -30.0), -8.0, 1e-14);
    const sl__law *law = probe_laws(&part, 20.0, 0);
    for (double v = -30.0; v < 30.0; v += 0.01) { /* no jump */
        assert_at_most("continuous", fabs(current(law, v + 1e-6) - current(law, v)), 5e-6);
    }
    static const double none[] = {12.0, 0.0};
    part = measured(none, 1);
    assert_true(probe_amps(&part, 24.0) == 0.0 && probe_laws(&part, 20.0, 0)->scale_s > 0.0);
}

static void points_of_a_source_are_refused(void **unused)
{
    (void)unused;
    static const struct {
        double points[4];
        int32_t count;
        const char *word;
    } rows[] = {
        {{0.0, 0.1, 5.0, 1.0}, 2, "0 V"},
        {{5.0, -1.0}, 1, "sign"},
        {{-5.0, 1.0, 5.0, 1.0}, 2, "sign"},
        {{-5.0, -1.0, -2.0, -0.5}, 2, "above 0 V"},
    };
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = probe_of("measured");
        sl__complaint bad = {0, ""};
        assert_false(probe_points(&part, rows[r].points, rows[r].count, &bad));
        assert_non_null(strstr(bad.text, rows[r].word));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(motor_meets_its_rating_and_its_stall),
        cmocka_unit_test(fan_follows_the_square_of_its_speed),
        cmocka_unit_test(constant_torque_keeps_its_current),
        cmocka_unit_test(motors_that_cannot_stand_are_refused),
        cmocka_unit_test(glow_plug_limits_itself),
        cmocka_unit_test(led_lamp_is_dark_below_its_threshold_and_blocks),
        cmocka_unit_test(led_lamp_glows_by_its_current),
        cmocka_unit_test(monitor_finds_a_lamp_that_is_out),
        cmocka_unit_test(measured_points_are_met_and_joined_straight),
        cmocka_unit_test(measured_currents_may_fall),
        cmocka_unit_test(points_of_a_source_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

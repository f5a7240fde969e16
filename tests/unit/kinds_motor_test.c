/* The curve of a motor against a load: it is the inverse of the law written out, to the last
   digits; continuous, odd, rising; its slope is the slope of what it returns. */
#include "kinds/motor.h"
#include "near.h"

#include <float.h>

static const struct {
    const char *name;
    sl__motor motor;
    sl__drag load;
} machines[] = {
    {"series, healthy engine", {0.00513, 0.0556, 100.0}, {3.87, 0.0095}},
    {"series, dragging engine", {0.00513, 0.0556, 100.0}, {6.58, 0.0163}},
    {"series, no engine", {0.00513, 0.0556, 100.0}, {1.19, 0.0028}},
    {"series, never saturates", {0.00513, 0.5, 1e5}, {3.87, 0.0095}},
    {"magnet", {0.00513, 0.0264, 0.0}, {2.7, 0.0057}},
    {"barely saturable", {0.02, 0.03, 1e-6}, {1.0, 0.01}},
    {"small pump", {0.6, 0.03, 0.0}, {0.02, 1e-4}},
    {"steep drag", {0.00513, 0.0556, 100.0}, {0.01, 100.0}},
    {"no slope to speak of", {0.00513, 0.0556, 100.0}, {3.87, 1e-7}},
};

static sl__law law_of(int32_t m)
{
    sl__law law = {0};
    sl__law_motor(&law, &machines[m].motor, &machines[m].load, 20.0);
    assert_int_equal(law.form, SL__CURVE);
    return law;
}

static double current(const sl__law *law, double v)
{
    double i, slope;
    law->curve(law->k, v, &i, &slope);
    return i;
}

static double slope(const sl__law *law, double v)
{
    double i, s;
    law->curve(law->k, v, &i, &s);
    return s;
}

/* Voltage at which it starts to turn, where the curve has its one kink. */
static double kink_v(int32_t m)
{
    double lo = 0.0, hi = 1e5;
    while (hi - lo > DBL_EPSILON * hi) {
        double mid = 0.5 * (lo + hi);
        if (mid == lo || mid == hi) {
            break;
        }
        if (sl__motor_torque(&machines[m].motor, mid) < machines[m].load.rest_nm) {
            lo = mid;
        } else {
            hi = mid;
        }
    }
    return machines[m].motor.ohm * hi;
}

static void curve_is_the_inverse_of_the_law(void **fixture)
{
    (void)fixture;
    for (int32_t m = 0; m < SL__COUNT(machines); m++) {
        sl__law law = law_of(m);
        for (double v = 1e-9; v < 1e4; v *= 1.037) {
            double i = current(&law, v);
            /* written out, the law loses digits where torque and rest_nm nearly cancel: that much
               of the voltage is allowed */
            const sl__motor *motor = &machines[m].motor;
            double flux = sl__motor_flux(motor, i);
            double lost_v = flux * machines[m].load.rest_nm / machines[m].load.rise_nms;
            double got = sl__motor_voltage(motor, &machines[m].load, i);
            assert_at_most(machines[m].name, fabs(got - v), 8.0 * DBL_EPSILON * (v + lost_v));
        }
    }
}

/* Bisection on the law written out: nothing in common with the curve's own way. */
static void curve_agrees_with_bisection(void **fixture)
{
    (void)fixture;
    for (int32_t m = 0; m < SL__COUNT(machines); m++) {
        sl__law law = law_of(m);
        for (double v = 0.05; v <= 40.0; v += 0.35) {
            double lo = 0.0, hi = v / machines[m].motor.ohm;
            for (int32_t round = 0; round < 200; round++) {
                double mid = 0.5 * (lo + hi);
                if (sl__motor_voltage(&machines[m].motor, &machines[m].load, mid) < v) {
                    lo = mid;
                } else {
                    hi = mid;
                }
            }
            assert_near(machines[m].name, current(&law, v), hi, 1e-13);
        }
    }
}

static void curve_is_odd_and_passes_through_zero(void **fixture)
{
    (void)fixture;
    for (int32_t m = 0; m < SL__COUNT(machines); m++) {
        sl__law law = law_of(m);
        assert_true(current(&law, 0.0) == 0.0);
        assert_near("locked", slope(&law, 0.0), 1.0 / machines[m].motor.ohm, 1e-15);
        for (double v = 0.01; v < 50.0; v *= 1.3) {
            assert_true(current(&law, -v) == -current(&law, v));
            assert_true(slope(&law, -v) == slope(&law, v));
        }
    }
}

static void curve_rises_everywhere(void **fixture)
{
    (void)fixture;
    for (int32_t m = 0; m < SL__COUNT(machines); m++) {
        sl__law law = law_of(m);
        double before = current(&law, -20.0);
        for (int32_t n = 1; n <= 60000; n++) {
            double v = -20.0 + n * 1e-3;
            double i, s;
            law.curve(law.k, v, &i, &s);
            assert_true(i > before);
            assert_true(s > 0.0 && s <= 1.0 / machines[m].motor.ohm * (1.0 + DBL_EPSILON));
            /* no step: between two points the current moves no more than the steepest slope */
            assert_true(i - before <= 1e-3 / machines[m].motor.ohm * (1.0 + 1e-9));
            before = i;
        }
    }
}

static void slope_is_that_of_the_current(void **fixture)
{
    (void)fixture;
    for (int32_t m = 0; m < SL__COUNT(machines); m++) {
        sl__law law = law_of(m);
        double kink = kink_v(m);
        for (double v = -20.0; v <= 40.0; v += 0.0713) {
            double h = 1e-5 * (fabs(v) + 0.1);
            if (fabs(fabs(v) - kink) < 2.0 * h) {
                continue;
            }
            double difference = (current(&law, v + h) - current(&law, v - h)) / (2.0 * h);
            double s = slope(&law, v);
            double rounding = 2.0 * DBL_EPSILON * fabs(current(&law, v)) / h;
            assert_at_most(machines[m].name, fabs(s - difference), 1e-6 * s + rounding);
        }
    }
}

static void curve_has_no_step_where_it_starts_to_turn(void **fixture)
{
    (void)fixture;
    for (int32_t m = 0; m < SL__COUNT(machines); m++) {
        sl__law law = law_of(m);
        double kink = kink_v(m);
        double below = current(&law, kink * (1.0 - 1e-12));
        double above = current(&law, kink * (1.0 + 1e-12));
        assert_true(above > below);
        assert_near(machines[m].name, above, below, 4e-12);
    }
}

static void curve_stays_finite_far_out(void **fixture)
{
    (void)fixture;
    static const double far_v[] = {1e-300, 1e-30, 1e6, 1e12, 1e30, 1e100};
    for (int32_t m = 0; m < SL__COUNT(machines); m++) {
        sl__law law = law_of(m);
        for (int32_t n = 0; n < SL__COUNT(far_v); n++) {
            double i, s;
            law.curve(law.k, far_v[n], &i, &s);
            assert_true(isfinite(i) && i > 0.0);
            assert_true(isfinite(s) && s > 0.0);
        }
    }
}

/* A magnet makes the law two straight lines: v = R i, then slope R + F^2 / rise. */
static void magnet_gives_two_straight_lines(void **fixture)
{
    (void)fixture;
    sl__motor motor = {0.006, 0.025, 0.0};
    sl__drag load = {2.5, 0.005};
    sl__law law = {0};
    sl__law_motor(&law, &motor, &load, 20.0);
    /* starts at 2.5 / 0.025 = 100 A, 0.6 V; then 0.006 + 0.025^2 / 0.005 = 0.131 ohm */
    assert_near("locked", current(&law, 0.3), 50.0, 1e-14);
    assert_near("starts", current(&law, 0.6), 100.0, 1e-14);
    assert_near("turns", current(&law, 0.6 + 0.131 * 80.0), 180.0, 1e-14);
    assert_near("slope", slope(&law, 5.0), 1.0 / 0.131, 1e-14);
    /* v = 11.08 V less 1.08 V: 10 V / 0.025 */
    assert_near("speed", sl__motor_speed(&motor, 0.6 + 0.131 * 80.0, 180.0), 400.0, 1e-13);
}

static void speed_and_torque_meet_the_load(void **fixture)
{
    (void)fixture;
    for (int32_t m = 0; m < SL__COUNT(machines); m++) {
        const sl__motor *motor = &machines[m].motor;
        const sl__drag *load = &machines[m].load;
        sl__law law = law_of(m);
        for (double v = 0.5; v < 30.0; v += 0.5) {
            double i = current(&law, v);
            double speed = sl__motor_speed(motor, v, i);
            double torque = sl__motor_torque(motor, i);
            assert_true(speed >= 0.0);
            if (v > 1.01 * kink_v(m)) {
                assert_near(machines[m].name, torque, load->rest_nm + load->rise_nms * speed, 1e-9);
                /* and power: what goes in heats the winding or turns the load */
                assert_near(machines[m].name, v * i, motor->ohm * i * i + torque * speed, 1e-12);
                assert_near("either way", sl__motor_speed(motor, -v, -i), speed, 1e-15);
            } else if (v < 0.99 * kink_v(m)) {
                assert_true(torque < load->rest_nm);
                assert_at_most("still", speed * load->rise_nms, 1e-12 * load->rest_nm);
            }
        }
        assert_true(sl__motor_speed(motor, 12.0, 0.0) == 0.0); /* disconnected */
        assert_true(sl__motor_flux(motor, 0.0) == 0.0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(curve_is_the_inverse_of_the_law),
        cmocka_unit_test(curve_agrees_with_bisection),
        cmocka_unit_test(curve_is_odd_and_passes_through_zero),
        cmocka_unit_test(curve_rises_everywhere),
        cmocka_unit_test(slope_is_that_of_the_current),
        cmocka_unit_test(curve_has_no_step_where_it_starts_to_turn),
        cmocka_unit_test(curve_stays_finite_far_out),
        cmocka_unit_test(magnet_gives_two_straight_lines),
        cmocka_unit_test(speed_and_torque_meet_the_load),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

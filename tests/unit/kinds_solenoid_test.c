/* The solenoid of the starter, and what a person hears of it, against published winding currents.
 */
#include "starterprobe.h"

#include "near.h"

#include <string.h>

/* Vehicle maker service data 1996, 1997 and US Army TM 5-2420-230-24-2 p. 13-33: volts at S with M
   at the case, both windings together, hold-in alone. */
static const struct {
    const char *name;
    double v, both_a, hold_in_a;
} solenoids[] = {
    {"passenger car, least", 10.0, 60.0, 10.0},
    {"passenger car, most", 10.0, 85.0, 20.0},
    {"heavy duty 28 frame", 10.0, 69.0, 13.0},
    {"heavy duty 37 frame", 10.0, 74.0, 19.0},
    {"heavy duty 41/42 frame", 10.0, 97.0, 18.0},
    {"heavy duty 50 frame", 10.0, 86.0, 15.0},
    {"heavy duty 37 frame, 24 V", 20.0, 36.0, 6.0},
    {"heavy duty 41/42 frame, 24 V", 20.0, 57.0, 13.0},
    {"heavy duty 50 frame, 24 V", 20.0, 49.0, 6.0},
};

static void published_solenoids_can_be_given(void **fixture)
{
    (void)fixture;
    for (int32_t n = 0; n < SL__COUNT(solenoids); n++) {
        double v = solenoids[n].v;
        double pull_in_v = 0.8 * v, hold_v = 0.4 * v;
        starter st =
            WITH({"pull_in_resistance", v / (solenoids[n].both_a - solenoids[n].hold_in_a)},
                 {"hold_in_resistance", v / solenoids[n].hold_in_a}, {"pull_in", pull_in_v},
                 {"hold", hold_v});
        sl__flow flow[ELEMENTS];
        starter_windings(&st, v, 0.0, 20.0, flow);
        assert_near(solenoids[n].name, flow[PULL_IN].i + flow[HOLD_IN].i, solenoids[n].both_a,
                    1e-12);
        assert_near(solenoids[n].name, flow[HOLD_IN].i, solenoids[n].hold_in_a, 1e-12);
        for (double sign = -1.0; sign <= 1.0; sign += 2.0) {
            starter_windings(&st, sign * pull_in_v * 1.001, 0.0, 20.0, flow);
            assert_int_equal(starter_wants(&st, RELEASED, flow), SPINNING_UP);
            starter_windings(&st, sign * pull_in_v * 0.999, 0.0, 20.0, flow);
            assert_int_equal(starter_wants(&st, RELEASED, flow), RELEASED);
            /* closed: M is as high as S, the hold-in winding is alone */
            starter_windings(&st, sign * hold_v * 1.001, sign * hold_v * 1.001, 20.0, flow);
            assert_int_equal(starter_wants(&st, PULLED_IN, flow), PULLED_IN);
            starter_windings(&st, sign * hold_v * 0.999, sign * hold_v * 0.999, 20.0, flow);
            assert_int_equal(starter_wants(&st, PULLED_IN, flow), RELEASED);
        }
    }
}

/* Defaults lie within what is published for passenger cars: 60 to 85 A and 10 to 20 A at 10 V,
   pull-in alone 40 to 75 A; 8 V is the least operating voltage. */
static void default_solenoid_is_a_passenger_car_one(void **fixture)
{
    (void)fixture;
    starter st = starter_healthy();
    sl__flow flow[ELEMENTS];
    starter_windings(&st, 10.0, 0.0, 20.0, flow);
    assert_near("hold-in, mid of 10 and 20 A", flow[HOLD_IN].i, 15.0, 1e-3);
    assert_near("pull-in, mid of 40 and 75 A", flow[PULL_IN].i, 57.5, 1e-3);
    assert_near("both, mid of 60 and 85 A", flow[HOLD_IN].i + flow[PULL_IN].i, 72.5, 1e-3);
    starter_windings(&st, 8.01, 0.0, 20.0, flow);
    assert_int_equal(starter_wants(&st, RELEASED, flow), SPINNING_UP);
    starter_windings(&st, 7.99, 0.0, 20.0, flow);
    assert_int_equal(starter_wants(&st, RELEASED, flow), RELEASED);
}

/* Currents fall as the windings heat: 8 V at 20 C is 8 (1 + 0.00393 80) = 10.5 V at 100 C. */
static void hot_windings_need_more_volts(void **fixture)
{
    (void)fixture;
    starter st = starter_healthy();
    double hot_v = 8.0 * (1.0 + 0.00393 * 80.0);
    sl__flow flow[ELEMENTS];
    starter_windings(&st, hot_v - 0.01, 0.0, 100.0, flow);
    assert_int_equal(starter_wants(&st, RELEASED, flow), RELEASED);
    starter_windings(&st, hot_v + 0.01, 0.0, 100.0, flow);
    assert_int_equal(starter_wants(&st, RELEASED, flow), SPINNING_UP);
}

/* Cut off at S while the contacts are closed, M feeds both windings in series: the same current,
   opposite turns. At any battery voltage, hot or cold, it lets go. */
static void lets_go_when_the_control_wire_is_cut(void **fixture)
{
    (void)fixture;
    starter st = starter_healthy();
    sl__law law[ELEMENTS] = {0};
    st.kind->laws(st.p, 20.0, PULLED_IN, law);
    for (double m = 6.0; m <= 30.0; m += 1.0) {
        double i = m / (law[PULL_IN].ohm + law[HOLD_IN].ohm);
        double s = i * law[HOLD_IN].ohm;
        sl__flow flow[ELEMENTS] = {0};
        flow[CONTACTS] = (sl__flow){.v = 0.03, .i = 150.0};
        flow[MOTOR] = (sl__flow){.v = m, .i = 150.0};
        flow[PULL_IN] = (sl__flow){.v = s - m, .i = starter_current(&law[PULL_IN], s - m)};
        flow[HOLD_IN] = (sl__flow){.v = s, .i = starter_current(&law[HOLD_IN], s)};
        assert_true(flow[HOLD_IN].i > 7.0); /* it does carry current */
        assert_int_equal(starter_wants(&st, PULLED_IN, flow), RELEASED);
        flow[PULL_IN] = (sl__flow){.v = 0.0, .i = 0.0}; /* S kept at M's voltage */
        flow[HOLD_IN] = (sl__flow){.v = m, .i = starter_current(&law[HOLD_IN], m)};
        assert_int_equal(starter_wants(&st, PULLED_IN, flow), PULLED_IN);
    }
}

static void control_circuit_resistance_stops_it(void **fixture)
{
    (void)fixture;
    starter st = starter_healthy();
    sl__flow flow[ELEMENTS];
    starter_command(&st, 12.6, 0.014, 20.0, -1,
                    flow); /* 1.0 V lost at 72 A, the limit of a US Army TM */
    assert_int_equal(starter_wants(&st, RELEASED, flow), SPINNING_UP);
    starter_command(&st, 12.2, 6.0 * 0.033, 20.0, -1, flow); /* six contacts, each with a little */
    assert_int_equal(starter_wants(&st, RELEASED, flow), RELEASED);
    assert_true(flow[HOLD_IN].v > 4.0 && flow[HOLD_IN].v < 8.0);
    starter_assert_notice(&st, RELEASED, flow, "no click");
    starter_command(&st, 0.0, 0.014, 20.0, -1, flow);
    assert_int_equal(starter_wants(&st, RELEASED, flow), RELEASED);
    starter_assert_notice(&st, RELEASED, flow, "");
}

/* One winding gone: alone, hold-in is far too weak to pull in. Pull-in alone does at a good
   battery, and has nothing left once the contacts close: it chatters. */
static void one_broken_winding_shows(void **fixture)
{
    (void)fixture;
    starter st = starter_healthy();
    sl__flow flow[ELEMENTS];
    starter_command(&st, 12.6, 0.01, 20.0, PULL_IN, flow);
    assert_int_equal(starter_wants(&st, RELEASED, flow), RELEASED);
    starter_assert_notice(&st, RELEASED, flow, "no click");
    starter_command(&st, 12.6, 0.01, 20.0, HOLD_IN, flow);
    assert_int_equal(starter_wants(&st, RELEASED, flow), SPINNING_UP);
    flow[PULL_IN] = (sl__flow){.v = 0.0, .i = 0.0};
    assert_int_equal(starter_wants(&st, PULLED_IN, flow), RELEASED);
    starter_command(&st, 12.6, 0.01, 20.0, MOTOR, flow); /* pull-in has no return */
    assert_int_equal(starter_wants(&st, RELEASED, flow), RELEASED);
}

static void notices_are_what_a_person_hears(void **fixture)
{
    (void)fixture;
    sl__flow flow[ELEMENTS];
    starter st = starter_healthy();
    starter_crank(&st, 12.6, 0.008, 20.0, flow);
    starter_assert_notice(&st, PULLED_IN, flow, "cranks");
    starter_crank(&st, 12.6, 0.060, 20.0, flow); /* a poor ground */
    assert_true(starter_rpm(&st, flow) > 10.0 && starter_rpm(&st, flow) < 100.0);
    starter_assert_notice(&st, PULLED_IN, flow, "cranks slowly");
    assert_string_equal(st.kind->about.notices[0].text, "cranks at @");

    /* the two sides of 75 % of 220 rpm, and of 105 rpm where it is 75 % of 140 */
    starter lazy = WITH({"cranking_speed", 140.0});
    for (double v = 1.0; v < 12.0; v += 0.01) {
        starter_run(&st, v, 20.0, flow);
        starter_assert_notice(&st, PULLED_IN, flow,
                              starter_rpm(&st, flow) < 165.0 ? "cranks slowly" : "cranks");
        starter_run(&lazy, v, 20.0, flow);
        starter_assert_notice(&lazy, PULLED_IN, flow,
                              starter_rpm(&lazy, flow) < 105.0 ? "cranks slowly" : "cranks");
    }

    /* contacts burnt away, or no feed at B: S is live, the motor has nothing */
    memset(flow, 0, sizeof flow);
    flow[HOLD_IN] = (sl__flow){.v = 12.4, .i = 18.6};
    starter_assert_notice(&st, PULLED_IN, flow, "one click");
    /* brushes worn off: full voltage, no current */
    flow[MOTOR] = (sl__flow){.v = 12.4, .i = 0.0};
    starter_assert_notice(&st, PULLED_IN, flow, "one click");
    /* welded contacts and a seized engine: nothing moves that could click */
    starter welded = WITH({"stuck", 2.0}, {"seized", 1.0});
    flow[HOLD_IN] = (sl__flow){.v = 0.0, .i = 0.0};
    flow[MOTOR] = (sl__flow){.v = 4.8, .i = 940.0};
    starter_assert_notice(&welded, PULLED_IN, flow, "stands still");
    starter_assert_notice(&welded, RELEASED, flow, "stands still");
    /* welded, key off: it cranks on */
    starter cranks_on = WITH({"stuck", 2.0});
    starter_crank(&cranks_on, 12.6, 0.008, 20.0, flow);
    flow[HOLD_IN] = (sl__flow){.v = 0.0, .i = 0.0};
    starter_assert_notice(&cranks_on, RELEASED, flow, "cranks");
    /* at rest, nothing */
    memset(flow, 0, sizeof flow);
    starter_assert_notice(&st, RELEASED, flow, "");
    starter_assert_notice(&cranks_on, RELEASED, flow, "");
}

static void stuck_solenoid_does_not_follow_its_windings(void **fixture)
{
    (void)fixture;
    static const struct {
        double stuck;
        int32_t where;
    } cases[] = {{1.0, RELEASED}, {2.0, PULLED_IN}};
    for (int32_t n = 0; n < SL__COUNT(cases); n++) {
        starter st = WITH({"stuck", cases[n].stuck});
        for (int32_t state = RELEASED; state <= PULLED_IN; state++) {
            sl__law law[ELEMENTS] = {0};
            sl__flow flow[ELEMENTS];
            st.kind->laws(st.p, 20.0, state, law);
            assert_int_equal(law[CONTACTS].form,
                             cases[n].where == PULLED_IN ? SL__OHMIC : SL__ABSENT);
            starter_windings(&st, 12.0, 0.0, 20.0, flow);
            assert_int_equal(starter_wants(&st, state, flow), cases[n].where);
            starter_windings(&st, 0.0, 0.0, 20.0, flow);
            assert_int_equal(starter_wants(&st, state, flow), cases[n].where);
        }
    }
}

/* Fed by a relay elsewhere: B and M are one point, there is nothing to click. */
static void starter_without_solenoid_is_a_motor(void **fixture)
{
    (void)fixture;
    starter st = WITH({"solenoid", 1.0});
    assert_true(st.p[starter_param(&st, "starts")] == AT_REST);
    for (int32_t state = RELEASED; state <= TURNING; state++) {
        sl__law law[ELEMENTS] = {0};
        st.kind->laws(st.p, 20.0, state, law);
        assert_int_equal(law[CONTACTS].form, SL__OHMIC);
        assert_true(law[CONTACTS].ohm == 0.0);
        assert_int_equal(law[PULL_IN].form, SL__ABSENT);
        assert_int_equal(law[HOLD_IN].form, SL__ABSENT);
        bool rests = state == RELEASED || state == AT_REST;
        assert_int_equal(law[MOTOR].form, rests ? SL__OHMIC : SL__CURVE);
        if (rests) {
            assert_near("4.0 V / 780 A", law[MOTOR].ohm, 4.0 / 780.0, 1e-14);
        } else {
            assert_true(law[MOTOR].scale_s > 0.0);
        }
    }
    sl__flow flow[ELEMENTS];
    starter_run(&st, 10.5, 20.0, flow);
    starter_assert_notice(&st, TURNING, flow, "cranks");
    flow[MOTOR] = (sl__flow){.v = 12.0, .i = 0.0};
    starter_assert_notice(&st, AT_REST, flow, "stands still");
    flow[MOTOR] = (sl__flow){.v = 0.0, .i = 0.0};
    starter_assert_notice(&st, AT_REST, flow, "");
}

/* The moment the contacts close the motor stands still: it is its locked resistance, whatever the
   engine, until it has spun up. */
static void motor_starts_at_rest(void **fixture)
{
    (void)fixture;
    starter st = starter_healthy();
    sl__law law[ELEMENTS] = {0};
    st.kind->laws(st.p, 20.0, SPINNING_UP, law);
    assert_int_equal(law[CONTACTS].form, SL__OHMIC);
    assert_int_equal(law[MOTOR].form, SL__OHMIC);
    assert_near("4.0 V / 780 A", law[MOTOR].ohm, 4.0 / 780.0, 1e-14);
    /* 12.6 V behind 8 mohm: 945 A, 4.85 V at the motor; behind 45 mohm 250 A and 1.28 V */
    sl__flow flow[ELEMENTS] = {0};
    flow[MOTOR] = (sl__flow){.v = 4.85, .i = 945.0};
    flow[HOLD_IN] = (sl__flow){.v = 5.0, .i = 5.0 / 0.667};
    assert_int_equal(starter_wants(&st, SPINNING_UP, flow), PULLED_IN);
    starter_assert_notice(&st, SPINNING_UP, flow, "clicking");
    flow[HOLD_IN] = (sl__flow){.v = 3.01, .i = 3.01 / 0.667};
    assert_int_equal(starter_wants(&st, SPINNING_UP, flow), PULLED_IN);
    flow[HOLD_IN] = (sl__flow){.v = 2.99, .i = 2.99 / 0.667};
    assert_int_equal(starter_wants(&st, SPINNING_UP, flow), RELEASED);
    /* let go, about to pull in again: neither silence nor a click */
    starter_command(&st, 12.6, 0.040, 20.0, -1, flow);
    assert_int_equal(starter_wants(&st, RELEASED, flow), SPINNING_UP);
    starter_assert_notice(&st, RELEASED, flow, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_solenoids_can_be_given),
        cmocka_unit_test(default_solenoid_is_a_passenger_car_one),
        cmocka_unit_test(hot_windings_need_more_volts),
        cmocka_unit_test(lets_go_when_the_control_wire_is_cut),
        cmocka_unit_test(control_circuit_resistance_stops_it),
        cmocka_unit_test(one_broken_winding_shows),
        cmocka_unit_test(notices_are_what_a_person_hears),
        cmocka_unit_test(stuck_solenoid_does_not_follow_its_windings),
        cmocka_unit_test(starter_without_solenoid_is_a_motor),
        cmocka_unit_test(motor_starts_at_rest),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

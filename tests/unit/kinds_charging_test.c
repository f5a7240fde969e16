/* The alternator against published set points and stamped currents; the sensing relay, the booster
   leads and what charging adds to the battery. */
#include "kindprobe.h"
#include "near.h"

#include <string.h>

enum { RECTIFIER, MACHINE, SENSE_INPUT };

static probe running(double own_rpm)
{
    probe g = probe_of("alternator");
    probe_set(&g, "pulley_ratio", 1.0);
    probe_set(&g, "speed", own_rpm);
    return g;
}

/* Current out of the stud at a voltage: both elements in series, as they are in the part. */
static double gives(probe *g, double volts, double ambient_c)
{
    const sl__law *law = probe_laws(g, ambient_c, 0);
    assert_int_equal(law[MACHINE].form, SL__OHMIC);
    assert_near("no resistance of its own", law[MACHINE].ohm, 0.0, 0.0);
    double i = 0.0, slope = 0.0;
    sl__law_current(&law[RECTIFIER], volts - law[MACHINE].open_v, &i, &slope);
    assert_true(slope > 0.0);
    return -i;
}

static double limit(probe *g)
{
    return gives(g, 14.1, 20.0); /* 0.1 V below what it holds without load */
}

/* A vehicle maker's service specification, regulator temperature and volts; and a marine engine
   manual at 20 C. */
static void set_points_lie_in_the_published_bands(void **unused)
{
    (void)unused;
    const struct {
        double celsius, least, greatest, middle;
    } rows[] = {
        {-20.0, 14.0, 15.1, 14.55}, {20.0, 13.7, 14.6, 14.15}, {60.0, 13.2, 14.3, 13.75},
        {80.0, 12.9, 14.1, 13.5},   {20.0, 14.1, 14.7, 14.4},
    };
    for (int r = 0; r < SL__COUNT(rows); r++) {
        probe g = running(6000.0);
        double held = probe_laws(&g, rows[r].celsius, 0)[MACHINE].open_v;
        assert_true(held > rows[r].least && held < rows[r].greatest);
        /* set to the middle of the band at 20 C, it follows the middles: 10 mV/K */
        probe_set(&g, "set_point", 14.15);
        probe_set(&g, "compensation", 0.010);
        held = probe_laws(&g, rows[r].celsius, 0)[MACHINE].open_v;
        if (r < 3) {
            assert_near("middle", held, rows[r].middle, 1e-12);
        } else if (r == 3) { /* the last step of the table is 12.5 mV/K */
            assert_near("middle", held, rows[r].middle + 0.05, 1e-12);
        }
    }
    probe g = running(6000.0);
    probe_set(&g, "temperature", 70.0); /* a regulator hotter than the air */
    assert_near("its own", probe_laws(&g, 20.0, 0)[MACHINE].open_v, 14.2 - 0.5, 1e-12);
    g = running(6000.0);
    probe_set(&g, "set_point", 28.4);
    assert_near("24 V", probe_laws(&g, 0.0, 0)[MACHINE].open_v, 28.4 + 20.0 * 0.020, 1e-12);
}

static void it_holds_then_gives_way_then_limits_then_blocks(void **unused)
{
    (void)unused;
    probe g = running(6000.0);
    assert_near("half way", gives(&g, 14.15, 20.0), 45.0, 1e-6);
    assert_near("limit", gives(&g, 14.1, 20.0), 90.0, 1e-6);
    assert_near("1 % more for a volt less", gives(&g, 13.1, 20.0), 90.9, 1e-6);
    assert_near("at the set point", gives(&g, 14.2, 20.0), 0.0, 0.0);
    assert_near("above it", gives(&g, 15.2, 20.0), -1.0 / 100e3, 1e-9);
    assert_near("reversed", gives(&g, -2.4, 20.0) - gives(&g, -1.4, 20.0), 1.0 / 5e-3, 0.01);
    for (double wide = 1e-3; wide <= 5.0; wide *= 7.0) {
        probe_set(&g, "regulation", wide);
        assert_near("droop", gives(&g, 14.2 - 0.5 * wide, 20.0), 45.0, 1e-6);
    }
}

/* Stamped 45/90 A, at 1500 and 6000 rpm of its own. */
static void its_limit_rises_with_speed(void **unused)
{
    (void)unused;
    const struct {
        double rpm, amps;
    } points[] = {{0.0, 0.0}, {999.0, 0.0}, {1500.0, 45.0}, {6000.0, 90.0}};
    for (int k = 0; k < SL__COUNT(points); k++) {
        probe g = running(points[k].rpm);
        if (points[k].amps > 0.0) {
            assert_near("stamped", limit(&g), points[k].amps, 1e-6);
        } else {
            assert_true(limit(&g) <= 0.0);
        }
    }
    double last = 0.0, last_rise = INFINITY;
    for (double rpm = 1100.0; rpm <= 18000.0; rpm += 100.0) {
        probe g = running(rpm);
        double now = limit(&g);
        assert_true(now > last && now - last < last_rise); /* rising, ever less */
        last_rise = now - last;
        last = now;
    }
    assert_true(last < 1.13 * 90.0);
    probe g = running(700.0); /* of the engine, idling */
    probe_set(&g, "pulley_ratio", 2.5);
    assert_true(limit(&g) > 0.5 * 90.0 && limit(&g) < 0.7 * 90.0);
    probe_set(&g, "idle_current", 30.0);
    assert_true(limit(&g) > 30.0 && limit(&g) < 50.0);
}

static void its_faults_take_output(void **unused)
{
    (void)unused;
    probe g = running(6000.0);
    probe_mode(&g, "a phase lost", 0.5);
    assert_near("half", limit(&g), 45.0, 1e-6);
    g = running(6000.0);
    probe_mode(&g, "slipping belt", 0.25);
    assert_near("a quarter of the speed", limit(&g), 45.0, 1e-6);
    probe_mode(&g, "slipping belt", 0.0);
    assert_true(limit(&g) <= 0.0);
    g = running(6000.0);
    probe_mode(&g, "not charging", 1.0);
    assert_near("only leaks", gives(&g, 12.6, 20.0), -12.6 / 100e3, 1e-9);
    g = running(6000.0);
    probe_mode(&g, "regulator stuck full", 2.0);
    assert_true(gives(&g, 16.0, 20.0) > 90.0);
    assert_near("ends at twice the set point", gives(&g, 28.4, 20.0), 0.0, 0.0);
    g = running(6000.0);
    probe_mode(&g, "low set point", 13.0);
    assert_near("low", gives(&g, 13.0, 20.0), 0.0, 0.0);
}

/* From memory: hot it gives 15 to 25 % less; 0.25 % for each kelvin above 23 C. */
static void hot_windings_give_less(void **unused)
{
    (void)unused;
    probe g = running(6000.0);
    probe_set(&g, "winding_temperature", 23.0);
    assert_near("as stamped", limit(&g), 90.0, 1e-6);
    probe_set(&g, "winding_temperature", -20.0);
    assert_near("no more in the cold", limit(&g), 90.0, 1e-6);
    probe_set(&g, "winding_temperature", 24.0);
    assert_near("a kelvin", limit(&g), 90.0 * 0.9975, 1e-6);
    probe_mode(&g, "hot", 110.0);
    assert_near("hot", limit(&g), 90.0 * (1.0 - 87.0 * 0.0025), 1e-6);
    assert_true(limit(&g) > 0.75 * 90.0 && limit(&g) < 0.85 * 90.0);
    probe_set(&g, "hot_fall", 0.01);
    probe_set(&g, "winding_temperature", 123.0);
    assert_true(limit(&g) <= 0.0); /* and never the other way */
}

static void a_battery_the_wrong_way_round_is_told(void **unused)
{
    (void)unused;
    probe g = running(0.0);
    for (int over = 0; over < 2; over++) {
        const sl__flow flow[3] = {{.v = over ? -1.5 : -1.3, .i = over ? -0.51 : -0.49}};
        sl__notice_list list = {0};
        probe_laws(&g, 20.0, 0);
        g.kind->notice(g.p, 0, flow, &list);
        assert_int_equal(list.count, over);
        if (over) {
            assert_string_equal(g.kind->about.notices[list.item[0].index].name, "reversed");
        }
    }
}

static void stamps_that_cannot_be_are_refused(void **unused)
{
    (void)unused;
    probe g = running(6000.0);
    probe_set(&g, "idle_current", 90.0);
    probe_complains(&g, "idle_current", "rated_current");
    probe_set(&g, "idle_current", 8.0); /* a tenth is the straight line from 1000 rpm */
    probe_complains(&g, "idle_current", "cut_in");
    probe_set(&g, "cut_in", 1400.0);
    probe_laws(&g, 20.0, 0);
}

/* Flows of a part that gives `amps` at `stud` volts and senses `sensed`. */
static void flows(probe *g, double stud, double amps, double sensed, sl__flow flow[3])
{
    const sl__law *law = probe_laws(g, 20.0, 0);
    flow[MACHINE] = (sl__flow){.v = law[MACHINE].open_v, .i = -amps};
    flow[RECTIFIER] = (sl__flow){.v = stud - law[MACHINE].open_v, .i = -amps};
    flow[SENSE_INPUT] = (sl__flow){.v = sensed, .i = sensed / 50e3};
}

static double trim(probe *g, double stud, double sensed)
{
    sl__flow flow[3];
    flows(g, stud, 10.0, sensed, flow);
    return g->kind->trim(g->p, 20.0, 0, flow);
}

static void remote_sensing_adds_what_is_lost_on_the_way(void **unused)
{
    (void)unused;
    probe g = running(6000.0);
    assert_near("own stud", trim(&g, 14.2, 0.0), 0.0, 0.0);
    probe_choose(&g, "sensing", "remote");
    assert_near("0.72 V of cable", trim(&g, 14.2, 13.48), 0.72, 1e-9);
    assert_near("nothing there", trim(&g, 14.2, 0.0), 14.2, 1e-9);
    assert_near("no more than full field", trim(&g, 20.0, 0.0), 14.2, 1e-9);
    assert_near("another charger", trim(&g, 13.0, 14.0), -1.0, 1e-9);
    assert_near("no such voltage", trim(&g, SL__NAN, 0.0), 0.0, 0.0);
    probe_mode(&g, "not charging", 1.0);
    assert_near("without field", trim(&g, 12.6, 0.0), 0.0, 0.0);
    g = running(6000.0);
    probe_set(&g, "lift", 0.7);
    assert_near("held", probe_laws(&g, 20.0, 0)[MACHINE].open_v, 14.9, 1e-12);
}

/* The only notices are those named, in their order; NULL: none. */
static void expect(probe *g, double stud, double amps, double sensed, const char *first,
                   const char *second)
{
    sl__flow flow[3];
    flows(g, stud, amps, sensed, flow);
    sl__notice_list list = {0};
    g->kind->notice(g->p, 0, flow, &list);
    const char *wanted[] = {first, second};
    assert_int_equal(list.count, (first != NULL) + (second != NULL));
    for (int n = 0; n < 2 && wanted[n]; n++) {
        assert_string_equal(g->kind->about.notices[list.item[n].index].name, wanted[n]);
    }
}

static void notices_are_true(void **unused)
{
    (void)unused;
    probe g = running(6000.0);
    expect(&g, 14.15, 45.0, 0.0, "charging", NULL);
    expect(&g, 13.9, 90.2, 0.0, "at its limit", NULL);
    expect(&g, 14.3, 0.0, 0.0, NULL, NULL); /* another source holds the bus up */
    expect(&g, 13.0, 0.0, 0.0, "not charging", NULL);
    expect(&g, SL__NAN, 0.0, 0.0, "not charging", NULL);
    expect(&g, 15.3, 40.0, 0.0, "charging", "overcharging");
    probe_choose(&g, "sensing", "remote");
    expect(&g, 15.3, 40.0, 14.1, "charging", NULL); /* a long cable is no fault */
    expect(&g, 15.3, 40.0, 0.0, "charging", "overcharging");
    g = running(500.0);
    expect(&g, 12.5, 0.0, 0.0, "not charging", NULL);
    g = running(0.0);
    expect(&g, 12.5, 0.0, 0.0, NULL, NULL);
    g = running(6000.0);
    probe_set(&g, "set_point", 28.4);
    expect(&g, 29.0, 40.0, 0.0, "charging", NULL);
    expect(&g, 30.5, 40.0, 0.0, "charging", "overcharging");
}

/* Common practice: it closes at 13.3 to 13.7 V and opens at about 12.8 V. */
static void a_sensing_relay_closes_and_opens_where_it_should(void **unused)
{
    (void)unused;
    enum { CONTACTS, COIL, AUX_INPUT };
    probe k = probe_of("sensing_relay");
    for (int either = 0; either < 2; either++) {
        probe_choose(&k, "sensing", either ? "either" : "main");
        for (double volts = 11.0; volts < 15.0; volts += 0.0625) {
            for (int32_t state = 0; state < 2; state++) {
                const sl__law *law = probe_laws(&k, 20.0, state);
                assert_int_equal(law[CONTACTS].form, state ? SL__OHMIC : SL__ABSENT);
                assert_int_equal(law[AUX_INPUT].form, either ? SL__OHMIC : SL__ABSENT);
                sl__flow flow[3] = {{.v = 0.0}};
                flow[COIL].i = volts / law[COIL].ohm;
                flow[AUX_INPUT].i = either ? 12.0 / law[AUX_INPUT].ohm : 0.0;
                bool closed = state ? volts >= 12.8 : volts >= 13.5;
                assert_int_equal(k.kind->wants(k.p, 20.0, state, flow), closed);
                if (either) { /* the same from the other side */
                    flow[COIL].i = 12.0 / law[COIL].ohm;
                    flow[AUX_INPUT].i = volts / law[AUX_INPUT].ohm;
                    assert_int_equal(k.kind->wants(k.p, 20.0, state, flow), closed);
                }
            }
        }
    }
    probe_mode(&k, "stuck closed", 2.0);
    const sl__flow nothing[3] = {{.v = 0.0}};
    assert_int_equal(probe_laws(&k, 20.0, 0)[CONTACTS].form, SL__OHMIC);
    assert_int_equal(k.kind->wants(k.p, 20.0, 0, nothing), 1);
    k = probe_of("sensing_relay");
    probe_set(&k, "opens", 13.6);
    probe_complains(&k, "opens", "closes");
}

static void booster_leads_are_metal_and_clamps(void **unused)
{
    (void)unused;
    probe j = probe_of("booster_leads");
    probe_set(&j, "size", 25.0);
    probe_set(&j, "length", 3.0);
    assert_near("copper", probe_ohm(&j, 20.0), 3e-6 / 58.0 / 25e-6 + 2e-3, 1e-12);
    assert_near("cold", probe_ohm(&j, -20.0), 3e-6 / 58.0 / 25e-6 * (1.0 - 40.0 * 0.00393) + 2e-3,
                1e-12);
    probe_choose(&j, "material", "aluminium");
    assert_near("aluminium", probe_ohm(&j, 20.0), 3.0 * 2.8264e-8 / 25e-6 + 2e-3, 1e-12);
    probe_choose(&j, "clamps", "off");
    assert_int_equal(probe_laws(&j, 20.0, 0)[0].form, SL__ABSENT);
    assert_int_equal(probe_laws(&j, 20.0, 0)[1].form, SL__ABSENT);
}

static void a_battery_may_carry_surface_charge(void **unused)
{
    (void)unused;
    probe b = probe_of("battery");
    probe_set(&b, "resistance", 5e-3);
    const double rested = probe_laws(&b, 26.7, 0)[0].open_v;
    assert_near("rested", rested, 12.65, 1e-12);
    probe_set(&b, "surface_charge", 0.4);
    assert_near("of six cells", probe_laws(&b, 26.7, 0)[0].open_v, 13.05, 1e-12);
    assert_near("no resistance", probe_laws(&b, 26.7, 0)[0].ohm, 5e-3, 1e-12);
    probe_set(&b, "cells", 12.0);
    assert_near("of twelve", probe_laws(&b, 26.7, 0)[0].open_v, 26.1, 1e-12);
    probe_set(&b, "shorted_cells", 1.0);
    assert_near("none in a shorted cell", probe_laws(&b, 26.7, 0)[0].open_v, 26.1 * 11.0 / 12.0,
                1e-12);
    b = probe_of("battery");
    probe_set(&b, "resistance", 5e-3);
    probe_choose(&b, "type", "gel");
    probe_set(&b, "capacity", 70.0); /* changes nothing here */
    const double gel[] = {11.8, 12.0, 12.35, 12.65, 12.85};
    for (int k = 0; k < 5; k++) {
        probe_set(&b, "charge", k / 4.0);
        assert_near("gel", probe_laws(&b, 25.0, 0)[0].open_v, gel[k], 1e-12);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(set_points_lie_in_the_published_bands),
        cmocka_unit_test(it_holds_then_gives_way_then_limits_then_blocks),
        cmocka_unit_test(its_limit_rises_with_speed),
        cmocka_unit_test(its_faults_take_output),
        cmocka_unit_test(hot_windings_give_less),
        cmocka_unit_test(a_battery_the_wrong_way_round_is_told),
        cmocka_unit_test(stamps_that_cannot_be_are_refused),
        cmocka_unit_test(remote_sensing_adds_what_is_lost_on_the_way),
        cmocka_unit_test(notices_are_true),
        cmocka_unit_test(a_sensing_relay_closes_and_opens_where_it_should),
        cmocka_unit_test(booster_leads_are_metal_and_clamps),
        cmocka_unit_test(a_battery_may_carry_surface_charge),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

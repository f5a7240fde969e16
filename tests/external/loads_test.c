/* tests/external/loads_test.c: loads in small circuits, by hand, through the public interface. */
#include <stdio.h>
#include <string.h>

#include "near.h"
#include "rig.h"

static sl_case *again(sl_case *cs, sl_edit edit)
{
    assert_int_equal(sl_case_edit(cs, &edit, 1), SL_OK);
    assert_int_equal(sl_case_solve(cs), SL_OK);
    return cs;
}

static bool says(const sl_case *cs, const sl_circuit *c, const char *part, const char *name)
{
    return !isnan(rig_notice(cs, c, part, name));
}

/* A sensor ground e above that of the module reads e (1 - x) high: 0.33 V at mid scale of 5 V is
   3.3 % of span. */
static void lifted_sensor_ground_reads_high(void **unused)
{
    (void)unused;
    static const double shares[] = {0.1, 0.5, 0.9};
    for (int n = 0; n < 3; n++) {
        const double x = shares[n], e = 0.33;
        sl_circuit *c = rig_grounded();
        char text[40];
        rig_part(c, "sensor_input", "A1", "5V sig 0", "input_resistance=1e12");
        snprintf(text, sizeof text, "output=%.17g", x);
        rig_part(c, "sensor", "S1", "5V sig gnd", text);
        rig_part(c, "resistor", "G", "gnd body", "resistance=1e-3");
        rig_part(c, "source", "LIFT", "body 0", "voltage=0.33");
        sl_case *cs = rig_solved(c, 0);
        assert_near("true", rig_notice(cs, c, "S1", "stands"), x, 1e-15);
        const double wanted = x + e * (1.0 - x) / 5.0; /* 1 ohm of 5 kohm loads the reference */
        assert_at_most("seen", fabs(rig_notice(cs, c, "A1", "sees") - wanted), 2e-5);
        again(cs, rig_set(c, "LIFT", "voltage", 0.0));
        assert_at_most("sound", fabs(rig_notice(cs, c, "A1", "sees") - x), 1e-6);
        again(cs, rig_open(c, "S1", "lower track"));
        assert_true(says(cs, c, "A1", "out of range"));
        rig_free(c, cs);
    }
}

/* Two thermistors grounded at the engine, which the return of a 30 A load lifts: both read cold. */
static void sensors_on_a_shared_ground_are_wrong_together(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "sensor_input", "A1", "5V s1 0", "pull_up=2200, sensor_resistance=2500");
    rig_part(c, "sensor_input", "A2", "5Vb s2 0", "pull_up=2200, sensor_resistance=2500");
    rig_part(c, "thermistor", "COOLANT", "s1 engine", "temperature=90");
    rig_part(c, "thermistor", "OIL", "s2 engine", "temperature=110");
    rig_part(c, "strap", "G1", "engine 0", "size=16, length=0.3");
    rig_part(c, "source", "FAN", "engine 0", "current=30");
    sl_case *cs = rig_solved(c, 0);
    assert_at_most("good strap", fabs(rig_notice(cs, c, "A1", "sees temperature") - 90.0), 1.5);
    const double lift_v = rig_volts(cs, c, "engine");
    assert_true(lift_v > 0.005 && lift_v < 0.02);
    again(cs, rig_series(c, "G1", NULL, 4e-3));
    assert_near("+0.12 V", rig_volts(cs, c, "engine"), lift_v + 0.12, 0.01);
    assert_true(rig_notice(cs, c, "A1", "sees temperature") < 82.0);
    assert_true(rig_notice(cs, c, "A2", "sees temperature") < 96.0);
    again(cs, rig_set(c, "FAN", "current", 0.0));
    assert_at_most("nothing lifts", fabs(rig_notice(cs, c, "A1", "sees temperature") - 90.0), 0.3);
    rig_free(c, cs);
}

/* A cab braid under paint: 15 mohm at 22 A lift the cab 0.33 V. The gauge is in the cab, the sender
   is on the frame; the sender then looks as if its ground lay 0.33 V below that of the gauge. */
static void cab_ground_moves_the_gauge(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "feed 0", "voltage=13.5");
    rig_part(c, "gauge", "FUEL", "feed s cab", "");
    rig_part(c, "sender", "TANK", "s 0", "");
    rig_part(c, "resistor", "BRAID", "cab 0", "resistance=1e-6");
    rig_part(c, "source", "CAB LOADS", "cab feed", "current=22");
    sl_case *cs = rig_solved(c, 0);
    assert_near("half", rig_notice(cs, c, "FUEL", "reading"), 0.5, 1e-3);
    again(cs, rig_set(c, "BRAID", "resistance", 15e-3));
    assert_near("lifted", rig_volts(cs, c, "cab"), 0.33, 0.01);
    const double lifted = rig_notice(cs, c, "FUEL", "reading");
    assert_true(lifted > 0.51 && lifted < 0.55);
    again(cs, rig_open(c, "TANK", NULL));
    assert_true(says(cs, c, "FUEL", "below empty"));
    rig_free(c, cs);
}

/* The check of a lighting module, 10 kohm, makes an LED lamp glow and reports it out; a filament
   lamp stays dark and is found. */
static void lamp_check_makes_an_led_glow(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "feed 0", "voltage=12.6");
    rig_part(c, "lamp_monitor", "LED SIDE", "feed a 0", "");
    rig_part(c, "led_lamp", "L1", "a 0", "current=0.25");
    rig_part(c, "lamp_monitor", "BULB SIDE", "feed b 0", "");
    rig_part(c, "lamp", "L2", "b 0", "power=21");
    sl_case *cs = rig_solved(c, 0);
    assert_true(says(cs, c, "L1", "ghost glow") && says(cs, c, "LED SIDE", "lamp out, not fed"));
    const double volts = rig_volts(cs, c, "a"), amps = rig_amps(cs, c, "L1");
    assert_near("what the check gives", amps, (12.6 - volts) / 10e3 - volts / 100e3, 1e-12);
    assert_true(volts > 4.0 && volts < 6.2 && amps > 5e-4 && amps < 1e-3);
    assert_true(!says(cs, c, "L2", "light") && !says(cs, c, "BULB SIDE", "lamp out, not fed"));
    again(cs, rig_set(c, "LED SIDE", "position", 1.0));
    assert_true(says(cs, c, "L1", "light") && says(cs, c, "LED SIDE", "lamp out"));
    again(cs, rig_set(c, "BULB SIDE", "position", 1.0));
    assert_true(says(cs, c, "L2", "light") && !says(cs, c, "BULB SIDE", "lamp out"));
    again(cs, rig_open(c, "L2", NULL));
    assert_true(says(cs, c, "BULB SIDE", "lamp out"));
    rig_free(c, cs);
}

/* Winch return through hinge pins: 22 mohm at 350 A lose 7.7 V. A constant load keeps the current
   and takes the loss from its speed. */
static void winch_keeps_its_current_and_loses_speed(void **unused)
{
    (void)unused;
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "feed 0", "voltage=12");
    rig_part(c, "motor", "WINCH", "feed bed", "current=350, field=series");
    rig_part(c, "resistor", "PINS", "bed 0", "resistance=1e-6");
    sl_case *cs = rig_solved(c, 0);
    assert_near("sound", rig_notice(cs, c, "WINCH", "turns"), 1.0, 1e-3);
    again(cs, rig_set(c, "PINS", "resistance", 22e-3));
    const double amps = rig_amps(cs, c, "WINCH");
    assert_true(amps > 330.0 && amps < 350.0);
    assert_near("lost", rig_volts(cs, c, "bed"), amps * 22e-3, 1e-12);
    const double speed = rig_notice(cs, c, "WINCH", "turns");
    assert_true(speed > 0.2 && speed < 0.3);
    again(cs, rig_set(c, "PINS", "resistance", 40e-3));
    assert_true(says(cs, c, "WINCH", "stalled"));
    rig_free(c, cs);
}

static void module_and_inverter_go_through_their_states(void **unused)
{
    (void)unused;
    enum { RESET, RUNNING, ASLEEP };
    sl_circuit *c = rig_grounded();
    rig_part(c, "source", "E", "e 0", "voltage=12.6");
    rig_part(c, "resistor", "R", "e feed", "resistance=0.02");
    rig_part(c, "switch", "KEY", "e key", "");
    rig_part(c, "module", "ECU", "feed 0 key", "current=1, position=by wire");
    rig_part(c, "inverter", "INV", "feed 0", "load=880, idle=10, low_voltage=stays off");
    sl_case *cs = rig_case(c, 0);
    again(cs, rig_set(c, "INV", "position", 0.0));
    assert_int_equal(rig_state(cs, c, "ECU"), ASLEEP);
    assert_near("1.05 mA each", rig_amps(cs, c, "R"), 2.1e-3, 1e-4);
    again(cs, rig_set(c, "KEY", "position", 1.0));
    assert_int_equal(rig_state(cs, c, "ECU"), RUNNING);
    assert_near("12 W", rig_amps(cs, c, "ECU") * rig_volts(cs, c, "feed"), 12.0, 1e-3);
    again(cs, rig_set(c, "INV", "position", 1.0)); /* 1010 + 12 W */
    const double v = 6.3 + sqrt(6.3 * 6.3 - 1022.0 * 0.02);
    assert_near("V of both", rig_volts(cs, c, "feed"), v, 1e-6); /* and the wake input, 1.3 mA */
    assert_true(says(cs, c, "INV", "alarm") && !says(cs, c, "ECU", "below working"));
    again(cs, rig_set(c, "R", "resistance", 0.03)); /* 9.07 V: too little for the inverter */
    assert_true(says(cs, c, "INV", "cut out") && rig_volts(cs, c, "feed") > 12.5);
    again(cs, rig_set(c, "E", "voltage", 5.0));
    assert_int_equal(rig_state(cs, c, "ECU"), RESET);
    assert_true(says(cs, c, "ECU", "resets"));
    rig_free(c, cs);
}

/* Measured, falling: 20 A at 6 V, 10 A at 12 V, 8 A at 15 V, behind E and R. */
static void measured_points_go_through_the_library(void **unused)
{
    (void)unused;
    static const double points[] = {6.0, 20.0, 12.0, 10.0, 15.0, 8.0},
                        back[] = {6.0, 1.0, 5.0, 2.0};
    const char *nodes[] = {"a", "0"};
    const double values[] = {(double)NAN};
    sl_part_def def = {"measured", "X", nodes, values, points, 3};
    sl_circuit *c = rig_grounded();
    sl_part part;
    assert_int_equal(sl_circuit_add(c, &def, &part), SL_OK);
    rig_part(c, "source", "E", "e 0", "voltage=14");
    rig_part(c, "resistor", "R", "e a", "resistance=0.2");
    sl_case *cs = rig_solved(c, 0);
    /* 70 - 5 v = 30 - 5 v / 3 on the part from 6 to 12 V */
    assert_near("V", rig_volts(cs, c, "a"), 12.0, 1e-12);
    again(cs, rig_set(c, "R", "resistance", 0.25)); /* 56 - 4 v = 30 - 5 v / 3 */
    assert_near("V", rig_volts(cs, c, "a"), 78.0 / 7.0, 1e-12);
    again(cs, rig_set(c, "R", "resistance", 1.0)); /* 14 - v = 10 v / 3 */
    assert_near("V", rig_volts(cs, c, "a"), 42.0 / 13.0, 1e-12);
    assert_near("takes", rig_notice(cs, c, "X", "takes"), 140.0 / 13.0, 1e-12);
    def = (sl_part_def){"measured", "Y", nodes, values, back, 2};
    assert_int_equal(sl_circuit_add(c, &def, &part), SL_E_VALUE);
    rig_free(c, cs);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lifted_sensor_ground_reads_high),
        cmocka_unit_test(sensors_on_a_shared_ground_are_wrong_together),
        cmocka_unit_test(cab_ground_moves_the_gauge),
        cmocka_unit_test(lamp_check_makes_an_led_glow),
        cmocka_unit_test(winch_keeps_its_current_and_loses_speed),
        cmocka_unit_test(module_and_inverter_go_through_their_states),
        cmocka_unit_test(measured_points_go_through_the_library),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

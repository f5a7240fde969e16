/* tests/external/oracles_test.c: vehicle circuits whose answers were worked out in closed form.
   All values: computed from first principles, and checked to the digits they were printed with. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "build.h"
#include "near.h"

static const double EXACT = 1e-12;

/* got, written with as many decimals as `printed` has, is `printed`. */
static void check_printed(const char *label, double got, const char *printed)
{
    const char *point = strchr(printed, '.');
    int decimals = point ? (int)strlen(point + 1) : 0;
    char text[32];
    snprintf(text, sizeof text, "%.*f", decimals, got);
    if (strcmp(text, printed) != 0) {
        print_error("%s: got %s (%.9g), wanted %s\n", label, text, got, printed);
        fail();
    }
}

static build grounded(void)
{
    build b = build_start();
    build_reference(&b, "0");
    return b;
}

/* A cranking circuit: 12.6 V behind 6 mohm, 1 mohm each side, a starter of 34 mohm. Node 0 is the
   negative post. */
typedef struct crank {
    build b;
    sl_part inner, positive, starter, ground;
} crank;

static crank crank_circuit(void)
{
    crank c = {.b = grounded()};
    build_voltage(&c.b, "cells", "0", 12.6);
    c.inner = build_resistor(&c.b, "cells", "post", 6e-3);
    c.positive = build_resistor(&c.b, "post", "stud", 1e-3);
    c.starter = build_resistor(&c.b, "stud", "case", 34e-3);
    c.ground = build_resistor(&c.b, "case", "0", 1e-3);
    return c;
}

/* Amperes, volts at the battery, drop of the positive and of the ground side, volts at the
   starter. */
static void check_crank(const char *label, const crank *c, const char *const printed[5])
{
    check_printed(label, build_amps(&c->b, c->starter), printed[0]);
    check_printed(label, build_volts(&c->b, "post"), printed[1]);
    check_printed(label, build_drop(&c->b, c->positive), printed[2]);
    check_printed(label, build_drop(&c->b, c->ground), printed[3]);
    check_printed(label, build_drop(&c->b, c->starter), printed[4]);
}

static void starter_as_a_resistance(void **state)
{
    (void)state;
    crank c = crank_circuit();
    build_solve(&c.b);
    check_crank("good", &c, (const char *[]){"300", "10.80", "0.300", "0.300", "10.20"});
    assert_near("good", build_amps(&c.b, c.starter), 300.0, EXACT);

    /* 10 mohm more in the ground: 12.6/52 mohm; the battery rises. */
    build_series(&c.b, c.ground, 10e-3);
    build_solve(&c.b);
    check_crank("ground", &c, (const char *[]){"242.3", "11.15", "0.24", "2.67", "8.24"});

    build_healthy(&c.b);
    build_series(&c.b, c.positive, 10e-3);
    build_solve(&c.b);
    check_crank("positive", &c, (const char *[]){"242.3", "11.15", "2.67", "0.24", "8.24"});

    build_healthy(&c.b);
    build_set(&c.b, c.inner, "resistance", 20e-3);
    build_solve(&c.b);
    check_crank("weak battery", &c, (const char *[]){"225", "8.10", "0.225", "0.225", "7.65"});

    build_healthy(&c.b);
    build_set(&c.b, c.starter, "resistance", 20e-3);
    build_solve(&c.b);
    check_crank("drag", &c, (const char *[]){"450", "9.90", "0.450", "0.450", "9.00"});
    build_free(&c.b);
}

/* The ground cable is off, and 50 mohm of something else carries the return. Loop without it 41
   mohm: the most heat in it is 968 W, at 41 mohm. */
static void sneak_return(void **state)
{
    (void)state;
    static const struct {
        double ohm;
        const char *amps, *watts;
    } rows[] = {{50e-3, "138", "959"}, {200e-3, "52", "547"}, {41e-3, "154", "968"}};
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        crank c = crank_circuit();
        sl_part sneak = build_resistor(&c.b, "case", "0", rows[k].ohm);
        build_open(&c.b, c.ground);
        build_solve(&c.b);
        check_printed("sneak return", build_amps(&c.b, sneak), rows[k].amps);
        check_printed("sneak return", build_watts(&c.b, sneak), rows[k].watts);
        if (k == 0) {
            check_printed("starter", build_drop(&c.b, c.starter), "4.71");
        }
        build_free(&c.b);
    }
}

static void heat_peaks_at_the_resistance_of_the_loop(void **state)
{
    (void)state;
    crank c = crank_circuit();
    sl_part sneak = build_resistor(&c.b, "case", "0", 41e-3);
    build_open(&c.b, c.ground);
    build_solve(&c.b);
    double most = build_watts(&c.b, sneak);
    assert_near("greatest heat", most, 12.6 * 12.6 / (4.0 * 41e-3), EXACT);
    for (double ohm = 1e-3; ohm < 1.0; ohm *= 1.3) {
        build_set(&c.b, sneak, "resistance", ohm);
        build_solve(&c.b);
        assert_true(build_watts(&c.b, sneak) < most);
    }
    build_free(&c.b);
}

/* 24 V with a tap at 12 V, the chassis return open: the chassis rises between the taps. Loads of 12
   V and of 24 V, 1.26 ohm each: 18.90 V, and the 12 V load has -6.3 V. A 24 V load three times as
   heavy: -9.45 V. */
static void chassis_return_open(void **state)
{
    (void)state;
    static const struct {
        double ohm_24;
        const char *chassis, *load;
    } rows[] = {{1.26, "18.90", "-6.3"}, {0.42, "22.05", "-9.45"}};
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        build b = grounded();
        build_voltage(&b, "tap", "0", 12.6);
        build_voltage(&b, "bus", "tap", 12.6);
        sl_part heavy = build_resistor(&b, "bus", "chassis", rows[k].ohm_24);
        sl_part light = build_resistor(&b, "tap", "chassis", 1.26);
        sl_part lug = build_resistor(&b, "chassis", "0", 1e-3);
        build_solve(&b);
        assert_true(build_drop(&b, light) > 12.5 && build_drop(&b, heavy) > 25.0);
        build_open(&b, lug);
        build_solve(&b);
        check_printed("chassis", build_volts(&b, "chassis"), rows[k].chassis);
        check_printed("12 V load", build_drop(&b, light), rows[k].load);
        build_free(&b);
    }
}

/* A load from the good post of 12.6 V to a point with some resistance to ground left: volts across
   the load. Lamps: I = I0 (V/12 V)^0.55, cold resistance 1/10. */
static void loaded_test_of_a_ground(void **state)
{
    (void)state;
    enum { METER, TEST_LAMP, LAMP, FIXED, LOADS };
    static const struct {
        double ohm;
        const char *volts[LOADS];
    } rows[] = {
        {0.01, {"12.60", "12.60", "12.58", "12.60"}}, {1, {"12.60", "12.35", "10.94", "12.34"}},
        {10, {"12.60", "10.30", "3.59", "10.43"}},    {50, {"12.60", "4.93", "0.34", "6.17"}},
        {140, {"12.60", "1.49", "0.06", "3.22"}},     {500, {"12.60", "0.18", "0.02", "1.10"}},
    };
    static const struct {
        const char *kind;
        build_value values[2];
    } loads[LOADS] = {
        [METER] = {"meter", {{NULL, 0}}},
        [TEST_LAMP] = {"test_lamp", {{"current", 0.25}, {NULL, 0}}},
        [LAMP] = {"lamp", {{"current", 1.75}, {NULL, 0}}},
        [FIXED] = {"resistor", {{"resistance", 48.0}, {NULL, 0}}},
    };
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        for (int load = 0; load < LOADS; load++) {
            build b = grounded();
            build_voltage(&b, "post", "0", 12.6);
            sl_part part = build_pair(&b, loads[load].kind, "post", "point", loads[load].values);
            build_resistor(&b, "point", "0", rows[k].ohm);
            build_solve(&b);
            check_printed(loads[load].kind, build_drop(&b, part), rows[k].volts[load]);
            build_free(&b);
        }
    }
}

/* The series resistance that each load shows as a drop of 0.2 V from 12.6 V. */
static void smallest_fault_each_load_shows(void **state)
{
    (void)state;
    static const struct {
        const char *kind;
        build_value values[2];
        double ohm, rounding; /* as printed, and half of its last digit */
    } rows[] = {
        {"meter", {{NULL, 0}}, 0.16e6, 0.005e6},
        {"test_lamp", {{NULL, 0}}, 0.8, 0.05},
        {"lamp", {{"current", 1.75}, {NULL, 0}}, 0.11, 0.005},
        {"lamp", {{"current", 4.6}, {NULL, 0}}, 0.043, 0.0005},
        {"source", {{"current", 200}, {NULL, 0}}, 1e-3, 0.5e-3},
    };
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        /* Held at 12.4 V, the load tells the resistance that loses 0.2 V. */
        build b = grounded();
        build_voltage(&b, "post", "0", 12.6);
        build_voltage(&b, "post", "point", 0.2);
        sl_part load = build_pair(&b, rows[k].kind, "point", "0", rows[k].values);
        build_solve(&b);
        assert_near(rows[k].kind, 0.2 / fabs(build_amps(&b, load)), rows[k].ohm,
                    rows[k].rounding / rows[k].ohm);
        build_free(&b);
    }
}

/* One strand of 549 mohm/m, 50 mm long: 0.027 ohm. */
static void one_strand(void **state)
{
    (void)state;
    static const struct {
        double amps;
        const char *volts;
    } rows[] = {{0.25, "0.007"}, {5, "0.14"}, {20, "0.5"}};
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        build b = grounded();
        sl_part strand =
            build_pair(&b, "cable", "lug", "0",
                       (build_value[]){{"per_metre", 0.549}, {"length", 0.05}, {NULL, 0}});
        build_current(&b, "lug", "0", rows[k].amps);
        build_solve(&b);
        assert_near("one strand", build_drop(&b, strand), rows[k].amps * 0.549 * 0.05, EXACT);
        check_printed("one strand", build_drop(&b, strand), rows[k].volts);
        build_free(&b);
    }
}

static double light_of(const build *b, sl_part lamp)
{
    sl_notice notice[4];
    int32_t count = sl_case_notices(b->cs, lamp, notice, 4);
    const sl_kind *kind = sl_circuit_part_kind(b->circuit, lamp);
    for (int32_t k = 0; k < count && k < 4; k++) {
        if (strcmp(kind->notices[notice[k].index].name, "light") == 0) {
            return notice[k].value;
        }
    }
    return 0.0;
}

/* The ground that a brake lamp of 21 W and a tail lamp of 5 W and a turn lamp of 21 W share is
   open. Current returns backwards through the tail lamp, which feeds four more of 5 W, and through
   the turn lamp, which feeds 21 W and 5 W. Light against 13.5 V. */
static void shared_ground_of_rear_lamps_open(void **state)
{
    (void)state;
    build b = grounded();
    const build_value large[] = {{"power", 21}, {"full_light", 13.5}, {NULL, 0}};
    const build_value small[] = {{"power", 5}, {"full_light", 13.5}, {NULL, 0}};
    build_voltage(&b, "brake feed", "0", 12.4);
    sl_part brake = build_pair(&b, "lamp", "brake feed", "shared", large);
    sl_part tail = build_pair(&b, "lamp", "tail feed", "shared", small);
    sl_part turn = build_pair(&b, "lamp", "turn feed", "shared", large);
    for (int k = 0; k < 4; k++) {
        build_pair(&b, "lamp", "tail feed", "0", small);
    }
    build_pair(&b, "lamp", "turn feed", "0", large);
    build_pair(&b, "lamp", "turn feed", "0", small);
    sl_part screw = build_resistor(&b, "shared", "0", 2e-3);
    build_solve(&b);
    assert_true(build_drop(&b, brake) > 12.39 && light_of(&b, tail) == 0.0);
    build_open(&b, screw);
    build_solve(&b);
    check_printed("ground node", build_volts(&b, "shared"), "6.31");
    check_printed("brake lamp", build_drop(&b, brake), "6.09");
    check_printed("brake lamp, light %", 100.0 * light_of(&b, brake), "7");
    check_printed("tail lamp, light %", 100.0 * light_of(&b, tail), "6");
    check_printed("turn lamp, light %", 100.0 * light_of(&b, turn), "1");
    assert_true(build_amps(&b, tail) < 0.0 && build_amps(&b, turn) < 0.0);
    build_free(&b);
}

/* Lamp behind a resistance, the voltage of the lamp chosen first: E = v + r I0 (v/V0)^0.55. A lamp
   of 12.8 V and 2.10 A at 12.0 V behind 0.5 ohm: 2.026765 A, E 13.013383 V. */
static void lamp_behind_a_resistance(void **state)
{
    (void)state;
    build b = grounded();
    double amps = 2.10 * pow(12.0 / 12.8, 0.55);
    build_voltage(&b, "e", "0", 12.0 + 0.5 * amps);
    build_resistor(&b, "e", "lamp", 0.5);
    sl_part lamp = build_pair(&b, "lamp", "lamp", "0",
                              (build_value[]){{"current", 2.10}, {"voltage", 12.8}, {NULL, 0}});
    build_solve(&b);
    assert_near("lamp", build_drop(&b, lamp), 12.0, EXACT);
    check_printed("lamp", build_amps(&b, lamp), "2.026765");
    check_printed("lamp", build_volts(&b, "e"), "13.013383");
    build_free(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(starter_as_a_resistance),
        cmocka_unit_test(sneak_return),
        cmocka_unit_test(heat_peaks_at_the_resistance_of_the_loop),
        cmocka_unit_test(chassis_return_open),
        cmocka_unit_test(loaded_test_of_a_ground),
        cmocka_unit_test(smallest_fault_each_load_shows),
        cmocka_unit_test(one_strand),
        cmocka_unit_test(shared_ground_of_rear_lamps_open),
        cmocka_unit_test(lamp_behind_a_resistance),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

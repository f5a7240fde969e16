/* Senders, gauges, sensors and the inputs that read them. */
#include "kindprobe.h"
#include "near.h"

#include "kinds/ntc.h"

static void sender_goes_straight_from_empty_to_full(void **unused)
{
    (void)unused;
    probe part = probe_of("sender");
    assert_near("half", probe_ohm(&part, 20.0), 136.5, 1e-14);
    probe_mode(&part, "stuck", 0.0);
    assert_near("empty", probe_ohm(&part, 20.0), 240.0, 1e-14);
    probe_mode(&part, "stuck", 1.0);
    assert_near("full", probe_ohm(&part, 20.0), 33.0, 1e-14);
}

/* Its name and value with the sender of that resistance, and its ground lifted. */
static const char *reads(probe *part, double supply_v, double sender_ohm, double lift_v,
                         double *value)
{
    const sl__law *law = probe_laws(part, 20.0, 0);
    const double feed_s = 1.0 / law[0].ohm, shunt_s = 1.0 / law[1].ohm, sender_s = 1.0 / sender_ohm;
    const double v = (supply_v * feed_s + lift_v * sender_s) / (feed_s + shunt_s + sender_s);
    const sl__flow flow[2] = {{supply_v - v, (supply_v - v) * feed_s, 0.0}, {v, v * shunt_s, 0.0}};
    sl__notice_list list = {0};
    part->kind->notice(part->p, 0, flow, &list);
    assert_int_equal(list.count, 1);
    *value = list.item[0].value;
    return part->kind->about.notices[list.item[0].index].name;
}

static void gauge_reads_its_sender_at_any_supply(void **unused)
{
    (void)unused;
    static const double scales[][2] = {{240.0, 33.0}, {10.0, 180.0}};
    for (int s = 0; s < 2; s++) {
        probe part = probe_of("gauge");
        probe_set(&part, "empty", scales[s][0]);
        probe_set(&part, "full", scales[s][1]);
        for (double travel = 0.0; travel <= 1.0; travel += 0.125) {
            for (double supply_v = 6.0; supply_v < 30.0; supply_v += 4.0) {
                const double ohm = scales[s][0] + travel * (scales[s][1] - scales[s][0]);
                double value = 0.0;
                assert_string_equal(reads(&part, supply_v, ohm, 0.0, &value), "reading");
                assert_at_most("reading", fabs(value - travel), 1e-13);
            }
        }
    }
}

static void gauge_shows_faults_of_its_sender(void **unused)
{
    (void)unused;
    probe part = probe_of("gauge");
    double value = 0.0;
    assert_string_equal(reads(&part, 12.0, 1e12, 0.0, &value), "below empty");
    assert_string_equal(reads(&part, 12.0, 1e-6, 0.0, &value), "above full");
    assert_string_equal(reads(&part, 1.2, 136.5, 0.0, &value), "dead");
    /* A sender whose ground is lifted lets less current go: it reads as one of more ohms. By hand:
       v = (0.12 + 0.33 / 136.5) / (1/100 + 1/200 + 1/136.5). */
    const double v = (0.12 + 0.33 / 136.5) / (0.015 + 1.0 / 136.5);
    const double ohm = v / ((12.0 - v) / 100.0 - v / 200.0);
    assert_string_equal(reads(&part, 12.0, 136.5, 0.33, &value), "reading");
    assert_near("lifted", value, (ohm - 240.0) / (33.0 - 240.0), 1e-12);
    assert_true(value < 0.46);
    probe_set(&part, "full", 240.0);
    probe_complains(&part, "full", "differ");
}

/* Name of the only notice of a bimetal gauge with the sender of that resistance, or "". */
static const char *bends(probe *part, double supply_v, double sender_ohm, double *value)
{
    const double ohm = probe_ohm(part, 20.0), amps = supply_v / (ohm + sender_ohm);
    const char *name = probe_notice(part, amps * ohm, amps, value);
    return name ? name : "";
}

/* Scale drawn for 10 V and 65 ohm: 240 ohm empty, 33 ohm full, 136.5 ohm in the middle, where 10 V
   send 49.63 mA. From 12 V the same sender gets 59.55 mA, as 10 V would send through 102.92 ohm. */
static void bimetal_gauge_follows_sender_and_supply(void **unused)
{
    (void)unused;
    probe part = probe_of("bimetal_gauge");
    double value = 0.0;
    for (double travel = 0.0; travel <= 1.0; travel += 0.125) {
        assert_string_equal(bends(&part, 10.0, 240.0 - travel * 207.0, &value), "reading");
        assert_at_most("its own supply", fabs(value - travel), 1e-13);
    }
    assert_string_equal(bends(&part, 12.0, 136.5, &value), "reading");
    assert_near("no stabiliser", value, (240.0 - (10.0 * 201.5 / 12.0 - 65.0)) / 207.0, 1e-12);
    assert_true(value > 0.66 && value < 0.67);
    /* the same current either way */
    assert_string_equal(bends(&part, -12.0, 136.5, &value), "reading");
    assert_string_equal(bends(&part, 10.0, 240.0 + 0.049 * 207.0, &value), "reading");
    assert_string_equal(bends(&part, 10.0, 240.0 + 0.051 * 207.0, &value), "below empty");
    assert_string_equal(bends(&part, 10.0, 33.0 - 0.049 * 207.0, &value), "reading");
    assert_string_equal(bends(&part, 10.0, 33.0 - 0.051 * 207.0, &value), "above full");
    /* 10 mW in 65 ohm are 12.403 mA */
    assert_string_equal(bends(&part, 12.41e-3 * 865.0, 800.0, &value), "below empty");
    assert_string_equal(bends(&part, 12.39e-3 * 865.0, 800.0, &value), "");
    sl__notice_list list = {0};
    probe_laws(&part, 20.0, 0);
    const sl__flow gone = {.v = 0.4, .i = 0.4 / 65.0, .added_v = 0.7};
    part.kind->notice(part.p, 0, &gone, &list);
    assert_int_equal(list.count, 1);
    assert_string_equal(part.kind->about.notices[list.item[0].index].name, "cold");
    probe_set(&part, "full", 240.0);
    probe_complains(&part, "full", "below `empty`");
}

static void sensor_divides_its_reference(void **unused)
{
    (void)unused;
    probe part = probe_of("sensor");
    probe_set(&part, "output", 0.3);
    const sl__law *law = probe_laws(&part, 20.0, 0);
    assert_near("upper", law[0].ohm, 3500.0, 1e-14);
    assert_near("lower", law[1].ohm, 1500.0, 1e-14);
    double value = 0.0;
    assert_string_equal(probe_notice(&part, 3.5, 1e-3, &value), "stands");
    assert_near("true", value, 0.3, 1e-15);
}

static void thermistor_falls_as_it_warms(void **unused)
{
    (void)unused;
    probe part = probe_of("thermistor");
    assert_near("20 C", probe_ohm(&part, 20.0), 2500.0, 1e-14);
    assert_true(probe_ohm(&part, 90.0) < 260.0 && probe_ohm(&part, -40.0) > 50e3);
    probe_set(&part, "temperature", 90.0);
    const double ohm = probe_ohm(&part, -40.0);
    /* 3500 (1 / 363.15 - 1 / 293.15) = -2.3013896 */
    assert_near("its own temperature", ohm, 2500.0 * exp(-2.3013896), 1e-7);
    for (double celsius = -60.0; celsius <= 300.0; celsius += 7.0) {
        assert_at_most(
            "there and back",
            fabs(sl__ntc_celsius(2500.0, 3500.0, sl__ntc_ohm(2500.0, 3500.0, celsius)) - celsius),
            1e-9);
    }
}

/* Its notice with a signal of v volts, its reference unloaded. */
static const char *sees(probe *part, double v, double *value)
{
    probe_laws(part, 20.0, 0);
    const sl__flow flow[3] = {{5.0, 0.0, 0.0}, {5.0 - v, 0.0, 0.0}, {v, v / 1e6, 0.0}};
    sl__notice_list list = {0};
    part->kind->notice(part->p, 0, flow, &list);
    assert_int_equal(list.count, 1);
    *value = list.item[0].value;
    return part->kind->about.notices[list.item[0].index].name;
}

static void input_tells_share_resistance_or_temperature(void **unused)
{
    (void)unused;
    probe part = probe_of("sensor_input");
    double value = 0.0;
    assert_string_equal(sees(&part, 2.665, &value), "sees");
    assert_near("share", value, 0.533, 1e-14);
    assert_string_equal(sees(&part, 0.05, &value), "out of range");
    assert_string_equal(sees(&part, 4.95, &value), "out of range");
    probe_set(&part, "pull_up", 2200.0);
    const double v = 5.0 / 2200.0 / (1.0 / 2200.0 + 1.0 / 1000.0 + 1e-6);
    assert_string_equal(sees(&part, v, &value), "sees resistance");
    assert_near("1 kohm", value, 1000.0, 1e-12);
    probe_set(&part, "sensor_resistance", 2500.0);
    assert_string_equal(sees(&part, v, &value), "sees temperature");
    assert_near("1 kohm", value, sl__ntc_celsius(2500.0, 3500.0, 1000.0), 1e-12);
    part = probe_of("sensor_input");
    probe_set(&part, "sensor_resistance", 2500.0);
    probe_complains(&part, "pull_up", "pull_up");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sender_goes_straight_from_empty_to_full),
        cmocka_unit_test(gauge_reads_its_sender_at_any_supply),
        cmocka_unit_test(gauge_shows_faults_of_its_sender),
        cmocka_unit_test(bimetal_gauge_follows_sender_and_supply),
        cmocka_unit_test(sensor_divides_its_reference),
        cmocka_unit_test(thermistor_falls_as_it_warms),
        cmocka_unit_test(input_tells_share_resistance_or_temperature),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

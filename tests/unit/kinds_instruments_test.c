/* Ohmmeter, ammeter and meter. There is no standard for what they take from a circuit: Ohm's law,
   by hand. */
#include "kindprobe.h"
#include "near.h"

#include <string.h>

static double current_into(const sl__law *law, double v)
{
    assert_int_equal(law->form, SL__OHMIC);
    return (v - law->open_v) / law->ohm;
}

/* What it shows of a resistance between its leads, with a source of e in series with that. */
static const char *shows(probe *part, double ohm, double e, double *value)
{
    const sl__law *law = probe_laws(part, 20.0, -1);
    const double amps = (e - law->open_v) / (law->ohm + ohm);
    return probe_notice(part, e - amps * ohm, amps, value);
}

static void an_ohmmeter_shows_a_resistance_and_its_leads(void **unused)
{
    (void)unused;
    static const double ohms[] = {0.0, 0.5, 47.0, 599.0};
    for (int n = 0; n < 4; n++) {
        probe part = probe_of("ohmmeter");
        double value;
        assert_string_equal(shows(&part, ohms[n], 0.0, &value), "reading");
        assert_near("shown", value, ohms[n] + 0.2, 1e-12);
    }
}

static void an_ohmmeter_says_ol_above_its_range(void **unused)
{
    (void)unused;
    probe part = probe_of("ohmmeter");
    double value;
    assert_string_equal(shows(&part, 601.0, 0.0, &value), "overload");
    assert_string_equal(probe_notice(&part, 3.0, 0.0, &value), "overload"); /* leads open */
    probe_set(&part, "range", 6000.0);
    assert_string_equal(shows(&part, 601.0, 0.0, &value), "reading");
}

/* 3 V behind 5 x 600 ohm: 1 mA into leads that touch. With 0.3 V in what is measured, at 100 ohm:
   reference voltage (3 - 0.3) 3000 / 3100.2, input voltage the rest of 3 V, shown their quotient
   times 3000. */
static void a_voltage_in_the_circuit_makes_it_false(void **unused)
{
    (void)unused;
    probe part = probe_of("ohmmeter");
    const sl__law *law = probe_laws(&part, 20.0, -1);
    assert_near("short", -current_into(law, 0.0), 3.0 / 3000.2, 1e-12);
    for (int sign = -1; sign <= 1; sign += 2) {
        const double reference = (3.0 - sign * 0.3) * 3000.0 / 3100.2;
        double value;
        assert_string_equal(shows(&part, 100.0, sign * 0.3, &value), "reading");
        assert_near("false", value, 3000.0 * (3.0 - reference) / reference, 1e-12);
        assert_true(sign > 0 ? value > 400.0 : value < -150.0);
    }
    double value;
    assert_string_equal(shows(&part, 100.0, 12.6, &value), "overload");
    assert_string_equal(shows(&part, 100.0, -12.6, &value), "overload");
}

static void an_ammeter_has_a_fuse(void **unused)
{
    (void)unused;
    probe part = probe_of("ammeter");
    double value;
    assert_near("burden", probe_ohm(&part, 20.0), 0.05, 1e-15);
    assert_string_equal(probe_notice(&part, 0.5, 10.0, &value), "reading");
    assert_near("reading", value, 10.0, 0.0);
    /* The points of ISO 8820-3: 110 % is held, 135 % not for long, 600 % not at all. */
    assert_string_equal(probe_notice(&part, 0.55, 11.0, &value), "reading");
    assert_string_equal(probe_notice(&part, -0.5505, -11.01, &value), "overloaded");
    assert_near("overload", value, -11.01, 0.0);
    assert_string_equal(probe_notice(&part, 0.676, 13.52, &value), "over 135 %");
    assert_string_equal(probe_notice(&part, 3.01, 60.2, &value), "over 600 %");
    assert_string_equal(part.kind->about.notices[7].text,
                        "@ is more than its fuse holds: that opens at once");
    probe_choose(&part, "fuse", "blown");
    assert_int_equal(probe_laws(&part, 20.0, -1)->form, SL__ABSENT);
    assert_string_equal(probe_notice(&part, 12.0, 0.0, &value), "blown");
}

static void a_voltmeter_reads_at_its_own_input(void **unused)
{
    (void)unused;
    probe part = probe_of("meter");
    double value;
    probe_set(&part, "lead_resistance", 1e6);
    assert_near("ohm", probe_ohm(&part, 20.0), 11e6, 1e-15);
    assert_string_equal(probe_notice(&part, 11.0, 1e-6, &value), "reading");
    assert_near("reading", value, 10.0, 1e-15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_ohmmeter_shows_a_resistance_and_its_leads),
        cmocka_unit_test(an_ohmmeter_says_ol_above_its_range),
        cmocka_unit_test(a_voltage_in_the_circuit_makes_it_false),
        cmocka_unit_test(an_ammeter_has_a_fuse),
        cmocka_unit_test(a_voltmeter_reads_at_its_own_input),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

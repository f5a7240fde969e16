/* The battery against open-circuit tables, the cranking definition and load test charts. */
#include "kindprobe.h"
#include "near.h"

#include <string.h>

static probe rated(double cca_a)
{
    probe part = probe_of("battery");
    probe_set(&part, "cca", cca_a);
    return part;
}

static double open_v(probe *part, double celsius)
{
    const sl__law *law = probe_laws(part, celsius, 0);
    assert_int_equal(law->form, SL__OHMIC);
    return law->open_v;
}

/* Voltage at the posts while it gives that current. */
static double loaded_v(probe *part, double celsius, double amps)
{
    return open_v(part, celsius) - amps * probe_ohm(part, celsius);
}

/* Trade table, and an owner's manual for agm; the ends from memory. */
static const struct {
    const char *type;
    double celsius, charge, volts;
} at_rest[] = {
    {"flooded", 26.7, 1.00, 12.65},
    {"flooded", 26.7, 0.75, 12.45},
    {"flooded", 26.7, 0.50, 12.24},
    {"flooded", 26.7, 0.25, 12.06},
    {"flooded", 26.7, 0.00, 11.89},
    {"agm", 25.0, 1.00, 12.80},
    {"agm", 25.0, 0.75, 12.60},
    {"agm", 25.0, 0.50, 12.30},
    {"agm", 25.0, 0.25, 12.00},
    {"agm", 25.0, 0.00, 11.80},
    /* half way between two rows */
    {"flooded", 26.7, 0.875, 12.55},
    {"flooded", 26.7, 0.125, 11.975},
    {"agm", 25.0, 0.625, 12.45},
};

static void open_circuit_voltage_follows_the_table(void **unused)
{
    (void)unused;
    for (size_t r = 0; r < sizeof at_rest / sizeof *at_rest; r++) {
        probe part = rated(600.0);
        probe_choose(&part, "type", at_rest[r].type);
        probe_set(&part, "charge", at_rest[r].charge);
        assert_near(at_rest[r].type, open_v(&part, at_rest[r].celsius), at_rest[r].volts, 1e-12);
        /* +1.2 mV/K for six cells, from memory */
        assert_near("warmer by 10 K", open_v(&part, at_rest[r].celsius + 10.0),
                    at_rest[r].volts + 0.012, 1e-12);
    }
}

/* A list of an engineering group: 12.6, 12.4, 12.2, 12.0 V; a manual's 12.4 V for 75 %. */
static void rule_of_thumb_is_near(void **unused)
{
    (void)unused;
    for (int quarter = 1; quarter <= 4; quarter++) {
        probe part = rated(600.0);
        probe_set(&part, "charge", quarter / 4.0);
        assert_near("rule of thumb", open_v(&part, 25.0), 11.8 + 0.2 * quarter, 0.006);
    }
}

/* SAE J537: CCA for 30 s at -18 C, 7.2 V or more. */
static void rated_current_at_minus_18_leaves_7_2_volts(void **unused)
{
    (void)unused;
    static const double cca[] = {50, 160, 300, 600, 1000};
    for (size_t r = 0; r < sizeof cca / sizeof *cca; r++) {
        probe part = rated(cca[r]);
        assert_near("7.2 V", loaded_v(&part, -18.0, cca[r]), 7.2, 1e-3);
        probe_set(&part, "cells", 3.0);
        assert_near("1.2 V per cell", loaded_v(&part, -18.0, cca[r]), 3.6, 1e-3);
        probe_set(&part, "cells", 12.0);
        assert_near("1.2 V per cell", loaded_v(&part, -18.0, cca[r]), 14.4, 1e-3);
    }
}

/* Limits computed from 12.6 V; the typical new battery from memory, 3.0 V / CCA. */
static const struct {
    double cca, limit_cold_mohm, limit_half_cca_mohm, typical_mohm;
} resistances[] = {
    {300, 18.00, 20.00, 10.00}, {400, 13.50, 15.00, 7.50}, {500, 10.80, 12.00, 6.00},
    {600, 9.00, 10.00, 5.00},   {700, 7.71, 8.57, 4.29},   {800, 6.75, 7.50, 3.75},
    {900, 6.00, 6.67, 3.33},    {1000, 5.40, 6.00, 3.00},
};

static void resistance_follows_from_the_rating(void **unused)
{
    (void)unused;
    for (size_t r = 0; r < sizeof resistances / sizeof *resistances; r++) {
        probe part = rated(resistances[r].cca);
        const double cold = probe_ohm(&part, -18.0) * 1e3, warm = probe_ohm(&part, 25.0) * 1e3;
        assert_near("-18 C", cold, resistances[r].limit_cold_mohm, 1e-3);
        assert_near("25 C", warm, resistances[r].typical_mohm, 1.5e-3);
        assert_true(probe_ohm(&part, 21.0) * 1e3 < resistances[r].limit_half_cca_mohm);
        /* 1.5 to 2 times as much at -18 C, from memory */
        assert_near("cold over warm", cold / warm, 1.75, 0.15);
        /* exponential: the same factor over the same step, inside and outside the two points */
        assert_near("one step", probe_ohm(&part, 3.5) / probe_ohm(&part, 25.0), sqrt(1.8), 1e-12);
        assert_near("beyond", probe_ohm(&part, -61.0) / probe_ohm(&part, -18.0), 1.8, 1e-12);
        assert_near("beyond", probe_ohm(&part, 25.0) / probe_ohm(&part, 68.0), 1.8, 1e-12);
    }
}

/* Half the rating for 15 s, 75 % charged or more: not below these, service data of four makes. */
static const struct {
    double celsius, least_v;
} load_test[] = {
    {21, 9.6}, {16, 9.5}, {10, 9.4}, {4, 9.3}, {-1, 9.1}, {-7, 8.9}, {-12, 8.7}, {-18, 8.5},
};

static void half_cca_load_test_passes_good_and_fails_worn(void **unused)
{
    (void)unused;
    for (size_t r = 0; r < sizeof load_test / sizeof *load_test; r++) {
        probe part = rated(600.0);
        assert_true(loaded_v(&part, load_test[r].celsius, 300.0) > load_test[r].least_v);
        probe_set(&part, "charge", 0.75);
        assert_true(loaded_v(&part, load_test[r].celsius, 300.0) > load_test[r].least_v);
        probe_mode(&part, "weak", 0.4);
        assert_true(loaded_v(&part, load_test[r].celsius, 300.0) < load_test[r].least_v);
    }
}

static void given_resistance_is_used_as_it_is(void **unused)
{
    (void)unused;
    probe part = probe_of("battery");
    probe_complains(&part, "cca", "resistance");
    probe_set(&part, "resistance", 6e-3);
    assert_near("without cca", probe_ohm(&part, -18.0), 6e-3, 1e-15);
    probe_set(&part, "cca", 600.0);
    assert_near("with cca", probe_ohm(&part, -18.0), 6e-3, 1e-15);
    probe_mode(&part, "weak", 0.5);
    assert_near("weak", probe_ohm(&part, 20.0), 12e-3, 1e-15);
}

static void its_own_temperature_wins(void **unused)
{
    (void)unused;
    probe part = rated(600.0);
    probe_set(&part, "temperature", -18.0);
    assert_near("9 mohm", probe_ohm(&part, 25.0), 9e-3, 1e-12);
}

static void cells_count(void **unused)
{
    (void)unused;
    probe part = rated(600.0);
    const double six_v = open_v(&part, 0.0), six_ohm = probe_ohm(&part, 0.0);
    probe_set(&part, "cells", 12.0);
    assert_near("24 V", open_v(&part, 0.0), 2.0 * six_v, 1e-14);
    assert_near("24 V", probe_ohm(&part, 0.0), 2.0 * six_ohm, 1e-14);
    probe_set(&part, "cells", 6.0);
    probe_mode(&part, "shorted cell", 1.0);
    assert_near("about 10.5 V", open_v(&part, 26.7), 12.65 * 5.0 / 6.0, 1e-14);
    assert_near("resistance kept", probe_ohm(&part, 0.0), six_ohm, 1e-14);

    probe_set(&part, "cells", 5.5);
    probe_complains(&part, "cells", "whole");
    probe_set(&part, "cells", 3.0);
    probe_set(&part, "shorted_cells", 4.0);
    probe_complains(&part, "shorted_cells", "no more");
    probe_set(&part, "shorted_cells", 0.5);
    probe_complains(&part, "shorted_cells", "whole");
}

static void notices_tell_discharged_and_low(void **unused)
{
    (void)unused;
    double value = 0.0;
    probe part = rated(600.0);
    assert_null(probe_notice(&part, 12.6, 0.0, &value));
    assert_null(probe_notice(&part, 9.61, -200.0, &value));
    assert_string_equal(probe_notice(&part, 9.59, -200.0, &value), "low voltage");
    assert_near("volts", value, 9.59, 1e-15);
    assert_null(probe_notice(&part, 9.59, 1.0, &value)); /* being charged: no load is to blame */
    probe_set(&part, "cells", 12.0);
    assert_string_equal(probe_notice(&part, 19.1, -200.0, &value), "low voltage");
    probe_set(&part, "charge", 0.5);
    assert_null(probe_notice(&part, 24.4, -1.0, &value));
    probe_mode(&part, "low charge", 0.49);
    assert_string_equal(probe_notice(&part, 24.4, -1.0, &value), "discharged");
    assert_near("charge", value, 0.49, 1e-15);
}

/* 600 A of cold cranking: 24 A for long, and 3 A take the surface charge off. */
static void notices_tell_what_time_would_change(void **unused)
{
    (void)unused;
    double value = 0.0;
    probe part = rated(600.0);
    assert_null(probe_notice(&part, 14.2, 23.9, &value));
    assert_string_equal(probe_notice(&part, 14.2, 24.1, &value), "takes much");
    assert_near("taken", value, 24.1, 1e-15);
    assert_null(probe_notice(&part, 12.6, -3.1, &value));
    probe_set(&part, "surface_charge", 1.2);
    assert_null(probe_notice(&part, 13.7, -2.9, &value));
    assert_string_equal(probe_notice(&part, 13.7, -3.1, &value), "surface charge");
    assert_near("lost", value, 1.2, 1e-15);
}

/* 3.0 V / 600 A at 25 C when full; 1 + 9 (1 - charge)^3 times as much: from memory. A battery that
   is fully charged, and one whose resistance was measured, are as they were. */
static void lost_charge_raises_the_resistance(void **unused)
{
    (void)unused;
    static const double rows[][2] = {
        {1.0, 1.0}, {0.75, 1.140625}, {0.5, 2.125}, {0.25, 4.796875}, {0.0, 10.0}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = rated(600.0), measured = probe_of("battery");
        probe_set(&part, "charge", rows[r][0]);
        assert_near("rated", probe_ohm(&part, 25.0), 5e-3 * rows[r][1], 1e-12);
        probe_set(&measured, "resistance", 5e-3);
        probe_set(&measured, "charge", rows[r][0]);
        assert_near("measured", probe_ohm(&measured, 25.0), 5e-3, 1e-12);
    }
}

/* By the definition of capacity: 60 Ah give 0.41 A for 146.3 h, 6.10 days; 5/6 of the charge for as
   much less. In days up to the 20-hour current, 3 A, and down to 25 mA, 100 days; above 3 A it is
   flat sooner, and above 60 A it is not drained but cranked. */
static void a_drain_is_told_in_time(void **unused)
{
    (void)unused;
    static const struct {
        double charge, amps;
        const char *told;
        double days;
    } rows[] = {{1.0, 0.41, "drains", 6.0976},
                {0.8, 0.41, "drains", 4.8780},
                {1.0, 2.999, "drains", 0.8336},
                {1.0, 3.001, "drains fast", 0.8331},
                {1.0, 59.9, "drains fast", 0.0417},
                {1.0, 60.1, "", 0.0},
                {1.0, 25.1e-3, "drains", 99.60},
                {1.0, 24.9e-3, "drains slowly", 0.0},
                {1.0, 9e-6, "", 0.0},
                {1.0, 0.0, "", 0.0},
                {1.0, -0.41, "", 0.0},
                {0.0, 0.41, "", 0.0}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = probe_of("battery");
        probe_set(&part, "cca", 600.0);
        probe_set(&part, "charge", rows[r].charge);
        for (int known = 0; known < 2; known++) {
            if (known) {
                probe_set(&part, "capacity", 60.0);
            }
            probe_laws(&part, 20.0, 0);
            const sl__flow flow = {.v = 12.6, .i = -rows[r].amps};
            sl__notice_list list = {0};
            part.kind->notice(part.p, 0, &flow, &list);
            const char *told = "";
            double days = 0.0;
            for (int32_t n = 0; n < list.count; n++) {
                const char *name = part.kind->about.notices[list.item[n].index].name;
                if (strncmp(name, "drains", 6) == 0) {
                    told = name;
                    days = list.item[n].value / 86400.0;
                }
            }
            assert_string_equal(told, known ? rows[r].told : "");
            assert_near("days", days, known ? rows[r].days : 0.0, 1e-3);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(open_circuit_voltage_follows_the_table),
        cmocka_unit_test(rule_of_thumb_is_near),
        cmocka_unit_test(rated_current_at_minus_18_leaves_7_2_volts),
        cmocka_unit_test(resistance_follows_from_the_rating),
        cmocka_unit_test(half_cca_load_test_passes_good_and_fails_worn),
        cmocka_unit_test(given_resistance_is_used_as_it_is),
        cmocka_unit_test(its_own_temperature_wins),
        cmocka_unit_test(lost_charge_raises_the_resistance),
        cmocka_unit_test(cells_count),
        cmocka_unit_test(notices_tell_discharged_and_low),
        cmocka_unit_test(notices_tell_what_time_would_change),
        cmocka_unit_test(a_drain_is_told_in_time),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

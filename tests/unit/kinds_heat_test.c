/* Heat in conductors against fusing tables, ampacities and heat balances worked out here. */
#include "kindprobe.h"
#include "kinds/conductor.h"
#include "kinds/heat.h"
#include "near.h"

#include <string.h>

#define PI 3.14159265358979323846

/* A bare copper wire of American gauge; share 0 loses nothing to air. */
static sl__wire copper(int gauge, double share)
{
    const double mm2 = sl__awg_mm2(gauge);
    return (sl__wire){.ohm_m = 1e-6 / 58.0 / (mm2 * 1e-6),
                      .per_k = 0.00393,
                      .heat_j = 3.45e6 * mm2 * 1e-6,
                      .outer_m = 1e-3 * sqrt(mm2 / atan(1.0)),
                      .share = share};
}

/* Onderdonk, as quoted in a review of 1928: currents that melt copper in 0.1, 1 and 10 s without
   loss of heat, from 25 C; Preece: current that melts it in air for ever. */
static const struct {
    int gauge;
    double short_a, second_a, long_a, steady_a;
} fusing[] = {
    {22, 297.2, 94.0, 29.7, 41.3},        {20, 472.6, 149.4, 47.3, 58.5},
    {18, 751.5, 237.6, 75.1, 82.9},       {16, 1194.9, 377.8, 119.5, 117.4},
    {14, 1899.9, 600.8, 190.0, 166.2},    {12, 3020.9, 955.3, 302.1, 235.3},
    {10, 4803.5, 1519.0, 480.3, 333.2},   {8, 7637.9, 2415.3, 763.8, 471.8},
    {6, 12144.7, 3840.5, 1214.5, 668.1},  {4, 19310.8, 6106.6, 1931.1, 946.0},
    {2, 30705.3, 9709.9, 3070.5, 1339.5}, {0, 48823.4, 15439.3, 4882.3, 1896.8},
};

static void short_overloads_melt_copper_as_onderdonk_says(void **unused)
{
    (void)unused;
    for (size_t r = 0; r < sizeof fusing / sizeof *fusing; r++) {
        const sl__wire lossless = copper(fusing[r].gauge, 0.0);
        const double amps[] = {fusing[r].short_a, fusing[r].second_a, fusing[r].long_a};
        for (int n = 0; n < 3; n++) {
            assert_near("0.1, 1, 10 s", sl__wire_seconds(&lossless, 25.0, 1083.0, amps[n]),
                        pow(10.0, n - 1), 0.01);
        }
        /* In air a thick wire takes little longer, and one that Preece says bears it never melts.
         */
        const sl__wire wire = copper(fusing[r].gauge, 1.0);
        assert_near("0.1 s", sl__wire_seconds(&wire, 25.0, 1083.0, fusing[r].short_a), 0.1, 0.03);
        const double ten_s = sl__wire_seconds(&wire, 25.0, 1083.0, fusing[r].long_a);
        assert_true(ten_s > 10.0 && (ten_s == INFINITY) == (fusing[r].long_a < fusing[r].steady_a));
    }
    /* At 300 A, adiabatic: 0.75 mm2 0.5 s, 1.5 mm2 2.1 s, 2.5 mm2 5.8 s, 6 mm2 33 s. */
    static const struct {
        double mm2, seconds, digit;
    } rows[] = {{0.75, 0.5, 0.1}, {1.5, 2.1, 0.1}, {2.5, 5.8, 0.1}, {6.0, 33.0, 1.0}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        const sl__wire wire = {.ohm_m = 1.0 / 58.0 / rows[r].mm2,
                               .per_k = 0.00393,
                               .heat_j = 3.45 * rows[r].mm2,
                               .outer_m = 1e-3};
        const double seconds = sl__wire_seconds(&wire, 25.0, 1083.0, 300.0);
        assert_at_most("300 A", fabs(seconds - rows[r].seconds), 0.6 * rows[r].digit);
    }
}

static void steady_fusing_is_near_preece(void **unused)
{
    (void)unused;
    for (size_t r = 0; r < sizeof fusing / sizeof *fusing; r++) {
        const sl__wire wire = copper(fusing[r].gauge, 1.0);
        assert_near("Preece", sl__wire_amps(&wire, 25.0, 1083.0), fusing[r].steady_a, 0.15);
    }
}

/* Another correlation for calm air, Morgan's powers of the Rayleigh number, from memory. */
static void loss_agrees_with_another_correlation(void **unused)
{
    (void)unused;
    static const double diameters_mm[] = {0.5, 1.0, 2.5, 5.0, 10.0, 15.0};
    static const double rises_k[] = {10.0, 30.0, 75.0, 200.0};
    for (size_t d = 0; d < sizeof diameters_mm / sizeof *diameters_mm; d++) {
        for (size_t k = 0; k < sizeof rises_k / sizeof *rises_k; k++) {
            const double outer = 1e-3 * diameters_mm[d], rise = rises_k[k];
            const sl__wire wire = {.outer_m = outer, .share = 1.0};
            const double film = 293.15 + 0.5 * rise;
            const double viscosity = 1.51e-5 * pow(film / 293.15, 1.75);
            const double rayleigh =
                9.81 / film * rise * pow(outer, 3.0) * 0.71 / (viscosity * viscosity);
            const double nusselt = rayleigh < 1e2   ? 1.02 * pow(rayleigh, 0.148)
                                   : rayleigh < 1e4 ? 0.85 * pow(rayleigh, 0.188)
                                                    : 0.48 * pow(rayleigh, 0.25);
            const double convection = PI * nusselt * 0.0257 * pow(film / 293.15, 0.82) * rise;
            const double radiation =
                PI * outer * 0.9 * 5.67e-8 * (pow(293.15 + rise, 4.0) - pow(293.15, 4.0));
            assert_near("W/m", sl__wire_loss(&wire, 20.0, 20.0 + rise), convection + radiation,
                        0.20);
        }
    }
}

/* ABYC E-11, 105 C wire at 30 C: 25, 35, 45 and 60 A; 0.85 of it in engine spaces, at 50 C. */
static void ampacity_meets_the_boat_ratings(void **unused)
{
    (void)unused;
    static const struct {
        int gauge;
        double amps;
    } rows[] = {{16, 25.0}, {14, 35.0}, {12, 45.0}, {10, 60.0}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = probe_of("cable");
        probe_set(&part, "size", sl__awg_mm2(rows[r].gauge));
        probe_set(&part, "length", 1.0);
        probe_choose(&part, "insulation", "pvc 105");
        probe_laws(&part, 20.0, 0);
        const double amps = part.p[probe_param(&part, "ampacity")];
        assert_true(amps > 0.955 * rows[r].amps && amps < 1.085 * rows[r].amps);
        const sl__wire wire = copper(rows[r].gauge, 1.0);
        assert_near("engine space",
                    sl__wire_amps(&wire, 50.0, 105.0) / sl__wire_amps(&wire, 30.0, 105.0), 0.85,
                    0.015);
    }
}

static void temperature_and_loss_are_each_others_inverse(void **unused)
{
    (void)unused;
    const sl__wire wire = copper(14, 0.73);
    assert_true(sl__wire_loss(&wire, 20.0, 20.0) == 0.0 && sl__wire_loss(&wire, 20.0, 10.0) == 0.0);
    double last = 0.0;
    for (double c = 21.0; c < 1000.0; c *= 1.3) {
        const double watts = sl__wire_loss(&wire, 20.0, c);
        assert_true(watts > last);
        last = watts;
        assert_near("back", sl__wire_temperature(&wire, 20.0, watts, 1083.0), c, 1e-12);
    }
    assert_true(sl__wire_temperature(&wire, 20.0, 1e6, 1083.0) == 1083.0);
    assert_true(sl__wire_temperature(&wire, 20.0, 0.0, 1083.0) == 20.0);
    assert_true(sl__wire_temperature(&wire, 20.0, (double)NAN, 1083.0) == 20.0);
}

/* The heat balance stepped through in time. */
static double stepped(const sl__wire *wire, double air_c, double celsius, double amps)
{
    double c = air_c, seconds = 0.0, step = 1e-3;
    while (c < celsius) {
        const double ohm_m = wire->ohm_m * (1.0 + wire->per_k * (c - 20.0));
        const double rate = (amps * amps * ohm_m - sl__wire_loss(wire, air_c, c)) / wire->heat_j;
        step = fmin(0.05 / rate, (celsius - c) / rate + 1e-9);
        c += rate * step;
        seconds += step;
    }
    return seconds;
}

static void time_to_a_temperature_is_that_of_the_heat_balance(void **unused)
{
    (void)unused;
    for (int gauge = 20; gauge >= 0; gauge -= 4) {
        const sl__wire wire = copper(gauge, 0.73);
        const double for_ever = sl__wire_amps(&wire, 20.0, 80.0);
        assert_true(sl__wire_seconds(&wire, 20.0, 80.0, for_ever * 0.999) == INFINITY);
        double last = INFINITY;
        for (double over = 1.05; over < 100.0; over *= 1.5) {
            const double seconds = sl__wire_seconds(&wire, 20.0, 80.0, over * for_ever);
            assert_true(seconds < last);
            last = seconds;
            assert_near("stepped", seconds, stepped(&wire, 20.0, 80.0, over * for_ever), 0.01);
        }
    }
}

/* I^2 t = (K A)^2 ln((limit + b) / (20 + b)), the form of IEC 60949, from memory: copper 226,
   234.5; aluminium 148, 228; steel 78, 202, here with another resistivity. */
static void fast_overloads_follow_the_adiabatic_equation(void **unused)
{
    (void)unused;
    static const struct {
        const char *material;
        double k, beta, tolerance;
    } rows[] = {{"copper", 226.0, 234.5, 0.01},
                {"aluminium", 148.0, 228.0, 0.02},
                {"steel", 78.0, 202.0, 0.10}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = probe_of("cable");
        probe_set(&part, "size", 4.0);
        probe_set(&part, "length", 2.0);
        probe_choose(&part, "material", rows[r].material);
        probe_choose(&part, "insulation", "cross-linked");
        double seconds = 0.0;
        const double amps = 4.0 * rows[r].k; /* about ln(...) seconds */
        probe_laws(&part, 20.0, 0);
        sl__notice_list list = {0};
        const sl__flow flow = {.v = 1.0, .i = -amps};
        part.kind->notice(part.p, 0, &flow, &list);
        assert_true(list.count >= 1);
        assert_string_equal(part.kind->about.notices[list.item[0].index].name, "overloaded");
        seconds = list.item[0].value;
        assert_near(rows[r].material, seconds, log((125.0 + rows[r].beta) / (20.0 + rows[r].beta)),
                    rows[r].tolerance);
    }
}

static probe conductor(const char *kind, double mm2)
{
    probe part = probe_of(kind);
    probe_set(&part, "size", mm2);
    probe_set(&part, "length", 1.0);
    return part;
}

/* Names of the notices at a current, joined by ";". */
static const char *said(probe *part, double amps, double added_v)
{
    static char text[200];
    probe_laws(part, 20.0, 0);
    sl__notice_list list = {0};
    const sl__flow flow = {.v = amps * part->law[0].ohm, .i = amps, .added_v = added_v};
    sl__notices_of(part->kind, part->p, 0, &flow, &list);
    text[0] = '\0';
    for (int32_t n = 0; n < list.count; n++) {
        strcat(text, n ? ";" : "");
        strcat(text, part->kind->about.notices[list.item[n].index].name);
    }
    return text;
}

static void cranking_cables_say_nothing(void **unused)
{
    (void)unused;
    /* motorcycle, car, boat, diesel truck, large diesel; the thinnest usual cable of each */
    static const struct {
        double mm2, amps;
    } rows[] = {{6, 60},   {10, 90},  {16, 150}, {25, 200},
                {70, 190}, {35, 300}, {50, 400}, {95, 900}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = conductor("cable", rows[r].mm2);
        assert_string_equal(said(&part, rows[r].amps, 0.0), "");
        /* as a winch line that works for an hour, most of them are too thin */
        probe_set(&part, "duty", 3600.0);
        const double amps = part.p[probe_param(&part, "ampacity")];
        assert_string_equal(said(&part, 0.95 * amps, 0.0), "");
        assert_string_equal(said(&part, 1.30 * amps, 0.0), "overloaded");
    }
}

static void paths_that_get_hot_speak(void **unused)
{
    (void)unused;
    /* 73 W in 7 m of 0.75 mm2: 21 A */
    probe wire = conductor("cable", 0.75);
    assert_string_equal(said(&wire, 21.0, 0.0), "overloaded");
    assert_string_equal(said(&wire, 12.0, 0.0), "");
    assert_string_equal(said(&wire, 200.0, 0.0), "overloaded;melts");
    /* 304 W in the sheath of a clutch cable of 108 mohm: 53 A */
    probe sheath = probe_of("strap");
    probe_set(&sheath, "per_metre", 0.12);
    probe_set(&sheath, "length", 0.9);
    probe_choose(&sheath, "material", "steel");
    assert_string_equal(said(&sheath, 53.0, 0.0), "overloaded bare;melts");
    assert_string_equal(said(&sheath, 0.9, 0.0), "");
    assert_string_equal(said(&sheath, 2.0, 0.0), "");
    probe_choose(&sheath, "role", "unintended");
    assert_string_equal(said(&sheath, 0.9, 0.0), "");
    assert_string_equal(said(&sheath, -1.1, 0.0), "stray");
    assert_string_equal(said(&sheath, 53.0, 0.0), "stray;overloaded bare;melts");
    probe_set(&sheath, "harmless_up_to", 5.0);
    assert_string_equal(said(&sheath, 4.9, 0.0), "");
    /* 10 mohm of corrosion in a cable that cranks: 100 V A at one spot */
    probe bad = conductor("cable", 25.0);
    assert_string_equal(said(&bad, 100.0, 1.0), "hot spot");
    assert_string_equal(said(&bad, 100.0, 0.09), "");
}

/* 1 V over a poor contact with 10 A in it: 10 W, in whatever part it is, and in either direction;
   0.09 V is what any contact may have. */
static void a_poor_contact_gets_hot_in_any_part(void **unused)
{
    (void)unused;
    static const char *const names[] = {"fuse",   "alternator", "battery", "module",
                                        "heater", "starter",    "lamp",    "booster_leads"};
    for (size_t k = 0; k < sizeof names / sizeof *names; k++) {
        probe part = probe_of(names[k]);
        const sl_kind *about = &part.kind->about;
        for (int32_t e = 0; e < about->element_count; e++) {
            sl__flow flow[8] = {{0}};
            sl__notice_list hot = {0}, cool = {0};
            flow[e] = (sl__flow){.i = -10.0, .added_v = -1.0};
            sl__notices_of(part.kind, part.p, 0, flow, &hot);
            assert_true(hot.count > 0);
            assert_string_equal(about->notices[hot.item[hot.count - 1].index].name, "hot spot");
            assert_near(names[k], hot.item[hot.count - 1].value, 10.0, 1e-15);
            flow[e].added_v = -0.09;
            flow[e].i = -1000.0;
            sl__notices_of(part.kind, part.p, 0, flow, &cool);
            for (int32_t n = 0; n < cool.count; n++) {
                assert_string_not_equal(about->notices[cool.item[n].index].name, "hot spot");
            }
        }
    }
}

static void insulation_sets_the_limit(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double limit_c;
    } rows[] = {
        {"pvc", 80}, {"pvc 105", 105}, {"cross-linked", 125}, {"silicone", 180}, {"bare", 150}};
    double last = 0.0;
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = conductor("cable", 2.5);
        probe_choose(&part, "insulation", rows[r].name);
        probe_laws(&part, 20.0, 0);
        assert_true(part.p[probe_param(&part, "limit")] == rows[r].limit_c);
        const double amps = part.p[probe_param(&part, "ampacity")];
        assert_true(amps > last || strcmp(rows[r].name, "bare") == 0);
        last = amps;
        probe_set(&part, "limit", 60.0);
        probe_laws(&part, 20.0, 0);
        assert_true(part.p[probe_param(&part, "ampacity")] < amps);
    }
    probe cable = conductor("cable", 2.5), strap = conductor("strap", 2.5);
    probe_laws(&cable, 20.0, 0);
    probe_laws(&strap, 20.0, 0);
    assert_true(cable.p[probe_param(&cable, "limit")] == 80.0);
    assert_true(strap.p[probe_param(&strap, "limit")] == 150.0);
}

static void bundles_and_given_ampacities_carry_less(void **unused)
{
    (void)unused;
    static const struct {
        double conductors, factor;
    } rows[] = {{1, 1.0}, {2, 1.0}, {3, 0.7}, {4, 0.6}, {6, 0.6}, {7, 0.5}, {24, 0.5}, {25, 0.4}};
    probe alone = conductor("cable", 1.5);
    probe_laws(&alone, 20.0, 0);
    const double amps = alone.p[probe_param(&alone, "ampacity")];
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = conductor("cable", 1.5);
        probe_set(&part, "bundle", rows[r].conductors);
        probe_laws(&part, 20.0, 0);
        assert_near("bundle", part.p[probe_param(&part, "ampacity")], rows[r].factor * amps, 1e-12);
    }
    /* A given one is where the limit is reached, in 30 C. */
    probe given = conductor("cable", 1.5);
    probe_set(&given, "ampacity", 10.0);
    probe_set(&given, "temperature", 30.0);
    probe_choose(&given, "heating", "steady");
    probe_laws(&given, 20.0, 0);
    given.p[probe_param(&given, "metal_temperature")] = 80.0;
    sl__law law[1] = {{.form = SL__ABSENT}};
    given.kind->laws(given.p, 20.0, 0, law);
    const sl__flow flow = {.v = 10.0 * law[0].ohm, .i = 10.0};
    assert_near("80 C", given.kind->trim(given.p, 20.0, 0, &flow), 80.0, 1e-9);
}

/* With steady heating the metal's temperature is where its heat balances, and its resistance is
   that of the temperature. */
static void steady_heating_balances(void **unused)
{
    (void)unused;
    probe part = conductor("cable", 2.5);
    probe_choose(&part, "heating", "steady");
    probe_laws(&part, 20.0, 0);
    const int32_t at = probe_param(&part, "metal_temperature");
    assert_true(part.p[at] == 20.0);
    const double amps = 30.0;
    for (int round = 0; round < 200; round++) {
        sl__law law[1] = {{.form = SL__ABSENT}};
        part.kind->laws(part.p, 10.0, 0, law);
        const sl__flow flow = {.v = amps * law[0].ohm, .i = amps};
        part.p[at] = part.kind->trim(part.p, 10.0, 0, &flow);
    }
    const double c = part.p[at];
    /* 1.15 of the solid diameter and two walls of 0.4 + 0.1 sqrt(2.5) mm */
    const sl__wire wire = {
        .outer_m = 1e-3 * (1.15 * sqrt(2.5 / atan(1.0)) + 2.0 * (0.4 + 0.1 * sqrt(2.5))),
        .share = 0.73};
    const double gain = amps * amps / 58.0 / 2.5 * (1.0 + 0.00393 * (c - 20.0));
    assert_near("balance", sl__wire_loss(&wire, 10.0, c), gain, 1e-9);
    assert_true(c > 50.0 && c < 80.0);
    /* nothing known, nothing warm; more than it can lose: it melts */
    const sl__flow broken = {.v = (double)NAN, .i = 0.0}, shorted = {.v = 100.0, .i = 1000.0};
    assert_true(part.kind->trim(part.p, 10.0, 0, &broken) == 10.0);
    assert_true(part.kind->trim(part.p, 10.0, 0, &shorted) == 1083.0);
    /* above the limit it says so, and not in seconds */
    double value = 0.0;
    part.given[at] = (double)NAN;
    probe_set(&part, "metal_temperature", 79.9);
    assert_null(probe_notice(&part, 1.0, amps, NULL));
    probe_set(&part, "metal_temperature", 80.1);
    assert_string_equal(probe_notice(&part, 1.0, amps, &value), "too hot");
    assert_near("80 C", value, 80.1, 1e-15);
}

/* Without heating the metal is as warm as what is around it, and an overload counts from there. */
static void overload_counts_from_the_surroundings(void **unused)
{
    (void)unused;
    probe part = conductor("cable", 1.5);
    probe_laws(&part, 20.0, 0);
    const sl__flow flow = {.v = 1.0, .i = 200.0};
    assert_true(part.kind->trim(part.p, -40.0, 0, &flow) == -40.0);
    probe_set(&part, "temperature", 60.0);
    probe_laws(&part, 20.0, 0);
    assert_true(part.kind->trim(part.p, -40.0, 0, &flow) == 60.0);
    double last = INFINITY;
    for (double c = -40.0; c <= 70.0; c += 10.0) {
        double seconds = 0.0;
        probe_set(&part, "metal_temperature", c);
        sl__notice_list list = {0};
        probe_laws(&part, 20.0, 0);
        part.kind->notice(part.p, 0, &flow, &list);
        assert_true(list.count >= 1);
        seconds = list.item[0].value;
        assert_true(seconds < last);
        last = seconds;
    }
    /* what is around it is already too warm: not the current's doing */
    probe_set(&part, "metal_temperature", 90.0);
    assert_null(probe_notice(&part, 0.01, 1.0, NULL));
}

static void broken_strands_heat_sooner(void **unused)
{
    (void)unused;
    probe part = conductor("cable", 25.0);
    assert_string_equal(said(&part, 200.0, 0.0), "");
    probe_mode(&part, "broken strands", 0.9);
    assert_string_equal(said(&part, 200.0, 0.0), "overloaded");
    assert_string_equal(said(&part, 500.0, 0.0), "overloaded;melts");
    /* what is left of it heats as a wire of that section does, but for the larger surface */
    probe thin = conductor("cable", 2.5);
    double broken_s = 0.0, thin_s = 0.0;
    for (int n = 0; n < 2; n++) {
        probe *one = n ? &thin : &part;
        probe_laws(one, 20.0, 0);
        sl__notice_list list = {0};
        const sl__flow flow = {.v = 1.0, .i = 500.0};
        one->kind->notice(one->p, 0, &flow, &list);
        *(n ? &thin_s : &broken_s) = list.item[0].value;
    }
    assert_near("0.4 s", broken_s, thin_s, 0.02);
}

static void strands_give_the_section(void **unused)
{
    (void)unused;
    /* SAE 18 of a maker's list: 19 strands of 0.23 mm, 0.789 mm2. */
    probe part = probe_of("strap");
    probe_set(&part, "length", 1.0);
    probe_set(&part, "strands", 19.0);
    probe_complains(&part, "strand_diameter", "together");
    probe_set(&part, "strand_diameter", 0.23e-3);
    assert_near("0.789 mm2", 1.0 / 58.0 / probe_ohm(&part, 20.0), 0.789, 1e-3);
    assert_near("size", part.p[probe_param(&part, "size")], 0.789, 1e-3);
    probe_set(&part, "strand_diameter", 40e-3);
    probe_complains(&part, "strands", "range");
    probe_set(&part, "size", 16.0);
    assert_near("its size counts", 1.0 / 58.0 / probe_ohm(&part, 20.0), 16.0, 1e-12);
    probe_mode(&part, "wrong size", 4.0);
    assert_near("and another one", 1.0 / 58.0 / probe_ohm(&part, 20.0), 4.0, 1e-12);
    probe lone = probe_of("cable");
    probe_set(&lone, "length", 1.0);
    probe_set(&lone, "strand_diameter", 0.2e-3);
    probe_complains(&lone, "strands", "together");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(short_overloads_melt_copper_as_onderdonk_says),
        cmocka_unit_test(steady_fusing_is_near_preece),
        cmocka_unit_test(loss_agrees_with_another_correlation),
        cmocka_unit_test(ampacity_meets_the_boat_ratings),
        cmocka_unit_test(temperature_and_loss_are_each_others_inverse),
        cmocka_unit_test(time_to_a_temperature_is_that_of_the_heat_balance),
        cmocka_unit_test(fast_overloads_follow_the_adiabatic_equation),
        cmocka_unit_test(cranking_cables_say_nothing),
        cmocka_unit_test(paths_that_get_hot_speak),
        cmocka_unit_test(a_poor_contact_gets_hot_in_any_part),
        cmocka_unit_test(insulation_sets_the_limit),
        cmocka_unit_test(bundles_and_given_ampacities_carry_less),
        cmocka_unit_test(steady_heating_balances),
        cmocka_unit_test(overload_counts_from_the_surroundings),
        cmocka_unit_test(broken_strands_heat_sooner),
        cmocka_unit_test(strands_give_the_section),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Fuses warm and bolted down, and circuit breakers. The cold fuses are in kinds_simple_test.c. */
#include "kindprobe.h"
#include "near.h"

#include <string.h>

static probe fuse(const char *style, double rating_a)
{
    probe part = probe_of("fuse");
    probe_choose(&part, "style", style);
    probe_set(&part, "rating", rating_a);
    return part;
}

/* Typical drop of a warm fuse at its rated current, mV, from memory: blade within 15 %, mini and
   maxi within 25 %. */
static const struct {
    const char *style;
    double rating_a, mv, tolerance;
} warm[] = {
    {"blade", 1, 176, 0.15},  {"blade", 2, 141, 0.15},  {"blade", 3, 137, 0.15},
    {"blade", 4, 135, 0.15},  {"blade", 5, 128, 0.15},  {"blade", 7.5, 116, 0.15},
    {"blade", 10, 109, 0.15}, {"blade", 15, 102, 0.15}, {"blade", 20, 98, 0.15},
    {"blade", 25, 92, 0.15},  {"blade", 30, 84, 0.15},  {"blade", 35, 87, 0.15},
    {"blade", 40, 96, 0.15},  {"mini", 2, 170, 0.25},   {"mini", 3, 150, 0.25},
    {"mini", 4, 140, 0.25},   {"mini", 5, 130, 0.25},   {"mini", 7.5, 120, 0.25},
    {"mini", 10, 115, 0.25},  {"mini", 15, 105, 0.25},  {"mini", 20, 95, 0.25},
    {"mini", 25, 90, 0.25},   {"mini", 30, 85, 0.25},   {"maxi", 20, 90, 0.25},
    {"maxi", 30, 85, 0.25},   {"maxi", 40, 80, 0.25},   {"maxi", 50, 80, 0.25},
    {"maxi", 60, 75, 0.25},   {"maxi", 70, 75, 0.25},   {"maxi", 80, 70, 0.25},
};

/* Its resistance once it is as warm as `amps` make it: the current is given, so one round will do.
 */
static double warm_ohm(probe *part, double amps)
{
    probe_choose(part, "heating", "steady");
    probe_laws(part, 20.0, 0);
    const int32_t at = probe_param(part, "warmth");
    assert_true(part->p[at] == 1.0 && part->kind->trim_param == at);
    const sl__flow flow = {.v = 0.1, .i = amps};
    part->p[at] = part->kind->trim(part->p, 20.0, 0, &flow);
    sl__law law[1] = {{.form = SL__ABSENT}};
    part->kind->laws(part->p, 20.0, 0, law);
    return law[0].ohm;
}

static void warm_fuses_drop_what_is_typical_at_their_rating(void **unused)
{
    (void)unused;
    for (size_t r = 0; r < sizeof warm / sizeof *warm; r++) {
        probe part = fuse(warm[r].style, warm[r].rating_a);
        assert_near(warm[r].style, 1e3 * warm[r].rating_a * warm_ohm(&part, warm[r].rating_a),
                    warm[r].mv, warm[r].tolerance);
    }
}

static void fuse_warms_as_the_square_of_its_current(void **unused)
{
    (void)unused;
    probe part = fuse("blade", 10.0);
    const double cold = probe_ohm(&part, 20.0);
    assert_near("no current", warm_ohm(&part, 0.0), cold, 1e-15);
    assert_near("half", warm_ohm(&part, -5.0), cold * 1.11, 1e-12);
    assert_near("all", warm_ohm(&part, 10.0), cold * 1.44, 1e-12);
    /* zinc melts at 419 C: 2.68 times */
    assert_near("far too much", warm_ohm(&part, 100.0), cold * 2.6758, 1e-6);
    assert_near("nothing known", warm_ohm(&part, (double)NAN), cold, 1e-15);
    probe_set(&part, "hot_ratio", 1.6);
    assert_near("given", warm_ohm(&part, 10.0), cold * 1.6, 1e-12);
    double drop = 0.0;
    for (double amps = 0.5; amps < 60.0; amps += 0.5) { /* more current, more drop */
        const double now = amps * warm_ohm(&part, amps);
        assert_true(now > drop);
        drop = now;
    }
    /* cold unless asked for */
    probe usual = fuse("blade", 10.0);
    probe_laws(&usual, 20.0, 0);
    const sl__flow flow = {.v = 0.1, .i = 10.0};
    assert_true(usual.kind->trim(usual.p, 20.0, 0, &flow) == 1.0);
    probe_set(&usual, "warmth", 2.0);
    assert_near("cold", probe_ohm(&usual, 20.0), cold, 1e-15);
}

/* 50 mV at the rating, from memory within 30 %. */
static void bolted_fuses_have_their_table(void **unused)
{
    (void)unused;
    static const double ratings_a[] = {30, 40, 50, 60, 80, 100, 125, 150, 200, 300, 500};
    for (size_t r = 0; r < sizeof ratings_a / sizeof *ratings_a; r++) {
        probe part = fuse("bolt", ratings_a[r]);
        assert_near("50 mV", ratings_a[r] * probe_ohm(&part, 20.0), 0.05, 1e-12);
    }
    probe part = fuse("bolt", 100.0);
    probe_set(&part, "resistance", 0.4e-3);
    assert_near("given", probe_ohm(&part, 20.0), 0.4e-3, 1e-15);
}

static probe breaker(double rating_a, const char *reset)
{
    probe part = probe_of("breaker");
    probe_set(&part, "rating", rating_a);
    probe_choose(&part, "reset", reset);
    probe_laws(&part, 20.0, 0);
    return part;
}

enum { CLOSED, TRIPPED };
enum { CONTACTS, HEATER, ELEMENTS };

static int32_t wants(const probe *part, int32_t state, double amps, double volts)
{
    const sl__flow flow[ELEMENTS] = {[CONTACTS] = {.v = volts, .i = amps}, [HEATER] = {.v = volts}};
    return part->kind->wants(part->p, 20.0, state, flow);
}

static void breaker_trips_at_135_percent(void **unused)
{
    (void)unused;
    probe part = breaker(20.0, "manual");
    for (double sign = -1.0; sign <= 1.0; sign += 2.0) {
        assert_int_equal(wants(&part, CLOSED, sign * 20.0, 0.1), CLOSED);
        assert_int_equal(wants(&part, CLOSED, sign * 26.99, 0.1), CLOSED);
        assert_int_equal(wants(&part, CLOSED, sign * 27.01, 0.1), TRIPPED);
    }
    assert_int_equal(wants(&part, TRIPPED, 0.0, 12.0), TRIPPED);
    assert_int_equal(wants(&part, TRIPPED, 0.0, 0.0), TRIPPED);
    probe_mode(&part, "weak", 1.1);
    probe_laws(&part, 20.0, 0);
    assert_int_equal(wants(&part, CLOSED, 22.1, 0.1), TRIPPED);
    probe_choose(&part, "position", "off");
    probe_laws(&part, 20.0, 0);
    assert_int_equal(wants(&part, TRIPPED, 0.0, 12.0), CLOSED); /* worked by hand */

    part = breaker(20.0, "automatic");
    assert_int_equal(wants(&part, CLOSED, 30.0, 0.1), TRIPPED);
    assert_int_equal(wants(&part, TRIPPED, 0.0, 12.0), CLOSED);

    part = breaker(20.0, "held"); /* the two sides of 1 V across its heater */
    assert_int_equal(wants(&part, TRIPPED, 0.0, -1.01), TRIPPED);
    assert_int_equal(wants(&part, TRIPPED, 0.0, 0.99), CLOSED);
    assert_int_equal(wants(&part, TRIPPED, 0.0, (double)NAN), CLOSED);
}

/* Times to trip, from memory: 600 s at 135 %, 60 s at 160 %, 20 s at 200 %, 3 s at 350 %, 1 s at
   600 %. */
static void breaker_takes_its_time(void **unused)
{
    (void)unused;
    static const struct {
        double load, seconds;
    } rows[] = {{1.35, 600}, {1.6, 60}, {2.0, 20}, {3.5, 3}, {6.0, 1}, {50.0, 1}, {1.2, 600}};
    probe part = breaker(20.0, "automatic");
    const int32_t at = probe_param(&part, "load");
    assert_int_equal(part.kind->trim_param, at);
    assert_true(part.p[at] == 0.0);
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        const sl__flow flow[ELEMENTS] = {[CONTACTS] = {.v = 0.1, .i = -20.0 * rows[r].load}};
        part.p[at] = part.kind->trim(part.p, 20.0, CLOSED, flow);
        assert_near("load", part.p[at], rows[r].load, 1e-15);
        assert_near("seconds", part.kind->delay_s(part.p, CLOSED, TRIPPED), rows[r].seconds, 1e-12);
    }
    part.p[at] = sqrt(2.0 * 3.5); /* the geometric middle of two loads */
    assert_near("between", part.kind->delay_s(part.p, CLOSED, TRIPPED), sqrt(60.0), 1e-12);
    double last = INFINITY;
    for (double load = 1.35; load < 6.0; load += 0.01) {
        part.p[at] = load;
        const double seconds = part.kind->delay_s(part.p, CLOSED, TRIPPED);
        assert_true(seconds <= last);
        last = seconds;
    }
    assert_near("cools", part.kind->delay_s(part.p, TRIPPED, CLOSED), 10.0, 1e-15);
    probe_set(&part, "trip_time", 7.0);
    probe_laws(&part, 20.0, 0);
    assert_near("given", part.kind->delay_s(part.p, CLOSED, TRIPPED), 7.0, 1e-15);
    const sl__flow unknown[ELEMENTS] = {[CONTACTS] = {.v = 0.0, .i = (double)NAN}};
    assert_true(part.kind->trim(part.p, 20.0, CLOSED, unknown) == part.p[at]);
}

static void breaker_is_there_while_closed(void **unused)
{
    (void)unused;
    probe part = breaker(20.0, "manual");
    assert_near("0.1 V at 20 A", probe_laws(&part, 20.0, CLOSED)[CONTACTS].ohm, 5e-3, 1e-15);
    assert_int_equal(part.law[HEATER].form, SL__ABSENT);
    assert_int_equal(probe_laws(&part, 20.0, TRIPPED)[CONTACTS].form, SL__ABSENT);
    assert_int_equal(part.law[HEATER].form, SL__ABSENT);
    part = breaker(20.0, "held");
    assert_int_equal(probe_laws(&part, 20.0, CLOSED)[HEATER].form, SL__ABSENT);
    assert_int_equal(probe_laws(&part, 20.0, TRIPPED)[CONTACTS].form, SL__ABSENT);
    assert_near("heater", part.law[HEATER].ohm, 100.0, 1e-15);
    probe_choose(&part, "position", "off");
    for (int32_t state = CLOSED; state <= TRIPPED; state++) {
        assert_int_equal(probe_laws(&part, 20.0, state)[CONTACTS].form, SL__ABSENT);
        assert_int_equal(part.law[HEATER].form, SL__ABSENT);
    }
    probe_set(&part, "resistance", 1e-3);
    probe_choose(&part, "position", "on");
    assert_near("given", probe_laws(&part, 20.0, CLOSED)[CONTACTS].ohm, 1e-3, 1e-15);
}

static void breaker_says_what_it_carries(void **unused)
{
    (void)unused;
    static const struct {
        int32_t state;
        double amps;
        const char *name;
    } rows[] = {
        {CLOSED, 21.9, NULL},    {CLOSED, -22.1, "overloaded"}, {CLOSED, 26.9, "overloaded"},
        {CLOSED, 27.1, "trips"}, {TRIPPED, 0.0, "tripped"},
    };
    probe part = breaker(20.0, "manual");
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        const sl__flow flow[ELEMENTS] = {[CONTACTS] = {.v = 0.1, .i = rows[r].amps}};
        sl__notice_list list = {0};
        part.kind->notice(part.p, rows[r].state, flow, &list);
        assert_int_equal(list.count, rows[r].name != NULL);
        if (rows[r].name) {
            const sl_notice_def *def = &part.kind->about.notices[list.item[0].index];
            assert_string_equal(def->name, rows[r].name);
            if (def->quantity == SL_FRACTION) {
                assert_near("load", list.item[0].value, fabs(rows[r].amps) / 20.0, 1e-15);
            }
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(warm_fuses_drop_what_is_typical_at_their_rating),
        cmocka_unit_test(fuse_warms_as_the_square_of_its_current),
        cmocka_unit_test(bolted_fuses_have_their_table),
        cmocka_unit_test(breaker_trips_at_135_percent),
        cmocka_unit_test(breaker_takes_its_time),
        cmocka_unit_test(breaker_is_there_while_closed),
        cmocka_unit_test(breaker_says_what_it_carries),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

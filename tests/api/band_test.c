/* Bands: extremes, root sum square and samples, against what can be worked out otherwise. */
#include "near.h"
#include "probe.h"
#include "rig.h"
#include "strapline/band.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void spread(sl_circuit *c, const char *part, const char *param, double down, double up,
                   bool relative)
{
    sl_part p = sl_circuit_find_part(c, part);
    sl_spread s = {down, up, relative};
    assert_int_equal(
        sl_circuit_set_spread(c, SL_NONE, p, rig_param(sl_circuit_part_kind(c, p), param), &s),
        SL_OK);
}

static sl_reading volts(const sl_circuit *c, const char *red, const char *black)
{
    return (sl_reading){SL_NONE, -1, sl_circuit_find_node(c, red), sl_circuit_find_node(c, black)};
}

typedef struct rig {
    sl_circuit *c;
    sl_case *cs;
    sl_band *band;
} rig;

static rig start(sl_circuit *c, sl_reading of, bool usual)
{
    rig r = {.c = c, .cs = rig_case(c, 0)};
    sl_status st = sl_band_new(r.cs, &of, usual, &r.band);
    if (st != SL_OK) {
        fail_msg("%s", sl_case_message(r.cs));
    }
    return r;
}

static void end(rig r)
{
    sl_band_free(r.band);
    sl_case_free(r.cs);
    sl_circuit_free(r.c);
}

static sl_draw drawing(int64_t samples, int32_t threads)
{
    return (sl_draw){.samples = samples,
                     .seed = 5,
                     .threads = threads,
                     .least = -INFINITY,
                     .greatest = INFINITY};
}

/* Three sources in series: a straight sum. */
static sl_circuit *series(void)
{
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E1", "a 0", "voltage=6");
    rig_part(c, "source", "E2", "b a", "voltage=4");
    rig_part(c, "source", "E3", "top b", "voltage=2");
    rig_part(c, "resistor", "R", "top 0", "resistance=100");
    sl_circuit_set_reference(c, sl_circuit_find_node(c, "0"));
    spread(c, "E1", "voltage", 0.3, 0.3, false);
    spread(c, "E2", "voltage", 0.1, 0.1, true);
    spread(c, "E3", "voltage", 0.0, 0.0, false);
    return c;
}

/* By hand: 12 V, worst 0.3 + 0.4 V, root sum square 0.5 V. Uniform numbers of half width w have the
   variance w^2/3, so the sum has (0.09 + 0.16)/3. */
static void test_straight(void **state)
{
    (void)state;
    sl_circuit *c = series();
    rig r = start(c, volts(c, "top", "0"), false);
    assert_int_equal(sl_band_count(r.band), 2);
    sl_worst worst;
    assert_int_equal(sl_band_worst(r.band, &worst), SL_OK);
    assert_near("low", worst.low, 11.3, 1e-14);
    assert_near("high", worst.high, 12.7, 1e-14);
    assert_true(worst.beyond_low == worst.low && worst.beyond_high == worst.high);
    assert_int_equal(worst.turning, 0);
    double low, high;
    sl_band_rss(r.band, &low, &high);
    assert_near("low", low, 11.5, 1e-9);
    assert_near("high", high, 12.5, 1e-9);
    sl_draw how = drawing(50000, 1);
    sl_drawn drawn;
    assert_int_equal(sl_band_draw(r.band, &how, &drawn), SL_OK);
    assert_at_most("mean", fabs(drawn.mean - 12.0), 4.0 * sqrt(0.25 / 3.0 / 50000.0));
    assert_near("deviation", drawn.deviation, sqrt(0.25 / 3.0), 0.01);
    assert_true(drawn.least > 11.3 && drawn.greatest < 12.7);
    assert_at_most("middle", fabs(drawn.percentile[3] - 12.0), 0.01);
    end(r);
}

/* A divider with uniform resistors: the mean of R2/(R1 + R2) by quadrature, of its square too. */
static void test_divider_moments(void **state)
{
    (void)state;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "top 0", "voltage=12");
    rig_part(c, "resistor", "R1", "top mid", "resistance=2");
    rig_part(c, "resistor", "R2", "mid 0", "resistance=1");
    sl_circuit_set_reference(c, sl_circuit_find_node(c, "0"));
    spread(c, "R1", "resistance", 0.3, 0.3, true);
    spread(c, "R2", "resistance", 0.4, 0.4, true);
    rig r = start(c, volts(c, "mid", "0"), false);
    double mean = 0.0, square = 0.0;
    enum { POINTS = 400 };
    for (int i = 0; i < POINTS; i++) {
        for (int k = 0; k < POINTS; k++) {
            double r1 = 2.0 * (0.7 + 0.6 * (i + 0.5) / POINTS);
            double r2 = 0.6 + 0.8 * (k + 0.5) / POINTS, v = 12.0 * r2 / (r1 + r2);
            mean += v / POINTS / POINTS;
            square += v * v / POINTS / POINTS;
        }
    }
    sl_draw how = drawing(100000, 2);
    sl_drawn drawn;
    assert_int_equal(sl_band_draw(r.band, &how, &drawn), SL_OK);
    double deviation = sqrt(square - mean * mean);
    assert_at_most("mean", fabs(drawn.mean - mean), 4.0 * deviation / sqrt(100000.0));
    assert_near("deviation", drawn.deviation, deviation, 0.01);
    sl_worst worst;
    assert_int_equal(sl_band_worst(r.band, &worst), SL_OK);
    assert_near("low", worst.low, 12.0 * 0.6 / 3.2, 1e-14);
    assert_near("high", worst.high, 12.0 * 1.4 / 2.8, 1e-14);
    end(r);
}

/* A ladder with a lamp: the corners that slopes point to against all 2^9 of them. */
static void test_every_corner(void **state)
{
    (void)state;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "n0 0", "cca=300");
    for (int i = 0; i < 4; i++) {
        char name[8], nodes[16];
        snprintf(name, sizeof name, "S%d", i);
        snprintf(nodes, sizeof nodes, "n%d n%d", i, i + 1);
        rig_part(c, "joint", name, nodes, "resistance=0.2");
        spread(c, name, "resistance", 0.5, 1.0, true);
        snprintf(name, sizeof name, "L%d", i);
        snprintf(nodes, sizeof nodes, "n%d 0", i + 1);
        rig_part(c, "lamp", name, nodes, "power=21");
        spread(c, name, "power", 0.1, 0.1, true);
    }
    spread(c, "B", "charge", 0.3, 0.0, false);
    rig r = start(c, volts(c, "n1", "n4"), false);
    const int32_t count = sl_band_count(r.band);
    assert_int_equal(count, 9);
    double least = INFINITY, greatest = -INFINITY;
    for (int32_t mask = 0; mask < 1 << count; mask++) {
        double z[9], value;
        for (int32_t k = 0; k < count; k++) {
            z[k] = mask >> k & 1 ? 1.0 : -1.0;
        }
        assert_int_equal(sl_band_corner(r.band, z, &value), SL_OK);
        least = fmin(least, value);
        greatest = fmax(greatest, value);
    }
    sl_worst worst;
    assert_int_equal(sl_band_worst(r.band, &worst), SL_OK);
    assert_near("least", worst.low, least, 1e-13);
    assert_near("greatest", worst.high, greatest, 1e-13);
    assert_int_equal(worst.turning, 0);
    end(r);
}

/* A battery loses less inside when warm, a copper cable more: the voltage at the load is greatest
   in between, and both ends of the temperature are worse. */
static void test_turning(void **state)
{
    (void)state;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "plus 0", "cca=100");
    rig_part(c, "cable", "C", "plus load", "length=100, per_metre=1.36e-3");
    rig_part(c, "source", "J", "0 load", "current=10");
    assert_int_equal(sl_circuit_set_temperature(c, 25.0), SL_OK);
    sl_spread kelvin = {25.0, 25.0, false};
    assert_int_equal(sl_circuit_set_spread(c, SL_NONE, SL_NONE, 0, &kelvin), SL_OK);
    spread(c, "B", "cca", 0.1, 0.1, true);
    rig r = start(c, volts(c, "load", "0"), false);
    sl_worst worst;
    assert_int_equal(sl_band_worst(r.band, &worst), SL_OK);
    assert_int_equal(sl_band_count(r.band), 2);
    sl_varied v;
    assert_int_equal(sl_band_varied(r.band, 1, &v), SL_OK);
    assert_int_equal(v.part, SL_NONE);
    assert_true(v.turns && worst.turning == 1);
    assert_true(v.at_low < sl_band_nominal(r.band) && v.at_high < sl_band_nominal(r.band));
    assert_true(worst.beyond_low <= fmin(v.at_low, v.at_high));
    assert_int_equal(sl_band_varied(r.band, 0, &v), SL_OK);
    assert_false(v.turns);
    assert_int_equal(sl_band_varied(r.band, 2, &v), SL_E_ARG);
    end(r);
}

/* A relay of 85 ohm behind a resistor of 32 to 48 ohm on 12 V pulls in at 8 V or more, that is
   below 42.5 ohm: in 65.625 % of samples. */
static void test_flips(void **state)
{
    (void)state;
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "top 0", "voltage=12");
    rig_part(c, "resistor", "R", "top coil", "resistance=40");
    rig_part(c, "relay", "K", "top out coil 0 -", "");
    rig_part(c, "resistor", "L", "out 0", "resistance=10");
    sl_circuit_set_reference(c, sl_circuit_find_node(c, "0"));
    spread(c, "R", "resistance", 0.2, 0.2, true);
    rig r = start(c, volts(c, "out", "0"), false);
    const sl_part relay = sl_circuit_find_part(c, "K");
    sl_worst worst;
    assert_int_equal(sl_band_worst(r.band, &worst), SL_OK);
    assert_int_equal(worst.moved, 1);
    sl_moved moved;
    assert_int_equal(sl_band_moved(r.band, 0, &moved), SL_OK);
    assert_int_equal(moved.part, relay);
    assert_true(moved.before == 1 && (moved.low == 0 || moved.high == 0));
    assert_true(worst.beyond_low == 0.0 && worst.beyond_high > 11.9);
    sl_draw how = drawing(20000, 2);
    how.least = 6.0;
    sl_drawn drawn;
    assert_int_equal(sl_band_draw(r.band, &how, &drawn), SL_OK);
    const double p = 0.65625, sigma = sqrt(p * (1.0 - p) / 20000.0);
    assert_int_equal(sl_band_ended(r.band, relay, 0) + sl_band_ended(r.band, relay, 1), 20000);
    double held = (double)sl_band_ended(r.band, relay, 1) / 20000.0;
    assert_at_most("pulled in", fabs(held - p), 4.0 * sigma);
    assert_near("fails", drawn.share, 1.0 - held, 1e-12);
    assert_true(drawn.share_low < 1.0 - p && drawn.share_high > 1.0 - p);
    assert_int_equal(sl_band_ended(r.band, 0, 0), 0);
    end(r);
}

/* A buzzer: a relay that breaks its own coil. It pulls in at 8 V or more, so of 6 to 10 V it buzzes
   in half of the samples; then its other contact is at 0 V when released, at the source's voltage
   when pulled in, where the coil is at 0 V. */
static rig buzzer(const char *voltage, const char *red)
{
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "source", "E", "top 0", voltage);
    rig_part(c, "relay", "K", "top out coil 0 coil", "");
    rig_part(c, "resistor", "L", "out 0", "resistance=10");
    sl_circuit_set_reference(c, sl_circuit_find_node(c, "0"));
    spread(c, "E", "voltage", 2.0, 2.0, false);
    return start(c, volts(c, red, "0"), false);
}

static void draw_buzzer(const char *red, double least, double greatest)
{
    enum { SAMPLES = 4000 };
    rig r = buzzer("voltage=8", red);
    sl_draw how = drawing(SAMPLES, 1);
    how.least = least;
    how.greatest = greatest;
    sl_drawn one, other;
    memset(&one, 0, sizeof one);
    memset(&other, 0, sizeof other);
    assert_int_equal(sl_band_draw(r.band, &how, &one), SL_OK);
    const double share = (double)one.chatters / SAMPLES;
    assert_at_most("buzzes", fabs(share - 0.5), 4.0 * sqrt(0.25 / SAMPLES) + 0.002);
    assert_true(one.failed == one.chatters && one.unsolved == 0);
    assert_near("fails", one.share, share, 1e-12);
    assert_true(one.least == 0.0 && one.greatest > 9.9 && one.greatest < 10.0);
    const sl_part relay = sl_circuit_find_part(r.c, "K");
    assert_int_equal(sl_band_ended(r.band, relay, -1), one.chatters);
    assert_int_equal(sl_band_ended(r.band, relay, 0), SAMPLES - one.chatters);
    assert_int_equal(sl_band_ended(r.band, relay, 1), 0);
    assert_int_equal(sl_band_ended(r.band, 0, -1), 0);
    how.threads = 3;
    assert_int_equal(sl_band_draw(r.band, &how, &other), SL_OK);
    assert_memory_equal(&one, &other, sizeof one);
    end(r);
}

static void test_chatter(void **state)
{
    (void)state;
    draw_buzzer("out", -INFINITY, 3.0);
    draw_buzzer("coil", 3.0, INFINITY);
    rig r = buzzer("voltage=8", "out");
    double other = -1.0;
    assert_false(sl_band_chatters(r.band, &other));
    assert_true(other == sl_band_nominal(r.band));
    sl_worst worst;
    assert_int_equal(sl_band_worst(r.band, &worst), SL_OK);
    assert_true(worst.chatters > 0 && worst.chatters < worst.looked && worst.high_chatters);
    assert_near("high", worst.beyond_high, 10.0, 0.01);
    assert_true(worst.high == worst.beyond_high && worst.beyond_low == 0.0);
    end(r);
    r = buzzer("voltage=12", "out");
    assert_true(sl_band_chatters(r.band, &other));
    assert_near("span", fabs(other - sl_band_nominal(r.band)), 12.0, 0.01);
    assert_int_equal(sl_band_worst(r.band, &worst), SL_OK);
    assert_true(worst.chatters == worst.looked && worst.low_chatters && worst.high_chatters);
    assert_near("high", worst.beyond_high, 14.0, 0.01);
    end(r);
}

/* The 95 % interval of Wilson: of none in 1000 it is 0 to z^2 / (n + z^2). */
static void test_none_fails(void **state)
{
    (void)state;
    sl_circuit *c = series();
    rig r = start(c, volts(c, "top", "0"), false);
    sl_draw how = drawing(1000, 1);
    how.greatest = 13.0;
    sl_drawn drawn;
    assert_int_equal(sl_band_draw(r.band, &how, &drawn), SL_OK);
    const double z2 = 1.959963984540054 * 1.959963984540054;
    assert_true(drawn.failed == 0 && drawn.share_low == 0.0);
    assert_near("upper", drawn.share_high, z2 / (1000.0 + z2), 1e-12);
    end(r);
}

static bool stop_at(void *user, int64_t done, int64_t of)
{
    assert_true(done <= of);
    ++*(int *)user;
    return done < 1000;
}

/* The same digits on any number of threads, and again; each sample by itself; and stopped. */
static void test_threads(void **state)
{
    (void)state;
    sl_circuit *c = NULL;
    assert_int_equal(rig_every_kind(NULL, &c), SL_OK);
    sl_reading of = {.part = 0, .element = 0, .red = SL_NONE, .black = SL_NONE};
    rig r = start(c, of, true);
    assert_true(sl_band_count(r.band) > 10);
    sl_draw how = drawing(1500, 1);
    sl_drawn one, other;
    assert_int_equal(sl_band_draw(r.band, &how, &one), SL_OK);
    for (int32_t threads = 1; threads <= 4; threads++) {
        how.threads = threads;
        memset(&other, 0, sizeof other);
        assert_int_equal(sl_band_draw(r.band, &how, &other), SL_OK);
        assert_true(one.mean == other.mean && one.deviation == other.deviation);
        assert_true(one.least == other.least && one.greatest == other.greatest);
        assert_memory_equal(one.percentile, other.percentile, sizeof one.percentile);
    }
    how.seed++;
    assert_int_equal(sl_band_draw(r.band, &how, &other), SL_OK);
    assert_true(one.mean != other.mean);
    double greatest = -INFINITY;
    for (int64_t k = 0; k < 1500; k++) {
        double value;
        assert_int_equal(sl_band_sample(r.band, 5, SL_UNIFORM, k, &value), SL_OK);
        greatest = fmax(greatest, value);
    }
    assert_true(greatest == one.greatest);
    int calls = 0;
    how = drawing(1000000, 2);
    how.progress = stop_at;
    how.user = &calls;
    assert_int_equal(sl_band_draw(r.band, &how, &other), SL_OK);
    assert_true(calls > 0 && other.samples < 1000000);
    how.threads = 0;
    assert_int_equal(sl_band_draw(r.band, &how, &other), SL_E_ARG);
    end(r);
}

/* Spreads of a condition stand before those of the part; what a fault sets is exact. */
static void test_which_spread(void **state)
{
    (void)state;
    sl_circuit *c = series();
    sl_condition on = rig_condition(c, "on");
    sl_part e1 = sl_circuit_find_part(c, "E1");
    int32_t param = rig_param(sl_circuit_part_kind(c, e1), "voltage");
    sl_spread own = {1.0, 2.0, false}, bad = {-1.0, 0.0, false}, found;
    assert_int_equal(sl_circuit_set_spread(c, on, e1, param, &own), SL_OK);
    assert_true(sl_circuit_spread(c, on, e1, param, &found));
    assert_true(found.down == 1.0 && found.up == 2.0);
    assert_true(sl_circuit_spread(c, SL_NONE, e1, param, &found));
    assert_true(found.down == 0.3);
    assert_int_equal(sl_circuit_set_spread(c, on, e1, param, &bad), SL_E_VALUE);
    bad = (sl_spread){1.0, 0.0, true};
    assert_int_equal(sl_circuit_set_spread(c, on, e1, param, &bad), SL_E_VALUE);
    assert_int_equal(sl_circuit_set_spread(c, on, SL_NONE, 0, &bad), SL_E_VALUE);
    assert_int_equal(sl_circuit_set_spread(c, on, 77, 0, &own), SL_E_ARG);
    assert_int_equal(sl_circuit_set_spread(c, on, e1, 77, &own), SL_E_ARG);
    sl_reading of = volts(c, "top", "0");
    sl_case *cs = rig_case(c, on);
    sl_band *band = NULL;
    sl_worst worst;
    assert_int_equal(sl_band_new(cs, &of, false, &band), SL_OK);
    assert_int_equal(sl_band_worst(band, &worst), SL_OK);
    assert_near("high", worst.high, 14.4, 1e-14);
    sl_band_free(band);
    sl_edit edit = rig_set(c, "E1", "voltage", 7.0);
    assert_int_equal(sl_case_edit(cs, &edit, 1), SL_OK);
    assert_int_equal(sl_band_new(cs, &of, false, &band), SL_OK);
    assert_int_equal(sl_band_count(band), 1);
    sl_band_free(band);
    rig_free(c, cs);
}

static void test_no_memory(void **state)
{
    (void)state;
    enum { STRIDE = TEST_IS_SLOW ? 41 : 11 }; /* of many that are alike */
    for (size_t fail_at = 0;; fail_at += fail_at < 60 ? 1 : STRIDE) {
        alloc_probe probe;
        const sl_alloc al = probe_start(&probe, PROBE_NEVER);
        sl_circuit *c = NULL;
        assert_int_equal(rig_every_kind(&al, &c), SL_OK);
        sl_case *cs = rig_case(c, 0);
        sl_reading of = {.part = 0, .element = 0, .red = SL_NONE, .black = SL_NONE};
        sl_band *band = NULL;
        sl_draw how = drawing(300, 1);
        sl_drawn drawn;
        sl_worst worst;
        probe.fail_at = probe.calls + fail_at;
        sl_status st = sl_band_new(cs, &of, true, &band);
        if (st == SL_OK) {
            st = sl_band_worst(band, &worst);
        }
        if (st == SL_OK) {
            st = sl_band_draw(band, &how, &drawn);
        }
        assert_true(st == SL_OK || st == SL_E_NOMEM || st == SL_E_CONVERGENCE);
        bool fired = probe.calls > probe.fail_at;
        sl_band_free(band);
        rig_free(c, cs);
        assert_int_equal(probe.live_blocks, 0);
        if (!fired) {
            assert_int_equal(st, SL_OK);
            return;
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_straight),     cmocka_unit_test(test_divider_moments),
        cmocka_unit_test(test_every_corner), cmocka_unit_test(test_turning),
        cmocka_unit_test(test_flips),        cmocka_unit_test(test_none_fails),
        cmocka_unit_test(test_threads),      cmocka_unit_test(test_which_spread),
        cmocka_unit_test(test_chatter),      cmocka_unit_test(test_no_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

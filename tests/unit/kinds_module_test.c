/* Module and inverter: constant power, where it ends, and the states they go through. */
#include "kindprobe.h"
#include "near.h"

#include <stdio.h>

#include "kinds/constant_power.h"

enum { RESET, RUNNING, ASLEEP };
enum { CUT_OUT, READY };

static void power_is_constant_down_to_where_it_folds(void **unused)
{
    (void)unused;
    static const struct {
        double watts, least_v, back_s;
    } rows[] = {{120.0, 5.5, 1e-3}, {0.01, 0.3, 1e-6}, {20000.0, 21.0, 0.1}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        sl__law law = {0};
        sl__law_constant_power(&law, rows[r].watts, rows[r].least_v, rows[r].back_s);
        assert_true(law.scale_s > 0.0);
        const double peak_a = rows[r].watts / rows[r].least_v;
        for (double v = -30.0; v < 60.0; v += 0.0071) {
            double i = 0.0, slope = 0.0, below = 0.0, above = 0.0, unused_slope = 0.0;
            const double h = 1e-6;
            sl__law_current(&law, v, &i, &slope);
            sl__law_current(&law, v - h, &below, &unused_slope);
            sl__law_current(&law, v + h, &above, &unused_slope);
            if (v >= rows[r].least_v) {
                assert_near("power", v * i, rows[r].watts, 1e-15);
            }
            assert_true(i <= peak_a * (1.0 + 1e-15));
            assert_true(i * v >= 0.0);
            /* continuous everywhere; at its two kinks the slope lies between its sides */
            const double steepest = fmax(peak_a / rows[r].least_v, rows[r].back_s);
            assert_at_most("no jump", fabs(above - below), 2.1 * h * steepest);
            if (fabs(v) > h && fabs(v - rows[r].least_v) > h) {
                assert_at_most("slope", fabs(0.5 * (above - below) / h - slope), 1e-6 * steepest);
            }
        }
    }
}

static probe module(double watts)
{
    probe part = probe_of("module");
    probe_set(&part, "power", watts);
    return part;
}

/* What it wants with v at its supply and a voltage on its wake wire. */
static int32_t wants(probe *part, int32_t state, double v, double wake_v)
{
    const sl__law *law = probe_laws(part, 20.0, state);
    double i = 0.0, slope = 0.0;
    if (law[0].form == SL__CURVE) {
        sl__law_current(law, v, &i, &slope);
    } else {
        i = v / law[0].ohm;
    }
    const bool wired = part->kind->about.element_count > 1;
    const sl__flow flow[PROBE_ELEMENTS] = {{v, i, 0.0},
                                           {wake_v, wired ? wake_v / law[1].ohm : 0.0, 0.0}};
    return part->kind->wants(part->p, 20.0, state, flow);
}

static void module_resets_below_and_recovers_above(void **unused)
{
    (void)unused;
    probe part = module(12.0);
    assert_int_equal(wants(&part, RUNNING, 5.51, 0.0), RUNNING);
    assert_int_equal(wants(&part, RUNNING, 5.49, 0.0), RESET);
    assert_int_equal(wants(&part, RESET, 5.99, 0.0), RESET);
    assert_int_equal(wants(&part, RESET, 6.01, 0.0), RUNNING);
    assert_near("at once", part.kind->delay_s(part.p, RUNNING, RESET), 5e-3, 1e-15);
    assert_near("start", part.kind->delay_s(part.p, RESET, RUNNING), 0.2, 1e-15);
    assert_near("10 min", part.kind->delay_s(part.p, RUNNING, ASLEEP), 600.0, 1e-15);
    probe_choose(&part, "low_voltage", "stays off");
    assert_int_equal(wants(&part, RUNNING, 5.49, 0.0), RESET);
    assert_int_equal(wants(&part, RESET, 12.0, 0.0), RESET);
    probe_choose(&part, "low_voltage", "draws less");
    assert_int_equal(wants(&part, RUNNING, 1.0, 0.0), RUNNING);
    assert_int_equal(wants(&part, RESET, 1.0, 0.0), RUNNING);
}

static void module_sleeps_and_wakes(void **unused)
{
    (void)unused;
    probe part = module(12.0);
    probe_choose(&part, "position", "asleep");
    assert_int_equal(wants(&part, RUNNING, 12.0, 12.0), ASLEEP);
    assert_int_equal(wants(&part, ASLEEP, 12.0, 12.0), ASLEEP);
    assert_near("1 mA", 12.0 / probe_laws(&part, 20.0, ASLEEP)->ohm, 1e-3, 1e-15);
    assert_near("20 mA in reset", 12.0 / probe_laws(&part, 20.0, RESET)->ohm, 20e-3, 1e-15);
    probe_choose(&part, "position", "by wire");
    assert_int_equal(wants(&part, ASLEEP, 12.0, 4.01), RUNNING);
    assert_int_equal(wants(&part, ASLEEP, 12.0, 3.99), ASLEEP);
    assert_int_equal(wants(&part, RUNNING, 12.0, 2.01), RUNNING);
    assert_int_equal(wants(&part, RUNNING, 12.0, 1.99), ASLEEP);
    assert_int_equal(wants(&part, ASLEEP, 5.0, 12.0), RESET);
    probe_choose(&part, "low_voltage", "stays off"); /* sleep lets it start again */
    assert_int_equal(wants(&part, RESET, 12.0, 0.0), ASLEEP);
    assert_int_equal(wants(&part, ASLEEP, 12.0, 12.0), RUNNING);
    probe_mode(&part, "stays awake", 0.0);
    assert_int_equal(wants(&part, RUNNING, 12.0, 0.0), RUNNING);
}

static void classes_give_the_least_working_voltage(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        double volts;
    } rows[] = {{"A", 6.0}, {"B", 8.0}, {"C", 9.0}, {"D", 10.5}};
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        probe part = module(12.0);
        probe_choose(&part, "class", rows[r].name);
        probe_laws(&part, 20.0, RUNNING);
        assert_near(rows[r].name, part.p[probe_param(&part, "working")], rows[r].volts, 1e-15);
    }
    probe part = module(12.0);
    probe_set(&part, "working", 16.0);
    probe_laws(&part, 20.0, RUNNING);
    assert_near("given", part.p[probe_param(&part, "working")], 16.0, 1e-15);
    probe_set(&part, "reset", 17.0);
    probe_complains(&part, "reset", "above");
    part = module(12.0);
    probe_set(&part, "recover", 5.0);
    probe_complains(&part, "recover", "above");
    probe_set(&part, "current", 3.0);
    probe_complains(&part, "current", "agree");
}

/* Names of its notices, joined. */
static const char *says(probe *part, int32_t state, double v, double i)
{
    static char text[100];
    probe_laws(part, 20.0, state);
    const sl__flow flow[PROBE_ELEMENTS] = {{v, i, 0.0}};
    sl__notice_list list = {0};
    part->kind->notice(part->p, state, flow, &list);
    size_t used = 0;
    text[0] = '\0';
    for (int32_t n = 0; n < list.count; n++) {
        const char *name = part->kind->about.notices[list.item[n].index].name;
        used += (size_t)snprintf(text + used, sizeof text - used, "%s%s", n ? ", " : "", name);
        assert_true(used < sizeof text);
    }
    return text;
}

static void module_says_how_it_fares(void **unused)
{
    (void)unused;
    probe part = module(12.0);
    assert_string_equal(says(&part, RUNNING, 12.0, 1.0), "answers");
    assert_string_equal(says(&part, RUNNING, 8.01, 1.5), "answers");
    assert_string_equal(says(&part, RUNNING, 7.99, 1.5), "below working");
    assert_string_equal(says(&part, RUNNING, 5.7, 2.1), "below working, close to reset");
    assert_string_equal(says(&part, RUNNING, 5.4, 2.1), "starves");
    assert_string_equal(says(&part, RESET, 12.0, 0.02), "resets");
    assert_string_equal(says(&part, RESET, 0.5, 1e-3), "");
    assert_string_equal(says(&part, RUNNING, 12.0, 0.0), "dead"); /* a pin is off */
    assert_string_equal(says(&part, RESET, -12.0, -0.02), "reversed");
    assert_string_equal(says(&part, ASLEEP, 12.0, 1e-3), "");
}

static void inverter_cuts_out_and_recovers(void **unused)
{
    (void)unused;
    probe part = probe_of("inverter");
    probe_set(&part, "load", 440.0);
    double amps = 0.0, slope = 0.0;
    sl__law_current(probe_laws(&part, 20.0, READY), 12.0, &amps, &slope);
    assert_near("440 W / 0.88 + 8 W", 12.0 * amps, 508.0, 1e-12);
    assert_int_equal(wants(&part, READY, 10.51, 0.0), READY);
    assert_int_equal(wants(&part, READY, 10.49, 0.0), CUT_OUT);
    assert_int_equal(wants(&part, CUT_OUT, 11.99, 0.0), CUT_OUT);
    assert_int_equal(wants(&part, CUT_OUT, 12.01, 0.0), READY);
    assert_string_equal(says(&part, READY, 12.0, 42.0), "");
    assert_string_equal(says(&part, READY, 10.9, 46.0), "alarm");
    assert_string_equal(says(&part, READY, 10.4, 46.0), "starves");
    assert_string_equal(says(&part, CUT_OUT, 11.5, 1e-3), "cut out");
    probe_choose(&part, "low_voltage", "stays off");
    assert_int_equal(wants(&part, CUT_OUT, 14.0, 0.0), CUT_OUT);
    probe_choose(&part, "position", "off");
    assert_int_equal(wants(&part, CUT_OUT, 14.0, 0.0), READY);
    assert_near("1 mA", 12.0 / probe_laws(&part, 20.0, READY)->ohm, 1e-3, 1e-14);
    assert_string_equal(says(&part, READY, 9.0, 1e-3), "");
    probe_set(&part, "recover", 10.0);
    probe_complains(&part, "recover", "above");
    probe_set(&part, "recover", 12.0);
    probe_set(&part, "alarm", 10.0);
    probe_complains(&part, "alarm", "below");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(power_is_constant_down_to_where_it_folds),
        cmocka_unit_test(module_resets_below_and_recovers_above),
        cmocka_unit_test(module_sleeps_and_wakes),
        cmocka_unit_test(classes_give_the_least_working_voltage),
        cmocka_unit_test(module_says_how_it_fares),
        cmocka_unit_test(inverter_cuts_out_and_recovers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

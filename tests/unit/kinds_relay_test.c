/* The relay against relay data sheets: coil currents, thresholds cold and hot, contact drops. */
#include "kinds/kind.h"
#include "near.h"

#include <string.h>

enum { CONTACTS, COIL, REST_CONTACT, SUPPRESSOR_PATH, ELEMENTS };
enum { RELEASED, PULLED_IN };
enum { ROOM = 32 };

typedef struct relay {
    const sl__kind *kind;
    double p[ROOM];
} relay;

static int32_t param(const sl_kind *about, const char *name)
{
    for (int32_t i = 0; i < about->param_count; i++) {
        if (strcmp(about->params[i].name, name) == 0) {
            return i;
        }
    }
    fail_msg("no parameter %s", name);
    return -1;
}

static relay defaults(void)
{
    relay r = {0};
    const sl_kind *about = sl_kind_find("relay");
    assert_non_null(about);
    assert_true(about->param_count <= ROOM);
    assert_int_equal(about->element_count, ELEMENTS);
    r.kind = sl__kind_of(about);
    for (int32_t i = 0; i < about->param_count; i++) {
        r.p[i] = about->params[i].fallback;
    }
    return r;
}

static void set(relay *r, const char *name, double value)
{
    int32_t at = param(&r->kind->about, name);
    const sl_param *p = &r->kind->about.params[at];
    assert_true(value >= p->least && value <= p->greatest);
    r->p[at] = value;
}

static void complete(relay *r)
{
    sl__complaint bad = {0, NULL};
    assert_true(r->kind->complete(r->p, &bad));
}

/* The relay of a data sheet. */
static relay sheet(double coil_ohm, double pull_in_v, double drop_out_v)
{
    relay r = defaults();
    set(&r, "coil_resistance", coil_ohm);
    set(&r, "pull_in", pull_in_v);
    set(&r, "drop_out", drop_out_v);
    complete(&r);
    return r;
}

/* What its elements carry with v volts across the coil, by Ohm's law alone. */
static void energise(const relay *r, double v, double celsius, int32_t state,
                     sl__flow flow[ELEMENTS])
{
    sl__law law[ELEMENTS] = {0};
    r->kind->laws(r->p, celsius, state, law);
    memset(flow, 0, ELEMENTS * sizeof *flow);
    assert_int_equal(law[COIL].form, SL__OHMIC);
    flow[COIL] = (sl__flow){.v = v, .i = v / law[COIL].ohm};
    if (law[SUPPRESSOR_PATH].form == SL__OHMIC) {
        flow[SUPPRESSOR_PATH] = (sl__flow){.v = v, .i = v / law[SUPPRESSOR_PATH].ohm};
    }
}

static int32_t wants(const relay *r, double v, double celsius, int32_t state)
{
    sl__flow flow[ELEMENTS];
    energise(r, v, celsius, state, flow);
    return r->kind->wants(r->p, celsius, state, flow);
}

/* Maker data sheets, one line each: nominal volts, coil ohms, greatest operate and least release
   volts at 20 to 23 C, coil milliamperes at nominal volts. NaN: not on the sheet. */
static const struct {
    const char *name;
    double nominal_v, coil_ohm, operate_v, release_v, coil_ma;
} sheets[] = {
    {"mini ISO B, coil 001", 12.0, 85.0, 8.0, 1.5, 141.0},
    {"mini ISO B, coil 002", 12.0, 75.0, 6.5, 1.0, 160.0},
    {"mini ISO B, coil 004", 24.0, 255.0, 16.0, 3.0, 94.0},
    {"mini ISO, 680 ohm across the coil", 12.0, 68.0, 8.0, 1.0, 176.0},
    {"power relay type 78, 12 V", 12.0, 100.0, 7.2, 1.2, 120.0},
    {"power relay type 78, 24 V", 24.0, 320.0, 14.8, 2.4, 75.0},
    {"power relay type 79", 12.0, 75.0, 8.0, (double)NAN, 160.0},
    {"twin PCB relay type 40", 12.0, 260.0, 7.2, 1.2, 46.0},
    {"micro ISO change-over", 12.0, 109.0, (double)NAN, (double)NAN, 110.0},
    {"lamp-control PCB relay", 12.0, 300.0, 7.0, 0.5, 40.0},
};

static void data_sheets_hold(void **fixture)
{
    (void)fixture;
    for (int32_t i = 0; i < SL__COUNT(sheets); i++) {
        double operate_v = isnan(sheets[i].operate_v) ? 8.0 : sheets[i].operate_v;
        double release_v = isnan(sheets[i].release_v) ? 1.0 : sheets[i].release_v;
        relay r = sheet(sheets[i].coil_ohm, operate_v, release_v);
        sl__flow flow[ELEMENTS];
        energise(&r, sheets[i].nominal_v, 20.0, RELEASED, flow);
        /* printed to the milliampere */
        assert_at_most(sheets[i].name, fabs(1e3 * flow[COIL].i - sheets[i].coil_ma), 0.51);
        for (double sign = -1.0; sign <= 1.0; sign += 2.0) {
            assert_int_equal(wants(&r, sign * operate_v * 1.001, 20.0, RELEASED), PULLED_IN);
            assert_int_equal(wants(&r, sign * operate_v * 0.999, 20.0, RELEASED), RELEASED);
            assert_int_equal(wants(&r, sign * release_v * 1.001, 20.0, PULLED_IN), PULLED_IN);
            assert_int_equal(wants(&r, sign * release_v * 0.999, 20.0, PULLED_IN), RELEASED);
        }
        /* between the two it stays as it is */
        double between_v = 0.5 * (operate_v + release_v);
        assert_int_equal(wants(&r, between_v, 20.0, RELEASED), RELEASED);
        assert_int_equal(wants(&r, between_v, 20.0, PULLED_IN), PULLED_IN);
    }
}

static void defaults_are_the_12_v_mini_iso_relay(void **fixture)
{
    (void)fixture;
    relay r = defaults();
    complete(&r);
    sl__law law[ELEMENTS] = {0};
    r.kind->laws(r.p, 20.0, PULLED_IN, law);
    assert_near("coil", law[COIL].ohm, 85.0, 1e-15);
    assert_near("12 V coil power, sheet 1.7 W", 144.0 / law[COIL].ohm, 1.7, 0.01);
    assert_near("drop at 10 A, sheet 15 mV", 10.0 * law[CONTACTS].ohm, 15e-3, 1e-12);
    assert_int_equal(law[REST_CONTACT].form, SL__ABSENT);
    assert_int_equal(law[SUPPRESSOR_PATH].form, SL__ABSENT);

    sl__law rest[ELEMENTS] = {0};
    r.kind->laws(r.p, 20.0, RELEASED, rest);
    assert_int_equal(rest[CONTACTS].form, SL__ABSENT);
    assert_near("rest contact at 10 A, sheet 20 mV", 10.0 * rest[REST_CONTACT].ohm, 20e-3, 1e-12);
    assert_int_equal(wants(&r, 8.01, 20.0, RELEASED), PULLED_IN);
    assert_int_equal(wants(&r, 7.99, 20.0, RELEASED), RELEASED);
}

/* Copper: 1 + 0.00393 (T - 20). 8.0 V at 20 C is 10.5 V at 100 C. */
static void hot_coil_needs_more_volts(void **fixture)
{
    (void)fixture;
    relay r = defaults();
    complete(&r);
    double hot_v = 8.0 * (1.0 + 0.00393 * 80.0);
    assert_near("8.0 V at 100 C", hot_v, 10.5, 0.002);
    assert_int_equal(wants(&r, hot_v + 0.01, 100.0, RELEASED), PULLED_IN);
    assert_int_equal(wants(&r, hot_v - 0.01, 100.0, RELEASED), RELEASED);
    assert_int_equal(wants(&r, 6.4, -30.0, RELEASED), RELEASED); /* 8 (1 - 0.00393 50) = 6.428 */
    assert_int_equal(wants(&r, 6.5, -30.0, RELEASED), PULLED_IN);
    set(&r, "temperature", 100.0); /* its own wins over the ambient one */
    assert_int_equal(wants(&r, hot_v - 0.01, -30.0, RELEASED), RELEASED);
    assert_int_equal(wants(&r, hot_v + 0.01, -30.0, RELEASED), PULLED_IN);
}

/* A 24 V master relay that pulls in at 16 V cold fails at 18.4 V only when its coil is hotter than
   20 + (18.4 / 16 - 1) / 0.00393 = 58 C: it works cold and not hot. */
static void same_volts_pull_in_cold_and_not_hot(void **fixture)
{
    (void)fixture;
    relay r = sheet(255.0, 16.0, 3.0);
    assert_int_equal(wants(&r, 18.4, 20.0, RELEASED), PULLED_IN);
    assert_int_equal(wants(&r, 18.4, 58.0, RELEASED), PULLED_IN);
    assert_int_equal(wants(&r, 18.4, 59.0, RELEASED), RELEASED);
}

/* 68 ohm with 680 across it is 61.8 ohm; the suppressor's current moves nothing. */
static void suppressor_takes_current_and_moves_nothing(void **fixture)
{
    (void)fixture;
    relay r = sheet(68.0, 8.0, 1.0);
    set(&r, "suppressor", 680.0);
    complete(&r);
    sl__flow flow[ELEMENTS];
    energise(&r, 12.0, 20.0, RELEASED, flow);
    double total_a = flow[COIL].i + flow[SUPPRESSOR_PATH].i;
    assert_near("68 || 680", 12.0 / total_a, 61.8, 0.001);
    assert_int_equal(wants(&r, 7.9, 20.0, RELEASED), RELEASED);
    assert_int_equal(wants(&r, 8.1, 20.0, RELEASED), PULLED_IN);
}

static void stuck_relay_does_not_follow_its_coil(void **fixture)
{
    (void)fixture;
    static const struct {
        double stuck;
        int32_t where, closed, open;
    } cases[] = {{1.0, RELEASED, REST_CONTACT, CONTACTS}, {2.0, PULLED_IN, CONTACTS, REST_CONTACT}};
    for (int32_t i = 0; i < SL__COUNT(cases); i++) {
        relay r = defaults();
        set(&r, "stuck", cases[i].stuck);
        complete(&r);
        for (int32_t state = RELEASED; state <= PULLED_IN; state++) {
            sl__law law[ELEMENTS] = {0};
            r.kind->laws(r.p, 20.0, state, law);
            assert_int_equal(law[cases[i].closed].form, SL__OHMIC);
            assert_int_equal(law[cases[i].open].form, SL__ABSENT);
            assert_int_equal(wants(&r, 0.0, 20.0, state), cases[i].where);
            assert_int_equal(wants(&r, 12.0, 20.0, state), cases[i].where);
        }
    }
}

static void notice_says_when_it_is_pulled_in(void **fixture)
{
    (void)fixture;
    relay r = defaults();
    complete(&r);
    sl__flow flow[ELEMENTS] = {0};
    sl__notice_list list = {0};
    r.kind->notice(r.p, RELEASED, flow, &list);
    assert_int_equal(list.count, 0);
    r.kind->notice(r.p, PULLED_IN, flow, &list);
    assert_int_equal(list.count, 1);
    assert_string_equal(r.kind->about.notices[list.item[0].index].text, "pulled in");
}

static void assert_notice(const relay *r, int32_t state, const sl__flow *flow, const char *name,
                          double wanted)
{
    sl__notice_list list = {0};
    r->kind->notice(r->p, state, flow, &list);
    assert_int_equal(list.count, *name ? 1 : 0);
    if (*name) {
        assert_string_equal(r->kind->about.notices[list.item[0].index].name, name);
        assert_near(name, list.item[0].value, wanted, 1e-12);
    }
}

/* A coil of 4 ohm through a clutch switch of 6 ohm: 5.0 of 12.4 V, too little. */
static void live_coil_that_does_not_pull_in_is_noticed(void **fixture)
{
    (void)fixture;
    relay r = sheet(4.0, 7.0, 2.0);
    sl__flow flow[ELEMENTS];
    energise(&r, 12.4 * 4.0 / 10.0, 20.0, RELEASED, flow);
    assert_int_equal(r.kind->wants(r.p, 20.0, RELEASED, flow), RELEASED);
    assert_notice(&r, RELEASED, flow, "live", 4.96);
    energise(&r, -4.96, 20.0, RELEASED, flow);
    assert_notice(&r, RELEASED, flow, "live", 4.96);
    energise(&r, 0.99, 20.0, RELEASED, flow); /* the two sides of 1 V */
    assert_notice(&r, RELEASED, flow, "", 0.0);
    energise(&r, 1.01, 20.0, RELEASED, flow);
    assert_notice(&r, RELEASED, flow, "live", 1.01);
    energise(&r, 12.0, 20.0, RELEASED, flow); /* about to pull in */
    assert_notice(&r, RELEASED, flow, "", 0.0);
    flow[COIL] = (sl__flow){.v = 12.4, .i = 0.0}; /* a broken coil */
    assert_notice(&r, RELEASED, flow, "live", 12.4);
    flow[COIL] = (sl__flow){.v = (double)NAN, .i = 0.0};
    assert_notice(&r, RELEASED, flow, "", 0.0);
    set(&r, "stuck", 1.0); /* a jammed one, with all it needs */
    energise(&r, 12.0, 20.0, RELEASED, flow);
    assert_notice(&r, RELEASED, flow, "live", 12.0);
}

/* That of a 12 V vehicle on a 24 V one; 14.4 V and 15.5 V while charging are nothing to it. */
static void a_coil_on_far_too_much_is_noticed(void **fixture)
{
    (void)fixture;
    relay r = defaults();
    complete(&r);
    sl__flow flow[ELEMENTS] = {0};
    static const double volts[] = {14.4, 15.5, -15.5, 25.2, -28.0};
    for (int n = 0; n < 5; n++) {
        sl__notice_list list = {0};
        flow[COIL] = (sl__flow){.v = volts[n], .i = volts[n] / 85.0};
        r.kind->notice(r.p, PULLED_IN, flow, &list);
        assert_int_equal(list.count, fabs(volts[n]) > 20.0 ? 2 : 1);
        if (list.count == 2) {
            assert_string_equal(r.kind->about.notices[list.item[1].index].name, "overdriven");
            assert_near("volts", list.item[1].value, fabs(volts[n]), 0.0);
        }
    }
}

/* 12 mohm at 60 A: 43 W. 1.5 mohm at 60 A is 5.4 W and 90 mV, which is not hot. */
static void hot_contacts_are_noticed(void **fixture)
{
    (void)fixture;
    relay r = defaults();
    complete(&r);
    sl__flow flow[ELEMENTS] = {0};
    flow[REST_CONTACT] = (sl__flow){.v = 0.72, .i = 60.0};
    assert_notice(&r, RELEASED, flow, "hot", 43.2);
    flow[REST_CONTACT] = (sl__flow){.v = 0.09, .i = 60.0};
    assert_notice(&r, RELEASED, flow, "", 0.0);
    /* what a fault adds to the contacts counts */
    flow[CONTACTS] = (sl__flow){.v = 0.09, .i = 60.0, .added_v = 0.63};
    sl__notice_list list = {0};
    r.kind->notice(r.p, PULLED_IN, flow, &list);
    assert_int_equal(list.count, 2);
    assert_string_equal(r.kind->about.notices[list.item[0].index].name, "pulled in");
    assert_string_equal(r.kind->about.notices[list.item[1].index].name, "hot");
    assert_near("43 W", list.item[1].value, 43.2, 1e-12);
}

static void times_are_those_of_each_direction(void **fixture)
{
    (void)fixture;
    relay r = defaults();
    complete(&r);
    assert_near("operate", r.kind->delay_s(r.p, RELEASED, PULLED_IN), 7e-3, 1e-15);
    assert_near("release", r.kind->delay_s(r.p, PULLED_IN, RELEASED), 3e-3, 1e-15);
}

static void drop_out_not_below_pull_in_is_refused(void **fixture)
{
    (void)fixture;
    static const double drop_out_v[] = {8.0, 9.0};
    for (int32_t i = 0; i < SL__COUNT(drop_out_v); i++) {
        relay r = defaults();
        set(&r, "drop_out", drop_out_v[i]);
        sl__complaint bad = {-1, NULL};
        assert_false(r.kind->complete(r.p, &bad));
        assert_int_equal(bad.param, param(&r.kind->about, "drop_out"));
        assert_non_null(bad.text);
    }
}

/* The trade's terminal numbers, in the order a circuit file gives them; the coil from 86 to 85. */
static void terminals_are_in_order(void **fixture)
{
    (void)fixture;
    static const char *const names[] = {"30", "87", "86", "85", "87a"};
    const sl_kind *about = sl_kind_find("relay");
    assert_int_equal(about->terminal_count, SL__COUNT(names));
    for (int32_t i = 0; i < SL__COUNT(names); i++) {
        assert_string_equal(about->terminals[i].name, names[i]);
        assert_int_equal(about->terminals[i].optional, i == 4);
    }
    assert_int_equal(about->elements[COIL].from, 2);
    assert_int_equal(about->elements[COIL].to, 3);
    assert_string_equal(about->states[RELEASED], "released");
    assert_string_equal(about->params[about->start_param].name, "starts");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(data_sheets_hold),
        cmocka_unit_test(defaults_are_the_12_v_mini_iso_relay),
        cmocka_unit_test(hot_coil_needs_more_volts),
        cmocka_unit_test(same_volts_pull_in_cold_and_not_hot),
        cmocka_unit_test(suppressor_takes_current_and_moves_nothing),
        cmocka_unit_test(stuck_relay_does_not_follow_its_coil),
        cmocka_unit_test(notice_says_when_it_is_pulled_in),
        cmocka_unit_test(live_coil_that_does_not_pull_in_is_noticed),
        cmocka_unit_test(a_coil_on_far_too_much_is_noticed),
        cmocka_unit_test(hot_contacts_are_noticed),
        cmocka_unit_test(times_are_those_of_each_direction),
        cmocka_unit_test(drop_out_not_below_pull_in_is_refused),
        cmocka_unit_test(terminals_are_in_order),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* tests/support/starterprobe.c: see the header. */
#include "starterprobe.h"

#include "near.h"

#include <math.h>
#include <string.h>

int32_t starter_param(const starter *st, const char *name)
{
    const sl_kind *about = &st->kind->about;
    for (int32_t i = 0; i < about->param_count; i++) {
        if (strcmp(about->params[i].name, name) == 0) {
            return i;
        }
    }
    fail_msg("no parameter %s", name);
    return -1;
}

void starter_set(starter *st, const char *name, double value)
{
    int32_t at = starter_param(st, name);
    const sl_param *p = &st->kind->about.params[at];
    assert_true(value >= p->least && value <= p->greatest);
    st->p[at] = value;
}

starter starter_given(const setting *settings, int32_t count)
{
    starter st = {0};
    const sl_kind *about = sl_kind_find("starter");
    assert_non_null(about);
    assert_true(about->param_count <= ROOM);
    assert_int_equal(about->element_count, ELEMENTS);
    st.kind = sl__kind_of(about);
    for (int32_t i = 0; i < about->param_count; i++) {
        st.p[i] = about->params[i].fallback;
    }
    for (int32_t i = 0; i < count; i++) {
        starter_set(&st, settings[i].name, settings[i].value);
    }
    return st;
}

starter starter_made(const setting *settings, int32_t count)
{
    starter st = starter_given(settings, count);
    sl__complaint bad = {0, ""};
    bool good = st.kind->complete(st.p, &bad);
    if (!good) {
        print_error("%s: %s\n", st.kind->about.params[bad.param].name, bad.text);
    }
    assert_true(good);
    return st;
}

starter starter_healthy(void)
{
    return starter_made(NULL, 0);
}

void starter_slope_at(const sl__law *law, double v, double *i, double *slope)
{
    if (law->form == SL__CURVE) {
        law->curve(law->k, v, i, slope);
    } else if (law->form == SL__OHMIC) {
        *i = v / law->ohm;
        *slope = 1.0 / law->ohm;
    } else {
        *i = 0.0;
        *slope = 0.0;
    }
}

double starter_current(const sl__law *law, double v)
{
    double i, slope;
    starter_slope_at(law, v, &i, &slope);
    return i;
}

int32_t starter_notice(const starter *st, int32_t state, const sl__flow *flow, double *value)
{
    sl__notice_list list = {0};
    st->kind->notice(st->p, state, flow, &list);
    assert_true(list.count <= 1);
    *value = list.count ? list.item[0].value : (double)NAN;
    return list.count ? list.item[0].index : -1;
}

void starter_assert_notice(const starter *st, int32_t state, const sl__flow *flow, const char *name)
{
    double value;
    int32_t index = starter_notice(st, state, flow, &value);
    assert_string_equal(index < 0 ? "" : st->kind->about.notices[index].name, name);
}

double starter_rpm(const starter *st, const sl__flow *flow)
{
    double value;
    int32_t index = starter_notice(st, PULLED_IN, flow, &value);
    return index >= 0 && st->kind->about.notices[index].quantity == SL_SPEED ? value : 0.0;
}

void starter_run(const starter *st, double v, double celsius, sl__flow flow[ELEMENTS])
{
    sl__law law[ELEMENTS] = {0};
    st->kind->laws(st->p, celsius, PULLED_IN, law);
    memset(flow, 0, ELEMENTS * sizeof *flow);
    flow[MOTOR] = (sl__flow){.v = v, .i = starter_current(&law[MOTOR], v)};
}

void starter_crank(const starter *st, double e, double ohm, double celsius, sl__flow flow[ELEMENTS])
{
    sl__law law[ELEMENTS] = {0};
    st->kind->laws(st->p, celsius, PULLED_IN, law);
    double lo = 0.0, hi = e;
    for (int32_t round = 0; round < 200; round++) {
        double mid = 0.5 * (lo + hi);
        if (mid + starter_current(&law[MOTOR], mid) * (ohm + law[CONTACTS].ohm) < e) {
            lo = mid;
        } else {
            hi = mid;
        }
    }
    double i = starter_current(&law[MOTOR], hi);
    memset(flow, 0, ELEMENTS * sizeof *flow);
    flow[MOTOR] = (sl__flow){.v = hi, .i = i};
    flow[CONTACTS] = (sl__flow){.v = i * law[CONTACTS].ohm, .i = i};
    flow[PULL_IN] = (sl__flow){.v = 0.0, .i = 0.0};
    flow[HOLD_IN] = (sl__flow){.v = hi, .i = hi / law[HOLD_IN].ohm};
}

void starter_command(const starter *st, double e, double ohm, double celsius, int32_t open,
                     sl__flow flow[ELEMENTS])
{
    sl__law law[ELEMENTS] = {0};
    st->kind->laws(st->p, celsius, RELEASED, law);
    if (open >= 0) {
        law[open] = (sl__law){.form = SL__ABSENT};
    }
    double s_lo = 0.0, s_hi = e, m = 0.0;
    for (int32_t outer = 0; outer < 100; outer++) {
        double s = 0.5 * (s_lo + s_hi);
        double lo = 0.0, hi = s;
        for (int32_t inner = 0; inner < 100; inner++) {
            m = 0.5 * (lo + hi);
            if (starter_current(&law[PULL_IN], s - m) > starter_current(&law[MOTOR], m)) {
                lo = m;
            } else {
                hi = m;
            }
        }
        double i = starter_current(&law[PULL_IN], s - m) + starter_current(&law[HOLD_IN], s);
        if (s + i * ohm < e) {
            s_lo = s;
        } else {
            s_hi = s;
        }
    }
    memset(flow, 0, ELEMENTS * sizeof *flow);
    flow[PULL_IN] = (sl__flow){.v = s_hi - m, .i = starter_current(&law[PULL_IN], s_hi - m)};
    flow[HOLD_IN] = (sl__flow){.v = s_hi, .i = starter_current(&law[HOLD_IN], s_hi)};
    flow[MOTOR] = (sl__flow){.v = m, .i = starter_current(&law[MOTOR], m)};
}

void starter_windings(const starter *st, double s, double m, double celsius,
                      sl__flow flow[ELEMENTS])
{
    sl__law law[ELEMENTS] = {0};
    st->kind->laws(st->p, celsius, RELEASED, law);
    memset(flow, 0, ELEMENTS * sizeof *flow);
    flow[PULL_IN] = (sl__flow){.v = s - m, .i = starter_current(&law[PULL_IN], s - m)};
    flow[HOLD_IN] = (sl__flow){.v = s, .i = starter_current(&law[HOLD_IN], s)};
}

int32_t starter_wants(const starter *st, int32_t state, const sl__flow *flow)
{
    return st->kind->wants(st->p, 20.0, state, flow);
}

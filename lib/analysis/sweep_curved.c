/* lib/analysis/sweep_curved.c: cases of a sweep eight at a time, where the circuit is curved or
   more than one element has changed. */
#include <string.h>

#include "analysis/sweeper.h"
#include "base/memory.h"

void sl__sweeper_forget_curved(sl_sweeper *w)
{
    const size_t values = (size_t)w->readings * SL__LANES;
    sl__curved_free(w->curved);
    sl__free(&w->al, w->ahead.value, values, sizeof *w->ahead.value);
    for (int32_t l = 0; l < SL__LANES; l++) {
        sl__free(&w->al, w->ahead.notice[l], (size_t)w->ahead.notice_room[l],
                 sizeof **w->ahead.notice);
    }
    w->curved = NULL;
    w->curved_of = SL_NONE;
    w->ahead = (sl__ahead){.count = 0};
}

/* Makes the good circuit of a condition ready, when it is not the one that is. */
static sl_status keep_curved(sl_sweeper *w, sl_condition condition)
{
    if (w->curved_of == condition) {
        return SL_OK;
    }
    sl__sweeper_forget_curved(w);
    const size_t values = (size_t)w->readings * SL__LANES;
    w->ahead.value = sl__new(&w->al, values, sizeof *w->ahead.value);
    sl__straight_reading *readings = sl__new(&w->al, (size_t)w->readings, sizeof *readings);
    if (!w->ahead.value || !readings) {
        sl__free(&w->al, readings, (size_t)w->readings, sizeof *readings);
        return SL_E_NOMEM;
    }
    for (int32_t r = 0; r < w->readings; r++) {
        readings[r] = sl__sweeper_reading(w->sweep, &w->sweep->reading[r]);
    }
    sl_status st = sl__curved_new(w->sweep->circuit, condition, w->edit, w->edit_count, readings,
                                  w->readings, w->notices, &w->curved);
    sl__free(&w->al, readings, (size_t)w->readings, sizeof *readings);
    if (st == SL_OK) {
        w->curved_of = condition;
        w->stats.circuits_made += w->curved != NULL;
    }
    return st == SL_E_NOMEM ? st : SL_OK;
}

/* Adds what a fault changes to a case. False: more than that, or another circuit. */
static bool add_fault(const sl_sweep *sweep, int32_t index, sl__curved_case *out)
{
    if (index == SL_NONE) {
        return true;
    }
    const sl__swept_fault *fault = &sweep->fault[index];
    const bool leak = fault->about.type == SL_FAULT_LEAK;
    if (fault->about.type == SL_FAULT_SWAPPED ||
        out->count + fault->edit_count + leak > SL__CHANGES_MOST) {
        return false;
    }
    for (int32_t k = 0; k < fault->edit_count; k++) {
        out->change[out->count++] =
            (sl__curved_change){SL_NONE, SL_NONE, sweep->edit[fault->edit_at + k]};
    }
    if (leak) {
        out->change[out->count++] = (sl__curved_change){
            fault->about.node, fault->about.to, {SL_NONE, SL_SERIES, -1, fault->about.value}};
    }
    return true;
}

/* Cases from this one on that differ from it in their (first) fault alone, as they follow in the
   sweep. */
static int32_t cases_from(const sl_sweep *sweep, const sl_sweep_case *what)
{
    if (what->fault == SL_NONE) {
        return 1;
    }
    const int32_t end =
        what->second == SL_NONE ? sweep->fault_count : sweep->fault[what->second].run;
    const int32_t left = end - what->fault;
    return left < SL__LANES ? left : SL__LANES;
}

/* Notes what is noticed in the cases that are known. */
static sl_status take_notices(sl_sweeper *w)
{
    sl__ahead *ahead = &w->ahead;
    const int32_t parts = sl_circuit_part_count(w->sweep->circuit);
    sl_status st = SL_OK;
    for (int32_t l = 0; l < ahead->count; l++) {
        ahead->notice_count[l] = 0;
        for (sl_part p = 0; p < parts && ahead->known[l] && st == SL_OK; p++) {
            sl_notice notice[SL__NOTICES_OF_A_PART];
            const int32_t count =
                sl__curved_notices(w->curved, l, p, notice, SL__NOTICES_OF_A_PART);
            st = sl__sweeper_add_notices(w, p, notice, count, &ahead->notice[l],
                                         &ahead->notice_count[l], &ahead->notice_room[l]);
        }
    }
    return st;
}

/* Hands the notices of a case over to w->found. */
static sl_status find_notices(sl_sweeper *w, int32_t at)
{
    const sl__ahead *ahead = &w->ahead;
    sl__swept *found = &w->found;
    const int32_t count = ahead->notice_count[at];
    sl_sweep_notice *grown =
        sl__reserve(&w->al, found->notice[0], &found->notice_room[0], count, sizeof *grown);
    if (!grown && count > 0) {
        return SL_E_NOMEM;
    }
    found->notice[0] = grown ? grown : found->notice[0];
    if (count > 0) {
        memcpy(found->notice[0], ahead->notice[at], (size_t)count * sizeof *grown);
    }
    found->notice_count[0] = count;
    return SL_OK;
}

/* Answers as many cases from this one on as go side by side. */
static sl_status look_ahead(sl_sweeper *w, const sl_sweep_case *what)
{
    sl__ahead *ahead = &w->ahead;
    sl__curved_case cases[SL__LANES];
    ahead->first = *what;
    ahead->count = 0;
    const int32_t most = cases_from(w->sweep, what);
    while (ahead->count < most) {
        sl__curved_case *next = &cases[ahead->count];
        next->count = 0;
        const int32_t fault = what->fault == SL_NONE ? SL_NONE : what->fault + ahead->count;
        if (!add_fault(w->sweep, fault, next) || !add_fault(w->sweep, what->second, next)) {
            break;
        }
        ahead->count++;
    }
    if (ahead->count > 0) {
        sl__curved_run(w->curved, ahead->count, cases, ahead->value, ahead->known);
    }
    const sl_status st = w->notices ? take_notices(w) : SL_OK;
    ahead->count = st == SL_OK ? ahead->count : 0;
    return st;
}

int32_t sl__sweeper_curved(sl_sweeper *w, const sl_sweep_case *what, int64_t count, double *value,
                           bool *known)
{
    const sl__ahead *ahead = &w->ahead;
    sl_status st = keep_curved(w, what->condition);
    if (st != SL_OK || !w->curved) {
        return st;
    }
    int32_t at = what->fault - ahead->first.fault;
    if (what->second != ahead->first.second || at < 0 || at >= ahead->count) {
        st = look_ahead(w, what);
        at = 0;
    }
    const int32_t left = ahead->count - at, now = left < count ? left : (int32_t)count;
    if (now > 0) {
        memcpy(value, ahead->value + (ptrdiff_t)at * w->readings,
               (size_t)now * (size_t)w->readings * sizeof *value);
        memcpy(known, ahead->known + at, (size_t)now * sizeof *known);
        st = w->notices && known[0] ? find_notices(w, at) : SL_OK;
    }
    return st == SL_OK ? now : (int32_t)st;
}

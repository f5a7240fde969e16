/* lib/analysis/sweep_reckon.c: cases of a sweep in closed form, those of one place together, and
   many of them into one table. */
#include <math.h>
#include <string.h>

#include "analysis/sweeper.h"
#include "base/memory.h"
#include "kinds/kind.h"

static void forget_straight(sl_sweeper *w)
{
    sl__straight_free(w->straight);
    w->straight = NULL;
    w->straight_of = SL_NONE;
    w->expected_from = w->expected_to = 0;
}

static void forget_runs(sl_sweeper *w)
{
    sl__free(&w->al, w->run_end, (size_t)w->faults, sizeof *w->run_end);
    sl__free(&w->al, w->degree, (size_t)w->faults, sizeof *w->degree);
    w->run_end = NULL;
    w->degree = NULL;
    w->faults = 0;
}

void sl__sweeper_forget(sl_sweeper *w)
{
    forget_straight(w);
    forget_runs(w);
}

/* What closed forms may say of a fault, and the value that tells it from others of its place; NaN:
   they say nothing. */
static double place_of(const sl_sweep *sweep, int32_t index, sl__straight_fault *out)
{
    const sl__swept_fault *fault = &sweep->fault[index];
    *out = (sl__straight_fault){SL_NONE, SL_NONE, SL_NONE, SL_OPEN, -1};
    if (fault->about.type == SL_FAULT_LEAK) {
        out->node = fault->about.node;
        out->to = fault->about.to;
        return fault->about.value;
    }
    if (fault->about.type == SL_FAULT_SWAPPED || fault->edit_count != 1) {
        return SL__NAN;
    }
    const sl_edit *edit = &sweep->edit[fault->edit_at];
    out->part = edit->part;
    out->change = edit->change;
    out->index = edit->index;
    return edit->change == SL_OPEN ? 0.0 : edit->value;
}

static bool is_same_place(const sl__straight_fault *a, const sl__straight_fault *b)
{
    return a->node == b->node && a->to == b->to && a->part == b->part && a->change == b->change &&
           a->index == b->index;
}

/* Lists which faults that follow each other are of one place. */
static sl_status list_runs(sl_sweeper *w)
{
    const int32_t count = w->sweep->fault_count;
    if (w->run_end && w->faults == count) {
        return SL_OK;
    }
    forget_runs(w);
    w->run_end = sl__new(&w->al, (size_t)count, sizeof *w->run_end);
    w->degree = sl__new(&w->al, (size_t)count, sizeof *w->degree);
    w->faults = count;
    if (!w->run_end || !w->degree) {
        forget_runs(w);
        return SL_E_NOMEM;
    }
    sl__straight_fault next = {SL_NONE, SL_NONE, SL_NONE, SL_OPEN, -1};
    for (int32_t f = count - 1; f >= 0; f--) {
        sl__straight_fault place;
        w->degree[f] = place_of(w->sweep, f, &place);
        const bool joins = f + 1 < count && !isnan(w->degree[f]) && !isnan(w->degree[f + 1]) &&
                           is_same_place(&place, &next);
        w->run_end[f] = joins ? w->run_end[f + 1] : f + 1;
        next = place;
    }
    return SL_OK;
}

static sl__straight_reading reading_of(const sl_sweep *sweep, const sl_sweep_reading *r)
{
    sl__straight_reading out = {{SL_NONE, -1, SL_NONE, SL_NONE}, false};
    int32_t from = 0, to = 1;
    switch (r->quantity) {
    case SL_SWEEP_VOLTAGE:
        out.of.red = r->a;
        out.of.black = r->b;
        return out;
    case SL_SWEEP_ELEMENT_DROP:
        from = sl_circuit_part_kind(sweep->circuit, r->a)->elements[r->b].from;
        to = sl_circuit_part_kind(sweep->circuit, r->a)->elements[r->b].to;
        break;
    case SL_SWEEP_DROP:
        break;
    default:
        out.of.part = r->a;
        out.of.element = r->quantity == SL_SWEEP_ELEMENT_CURRENT ? r->b : -1;
        out.is_state = r->quantity == SL_SWEEP_STATE;
        return out;
    }
    out.of.red = sl_circuit_part_node(sweep->circuit, r->a, from);
    out.of.black = sl_circuit_part_node(sweep->circuit, r->a, to);
    return out;
}

/* Makes the good circuit of a condition ready, when it is not the one that is. */
static sl_status keep_straight(sl_sweeper *w, sl_condition condition)
{
    if (w->straight_of == condition) {
        return SL_OK;
    }
    forget_straight(w);
    sl__straight_reading *readings = sl__new(&w->al, (size_t)w->readings, sizeof *readings);
    if (!readings) {
        return SL_E_NOMEM;
    }
    for (int32_t r = 0; r < w->readings; r++) {
        readings[r] = reading_of(w->sweep, &w->sweep->reading[r]);
    }
    sl_status st = sl__straight_new(w->sweep->circuit, condition, w->edit, w->edit_count, readings,
                                    w->readings, &w->straight);
    sl__free(&w->al, readings, (size_t)w->readings, sizeof *readings);
    if (st == SL_OK) {
        w->straight_of = condition;
        w->stats.circuits_made += w->straight != NULL;
    }
    return st == SL_E_NOMEM ? st : SL_OK;
}

/* Tells of this leak and those of the runs that follow it, when they are not those told of last. */
static void expect_leaks(sl_sweeper *w, int32_t fault)
{
    sl__straight_fault leak[SL__EXPECTED_MOST];
    int32_t count = 0;
    if (fault >= w->expected_from && fault < w->expected_to) {
        return;
    }
    w->expected_from = fault;
    while (fault < w->faults && count < SL__EXPECTED_MOST) {
        if (isnan(place_of(w->sweep, fault, &leak[count])) || leak[count].node == SL_NONE) {
            break;
        }
        fault = w->run_end[fault];
        count++;
    }
    w->expected_to = fault;
    sl__straight_expect(w->straight, leak, count);
}

int32_t sl__sweeper_reckon(sl_sweeper *w, const sl_sweep_case *what, int64_t count, double *value,
                           bool *known)
{
    if (!w->lean || what->second != SL_NONE) {
        return 0;
    }
    sl_status st = keep_straight(w, what->condition);
    st = st == SL_OK && w->straight ? list_runs(w) : st;
    if (st != SL_OK || !w->straight) {
        return st;
    }
    if (what->fault == SL_NONE) {
        memcpy(value, sl__straight_good(w->straight), (size_t)w->readings * sizeof *value);
        known[0] = true;
        return 1;
    }
    sl__straight_fault place;
    if (isnan(place_of(w->sweep, what->fault, &place))) {
        return 0;
    }
    if (place.node != SL_NONE) {
        expect_leaks(w, what->fault);
    }
    const int32_t left = w->run_end[what->fault] - what->fault;
    int32_t now = left < SL__RECKONED_MOST ? left : SL__RECKONED_MOST;
    now = now < count ? now : (int32_t)count;
    sl__straight_run(w->straight, &place, now, w->degree + what->fault, value, known);
    return now;
}

/* A case on its own, from where it stands in a table. */
static sl_status fill_one(sl_sweeper *w, const sl_sweep_case *what, double *value,
                          sl_sweep_mark *mark)
{
    sl_status st = sl__sweeper_solve(w, what);
    if (st != SL_OK) {
        return st;
    }
    memcpy(value, w->found.value[0], (size_t)w->readings * sizeof *value);
    if (mark) {
        *mark = (sl_sweep_mark){w->found.status, w->found.outcome};
    }
    w->stats.without += w->found.status < 0;
    w->stats.chattering += w->found.ends == 2;
    return SL_OK;
}

sl_status sl_sweeper_fill(sl_sweeper *w, int64_t first, int64_t count, double *values,
                          sl_sweep_mark *marks, int64_t *done)
{
    const int64_t all = sl_sweep_case_count(w->sweep);
    if (first < 0 || first > all || count < 0 || w->readings != w->sweep->reading_count) {
        return SL_E_ARG;
    }
    count = count < all - first ? count : all - first;
    bool known[SL__RECKONED_MOST];
    sl_status st = SL_OK;
    int64_t filled = 0;
    while (filled < count && st == SL_OK) {
        sl_sweep_case what;
        sl_sweep_case_at(w->sweep, first + filled, &what);
        double *value = values + filled * w->readings;
        int32_t now = sl__sweeper_reckon(w, &what, count - filled, value, known);
        if (now <= 0) {
            st = (sl_status)now;
            now = 1;
            known[0] = false;
        }
        for (int32_t k = 0; k < now && st == SL_OK; k++, filled++, what.fault++) {
            sl_sweep_mark *mark = marks ? &marks[filled] : NULL;
            if (!known[k]) {
                st = fill_one(w, &what, values + filled * w->readings, mark);
                if (st != SL_OK) {
                    break;
                }
            } else if (mark) {
                *mark = (sl_sweep_mark){SL_OK, SL_SETTLED};
            }
            w->stats.closed_forms += known[k];
            w->stats.cases++;
        }
    }
    if (done) {
        *done = filled;
    }
    return st;
}

/* lib/analysis/sweep_reckon.c: cases of a sweep in closed form, those of one place together, and
   many of them into one table. */
#include <math.h>
#include <string.h>

#include "analysis/sweeper.h"
#include "base/memory.h"
#include "kinds/kind.h"

/* Doubles of a row, and of all rows, from which on they are written past the caches: they would
   only push out what is read again. */
enum { ROW_PAST_CACHES = 64, PAST_CACHES = 1 << 17 };

static void forget_straight(sl_sweeper *w)
{
    sl__straight_free(w->straight);
    w->straight = NULL;
    w->straight_of = SL_NONE;
}

static void forget_places(sl_sweeper *w)
{
    sl__place_list *list = &w->list;
    sl__free(&w->al, list->place, (size_t)list->place_room, sizeof *list->place);
    sl__free(&w->al, list->end, (size_t)list->end_room, sizeof *list->end);
    sl__free(&w->al, list->degree, (size_t)list->faults, sizeof *list->degree);
    *list = (sl__place_list){0};
}

void sl__sweeper_forget(sl_sweeper *w)
{
    forget_straight(w);
    forget_places(w);
    sl__sweeper_forget_curved(w);
}

/* What closed forms may say of a fault, and the value that tells it from others of its place.
   False: they say nothing. */
static bool place_of(const sl_sweep *sweep, int32_t index, sl__straight_fault *out, double *degree)
{
    const sl__swept_fault *fault = &sweep->fault[index];
    *out = (sl__straight_fault){SL_NONE, SL_NONE, SL_NONE, SL_OPEN, -1};
    *degree = 0.0;
    if (fault->about.type == SL_FAULT_LEAK) {
        out->node = fault->about.node;
        out->to = fault->about.to;
        *degree = fault->about.value;
        return true;
    }
    if (fault->about.type == SL_FAULT_SWAPPED || fault->edit_count != 1) {
        return false;
    }
    const sl_edit *edit = &sweep->edit[fault->edit_at];
    out->part = edit->part;
    out->change = edit->change;
    out->index = edit->index;
    *degree = edit->change == SL_OPEN ? 0.0 : edit->value;
    return true;
}

static bool is_other(const sl__straight_fault *f)
{
    return f->node == SL_NONE && f->part == SL_NONE;
}

static bool is_same_place(const sl__straight_fault *a, const sl__straight_fault *b)
{
    return a->node == b->node && a->to == b->to && a->part == b->part && a->change == b->change &&
           a->index == b->index;
}

static bool add_run(sl_sweeper *w, const sl__straight_fault *place, int32_t end)
{
    sl__place_list *list = &w->list;
    const int32_t count = list->runs + 1;
    sl__straight_fault *places =
        sl__reserve(&w->al, list->place, &list->place_room, count, sizeof *places);
    list->place = places ? places : list->place;
    int32_t *ends = sl__reserve(&w->al, list->end, &list->end_room, count, sizeof *ends);
    list->end = ends ? ends : list->end;
    if (!places || !ends) {
        return false;
    }
    places[list->runs] = *place;
    ends[list->runs++] = end;
    return true;
}

/* Makes the list, when it is not the one of the faults there are. */
static sl_status list_places(sl_sweeper *w)
{
    sl__place_list *list = &w->list;
    const int32_t faults = w->sweep->fault_count;
    if (list->degree && list->faults == faults) {
        return SL_OK;
    }
    forget_straight(w);
    forget_places(w);
    list->degree = sl__take(&w->al, (size_t)faults, sizeof *list->degree);
    list->faults = faults;
    bool room = list->degree != NULL;
    for (int32_t f = 0; f < faults && room; f++) {
        sl__straight_fault place;
        const bool told = place_of(w->sweep, f, &place, &list->degree[f]);
        if (list->runs > 0 && told && is_same_place(&place, &list->place[list->runs - 1])) {
            list->end[list->runs - 1] = f + 1;
        } else {
            room = add_run(w, &place, f + 1);
        }
    }
    if (!room) {
        forget_places(w);
    }
    return room ? SL_OK : SL_E_NOMEM;
}

/* The run that a fault is of. */
static int32_t run_of(const sl__place_list *list, int32_t fault)
{
    int32_t from = 0, to = list->runs - 1;
    while (from < to) {
        const int32_t middle = from + (to - from) / 2;
        if (list->end[middle] > fault) {
            to = middle;
        } else {
            from = middle + 1;
        }
    }
    return from;
}

sl__straight_reading sl__sweeper_reading(const sl_sweep *sweep, const sl_sweep_reading *r)
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

static sl_status make_straight(sl_sweeper *w, sl_condition condition)
{
    sl__straight_reading *readings = sl__new(&w->al, (size_t)w->readings, sizeof *readings);
    if (!readings) {
        return SL_E_NOMEM;
    }
    for (int32_t r = 0; r < w->readings; r++) {
        readings[r] = sl__sweeper_reading(w->sweep, &w->sweep->reading[r]);
    }
    sl_status st = sl__straight_new(w->sweep->circuit, condition, w->edit, w->edit_count, readings,
                                    w->readings, &w->straight);
    sl__free(&w->al, readings, (size_t)w->readings, sizeof *readings);
    return st;
}

/* Makes the good circuit of a condition ready, when it is not the one that is. */
static sl_status keep_straight(sl_sweeper *w, sl_condition condition)
{
    sl_status st = list_places(w);
    if (st != SL_OK || w->straight_of == condition) {
        return st;
    }
    forget_straight(w);
    st = make_straight(w, condition);
    if (st == SL_OK && w->straight) {
        w->stats.circuits_made++;
        st = sl__straight_list(w->straight, w->list.runs, w->list.place, w->sweep->pairs);
    }
    if (st == SL_E_NOMEM) {
        forget_straight(w);
        return st;
    }
    w->straight_of = condition;
    return SL_OK;
}

/* The later fault of pairs; run -1: there is none. */
typedef struct later {
    int32_t run;
    double degree;
} later;

/* Faults one after the other, alone or with a later one, up to those of another sort. */
static int32_t run_faults(sl_sweeper *w, int32_t fault, int32_t count, const later *with,
                          bool past_caches, double *value, bool *known)
{
    const sl__place_list *list = &w->list;
    int32_t done = 0;
    for (int32_t run = run_of(list, fault); done < count && !is_other(&list->place[run]); run++) {
        const int32_t left = list->end[run] - fault;
        const int32_t now = left < count - done ? left : count - done;
        const double *degree = list->degree + fault;
        double *to = value + (ptrdiff_t)done * w->readings;
        if (with->run < 0) {
            sl__straight_run(w->straight, run, now, degree, past_caches, to, known + done);
        } else {
            sl__straight_run_pair(w->straight, with->run, with->degree, run, now, degree, to,
                                  known + done);
        }
        done += now;
        fault += now;
    }
    return done;
}

static int32_t reckon_straight(sl_sweeper *w, const sl_sweep_case *what, int64_t count,
                               bool past_caches, double *value, bool *known)
{
    const sl__place_list *list = &w->list;
    sl_status st = w->lean ? keep_straight(w, what->condition) : SL_OK;
    if (st != SL_OK || !w->straight || !w->lean) {
        return st;
    }
    if (what->fault == SL_NONE) {
        memcpy(value, sl__straight_good(w->straight), (size_t)w->readings * sizeof *value);
        known[0] = true;
        return 1;
    }
    int32_t end = list->faults;
    later with = {-1, 0.0};
    if (what->second != SL_NONE) {
        end = w->sweep->fault[what->second].run;
        with = (later){run_of(list, what->second), list->degree[what->second]};
        if (!sl__straight_pairs(w->straight) || is_other(&list->place[with.run])) {
            return 0;
        }
    }
    int32_t most = end - what->fault < SL__RECKONED_MOST ? end - what->fault : SL__RECKONED_MOST;
    most = most < count ? most : (int32_t)count;
    return run_faults(w, what->fault, most, &with, past_caches, value, known);
}

static int32_t count_known(int32_t count, const bool *known)
{
    int32_t sum = 0;
    for (int32_t k = 0; k < count; k++) {
        sum += known[k];
    }
    return sum;
}

int32_t sl__sweeper_reckon(sl_sweeper *w, const sl_sweep_case *what, int64_t count,
                           bool past_caches, double *value, bool *known)
{
    if (!w->by_ports) {
        return 0;
    }
    int32_t done = reckon_straight(w, what, count, past_caches, value, known);
    w->stats.closed_forms += count_known(done, known);
    if (done == 0) {
        done = sl__sweeper_curved(w, what, count, value, known);
        w->stats.by_ports += count_known(done, known);
    }
    return done;
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
    w->stats.cases++;
    return SL_OK;
}

/* Of cases with an answer, which is settled. */
static void mark_known(sl_sweeper *w, int32_t count, sl_sweep_mark *marks)
{
    for (int32_t k = 0; k < count && marks; k++) {
        marks[k] = (sl_sweep_mark){SL_OK, SL_SETTLED};
    }
    w->stats.cases += count;
}

/* Cases that closed forms went through: those they do not know on their own. */
static sl_status fill_reckoned(sl_sweeper *w, sl_sweep_case what, int32_t count, const bool *known,
                               double *values, sl_sweep_mark *marks, int64_t *filled)
{
    for (int32_t k = 0; k < count;) {
        const bool *unknown = memchr(known + k, 0, (size_t)(count - k));
        const int32_t now = unknown ? (int32_t)(unknown - known) - k : count - k;
        mark_known(w, now, marks ? marks + k : NULL);
        k += now;
        *filled += now;
        what.fault += now;
        if (unknown) {
            const sl_status st =
                fill_one(w, &what, values + (ptrdiff_t)k * w->readings, marks ? marks + k : NULL);
            if (st != SL_OK) {
                return st;
            }
            k++;
            (*filled)++;
            what.fault++;
        }
    }
    return SL_OK;
}

sl_status sl_sweeper_fill(sl_sweeper *w, int64_t first, int64_t count, double *values,
                          sl_sweep_mark *marks, int64_t *done)
{
    const int64_t all = sl_sweep_case_count(w->sweep);
    if (first < 0 || first > all || count < 0 || (!values && count > 0) ||
        w->readings != w->sweep->reading_count) {
        return SL_E_ARG;
    }
    count = count < all - first ? count : all - first;
    const bool past_caches = w->readings >= ROW_PAST_CACHES && count * w->readings >= PAST_CACHES;
    bool known[SL__RECKONED_MOST];
    sl_status st = SL_OK;
    int64_t filled = 0;
    while (filled < count && st == SL_OK) {
        double *value = values + filled * w->readings;
        sl_sweep_mark *mark = marks ? marks + filled : NULL;
        sl_sweep_case what;
        sl_sweep_case_at(w->sweep, first + filled, &what);
        int32_t now = sl__sweeper_reckon(w, &what, count - filled, past_caches, value, known);
        if (now < 0) {
            st = (sl_status)now;
        } else {
            known[0] = now > 0 && known[0];
            st = fill_reckoned(w, what, now > 0 ? now : 1, known, value, mark, &filled);
        }
    }
    if (past_caches) {
        sl__straight_finish();
    }
    if (done) {
        *done = filled;
    }
    return st;
}

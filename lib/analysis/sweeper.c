/* lib/analysis/sweeper.c: the cases of a sweep answered one after the other. */
#include "analysis/sweeper.h"

#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "kinds/kind.h"
#include "solve/lean.h"

/* Are they edits of this circuit? */
static sl_status check_edits(const sl_sweep *sweep, const sl_edit *edit, int32_t count)
{
    sl_case *cs = NULL;
    sl_status st = sl_case_new(sweep->circuit, 0, &cs);
    st = st == SL_OK ? sl_case_edit(cs, edit, count) : st;
    sl_case_free(cs);
    return st;
}

sl_status sl_sweeper_new(const sl_sweep *sweep, const sl_sweep_setup *setup, sl_sweeper **out)
{
    static const sl_sweep_setup plain = {NULL, 0, false, false};
    setup = setup ? setup : &plain;
    if (setup->edit_count < 0) {
        return SL_E_ARG;
    }
    sl_alloc al = sweep->al;
    sl_sweeper *w = sl__new(&al, 1, sizeof *w);
    if (!w) {
        return SL_E_NOMEM;
    }
    w->al = al;
    w->sweep = sweep;
    w->notices = setup->notices;
    w->quick = setup->quick;
    w->by_ports = setup->quick && sl__sweep_can_be_lean(sweep);
    w->lean = w->by_ports && !setup->notices;
    w->readings = sweep->reading_count;
    w->straight_of = w->curved_of = SL_NONE;
    w->edit_count = setup->edit_count;
    w->edit = sl__new(&al, (size_t)setup->edit_count, sizeof *w->edit);
    w->found.value[0] = sl__new(&al, (size_t)w->readings, sizeof **w->found.value);
    w->found.value[1] = sl__new(&al, (size_t)w->readings, sizeof **w->found.value);
    sl_status st = w->edit && w->found.value[0] && w->found.value[1] ? SL_OK : SL_E_NOMEM;
    if (st == SL_OK) {
        for (int32_t k = 0; k < setup->edit_count; k++) {
            w->edit[k] = setup->edits[k];
        }
        st = check_edits(sweep, w->edit, w->edit_count);
    }
    if (st != SL_OK) {
        sl_sweeper_free(w);
        return st;
    }
    *out = w;
    return SL_OK;
}

void sl_sweeper_free(sl_sweeper *w)
{
    if (!w) {
        return;
    }
    sl_alloc al = w->al;
    sl_case_free(w->plain.cs);
    sl_case_free(w->with_add.cs);
    sl__sweeper_forget(w);
    sl__free(&al, w->edit, (size_t)w->edit_count, sizeof *w->edit);
    for (int32_t end = 0; end < 2; end++) {
        sl__free(&al, w->found.value[end], (size_t)w->readings, sizeof **w->found.value);
        sl__free(&al, w->found.notice[end], (size_t)w->found.notice_room[end],
                 sizeof **w->found.notice);
    }
    sl__free(&al, w, 1, sizeof *w);
}

void sl_sweeper_stats(const sl_sweeper *w, sl_sweep_stats *out)
{
    *out = w->stats;
}

static const sl_fault *fault_of(const sl_sweeper *w, int32_t fault)
{
    return fault == SL_NONE ? NULL : &w->sweep->fault[fault].about;
}

static sl__addition addition_of(const sl_sweeper *w, int32_t index)
{
    const sl_fault *fault = fault_of(w, index);
    if (fault && fault->type == SL_FAULT_LEAK) {
        return (sl__addition){
            .type = SL_FAULT_LEAK, .a = fault->node, .b = fault->to, .part = SL_NONE};
    }
    if (fault && fault->type == SL_FAULT_SWAPPED) {
        return (sl__addition){SL_FAULT_SWAPPED, fault->part, fault->other,
                              fault->node,      fault->to,   SL_NONE};
    }
    return (sl__addition){.type = SL_FAULT_GIVEN, .part = SL_NONE};
}

static bool same_addition(const sl__addition *a, const sl__addition *b)
{
    return a->type == b->type && a->a == b->a && a->b == b->b && a->at_a == b->at_a &&
           a->at_b == b->at_b;
}

#define NAME_ROOM 64

/* A name that no part of the circuit has: the one given, with marks behind it when it is taken. */
static const char *free_name(const sl_circuit *circuit, const char *wanted, char *room)
{
    size_t length = strlen(wanted);
    memcpy(room, wanted, length + 1);
    while (sl_circuit_find_part(circuit, room) != SL_NONE && length + 1 < NAME_ROOM) {
        room[length++] = '*';
        room[length] = '\0';
    }
    return room;
}

static sl_status attach_leak(const sl_sweeper *w, sl__kept_case *kept, sl__addition *add,
                             bool second)
{
    const char *nodes[2] = {sl_circuit_node_name(w->sweep->circuit, add->a),
                            sl_circuit_node_name(w->sweep->circuit, add->b)};
    const double ohm = 1e9; /* next to nothing, so that quick answers start from a healthy circuit;
                               an edit gives it its own */
    char room[NAME_ROOM];
    const char *name = free_name(w->sweep->circuit, second ? "(second leak)" : "(leak)", room);
    const sl_part_def def = {"resistor", name, nodes, &ohm, NULL, 0};
    return sl_case_attach(kept->cs, &def, &add->part);
}

/* The most parameters a kind has that can be swapped. */
#define PARAMS_MOST 64

/* A conductor again, with its end on one node moved to another; the edits of the fault take the
   old one away. */
static sl_status attach_moved(const sl_sweeper *w, sl__kept_case *kept, sl_part part, sl_node from,
                              sl_node to, const char *name)
{
    const sl_circuit *circuit = w->sweep->circuit;
    const sl_kind *kind = sl_circuit_part_kind(circuit, part);
    const char *nodes[2];
    for (int32_t end = 0; end < 2; end++) {
        const sl_node node = sl_circuit_part_node(circuit, part, end);
        nodes[end] = sl_circuit_node_name(circuit, node == from ? to : node);
    }
    double values[PARAMS_MOST];
    for (int32_t k = 0; k < kind->param_count; k++) {
        sl_origin origin = SL_NOT_SET;
        sl_circuit_part_value(circuit, part, k, &values[k], &origin);
        values[k] = origin == SL_GIVEN ? values[k] : SL__NAN;
    }
    sl_part made = SL_NONE;
    char room[NAME_ROOM];
    const sl_part_def def = {kind->name, free_name(circuit, name, room), nodes, values, NULL, 0};
    return sl_case_attach(kept->cs, &def, &made);
}

static sl_status attach(const sl_sweeper *w, sl__kept_case *kept, sl__addition *add, bool second)
{
    if (add->type == SL_FAULT_LEAK) {
        return attach_leak(w, kept, add, second);
    }
    if (add->type != SL_FAULT_SWAPPED) {
        return SL_OK;
    }
    const sl_status st = attach_moved(w, kept, add->a, add->at_a, add->at_b,
                                      second ? "(third wire)" : "(first wire)");
    return st == SL_OK ? attach_moved(w, kept, add->b, add->at_b, add->at_a,
                                      second ? "(fourth wire)" : "(second wire)")
                       : st;
}

/* The case kept for a condition and what two faults add, made when it is not there. */
static sl_status keep(sl_sweeper *w, const sl_sweep_case *what, sl__kept_case **out)
{
    sl__addition add[2] = {addition_of(w, what->fault), addition_of(w, what->second)};
    const bool plain = add[0].type == SL_FAULT_GIVEN && add[1].type == SL_FAULT_GIVEN;
    sl__kept_case *kept = plain ? &w->plain : &w->with_add;
    *out = kept;
    if (kept->cs && kept->condition == what->condition && same_addition(&kept->add[0], &add[0]) &&
        same_addition(&kept->add[1], &add[1])) {
        return SL_OK;
    }
    sl_case_free(kept->cs);
    *kept = (sl__kept_case){NULL, what->condition, {add[0], add[1]}};
    sl_status st = sl_case_new(w->sweep->circuit, what->condition, &kept->cs);
    if (st == SL_OK) {
        sl_case_set_quick(kept->cs, w->quick);
    }
    for (int32_t k = 0; k < 2 && st == SL_OK; k++) {
        st = attach(w, kept, &kept->add[k], k == 1);
    }
    if (st != SL_OK) {
        sl_case_free(kept->cs);
        kept->cs = NULL;
        return st;
    }
    w->stats.circuits_made++;
    return SL_OK;
}

/* The edits of a fault, and the resistance of the leak it may be. */
static sl_status edit_for(const sl_sweeper *w, sl__kept_case *kept, int32_t index, int32_t which)
{
    const sl_fault *fault = fault_of(w, index);
    if (!fault) {
        return SL_OK;
    }
    if (fault->type == SL_FAULT_LEAK) {
        const sl_edit own = {kept->add[which].part, SL_SET, 0, fault->value};
        return sl_case_edit(kept->cs, &own, 1);
    }
    const sl__swept_fault *swept = &w->sweep->fault[index];
    return sl_case_edit(kept->cs, w->sweep->edit + swept->edit_at, swept->edit_count);
}

static double read_one(const sl_case *cs, const sl_sweep_reading *r)
{
    double amps = SL__NAN, volts = SL__NAN;
    sl_part_answer part = {SL__NAN, SL__NAN, SL__NAN, -1, false};
    switch (r->quantity) {
    case SL_SWEEP_VOLTAGE:
        sl_case_between(cs, r->a, r->b, &volts);
        return volts;
    case SL_SWEEP_ELEMENT_CURRENT:
        sl_case_element(cs, r->a, r->b, &amps, &volts);
        return amps;
    case SL_SWEEP_ELEMENT_DROP:
        sl_case_element(cs, r->a, r->b, &amps, &volts);
        return volts;
    default:
        sl_case_part(cs, r->a, &part);
        return r->quantity == SL_SWEEP_CURRENT ? part.current_a
               : r->quantity == SL_SWEEP_DROP  ? part.drop_v
               : r->quantity == SL_SWEEP_POWER ? part.power_w
               : part.state >= 0               ? (double)part.state
                                               : SL__NAN;
    }
}

sl_status sl__sweeper_add_notices(sl_sweeper *w, sl_part part, const sl_notice *notice,
                                  int32_t count, sl_sweep_notice **list, int32_t *length,
                                  int32_t *room)
{
    count = count < SL__NOTICES_OF_A_PART ? count : SL__NOTICES_OF_A_PART;
    sl_sweep_notice *grown = sl__reserve(&w->al, *list, room, *length + count, sizeof *grown);
    if (!grown && count > 0) {
        return SL_E_NOMEM;
    }
    *list = grown ? grown : *list;
    for (int32_t k = 0; k < count; k++) {
        (*list)[(*length)++] = (sl_sweep_notice){part, notice[k].index, notice[k].value};
    }
    return SL_OK;
}

static sl_status read_notices(sl_sweeper *w, const sl_case *cs, int32_t end)
{
    sl__swept *found = &w->found;
    const int32_t parts = sl_circuit_part_count(w->sweep->circuit);
    sl_status st = SL_OK;
    for (sl_part p = 0; p < parts && st == SL_OK; p++) {
        sl_notice notice[SL__NOTICES_OF_A_PART];
        const int32_t count = sl_case_notices(cs, p, notice, SL__NOTICES_OF_A_PART);
        st = sl__sweeper_add_notices(w, p, notice, count, &found->notice[end],
                                     &found->notice_count[end], &found->notice_room[end]);
    }
    return st;
}

static sl_status read_end(sl_sweeper *w, sl_case *cs, int32_t end)
{
    sl_case_view(cs, end);
    for (int32_t k = 0; k < w->readings; k++) {
        w->found.value[end][k] = read_one(cs, &w->sweep->reading[k]);
    }
    return w->notices ? read_notices(w, cs, end) : SL_OK;
}

/* A case without an answer has no numbers. */
static void read_nothing(sl_sweeper *w, const sl_case *cs, sl_status status)
{
    w->found.status = status;
    w->found.message = sl_case_message(cs);
    for (int32_t k = 0; k < w->readings; k++) {
        w->found.value[0][k] = SL__NAN;
    }
}

/* Answers a case whose edits are in place without the rest of its answer. *read: all of it could be
   read; *quick: the whole answer, when that is needed, is worth asking for in the same way. */
static sl_status solve_lean(sl_sweeper *w, sl_case *cs, bool *read, bool *quick)
{
    *read = false;
    *quick = w->quick && !w->curved; /* what that could not do is mostly for a whole solve */
    if (!w->lean || w->curved) {
        return SL_OK;
    }
    sl_status st = sl__lean_solve(cs, quick);
    *read = st == SL_OK && *quick && sl__sweep_read_lean(w->sweep, cs, w->found.value[0]);
    return st;
}

/* Answers a case by solving the circuit. */
static sl_status solve(sl_sweeper *w, const sl_sweep_case *what)
{
    sl__kept_case *kept = NULL;
    w->solved = NULL;
    sl_status st = keep(w, what, &kept);
    if (st != SL_OK) {
        return st;
    }
    sl_case_clear(kept->cs);
    st = sl_case_edit(kept->cs, w->edit, w->edit_count);
    st = st == SL_OK ? edit_for(w, kept, what->fault, 0) : st;
    st = st == SL_OK ? edit_for(w, kept, what->second, 1) : st;
    bool read = false, quick = false;
    st = st == SL_OK ? solve_lean(w, kept->cs, &read, &quick) : st;
    if (read) {
        return SL_OK;
    }
    sl_case_set_quick(kept->cs, quick);
    st = st == SL_OK ? sl_case_solve(kept->cs) : st;
    w->stats.full_solves += !quick || sl_case_effort(kept->cs).whole > 0;
    sl_case_set_quick(kept->cs, w->quick);
    if (st == SL_E_NOMEM) {
        return st;
    }
    if (st < 0) {
        read_nothing(w, kept->cs, st);
        return SL_OK;
    }
    w->found.outcome = sl_case_outcome(kept->cs);
    w->found.period_s = sl_case_period_s(kept->cs);
    w->found.ends = w->found.outcome == SL_CHATTERS ? 2 : 1;
    w->solved = kept->cs;
    for (int32_t end = 0; end < w->found.ends && st >= 0; end++) {
        st = read_end(w, kept->cs, end);
    }
    sl_case_view(kept->cs, 0);
    return st < 0 ? st : SL_OK;
}

bool sl__sweeper_chatters(const sl_sweeper *w, sl_part part)
{
    sl_part_answer answer = {SL__NAN, SL__NAN, SL__NAN, -1, false};
    if (w->solved && w->found.outcome == SL_CHATTERS) {
        sl_case_part(w->solved, part, &answer);
    }
    return answer.chatters;
}

static void clear_found(sl__swept *found)
{
    found->status = SL_OK;
    found->message = "";
    found->outcome = SL_SETTLED;
    found->period_s = 0.0;
    found->ends = 1;
    found->notice_count[0] = found->notice_count[1] = 0;
}

sl_status sl__sweeper_solve(sl_sweeper *w, const sl_sweep_case *what)
{
    clear_found(&w->found);
    return solve(w, what);
}

/* Answers one case: fills w->found. Every row of every sweep comes through here, and how it is
   answered is decided here. SL_OK also when the case has no answer; SL_E_NOMEM. */
static sl_status answer_case(sl_sweeper *w, const sl_sweep_case *what)
{
    bool known = false;
    clear_found(&w->found);
    const int32_t done = sl__sweeper_reckon(w, what, 1, false, w->found.value[0], &known);
    return done < 0 ? (sl_status)done : done > 0 && known ? SL_OK : sl__sweeper_solve(w, what);
}

/* Hands over the rows of the case just answered. *taken: all of them. False: stop. */
static bool hand_over(const sl_sweeper *w, int64_t index, const sl_sweep_case *what,
                      sl_sweep_sink *sink, void *user, bool *taken)
{
    const sl__swept *found = &w->found;
    bool more = true;
    int32_t end = 0;
    for (; end < found->ends && more; end++) {
        const sl_sweep_row row = {
            .index = index,
            .what = *what,
            .status = found->status,
            .message = found->message,
            .outcome = found->outcome,
            .end = end,
            .period_s = found->period_s,
            .value = found->value[end],
            .notice = found->notice[end],
            .notice_count = found->notice_count[end],
        };
        more = sink(user, &row);
    }
    *taken = end == found->ends;
    return more;
}

sl_status sl_sweeper_run(sl_sweeper *w, int64_t first, int64_t count, sl_sweep_sink *sink,
                         void *user, int64_t *done)
{
    const int64_t all = sl_sweep_case_count(w->sweep);
    int64_t taken = 0;
    if (first < 0 || first > all || count < 0 || w->readings != w->sweep->reading_count) {
        return SL_E_ARG;
    }
    sl_status st = SL_OK;
    bool more = true;
    for (int64_t k = first; k < all && k - first < count && more; k++) {
        sl_sweep_case what;
        sl_sweep_case_at(w->sweep, k, &what);
        st = answer_case(w, &what);
        if (st != SL_OK) {
            break;
        }
        w->stats.cases++;
        w->stats.without += w->found.status < 0;
        w->stats.chattering += w->found.ends == 2;
        bool whole = false;
        more = hand_over(w, k, &what, sink, user, &whole);
        taken += whole;
    }
    if (done) {
        *done = taken;
    }
    return st;
}

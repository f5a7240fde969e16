/* lib/analysis/contrast.c: faulted beside good, with the loads and without. */
#include "strapline/contrast.h"

#include <math.h>
#include <string.h>

#include "analysis/sweeper.h"
#include "base/memory.h"
#include "circuit/circuit.h"
#include "kinds/kind.h"

/* Readings and notices of one case, copied. */
typedef struct copy {
    sl_status status;
    double *value; /* [readings] */
    sl_sweep_notice *notice;
    int32_t notice_count, notice_room;
    bool failed; /* out of memory */
} copy;

struct sl_contrast {
    sl_alloc al;
    const sl_sweep *sweep;
    sl_sweeper *loaded, *alone; /* alone: NULL when nothing is unplugged */
    double change_v;
    int32_t readings;
    int64_t good_of; /* the condition that `good` is of, counted in the sweep; -1: of none */
    copy good, alone_good, alone_now;
    bool *good_chatters; /* [parts] in the good circuit */
    sl_symptom *symptom;
    int32_t symptom_count, symptom_room;

    sl_contrast_sink *sink; /* while it runs: where rows go */
    void *user;
    bool stopped, failed;
};

bool sl_kind_is_load(const sl_kind *kind)
{
    bool uses = false, gives = false;
    for (int32_t e = 0; e < kind->element_count; e++) {
        const sl_use use = kind->uses[e];
        uses = uses || (use >= SL_LOAD_STARTER && !sl_use_is_coil(use) && use != SL_LOAD_SENSOR);
        gives = gives || use == SL_GIVES;
    }
    return uses && !gives;
}

int32_t sl_circuit_unplug(const sl_circuit *circuit, sl_edit *out, int32_t room)
{
    int32_t count = 0;
    for (sl_part p = 0; p < sl_circuit_part_count(circuit); p++) {
        if (!sl_kind_is_load(sl_circuit_part_kind(circuit, p))) {
            continue;
        }
        if (count < room) {
            out[count] = (sl_edit){p, SL_OPEN, -1, 0.0};
        }
        count++;
    }
    return count;
}

int32_t sl_circuit_quiet(const sl_circuit *circuit, sl_edit *out, int32_t room)
{
    int32_t count = sl_circuit_unplug(circuit, out, room);
    for (sl_part p = 0; p < sl_circuit_part_count(circuit); p++) {
        const int32_t param = sl__engine_speed_param(sl_circuit_part_kind(circuit, p));
        if (param >= 0 && count < room) {
            out[count] = (sl_edit){p, SL_SET, param, 0.0};
        }
        count += param >= 0;
    }
    return count;
}

static void free_copy(const sl_contrast *ct, copy *of)
{
    sl__free(&ct->al, of->value, (size_t)ct->readings, sizeof *of->value);
    sl__free(&ct->al, of->notice, (size_t)of->notice_room, sizeof *of->notice);
}

void sl_contrast_free(sl_contrast *ct)
{
    if (!ct) {
        return;
    }
    sl_alloc al = ct->al;
    sl_sweeper_free(ct->loaded);
    sl_sweeper_free(ct->alone);
    free_copy(ct, &ct->good);
    free_copy(ct, &ct->alone_good);
    free_copy(ct, &ct->alone_now);
    sl__free(&al, ct->good_chatters, (size_t)sl_circuit_part_count(ct->sweep->circuit),
             sizeof *ct->good_chatters);
    sl__free(&al, ct->symptom, (size_t)ct->symptom_room, sizeof *ct->symptom);
    sl__free(&al, ct, 1, sizeof *ct);
}

static sl_status take_all(sl_contrast *ct, const sl_edit *alone, int32_t alone_count)
{
    const int32_t parts = sl_circuit_part_count(ct->sweep->circuit);
    ct->good_chatters = sl__new(&ct->al, (size_t)parts, sizeof *ct->good_chatters);
    if (!ct->good_chatters) {
        return SL_E_NOMEM;
    }
    copy *copies[] = {&ct->good, &ct->alone_good, &ct->alone_now};
    for (int32_t k = 0; k < SL__COUNT(copies); k++) {
        copies[k]->value = sl__new(&ct->al, (size_t)ct->readings, sizeof *copies[k]->value);
        if (!copies[k]->value) {
            return SL_E_NOMEM;
        }
    }
    const sl_sweep_setup loaded = {NULL, 0, true, true};
    const sl_sweep_setup unplugged = {alone, alone_count, false, true};
    sl_status st = sl_sweeper_new(ct->sweep, &loaded, &ct->loaded);
    if (st == SL_OK && alone_count > 0) {
        st = sl_sweeper_new(ct->sweep, &unplugged, &ct->alone);
    }
    return st;
}

sl_status sl_contrast_new(const sl_sweep *sweep, const sl_edit *alone, int32_t alone_count,
                          double change_v, sl_contrast **out)
{
    if (!(change_v > 0.0) || alone_count < 0) {
        return SL_E_ARG;
    }
    sl_contrast *ct = sl__new(&sweep->al, 1, sizeof *ct);
    if (!ct) {
        return SL_E_NOMEM;
    }
    ct->al = sweep->al;
    ct->sweep = sweep;
    ct->change_v = change_v;
    ct->readings = sl_sweep_reading_count(sweep);
    ct->good_of = -1;
    sl_status st = take_all(ct, alone, alone_count);
    if (st != SL_OK) {
        sl_contrast_free(ct);
        return st;
    }
    *out = ct;
    return SL_OK;
}

/* Takes the first row of a case; of a chatter, that is its first end. */
static bool copy_row(const sl_alloc *al, copy *to, const sl_sweep_row *row, int32_t readings)
{
    if (row->end > 0) {
        return true;
    }
    to->status = row->status;
    memcpy(to->value, row->value, (size_t)readings * sizeof *to->value);
    sl_sweep_notice *grown =
        sl__reserve(al, to->notice, &to->notice_room, row->notice_count, sizeof *grown);
    if (!grown) {
        to->failed = true;
        return false;
    }
    to->notice = grown;
    to->notice_count = row->notice_count;
    for (int32_t k = 0; k < row->notice_count; k++) {
        to->notice[k] = row->notice[k];
    }
    return true;
}

typedef struct copying {
    const sl_contrast *ct;
    copy *to;
} copying;

static bool take_copy(void *user, const sl_sweep_row *row)
{
    const copying *c = user;
    return copy_row(&c->ct->al, c->to, row, c->ct->readings);
}

static sl_status copy_case(const sl_contrast *ct, sl_sweeper *w, int64_t index, copy *to)
{
    copying c = {ct, to};
    to->failed = false;
    sl_status st = sl_sweeper_run(w, index, 1, take_copy, &c, NULL);
    return st == SL_OK && to->failed ? SL_E_NOMEM : st;
}

/* What a meter shows: nothing where nothing joins its leads. */
static double shown(double volts)
{
    return isnan(volts) ? 0.0 : volts;
}

static bool is_voltage(const sl_sweep_reading *reading)
{
    return reading->quantity == SL_SWEEP_VOLTAGE || reading->quantity == SL_SWEEP_DROP ||
           reading->quantity == SL_SWEEP_ELEMENT_DROP;
}

static double difference(double good, double now)
{
    return fabs(shown(now) - shown(good));
}

static bool is_terminal(const sl_circuit *circuit, sl_part part, sl_node node)
{
    const int32_t count = sl_circuit_part_kind(circuit, part)->terminal_count;
    bool is = false;
    for (int32_t t = 0; t < count; t++) {
        is = is || sl_circuit_part_node(circuit, part, t) == node;
    }
    return is;
}

/* Is a reading taken across the part that a fault is of? */
static bool is_across(const sl_contrast *ct, int32_t fault, const sl_sweep_reading *reading)
{
    if (fault == SL_NONE || ct->sweep->fault[fault].about.part == SL_NONE) {
        return false;
    }
    const sl_part part = ct->sweep->fault[fault].about.part;
    if (reading->quantity != SL_SWEEP_VOLTAGE) {
        return reading->a == part;
    }
    return is_terminal(ct->sweep->circuit, part, reading->a) &&
           is_terminal(ct->sweep->circuit, part, reading->b);
}

/* What the best of each group has come to while the readings are gone through. */
typedef struct race {
    double by[SL_SWEEP_GROUPS];
    bool own[SL_SWEEP_GROUPS];
} race;

/* Takes the lead when it is of the faulty part and the other is not, or else differs by more. */
static void enter(race *in, sl_contrast_reading *best, int32_t group, double by, bool own,
                  const sl_contrast_reading *found)
{
    const double lead = in->by[group];
    const bool beats = own == in->own[group] ? by > (1.0 + SL_CONTRAST_SAME) * lead : own;
    if (best[group].reading == SL_NONE || beats) {
        best[group] = *found;
        in->by[group] = by;
        in->own[group] = own;
    }
}

/* A terminal that floats once the loads are unplugged, such as the motor's end of a solenoid that
   is released, is the worse place for a lead: it counts for so much of its difference. */
static const double FLOATS_ALONE = 0.5;

static void compare_readings(const sl_contrast *ct, const sl_sweep_row *row, sl_contrast_row *out)
{
    const bool alone = ct->alone && ct->alone_good.status >= 0 && ct->alone_now.status >= 0;
    race loaded = {{0.0}, {false}}, unplugged = {{0.0}, {false}};
    bool flows = false, differs_alone = !alone;
    for (int32_t k = 0; k < ct->readings; k++) {
        const sl_sweep_reading *reading = &ct->sweep->reading[k];
        if (!is_voltage(reading)) {
            continue;
        }
        const sl_contrast_reading found = {k, ct->good.value[k], row->value[k],
                                           alone ? ct->alone_good.value[k] : SL__NAN,
                                           alone ? ct->alone_now.value[k] : SL__NAN};
        const bool own =
            is_across(ct, row->what.fault, reading) || is_across(ct, row->what.second, reading);
        const double by = difference(found.good, found.now);
        const double by_alone = alone ? difference(found.alone_good, found.alone_now) : 0.0;
        if (by >= ct->change_v) {
            const double counts = alone && isnan(found.alone_now) ? FLOATS_ALONE * by : by;
            enter(&loaded, out->best, reading->group, counts, own, &found);
            flows = flows || !isnan(found.now); /* leads that float carry nothing */
        }
        if (by_alone >= ct->change_v) {
            enter(&unplugged, out->alone, reading->group, by_alone, own, &found);
            differs_alone = true;
        }
    }
    out->load_only = flows && !differs_alone;
}

static bool add_symptom(sl_contrast *ct, sl_symptom_type type, const sl_sweep_notice *of,
                        double good, double now)
{
    sl_symptom *grown =
        sl__reserve(&ct->al, ct->symptom, &ct->symptom_room, ct->symptom_count + 1, sizeof *grown);
    if (!grown) {
        return false;
    }
    ct->symptom = grown;
    ct->symptom[ct->symptom_count++] = (sl_symptom){type, of->part, of->index, good, now};
    return true;
}

/* Notices come in the order of their parts. */
static const sl_sweep_notice *find_notice(const sl_sweep_notice *list, int32_t count,
                                          const sl_sweep_notice *like)
{
    int32_t first = 0;
    for (int32_t end = count; first < end;) {
        const int32_t middle = first + (end - first) / 2;
        if (list[middle].part < like->part) {
            first = middle + 1;
        } else {
            end = middle;
        }
    }
    for (int32_t k = first; k < count && list[k].part == like->part; k++) {
        if (list[k].index == like->index) {
            return &list[k];
        }
    }
    return NULL;
}

/* What is noticed of one side and not of the other. */
static bool one_sided(sl_contrast *ct, sl_symptom_type type, const sl_sweep_notice *list,
                      int32_t count, const sl_sweep_notice *other, int32_t other_count)
{
    bool ok = true;
    for (int32_t k = 0; k < count && ok; k++) {
        if (!find_notice(other, other_count, &list[k])) {
            const bool appears = type == SL_APPEARS;
            ok = add_symptom(ct, type, &list[k], appears ? SL__NAN : list[k].value,
                             appears ? list[k].value : SL__NAN);
        }
    }
    return ok;
}

/* False when memory runs out. */
static bool compare_notices(sl_contrast *ct, const sl_sweep_row *row)
{
    const copy *good = &ct->good;
    ct->symptom_count = 0;
    bool ok = one_sided(ct, SL_APPEARS, row->notice, row->notice_count, good->notice,
                        good->notice_count) &&
              one_sided(ct, SL_DISAPPEARS, good->notice, good->notice_count, row->notice,
                        row->notice_count);
    for (int32_t k = 0; k < row->notice_count && ok; k++) {
        const sl_sweep_notice *before =
            find_notice(good->notice, good->notice_count, &row->notice[k]);
        if (before &&
            fabs(row->notice[k].value - before->value) > SL_SYMPTOM_SHARE * fabs(before->value)) {
            ok = add_symptom(ct, SL_CHANGES, before, before->value, row->notice[k].value);
        }
    }
    return ok;
}

/* What chatters now and does not in the good circuit. False when memory runs out. */
static bool compare_chatter(sl_contrast *ct, const sl_sweep_row *row)
{
    const int32_t parts = sl_circuit_part_count(ct->sweep->circuit);
    bool ok = true;
    for (sl_part p = 0; p < parts && ok && row->outcome == SL_CHATTERS; p++) {
        if (!ct->good_chatters[p] && sl__sweeper_chatters(ct->loaded, p)) {
            const sl_sweep_notice of = {p, SL_NONE, SL__NAN};
            ok = add_symptom(ct, SL_STARTS_TO_CHATTER, &of, SL__NAN, SL__NAN);
        }
    }
    return ok;
}

static const sl_contrast_reading no_reading = {SL_NONE, SL__NAN, SL__NAN, SL__NAN, SL__NAN};

static bool take_loaded(void *user, const sl_sweep_row *row)
{
    sl_contrast *ct = user;
    sl_contrast_row out = {.row = row, .good_status = ct->good.status};
    for (int32_t g = 0; g < SL_SWEEP_GROUPS; g++) {
        out.best[g] = out.alone[g] = no_reading;
    }
    ct->symptom_count = 0;
    if (row->status >= 0 && ct->good.status >= 0) {
        compare_readings(ct, row, &out);
        if (!compare_notices(ct, row) || !compare_chatter(ct, row)) {
            ct->failed = true;
            return false;
        }
    }
    out.symptom = ct->symptom;
    out.symptom_count = ct->symptom_count;
    ct->stopped = !ct->sink(ct->user, &out);
    return !ct->stopped;
}

/* The good circuit in the condition that a case is of. */
static sl_status find_good(sl_contrast *ct, int64_t index)
{
    const int64_t each = sl_sweep_condition_cases(ct->sweep), condition = index / each;
    if (ct->good_of == condition) {
        return SL_OK;
    }
    ct->good_of = -1;
    sl_status st = copy_case(ct, ct->loaded, condition * each, &ct->good);
    const int32_t parts = sl_circuit_part_count(ct->sweep->circuit);
    for (sl_part p = 0; p < parts && st == SL_OK; p++) {
        ct->good_chatters[p] = sl__sweeper_chatters(ct->loaded, p);
    }
    if (st == SL_OK && ct->alone) {
        st = copy_case(ct, ct->alone, condition * each, &ct->alone_good);
    }
    ct->good_of = st == SL_OK ? condition : -1;
    return st;
}

sl_status sl_contrast_run(sl_contrast *ct, int64_t first, int64_t count, sl_contrast_sink *sink,
                          void *user, int64_t *done)
{
    const int64_t all = sl_sweep_case_count(ct->sweep);
    if (first < 0 || first > all || count < 0 || ct->readings != ct->sweep->reading_count) {
        return SL_E_ARG;
    }
    ct->sink = sink;
    ct->user = user;
    ct->stopped = ct->failed = false;
    sl_status st = SL_OK;
    int64_t taken = 0;
    for (int64_t k = first; k < all && k - first < count && st == SL_OK && !ct->stopped; k++) {
        int64_t whole = 0;
        st = find_good(ct, k);
        if (st == SL_OK && ct->alone) {
            st = copy_case(ct, ct->alone, k, &ct->alone_now);
        }
        if (st == SL_OK) {
            st = sl_sweeper_run(ct->loaded, k, 1, take_loaded, ct, &whole);
        }
        st = st == SL_OK && ct->failed ? SL_E_NOMEM : st;
        taken += st == SL_OK ? whole : 0;
    }
    if (done) {
        *done = taken;
    }
    return st;
}

void sl_contrast_stats(const sl_contrast *ct, sl_sweep_stats *out)
{
    sl_sweep_stats alone = {0};
    sl_sweeper_stats(ct->loaded, out);
    if (ct->alone) {
        sl_sweeper_stats(ct->alone, &alone);
    }
    out->cases += alone.cases;
    out->full_solves += alone.full_solves;
    out->circuits_made += alone.circuits_made;
    out->without += alone.without;
    out->chattering += alone.chattering;
    out->closed_forms += alone.closed_forms;
    out->by_ports += alone.by_ports;
}

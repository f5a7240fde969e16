/* lib/analysis/sweep.c: a sweep put together: conditions, readings, faults. Nothing is solved. */
#include "analysis/sweep.h"

#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "circuit/circuit.h"

sl_status sl_sweep_new(const sl_circuit *circuit, sl_sweep **out)
{
    if (sl_circuit_reference(circuit) == SL_NONE) {
        return SL_E_REFERENCE;
    }
    sl_sweep *sweep = sl__new(&circuit->al, 1, sizeof *sweep);
    if (!sweep) {
        return SL_E_NOMEM;
    }
    sweep->al = circuit->al;
    sweep->circuit = circuit;
    *out = sweep;
    return SL_OK;
}

void sl_sweep_free(sl_sweep *sweep)
{
    if (!sweep) {
        return;
    }
    sl_alloc al = sweep->al;
    sl__sweep_truncate(sweep, 0);
    sl__free(&al, sweep->fault, (size_t)sweep->fault_room, sizeof *sweep->fault);
    sl__free(&al, sweep->edit, (size_t)sweep->edit_room, sizeof *sweep->edit);
    sl__free(&al, sweep->reading, (size_t)sweep->reading_room, sizeof *sweep->reading);
    sl__free(&al, sweep->condition, (size_t)sweep->condition_room, sizeof *sweep->condition);
    sl__free(&al, sweep, 1, sizeof *sweep);
}

const char *sl_sweep_message(const sl_sweep *sweep)
{
    return sweep->message.text;
}

const sl_circuit *sl_sweep_circuit(const sl_sweep *sweep)
{
    return sweep->circuit;
}

static sl_status no_memory(sl_sweep *sweep)
{
    return sl__fail(&sweep->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
}

sl_status sl_sweep_add_condition(sl_sweep *sweep, sl_condition condition)
{
    if (condition < 0 || condition >= sl_circuit_condition_count(sweep->circuit)) {
        return sl__fail(&sweep->message, SL_E_ARG, "the circuit has no condition %d",
                        (int)condition);
    }
    sl_condition *grown = sl__reserve(&sweep->al, sweep->condition, &sweep->condition_room,
                                      sweep->condition_count + 1, sizeof *grown);
    if (!grown) {
        return no_memory(sweep);
    }
    sweep->condition = grown;
    sweep->condition[sweep->condition_count++] = condition;
    return SL_OK;
}

static bool is_part(const sl_sweep *sweep, sl_part part)
{
    return part >= 0 && part < sl_circuit_part_count(sweep->circuit);
}

static bool is_node(const sl_sweep *sweep, sl_node node)
{
    return node >= 0 && node < sl_circuit_node_count(sweep->circuit);
}

static bool is_reading(const sl_sweep *sweep, const sl_sweep_reading *reading)
{
    if (reading->group < 0 || reading->group >= SL_SWEEP_GROUPS) {
        return false;
    }
    switch (reading->quantity) {
    case SL_SWEEP_VOLTAGE:
        return is_node(sweep, reading->a) && is_node(sweep, reading->b);
    case SL_SWEEP_CURRENT:
    case SL_SWEEP_DROP:
    case SL_SWEEP_POWER:
    case SL_SWEEP_STATE:
        return is_part(sweep, reading->a);
    case SL_SWEEP_ELEMENT_CURRENT:
    case SL_SWEEP_ELEMENT_DROP:
        return is_part(sweep, reading->a) && reading->b >= 0 &&
               reading->b < sl_circuit_part_kind(sweep->circuit, reading->a)->element_count;
    default:
        return false;
    }
}

sl_status sl_sweep_add_reading(sl_sweep *sweep, const sl_sweep_reading *reading)
{
    if (!is_reading(sweep, reading)) {
        return sl__fail(
            &sweep->message, SL_E_ARG, "no such reading: quantity %d of %d and %d in group %d",
            (int)reading->quantity, (int)reading->a, (int)reading->b, (int)reading->group);
    }
    sl_sweep_reading *grown = sl__reserve(&sweep->al, sweep->reading, &sweep->reading_room,
                                          sweep->reading_count + 1, sizeof *grown);
    if (!grown) {
        return no_memory(sweep);
    }
    sweep->reading = grown;
    sweep->reading[sweep->reading_count++] = *reading;
    return SL_OK;
}

int32_t sl_sweep_reading_count(const sl_sweep *sweep)
{
    return sweep->reading_count;
}

const sl_sweep_reading *sl_sweep_reading_at(const sl_sweep *sweep, int32_t index)
{
    return index >= 0 && index < sweep->reading_count ? &sweep->reading[index] : NULL;
}

/* Are two faults of one part, or of one node? */
static bool of_one(const sl_fault *a, const sl_fault *b)
{
    return a->type == b->type && ((a->type == SL_FAULT_MODE && a->part == b->part) ||
                                  (a->type == SL_FAULT_LEAK && a->node == b->node));
}

sl_status sl__sweep_append(sl_sweep *sweep, const sl_fault *about, const sl_edit *edits,
                           int32_t count)
{
    int32_t at = sweep->fault_count;
    sl__swept_fault *grown =
        sl__reserve(&sweep->al, sweep->fault, &sweep->fault_room, at + 1, sizeof *grown);
    if (!grown) {
        return no_memory(sweep);
    }
    sweep->fault = grown;
    sl_edit *more = sl__reserve(&sweep->al, sweep->edit, &sweep->edit_room,
                                sweep->edit_count + count, sizeof *more);
    if (!more && count > 0) {
        return no_memory(sweep);
    }
    sweep->edit = more ? more : sweep->edit;
    char *name = about->name ? sl__text_copy(&sweep->al, about->name) : NULL;
    if (about->name && !name) {
        return no_memory(sweep);
    }
    sl__swept_fault *fault = &sweep->fault[at];
    const sl__swept_fault *before = at > 0 ? fault - 1 : NULL;
    *fault = (sl__swept_fault){*about, name, sweep->edit_count, count, at, 0};
    fault->about.name = name;
    if (before && of_one(&before->about, about)) {
        fault->run = before->run;
    }
    fault->pairs_past = (before ? before->pairs_past : 0) + fault->run;
    for (int32_t k = 0; k < count; k++) {
        sweep->edit[sweep->edit_count++] = edits[k];
    }
    sweep->fault_count++;
    return SL_OK;
}

void sl__sweep_truncate(sl_sweep *sweep, int32_t count)
{
    while (sweep->fault_count > count) {
        sl__swept_fault *last = &sweep->fault[--sweep->fault_count];
        sweep->edit_count = last->edit_at;
        sl__text_free(&sweep->al, last->name);
        last->name = NULL;
    }
}

const sl_fault sl__no_fault = {SL_FAULT_GIVEN, NULL, SL_NONE, -1, SL_NONE, SL_NONE, SL_NONE, 0.0};

sl_status sl_sweep_add_edits(sl_sweep *sweep, const char *name, const sl_edit *edits, int32_t count)
{
    if (!name || !*name || count < 0) {
        return sl__fail(&sweep->message, SL_E_ARG, "a fault needs a name");
    }
    for (int32_t k = 0; k < count; k++) {
        if (!is_part(sweep, edits[k].part)) {
            return sl__fail(&sweep->message, SL_E_ARG, "edit %d of \"%s\" is of no part", (int)k,
                            name);
        }
        sl_status st = sl__edit_check(sl_circuit_part_kind(sweep->circuit, edits[k].part),
                                      sl_circuit_part_name(sweep->circuit, edits[k].part),
                                      &edits[k], &sweep->message);
        if (st != SL_OK) {
            return st;
        }
    }
    sl_fault about = sl__no_fault;
    about.name = name;
    return sl__sweep_append(sweep, &about, edits, count);
}

sl_status sl_sweep_add_mode(sl_sweep *sweep, sl_part part, int32_t mode, double value)
{
    const sl_kind *kind = is_part(sweep, part) ? sl_circuit_part_kind(sweep->circuit, part) : NULL;
    if (!kind || mode < 0 || mode >= kind->mode_count) {
        return sl__fail(&sweep->message, SL_E_ARG, "part %d has no mode %d", (int)part, (int)mode);
    }
    const sl_mode *of = &kind->modes[mode];
    const bool fixed = of->change == SL_OPEN || of->least == of->greatest;
    if (!fixed && !(value >= of->least && value <= of->greatest)) {
        return sl__fail(&sweep->message, SL_E_VALUE,
                        "%s \"%s\": %s = %g is out of range; allowed: %g to %g", kind->name,
                        sl_circuit_part_name(sweep->circuit, part), of->name, value, of->least,
                        of->greatest);
    }
    sl_fault about = sl__no_fault;
    about.type = SL_FAULT_MODE;
    about.part = part;
    about.mode = mode;
    about.value = fixed ? of->least : value;
    const sl_edit edit = sl__mode_edit(kind, part, mode, about.value);
    return sl__sweep_append(sweep, &about, &edit, 1);
}

sl_status sl_sweep_add_leak(sl_sweep *sweep, sl_node node, sl_node to, double ohm)
{
    if (!is_node(sweep, node) || !is_node(sweep, to) || node == to) {
        return sl__fail(&sweep->message, SL_E_ARG,
                        "a leak goes from one node to another: not from %d to %d", (int)node,
                        (int)to);
    }
    if (!(ohm >= 1e-6 && ohm <= 1e12)) {
        return sl__fail(&sweep->message, SL_E_VALUE, "a leak of %g ohm; allowed: 1e-6 to 1e12 ohm",
                        ohm);
    }
    sl_fault about = sl__no_fault;
    about.type = SL_FAULT_LEAK;
    about.node = node;
    about.to = to;
    about.value = ohm;
    return sl__sweep_append(sweep, &about, NULL, 0);
}

void sl_sweep_set_pairs(sl_sweep *sweep, bool pairs)
{
    sweep->pairs = pairs;
}

int32_t sl_sweep_fault_count(const sl_sweep *sweep)
{
    return sweep->fault_count;
}

sl_status sl_sweep_fault_at(const sl_sweep *sweep, int32_t index, sl_fault *out)
{
    if (index < 0 || index >= sweep->fault_count) {
        return SL_E_ARG;
    }
    *out = sweep->fault[index].about;
    return SL_OK;
}

int64_t sl_sweep_condition_cases(const sl_sweep *sweep)
{
    const int32_t faults = sweep->fault_count;
    const int64_t pairs = sweep->pairs && faults > 0 ? sweep->fault[faults - 1].pairs_past : 0;
    return 1 + faults + pairs;
}

int64_t sl_sweep_case_count(const sl_sweep *sweep)
{
    const int32_t conditions = sweep->condition_count > 0
                                   ? sweep->condition_count
                                   : sl_circuit_condition_count(sweep->circuit);
    return conditions * sl_sweep_condition_cases(sweep);
}

/* The pair of a number: its later fault is the first one that more pairs have passed. */
static void find_pair(const sl_sweep *sweep, int64_t pair, sl_sweep_case *out)
{
    int32_t low = 0, high = sweep->fault_count - 1;
    while (low < high) {
        int32_t middle = low + (high - low) / 2;
        if (sweep->fault[middle].pairs_past > pair) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    out->second = low;
    out->fault = (int32_t)(pair - (sweep->fault[low].pairs_past - sweep->fault[low].run));
}

sl_status sl_sweep_case_at(const sl_sweep *sweep, int64_t index, sl_sweep_case *out)
{
    if (index < 0 || index >= sl_sweep_case_count(sweep)) {
        return SL_E_ARG;
    }
    const int64_t each = sl_sweep_condition_cases(sweep), place = index % each;
    const sl_condition at = (sl_condition)(index / each);
    *out =
        (sl_sweep_case){sweep->condition_count > 0 ? sweep->condition[at] : at, SL_NONE, SL_NONE};
    if (place > sweep->fault_count) {
        find_pair(sweep, place - 1 - sweep->fault_count, out);
    } else if (place > 0) {
        out->fault = (int32_t)place - 1;
    }
    return SL_OK;
}

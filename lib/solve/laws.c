/* lib/solve/laws.c: what the parts are in one condition with its faults, and the law each of their
   elements then follows. */
#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "solve/solve.h"

const sl__part *sl__case_part(const sl_case *cs, sl_part part)
{
    int32_t own = cs->circuit->parts.names.count;
    return part < own ? &cs->circuit->parts.part[part] : &cs->extra.part[part - own];
}

const char *sl__case_part_name(const sl_case *cs, sl_part part)
{
    int32_t own = cs->circuit->parts.names.count;
    return part < own ? cs->circuit->parts.names.text[part] : cs->extra.names.text[part - own];
}

/* Where a part's parameters start in cs->value. */
static int32_t value_at(const sl_case *cs, sl_part part)
{
    bool own = part < cs->circuit->parts.names.count;
    return sl__case_part(cs, part)->value_at + (own ? 0 : cs->circuit->parts.value_count);
}

const double *sl__case_values(const sl_case *cs, sl_part part)
{
    return cs->value + value_at(cs, part);
}

sl_node sl__case_terminal(const sl_case *cs, sl_part part, int32_t terminal)
{
    bool own = part < cs->circuit->parts.names.count;
    const int32_t *node = own ? cs->circuit->parts.node : cs->extra.node;
    return node[sl__case_part(cs, part)->node_at + terminal];
}

const char *sl__case_node_name(const sl_case *cs, sl_node node)
{
    int32_t own = cs->circuit->nodes.count;
    if (node < own) {
        return cs->circuit->nodes.text[node];
    }
    return node - own < cs->extra_nodes.count ? cs->extra_nodes.text[node - own]
                                              : "the inside of a faulted part";
}

/* A part's measured points: count, then V, A, V, A, ... */
static const double *table_of(const sl_case *cs, sl_part part)
{
    bool own = part < cs->circuit->parts.names.count;
    const double *table = own ? cs->circuit->parts.table : cs->extra.table;
    return table + sl__case_part(cs, part)->table_at;
}

/* Every edit in force in a condition: the condition's, then the faults. */
const sl_edit *sl__case_edit_at(const sl_case *cs, sl_condition condition, int32_t k)
{
    const sl__condition *held = &cs->circuit->condition[condition];
    if (k < held->edit_count) {
        return &held->edit[k];
    }
    return k - held->edit_count < cs->edit_count ? &cs->edit[k - held->edit_count] : NULL;
}

void sl__laws_given(sl_case *cs, sl_condition condition, sl_part part)
{
    const sl__part *record = sl__case_part(cs, part);
    bool own = part < cs->circuit->parts.names.count;
    const double *given = (own ? cs->circuit->parts.given : cs->extra.given) + record->value_at;
    memcpy(cs->given, given, (size_t)record->kind->about.param_count * sizeof *given);
    const sl_edit *edit;
    for (int32_t k = 0; (edit = sl__case_edit_at(cs, condition, k)); k++) {
        if (edit->change == SL_SET && edit->part == part) {
            cs->given[edit->index] = edit->value;
        }
    }
}

void sl__laws_given_now(sl_case *cs, sl_part part)
{
    sl__laws_given(cs, cs->condition, part);
    for (int32_t k = 0; cs->vary && k < cs->vary->count; k++) {
        const struct sl__vary_item *item = &cs->vary->item[k];
        if (item->part == part && item->z != 0.0) {
            cs->given[item->param] = sl__case_values(cs, part)[item->param];
        }
    }
}

/* Works out a part's parameters again from cs->given. */
static sl_status complete(sl_case *cs, sl_part part)
{
    return sl__parts_complete(sl__case_part(cs, part)->kind, sl__case_part_name(cs, part),
                              cs->given, cs->value + value_at(cs, part), &cs->message);
}

/* Moves what is to vary off the values that the circuit and its edits have set. */
static sl_status vary_values(sl_case *cs, sl_condition condition)
{
    const sl__vary *vary = cs->vary;
    for (int32_t k = 0; k < vary->count;) {
        const sl_part part = vary->item[k].part;
        const sl_kind *kind = &sl__case_part(cs, part)->kind->about;
        const double *value = sl__case_values(cs, part);
        sl__laws_given(cs, condition, part);
        for (; k < vary->count && vary->item[k].part == part; k++) {
            const struct sl__vary_item *item = &vary->item[k];
            const sl_param *param = &kind->params[item->param];
            if (item->z != 0.0 && !isnan(value[item->param])) {
                cs->given[item->param] = sl__spread_value(&item->spread, value[item->param],
                                                          item->z, param->least, param->greatest);
            }
        }
        sl_status st = complete(cs, part);
        if (st != SL_OK) {
            return st;
        }
    }
    cs->celsius =
        sl__spread_value(&vary->warmth, cs->celsius, vary->warmth_z, SL__LEAST_C, SL__GREATEST_C);
    return SL_OK;
}

/* Takes back what faults have done to the branches. */
static void heal_branches(sl_case *cs)
{
    for (int32_t k = cs->branches - 1; k >= cs->elements; k--) {
        cs->branch[cs->branch[k].series_with].from = cs->branch[k].from;
    }
    for (int32_t n = 0; n < cs->opened_count; n++) {
        cs->branch[cs->opened[n]].open = false;
    }
}

/* The last edit of a value is the one that holds; those of the condition stand before the faults.
 */
sl_origin sl__case_origin(const sl_case *cs, sl_part part, int32_t param, double used)
{
    const sl__part *record = sl__case_part(cs, part);
    const bool own = part < cs->circuit->parts.names.count;
    const double *given = (own ? cs->circuit->parts.given : cs->extra.given) + record->value_at;
    sl_origin origin = sl__origin_of(&record->kind->about.params[param], given[param], used);
    const int32_t held = cs->circuit->condition[cs->condition].edit_count;
    const sl_edit *edit;
    for (int32_t k = 0; (edit = sl__case_edit_at(cs, cs->condition, k)); k++) {
        if (edit->change == SL_SET && edit->part == part && edit->index == param) {
            origin = k < held ? SL_BY_CONDITION : SL_BY_FAULT;
        }
    }
    return origin;
}

/* One element per branch, with the nodes of its terminals. */
static void lay_branches(sl_case *cs)
{
    int32_t at = 0;
    for (sl_part p = 0; p < cs->parts; p++) {
        const sl_kind *kind = &sl__case_part(cs, p)->kind->about;
        for (int32_t e = 0; e < kind->element_count; e++, at++) {
            sl__branch *branch = &cs->branch[at];
            branch->part = p;
            branch->from = sl__case_terminal(cs, p, kind->elements[e].from);
            branch->to = sl__case_terminal(cs, p, kind->elements[e].to);
            branch->series_ohm = 0.0;
            branch->open = false;
        }
    }
    cs->laid = true;
}

static void clear_branches(sl_case *cs)
{
    if (cs->laid) {
        heal_branches(cs);
    } else {
        lay_branches(cs);
    }
    cs->opened_count = 0;
    cs->branches = cs->elements;
    cs->nodes = cs->circuit->nodes.count + cs->extra_nodes.count;
}

/* Takes elements away, or puts a resistance and a node of its own in front of one. */
static void apply_fault(sl_case *cs, const sl_edit *edit)
{
    int32_t first = cs->branch_at[edit->part], last = cs->branch_at[edit->part + 1];
    if (edit->index >= 0) {
        first += edit->index;
        last = first + 1;
    }
    for (int32_t k = first; k < last; k++) {
        if (edit->change == SL_OPEN) {
            if (!cs->branch[k].open) {
                cs->opened[cs->opened_count++] = k;
            }
            cs->branch[k].open = true;
        } else {
            sl_node inner = cs->nodes++;
            cs->branch[cs->branches++] = (sl__branch){.part = edit->part,
                                                      .from = cs->branch[k].from,
                                                      .to = inner,
                                                      .series_ohm = edit->value,
                                                      .series_with = k};
            cs->branch[k].from = inner;
        }
    }
}

/* Lists the parts that adjust themselves. What one would adjust that does not is no matter of the
   solution: it has it at once. */
static void list_trimming(sl_case *cs)
{
    static const sl__flow nothing[SL__ELEMENTS_MOST];
    cs->trimming_count = 0;
    for (int32_t n = 0; n < cs->adjusting_count; n++) {
        const sl_part part = cs->adjusting[n];
        const sl__kind *kind = sl__case_part(cs, part)->kind;
        double *value = cs->value + value_at(cs, part);
        if (kind->trims && !kind->trims(value)) {
            value[kind->trim_param] = kind->trim(value, cs->celsius, -1, nothing);
        } else {
            cs->trimming[cs->trimming_count++] = part;
        }
    }
}

sl_status sl__laws_values(sl_case *cs, sl_condition condition)
{
    const sl__part_list *own = &cs->circuit->parts;
    const sl__condition *held = &cs->circuit->condition[condition];
    cs->held = condition;
    cs->celsius = isnan(held->celsius) ? cs->circuit->celsius : held->celsius;
    if (own->value_count > 0) {
        memcpy(cs->value, own->value, (size_t)own->value_count * sizeof *cs->value);
    }
    if (cs->extra.value_count > 0) {
        memcpy(cs->value + own->value_count, cs->extra.value,
               (size_t)cs->extra.value_count * sizeof *cs->value);
    }
    clear_branches(cs);
    const sl_edit *edit;
    for (int32_t k = 0; (edit = sl__case_edit_at(cs, condition, k)); k++) {
        if (edit->change == SL_SET) {
            sl__laws_given(cs, condition, edit->part);
            sl_status st = complete(cs, edit->part);
            if (st != SL_OK) {
                return st;
            }
        } else {
            apply_fault(cs, edit);
        }
    }
    const sl_status st = cs->vary ? vary_values(cs, condition) : SL_OK;
    list_trimming(cs);
    return st;
}

/* The state a part that has states starts in when nothing came before. */
static int32_t first_state(const sl_case *cs, sl_part part)
{
    const sl_kind *kind = &sl__case_part(cs, part)->kind->about;
    return kind->start_param < 0 ? 0 : (int32_t)sl__case_values(cs, part)[kind->start_param];
}

void sl__laws_start(sl_case *cs)
{
    for (int32_t s = 0; s < cs->stateful_count; s++) {
        cs->state[cs->stateful[s]] = first_state(cs, cs->stateful[s]);
    }
}

void sl__laws_with(const sl_case *cs, sl_part part, const double *value, double celsius,
                   int32_t state, sl__law *law)
{
    const sl__part *record = sl__case_part(cs, part);
    int32_t count = record->kind->about.element_count;
    memset(law, 0, (size_t)count * sizeof *law);
    for (int32_t e = 0; record->table_at >= 0 && e < count; e++) {
        law[e].table = table_of(cs, part);
    }
    record->kind->laws(value, celsius, state, law);
}

static void fill_laws(const sl_case *cs, sl_part part, int32_t state, sl__law *law)
{
    sl__laws_with(cs, part, sl__case_values(cs, part), cs->celsius, state, law);
}

void sl__laws_of(sl_case *cs, sl_part part)
{
    sl__law law[SL__ELEMENTS_MOST];
    fill_laws(cs, part, cs->state[part], law);
    for (int32_t k = cs->branch_at[part]; k < cs->branch_at[part + 1]; k++) {
        cs->branch[k].law = law[k - cs->branch_at[part]];
    }
}

void sl__laws_at(const sl_case *cs, sl_part part, int32_t state, sl__law *law)
{
    fill_laws(cs, part, state, law);
    for (int32_t k = cs->branch_at[part]; k < cs->branch_at[part + 1]; k++) {
        if (cs->branch[k].open) {
            law[k - cs->branch_at[part]].form = SL__ABSENT;
        }
    }
}

void sl__laws_update(sl_case *cs)
{
    for (sl_part p = 0; p < cs->parts; p++) {
        sl__laws_of(cs, p);
    }
    for (int32_t k = 0; k < cs->branches; k++) {
        if (k >= cs->elements) {
            sl__law_resistor(&cs->branch[k].law, cs->branch[k].series_ohm);
        } else if (cs->branch[k].open) {
            cs->branch[k].law.form = SL__ABSENT;
        }
    }
}

/* lib/solve/case.c: asking a case, and reading its answer. */
#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "solve/near.h"

sl_status sl_case_new(const sl_circuit *circuit, sl_condition condition, sl_case **out)
{
    if (condition < 0 || condition >= circuit->condition_names.count) {
        return SL_E_ARG;
    }
    if (sl_circuit_reference(circuit) == SL_NONE) {
        return SL_E_REFERENCE;
    }
    sl_case *cs = sl__new(&circuit->al, 1, sizeof *cs);
    if (!cs) {
        return SL_E_NOMEM;
    }
    cs->al = circuit->al;
    cs->circuit = circuit;
    cs->condition = condition;
    cs->arena.al = &cs->al;
    *out = cs;
    return SL_OK;
}

void sl_case_free(sl_case *cs)
{
    if (!cs) {
        return;
    }
    sl_alloc al = cs->al;
    sl__bases_free(cs);
    sl__factor_free(cs->net.factor);
    sl__arena_clear(&cs->arena);
    if (!cs->borrows) {
        sl__parts_free(&al, &cs->extra);
        sl__names_free(&al, &cs->extra_nodes);
        sl__free(&al, cs->edit, (size_t)cs->edit_room, sizeof *cs->edit);
    }
    sl__free(&al, cs, 1, sizeof *cs);
}

sl_status sl__case_twin(const sl_case *cs, const sl_alloc *al, sl_case **out)
{
    sl_case *twin = sl__new(al, 1, sizeof *twin);
    if (!twin) {
        return SL_E_NOMEM;
    }
    twin->al = *al;
    twin->circuit = cs->circuit;
    twin->condition = cs->condition;
    twin->edit = cs->edit;
    twin->edit_count = cs->edit_count;
    twin->extra = cs->extra;
    twin->extra_nodes = cs->extra_nodes;
    twin->borrows = true;
    twin->arena.al = &twin->al;
    *out = twin;
    return SL_OK;
}

const char *sl_case_message(const sl_case *cs)
{
    return cs->message.text;
}

static bool is_part(const sl_case *cs, sl_part part)
{
    return part >= 0 && part < cs->circuit->parts.names.count + cs->extra.names.count;
}

/* Nothing can be wrong with an element that the part does not have. */
static sl_status check_there(sl_case *cs, const sl_edit *edit)
{
    if (!sl_circuit_part_lacks(cs->circuit, edit->part, SL_LACKS_ELEMENT, edit->index)) {
        return SL_OK;
    }
    const sl_kind *kind = &sl__case_part(cs, edit->part)->kind->about;
    return sl__fail(&cs->message, SL_E_ARG, "%s \"%s\": this one has no %s", kind->name,
                    sl__case_part_name(cs, edit->part), kind->elements[edit->index].name);
}

sl_status sl_case_edit(sl_case *cs, const sl_edit *edits, int32_t count)
{
    for (int32_t k = 0; k < count; k++) {
        if (!is_part(cs, edits[k].part)) {
            return sl__fail(&cs->message, SL_E_ARG, "edit %d is of no part of the circuit", (int)k);
        }
        sl_status st =
            sl__edit_check(&sl__case_part(cs, edits[k].part)->kind->about,
                           sl__case_part_name(cs, edits[k].part), &edits[k], &cs->message);
        if (st == SL_OK && edits[k].change != SL_SET) {
            st = check_there(cs, &edits[k]);
        }
        if (st != SL_OK) {
            return st;
        }
    }
    sl_edit *grown =
        sl__reserve(&cs->al, cs->edit, &cs->edit_room, cs->edit_count + count, sizeof *grown);
    if (!grown) {
        return sl__fail(&cs->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    cs->edit = grown;
    for (int32_t k = 0; k < count; k++) {
        cs->edit[cs->edit_count++] = edits[k];
    }
    cs->solved = false;
    return SL_OK;
}

void sl_case_clear(sl_case *cs)
{
    cs->edit_count = 0;
    cs->solved = false;
}

/* The nodes of an attached part are the circuit's; only terminals left out bring their own. */
static sl_status find_node(void *user, const char *name, bool made_here, sl_node *out)
{
    sl_case *cs = user;
    *out = sl__names_find(&cs->circuit->nodes, name);
    if (*out >= 0) {
        return SL_OK;
    }
    *out = sl__names_find(&cs->extra_nodes, name);
    if (*out < 0 && !made_here) {
        return SL_E_NAME;
    }
    if (*out < 0 && sl__names_add(&cs->al, &cs->extra_nodes, name, out) != SL_OK) {
        return SL_E_NOMEM;
    }
    *out += cs->circuit->nodes.count;
    return SL_OK;
}

sl_status sl_case_attach(sl_case *cs, const sl_part_def *def, sl_part *out)
{
    int32_t nodes = cs->extra_nodes.count;
    sl__node_finder finder = {cs, find_node};
    sl_part own = 0;
    sl_status st =
        sl__parts_add(&cs->al, &cs->extra, &cs->circuit->parts, &finder, def, &cs->message, &own);
    if (st != SL_OK) {
        sl__names_truncate(&cs->al, &cs->extra_nodes, nodes);
        return st;
    }
    *out = cs->circuit->parts.names.count + own;
    sl__bases_free(cs);
    cs->prepared = cs->solved = false;
    return SL_OK;
}

sl_status sl_case_solve(sl_case *cs)
{
    cs->solved = false;
    cs->view = 0;
    sl_status st = sl__case_prepare(cs);
    if (st == SL_OK && cs->quick.on && !cs->quick.made && cs->edit_count > 0) {
        st = sl__bases_make(cs);
    }
    if (st == SL_OK) {
        st = sl__settle(cs);
    }
    cs->solved = st == SL_OK;
    return st;
}

void sl_case_set_quick(sl_case *cs, bool quick)
{
    cs->quick.on = quick;
    cs->quick.effort = (sl_effort){0};
}

sl_effort sl_case_effort(const sl_case *cs)
{
    return cs->quick.effort;
}

sl_outcome sl_case_outcome(const sl_case *cs)
{
    return cs->outcome;
}

sl_status sl_case_view(sl_case *cs, int32_t view)
{
    if (view < 0 || view > (cs->outcome == SL_CHATTERS ? 1 : 0)) {
        return SL_E_ARG;
    }
    if (cs->solved) {
        sl__trim_show(cs, &cs->answer[view]);
    }
    cs->view = view;
    return SL_OK;
}

double sl_case_period_s(const sl_case *cs)
{
    return cs->period_s;
}

sl_status sl_case_node(const sl_case *cs, sl_node node, double *volts)
{
    return sl_case_between(cs, node, sl_circuit_reference(cs->circuit), volts);
}

sl_status sl_case_between(const sl_case *cs, sl_node red, sl_node black, double *volts)
{
    int32_t nodes = cs->circuit->nodes.count + cs->extra_nodes.count;
    if (!cs->solved || red < 0 || black < 0 || red >= nodes || black >= nodes) {
        return SL_E_ARG;
    }
    const sl__answer *answer = &cs->answer[cs->view];
    if (answer->island[red] != answer->island[black]) {
        *volts = SL__NAN;
        return SL_W_FLOATING;
    }
    *volts = sl__pair_value(sl__pair_sub(answer->node_v[red], answer->node_v[black]));
    return SL_OK;
}

/* Current into the first terminal: of every element that ends there. */
static double first_current(const sl_case *cs, const sl__answer *answer, sl_part part)
{
    const sl_kind *kind = &sl__case_part(cs, part)->kind->about;
    sl__pair sum = sl__pair_of(0.0);
    for (int32_t e = 0; e < kind->element_count; e++) {
        int32_t k = cs->branch_at[part] + e;
        bool out = kind->elements[e].from == 0, in = kind->elements[e].to == 0;
        if ((out || in) && answer->loop[k]) {
            return SL__NAN;
        }
        sum = out ? sl__pair_add(sum, answer->i[k]) : in ? sl__pair_sub(sum, answer->i[k]) : sum;
    }
    return sl__pair_value(sum);
}

/* Power taken by a branch; nothing flows in one whose ends are not joined. */
static double branch_power(const sl__answer *answer, int32_t k)
{
    double i = answer->loop[k] ? SL__NAN : sl__pair_value(answer->i[k]);
    return i == 0.0 ? 0.0 : answer->u[k] * i;
}

sl_status sl_case_part(const sl_case *cs, sl_part part, sl_part_answer *out)
{
    if (!cs->solved || !is_part(cs, part)) {
        return SL_E_ARG;
    }
    const sl__answer *answer = &cs->answer[cs->view];
    out->current_a = first_current(cs, answer, part);
    sl_case_between(cs, sl__case_terminal(cs, part, 0), sl__case_terminal(cs, part, 1),
                    &out->drop_v);
    out->power_w = 0.0;
    for (int32_t k = cs->branch_at[part]; k < cs->branch_at[part + 1]; k++) {
        out->power_w += branch_power(answer, k);
    }
    for (int32_t k = cs->elements; k < cs->branches; k++) {
        out->power_w += cs->branch[k].part == part ? branch_power(answer, k) : 0.0;
    }
    out->state = answer->state[part];
    out->chatters = cs->chatters[part];
    return isnan(out->current_a) ? SL_W_UNDETERMINED : SL_OK;
}

sl_status sl_case_element(const sl_case *cs, sl_part part, int32_t element, double *current_a,
                          double *drop_v)
{
    if (!cs->solved || !is_part(cs, part) || element < 0 ||
        element >= sl__case_part(cs, part)->kind->about.element_count) {
        return SL_E_ARG;
    }
    const sl__answer *answer = &cs->answer[cs->view];
    int32_t k = cs->branch_at[part] + element;
    *current_a = answer->loop[k] ? SL__NAN : sl__pair_value(answer->i[k]);
    const sl_element *ends = &sl__case_part(cs, part)->kind->about.elements[element];
    sl_case_between(cs, sl__case_terminal(cs, part, ends->from),
                    sl__case_terminal(cs, part, ends->to), drop_v);
    return answer->loop[k] ? SL_W_UNDETERMINED : SL_OK;
}

sl_status sl_case_reading(const sl_case *cs, const sl_reading *of, double *value)
{
    double unused;
    if (of->part == SL_NONE) {
        return sl_case_between(cs, of->red, of->black, value);
    }
    if (of->element >= 0) {
        return sl_case_element(cs, of->part, of->element, value, &unused);
    }
    if (!cs->solved || !is_part(cs, of->part)) {
        return SL_E_ARG;
    }
    *value = first_current(cs, &cs->answer[cs->view], of->part);
    return isnan(*value) ? SL_W_UNDETERMINED : SL_OK;
}

/* What a parameter that is not set comes to; a temperature is that around the part. */
static double comes_to(const sl_case *cs, sl_part part, int32_t param)
{
    const sl__kind *kind = sl__case_part(cs, part)->kind;
    const sl_param *about = &kind->about.params[param];
    if (about->quantity == SL_TEMPERATURE && strcmp(about->name, "temperature") == 0) {
        return cs->celsius;
    }
    return kind->comes_to ? kind->comes_to(sl__case_values(cs, part), cs->celsius, param) : SL__NAN;
}

sl_status sl_case_part_value(const sl_case *cs, sl_part part, int32_t param, double *value)
{
    if (!cs->solved || !is_part(cs, part) || param < 0 ||
        param >= sl__case_part(cs, part)->kind->about.param_count) {
        return SL_E_ARG;
    }
    *value = sl__case_values(cs, part)[param];
    *value = isnan(*value) ? comes_to(cs, part, param) : *value;
    return SL_OK;
}

sl_status sl_case_part_origin(const sl_case *cs, sl_part part, int32_t param, sl_origin *origin)
{
    double used = NAN;
    const sl_status status = sl_case_part_value(cs, part, param, &used);
    if (status != SL_OK) {
        return status;
    }
    *origin = sl__case_origin(cs, part, param, used);
    return SL_OK;
}

bool sl_case_part_lacks(const sl_case *cs, sl_part part, sl_lack_of of, int32_t index)
{
    return cs->solved && is_part(cs, part) &&
           sl_kind_lacks(&sl__case_part(cs, part)->kind->about, sl__case_values(cs, part), of,
                         index);
}

int32_t sl_case_notices(const sl_case *cs, sl_part part, sl_notice *out, int32_t room)
{
    if (!cs->solved || !is_part(cs, part)) {
        return 0;
    }
    const sl__kind *kind = sl__case_part(cs, part)->kind;
    const sl__answer *answer = &cs->answer[cs->view];
    sl__flow flow[SL__ELEMENTS_MOST];
    sl__flows(cs, answer, part, flow);
    sl__notice_list list = {0};
    sl__notices_of(kind, sl__case_values(cs, part), answer->state[part], flow, &list);
    for (int32_t n = 0; n < list.count && n < room; n++) {
        out[n] = (sl_notice){list.item[n].index, list.item[n].value};
    }
    return list.count;
}

void sl_case_quality(const sl_case *cs, sl_quality *out)
{
    *out = cs->answer[cs->view].quality;
    out->flips = cs->flips;
}

/* lib/solve/prepare.c: every array a solve needs, taken once and kept while the sizes stay. */
#include "solve/solve.h"

/* Resistances that faults can put in series: an upper bound over the conditions passed through. */
static int32_t count_series(const sl_case *cs)
{
    int32_t most = 0;
    for (sl_condition c = cs->condition; c != SL_NONE; c = cs->circuit->condition[c].after) {
        int32_t count = 0;
        const sl_edit *edit;
        for (int32_t k = 0; (edit = sl__case_edit_at(cs, c, k)); k++) {
            count += edit->change == SL_SERIES;
        }
        most = count > most ? count : most;
    }
    return most;
}

static void take_network(sl__arena *a, sl__network *net, int32_t nodes, int32_t branches)
{
    net->link = sl__arena_take(a, branches, sizeof *net->link);
    net->loop = sl__arena_take(a, branches, sizeof *net->loop);
    net->order = sl__arena_take(a, nodes, sizeof *net->order);
    net->up_node = sl__arena_take(a, nodes, sizeof *net->up_node);
    net->up_link = sl__arena_take(a, nodes, sizeof *net->up_link);
    net->row = sl__arena_take(a, nodes, sizeof *net->row);
    net->offset = sl__arena_take(a, nodes, sizeof *net->offset);
    net->at = sl__arena_take(a, nodes + 1, sizeof *net->at);
    net->list = sl__arena_take(a, 2 * branches, sizeof *net->list);
    net->from = sl__arena_take(a, branches, sizeof *net->from);
    net->to = sl__arena_take(a, branches, sizeof *net->to);
    net->g = sl__arena_take(a, branches, sizeof *net->g);
    net->emf = sl__arena_take(a, branches, sizeof *net->emf);
    net->island = sl__arena_take(a, nodes + 1, sizeof *net->island);
    net->inject = sl__arena_take(a, nodes + 1, sizeof *net->inject);
    net->made_from = sl__arena_take(a, branches, sizeof *net->made_from);
    net->made_to = sl__arena_take(a, branches, sizeof *net->made_to);
    net->made_rows = net->made_branches = -1;
}

static void take_answer(sl__arena *a, const sl_case *cs, sl__answer *answer)
{
    int32_t nodes = cs->node_room, branches = cs->branch_room;
    answer->row_v = sl__arena_take(a, nodes, sizeof *answer->row_v);
    answer->node_v = sl__arena_take(a, nodes, sizeof *answer->node_v);
    answer->island = sl__arena_take(a, nodes, sizeof *answer->island);
    answer->i = sl__arena_take(a, branches, sizeof *answer->i);
    answer->u = sl__arena_take(a, branches, sizeof *answer->u);
    answer->loop = sl__arena_take(a, branches, sizeof *answer->loop);
    answer->state = sl__arena_take(a, cs->parts, sizeof *answer->state);
    answer->trim = sl__arena_take(a, cs->adjusting_count, sizeof *answer->trim);
}

/* Lists the parts that may adjust themselves, with room for all of them to do so. */
static void take_trimming(sl__arena *a, sl_case *cs)
{
    int32_t count = 0;
    for (sl_part p = 0; p < cs->parts; p++) {
        count += sl__case_part(cs, p)->kind->trim != NULL;
    }
    cs->adjusting_count = count;
    cs->trimming_count = 0;
    cs->adjusting = sl__arena_take(a, count, sizeof *cs->adjusting);
    cs->trimming = sl__arena_take(a, count, sizeof *cs->trimming);
    cs->trim_error = sl__arena_take(a, count, sizeof *cs->trim_error);
    cs->trim_last = sl__arena_take(a, count, sizeof *cs->trim_last);
    cs->trim_step = sl__arena_take(a, count, sizeof *cs->trim_step);
    for (sl_part p = 0, t = 0; cs->adjusting && p < cs->parts; p++) {
        if (sl__case_part(cs, p)->kind->trim) {
            cs->adjusting[t++] = p;
        }
    }
}

/* Flips after which a search for a settled state is given up; settling takes a few. */
#define MOMENTS_AT_LEAST 64
#define MOMENTS_PER_PART 8

static void take_states(sl__arena *a, sl_case *cs)
{
    cs->stateful = sl__arena_take(a, cs->parts, sizeof *cs->stateful);
    cs->state = sl__arena_take(a, cs->parts, sizeof *cs->state);
    cs->start = sl__arena_take(a, cs->parts, sizeof *cs->start);
    cs->chatters = sl__arena_take(a, cs->parts, sizeof *cs->chatters);
    cs->stateful_count = 0;
    for (sl_part p = 0; !a->failed && p < cs->parts; p++) {
        if (sl__case_part(cs, p)->kind->about.state_count > 0) {
            cs->stateful[cs->stateful_count++] = p;
        } else {
            cs->state[p] = -1;
        }
    }
    int32_t count = cs->stateful_count;
    cs->moment_room = count ? MOMENTS_AT_LEAST + MOMENTS_PER_PART * count : 0;
    cs->timer = sl__arena_take(a, count, sizeof *cs->timer);
    cs->want = sl__arena_take(a, count, sizeof *cs->want);
    cs->wish = sl__arena_take(a, count, sizeof *cs->wish);
    cs->delay = sl__arena_take(a, count, sizeof *cs->delay);
    cs->past_wish = sl__arena_take(a, cs->moment_room * count, sizeof *cs->past_wish);
    cs->past_delay = sl__arena_take(a, cs->moment_room * count, sizeof *cs->past_delay);
    cs->past_state = sl__arena_take(a, cs->moment_room * count, sizeof *cs->past_state);
    cs->past_timer = sl__arena_take(a, cs->moment_room * count, sizeof *cs->past_timer);
    cs->past_time = sl__arena_take(a, cs->moment_room, sizeof *cs->past_time);
}

sl_status sl__case_prepare(sl_case *cs)
{
    int32_t series = count_series(cs);
    int32_t own_nodes = cs->circuit->nodes.count + cs->extra_nodes.count;
    if (cs->prepared && own_nodes + series <= cs->node_room &&
        cs->elements + series <= cs->branch_room) {
        return SL_OK;
    }
    cs->parts = cs->circuit->parts.names.count + cs->extra.names.count;
    int32_t elements = 0, most_params = 1;
    for (sl_part p = 0; p < cs->parts; p++) {
        const sl_kind *kind = &sl__case_part(cs, p)->kind->about;
        elements += kind->element_count;
        most_params = kind->param_count > most_params ? kind->param_count : most_params;
    }
    int32_t nodes = own_nodes + series, branches = elements + series;
    sl__arena *a = &cs->arena;
    sl__arena_clear(a);
    cs->prepared = cs->laid = false;
    cs->elements = elements;
    cs->node_room = nodes;
    cs->branch_room = branches;
    cs->branch_at = sl__arena_take(a, cs->parts + 1, sizeof *cs->branch_at);
    for (sl_part p = 0; cs->branch_at && p < cs->parts; p++) {
        cs->branch_at[p + 1] = cs->branch_at[p] + sl__case_part(cs, p)->kind->about.element_count;
    }
    cs->value = sl__arena_take(a, cs->circuit->parts.value_count + cs->extra.value_count,
                               sizeof *cs->value);
    cs->given = sl__arena_take(a, most_params, sizeof *cs->given);
    cs->branch = sl__arena_take(a, branches, sizeof *cs->branch);
    cs->opened = sl__arena_take(a, elements, sizeof *cs->opened);
    take_network(a, &cs->net, nodes, branches);
    cs->curves.branch = sl__arena_take(a, elements, sizeof *cs->curves.branch);
    cs->curves.v = sl__arena_take(a, elements, sizeof *cs->curves.v);
    cs->curves.slope = sl__arena_take(a, elements, sizeof *cs->curves.slope);
    cs->b = sl__arena_take(a, nodes, sizeof *cs->b);
    cs->x = sl__arena_take(a, nodes, sizeof *cs->x);
    cs->scale = sl__arena_take(a, nodes, sizeof *cs->scale);
    cs->sum = sl__arena_take(a, nodes, sizeof *cs->sum);
    take_states(a, cs);
    take_trimming(a, cs);
    take_answer(a, cs, &cs->answer[0]);
    take_answer(a, cs, &cs->answer[1]);
    if (a->failed) {
        return sl__fail(&cs->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    cs->prepared = true;
    return SL_OK;
}

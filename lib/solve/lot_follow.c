/* lib/solve/lot_follow.c: the way a case takes with every value as it is, written down. */
#include <math.h>
#include <string.h>

#include "solve/lot_plan.h"

/* Copies of arrays, in the arena; NULL when memory runs out. */
void *sl__plan_copy(sl__plan *plan, const void *from, int32_t count, size_t size)
{
    void *to = sl__arena_take(&plan->arena, count, size);
    if (to && count > 0) {
        memcpy(to, from, (size_t)count * size);
    }
    return to;
}

/* Writes down the moment that the case is in. */
static void write_down(sl__plan *plan, sl__stage *stage)
{
    const sl_case *cs = plan->cs;
    const sl__network *net = &cs->net;
    const sl__answer *answer = &cs->answer[0];
    const int32_t n = cs->branches;
    sl__arena *a = &plan->arena;
    stage->celsius = cs->celsius;
    stage->rows = net->rows;
    stage->state = sl__plan_copy(plan, cs->state, cs->parts, sizeof *cs->state);
    stage->from = sl__plan_copy(plan, net->from, n, sizeof *net->from);
    stage->to = sl__plan_copy(plan, net->to, n, sizeof *net->to);
    stage->offset = sl__arena_take(a, n + 1, sizeof *stage->offset);
    stage->up_node = sl__plan_copy(plan, net->up_node, cs->nodes, sizeof *net->up_node);
    stage->up_link = sl__plan_copy(plan, net->up_link, cs->nodes, sizeof *net->up_link);
    stage->loop = sl__plan_copy(plan, net->loop, n, sizeof *net->loop);
    stage->joined = sl__arena_take(a, n, sizeof *stage->joined);
    stage->law = sl__arena_take(a, n, sizeof *stage->law);
    stage->link = sl__plan_copy(plan, net->link, n, sizeof *net->link);
    stage->curve = sl__arena_take(a, cs->curves.count, sizeof *stage->curve);
    stage->curve_v = sl__arena_take(a, cs->curves.count, sizeof *stage->curve_v);
    stage->trim = sl__arena_take(a, cs->trimming_count, sizeof *stage->trim);
    if (a->failed) {
        return;
    }
    for (int32_t k = 0; k < n; k++) {
        const sl__branch *branch = &cs->branch[k];
        stage->offset[k] =
            sl__pair_value(sl__pair_sub(net->offset[branch->from], net->offset[branch->to]));
        stage->joined[k] = answer->island[branch->from] == answer->island[branch->to];
        stage->law[k] = branch->law;
    }
    for (int32_t c = 0; c < cs->curves.count; c++) {
        const int32_t k = cs->curves.branch[c];
        stage->curve[stage->curves] = k;
        stage->curve_v[stage->curves++] = isnan(answer->u[k]) ? 0.0 : answer->u[k];
    }
    const sl_reading *of = &plan->of;
    if (of->part == SL_NONE) {
        stage->red = net->row[of->red];
        stage->black = net->row[of->black];
        stage->offset[n] =
            sl__pair_value(sl__pair_sub(net->offset[of->red], net->offset[of->black]));
    }
}

/* Have the conditions so far opened the same elements, and put as much in series? What a condition
   changes of that is not followed. */
static bool same_shape(sl__plan *plan)
{
    const sl_case *cs = plan->cs;
    bool same = true;
    for (int32_t k = 0; k < cs->elements; k++) {
        same = same && (plan->stages == 1 || plan->open[k] == cs->branch[k].open);
        plan->open[k] = cs->branch[k].open;
    }
    same = same && (plan->stages == 1 || plan->branches == cs->branches);
    plan->branches = cs->branches;
    return same;
}

/* What moves next, by the timers of the case. */
static sl__move next_move(sl_case *cs)
{
    sl__settle_timers(cs);
    const int32_t mover = sl__settle_first(cs);
    return (sl__move){mover, mover < 0 ? 0 : cs->want[mover]};
}

/* Writes down the stage that a case has come to, and solves it. */
static sl_status follow(sl__plan *plan, sl_condition condition, bool begins, const double *value,
                        bool *found)
{
    sl_case *cs = plan->cs;
    *found = false;
    cs->moments = 0; /* every stage is to be solved */
    sl_status st = sl__settle_ask(cs, &cs->answer[0]);
    if (st != SL_OK) {
        return st == SL_E_NOMEM ? st : SL_OK;
    }
    sl__stage *stage = &plan->stage[plan->stages++];
    stage->condition = condition;
    stage->begins = begins;
    stage->value = value;
    write_down(plan, stage);
    if (plan->arena.failed) {
        return SL_E_NOMEM;
    }
    memcpy(stage->trim, cs->answer[0].trim, (size_t)cs->trimming_count * sizeof *stage->trim);
    stage->islands = cs->net.islands;
    plan->most_rows = stage->rows > plan->most_rows ? stage->rows : plan->most_rows;
    *found = same_shape(plan);
    return SL_OK;
}

/* The conditions of a case from the first that counts to its own. What came before leaves nothing
   behind where no part has states. */
static int32_t list_conditions(const sl_case *cs, sl_condition list[SL__STAGES_MOST])
{
    int32_t depth = 0, count = 0;
    for (sl_condition c = cs->condition; c != SL_NONE; c = cs->circuit->condition[c].after) {
        depth++;
    }
    if (depth > SL__STAGES_MOST) {
        return 0;
    }
    for (sl_condition c = cs->condition; c != SL_NONE; c = cs->circuit->condition[c].after) {
        list[--depth] = c;
        count++;
    }
    if (cs->stateful_count == 0) {
        list[0] = cs->condition;
        count = 1;
    }
    return count;
}

/* Between islands there is no voltage. */
static bool is_defined(const sl_case *cs, const sl_reading *of)
{
    const int32_t *island = cs->answer[0].island;
    return of->part != SL_NONE || island[of->red] == island[of->black];
}

sl_status sl__plan_follow(sl__plan *plan, const sl__way *way, bool *found)
{
    sl_case *cs = plan->cs;
    sl_condition list[SL__STAGES_MOST];
    const int32_t count = list_conditions(cs, list);
    int32_t at = 0;
    for (int32_t n = 0; n < count; n++) {
        *found = false;
        if (sl__laws_values(cs, list[n]) != SL_OK) {
            return SL_OK;
        }
        const double *value =
            sl__plan_copy(plan, cs->value, cs->circuit->parts.value_count + cs->extra.value_count,
                          sizeof *cs->value);
        if (n == 0) {
            sl__laws_start(cs);
        }
        for (bool begins = true, content = false; !content; begins = false) {
            const sl_status st = follow(plan, list[n], begins, value, found);
            if (st != SL_OK || !*found) {
                return st;
            }
            const sl__move move = plan->stage[plan->stages - 1].move = way->move[at++];
            content = move.mover < 0;
            if (!content) {
                cs->state[cs->stateful[move.mover]] = move.to;
            }
        }
    }
    *found = *found && is_defined(cs, &plan->of);
    return SL_OK;
}

sl_status sl__way_find(sl_case *cs, sl__way *way, bool *found)
{
    sl_condition list[SL__STAGES_MOST];
    const int32_t count = list_conditions(cs, list);
    way->count = 0;
    *found = false;
    for (int32_t n = 0; n < count; n++) {
        if (sl__laws_values(cs, list[n]) != SL_OK) {
            return SL_OK;
        }
        if (n == 0) {
            sl__laws_start(cs);
        }
        for (int32_t s = 0; s < cs->stateful_count; s++) {
            cs->timer[s] = -1;
        }
        for (sl__move move = {0, 0}; move.mover >= 0;) {
            if (way->count == SL__STAGES_MOST) {
                return SL_OK;
            }
            cs->moments = 0; /* every stage is to be solved */
            const sl_status st = sl__settle_ask(cs, &cs->answer[0]);
            if (st != SL_OK) {
                return st == SL_E_NOMEM ? st : SL_OK;
            }
            way->move[way->count++] = move = next_move(cs);
            if (move.mover >= 0) {
                sl__settle_move(cs, move.mover);
            }
        }
    }
    *found = count > 0;
    return SL_OK;
}

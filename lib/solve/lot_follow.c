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

/* Has a stage the shape of an earlier one? */
static bool shares(const sl__plan *plan, const sl__stage *stage, const sl__stage *earlier)
{
    const size_t bytes = (size_t)plan->branches * sizeof *stage->from;
    return stage->rows == earlier->rows && memcmp(stage->from, earlier->from, bytes) == 0 &&
           memcmp(stage->to, earlier->to, bytes) == 0;
}

/* The factor of the network that the case has just solved. */
static sl_status make_factor(sl__plan *plan, sl__stage *stage)
{
    stage->islands = plan->cs->net.islands;
    plan->most_rows = stage->rows > plan->most_rows ? stage->rows : plan->most_rows;
    for (int32_t s = 0; s < plan->stages - 1; s++) {
        if (shares(plan, stage, &plan->stage[s])) {
            stage->factor = plan->stage[s].factor;
            return SL_OK;
        }
    }
    stage->factor = plan->factors;
    const sl_status st = sl__factor_new(&plan->al, stage->rows, plan->branches, stage->from,
                                        stage->to, &plan->factor[plan->factors]);
    plan->factors += st == SL_OK;
    return st;
}

/* Follows the case through one condition. *found: false where there is no way to follow. */
static sl_status follow(sl__plan *plan, sl_condition condition, bool first, bool *found)
{
    sl_case *cs = plan->cs;
    *found = false;
    if (sl__laws_values(cs, condition) != SL_OK) {
        return SL_OK;
    }
    const double *value = sl__plan_copy(
        plan, cs->value, cs->circuit->parts.value_count + cs->extra.value_count, sizeof *cs->value);
    if (first) {
        sl__laws_start(cs);
    }
    for (int32_t s = 0; s < cs->stateful_count; s++) {
        cs->timer[s] = -1;
    }
    cs->moments = 0; /* every stage is to be solved */
    bool begins = true;
    for (int32_t mover = 0; mover >= 0; begins = false) {
        if (plan->stages == plan->stage_room) {
            return SL_OK;
        }
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
        if (!same_shape(plan)) {
            return SL_OK;
        }
        if ((st = make_factor(plan, stage)) != SL_OK) {
            return st;
        }
        sl__settle_timers(cs);
        mover = stage->mover = sl__settle_first(cs);
        if (mover >= 0) {
            sl__settle_move(cs, mover);
        }
    }
    *found = true;
    return SL_OK;
}

sl_status sl__plan_follow(sl__plan *plan, bool *found)
{
    sl_case *cs = plan->cs;
    int32_t depth = 0;
    for (sl_condition c = cs->condition; c != SL_NONE; c = cs->circuit->condition[c].after) {
        depth++;
    }
    *found = true;
    bool first = true;
    for (int32_t k = depth - 1; k >= 0 && *found; k--) {
        sl_condition condition = cs->condition;
        for (int32_t back = 0; back < k; back++) {
            condition = cs->circuit->condition[condition].after;
        }
        if (cs->stateful_count == 0 && k > 0) {
            continue; /* what came before leaves nothing behind */
        }
        const sl_status st = follow(plan, condition, first, found);
        if (st != SL_OK) {
            return st;
        }
        first = false;
    }
    return SL_OK;
}

/* lib/solve/lot_ways.c: where currents come in at a stage, what is read, and the way between. */
#include <string.h>

#include "solve/lot_plan.h"

/* Numbers the elements of parts that are asked what they do: first of those that adjust themselves.
 */
void sl__plan_number_flows(sl__plan *plan)
{
    for (int32_t t = 0; t < plan->trims; t++) {
        sl__plan_part *part = &plan->part[plan->trim[t]];
        part->flow_at = plan->flows;
        plan->flows += part->count;
    }
    plan->trim_flows = plan->flows;
    for (int32_t s = 0; s < plan->statefuls; s++) {
        sl__plan_part *part = &plan->part[plan->stateful[s]];
        if (part->trim < 0) {
            part->flow_at = plan->flows;
            plan->flows += part->count;
        }
    }
}

static void find_flows(const sl__plan *plan, sl__stage *stage)
{
    for (int32_t p = 0; p < plan->parts; p++) {
        const sl__plan_part *part = &plan->part[p];
        for (int32_t e = 0; e < part->count && (part->stateful || part->trim >= 0); e++) {
            const int32_t k = part->branch + e;
            const sl__form form = stage->law[k].form;
            stage->flow[part->flow_at + e] =
                (sl__lot_flow){.branch = k,
                               .slot = plan->slot[k],
                               .by = stage->link[k]      ? SL__LOT_NO_FLOW
                                     : form == SL__OHMIC ? SL__LOT_STRAIGHT
                                     : form == SL__CURVE ? SL__LOT_CURVED
                                     : form == SL__FIXED ? SL__LOT_FIXED
                                                         : SL__LOT_NO_FLOW};
        }
    }
}

static void add_need(sl__stage *stage, int32_t k)
{
    stage->need[stage->needs++] = stage->from[k];
    stage->need[stage->needs++] = stage->to[k];
}

/* Makes what an element carries known. False: it has no current of its own. */
static bool want(sl__plan *plan, sl__stage *stage, int32_t k)
{
    add_need(stage, k);
    return !stage->link[k] || sl__plan_sum(plan, stage, k);
}

/* The rows that decisions, and at the end the reading, are taken from. False: a current that is
   wanted is not defined. */
static bool find_needs(sl__plan *plan, sl__stage *stage, bool last)
{
    const sl_case *cs = plan->cs;
    bool known = true;
    for (int32_t p = 0; p < plan->parts; p++) {
        const sl__plan_part *part = &plan->part[p];
        if (!part->stateful && part->trim < 0) {
            continue;
        }
        for (int32_t k = part->branch; k < part->branch + part->count; k++) {
            known = known && want(plan, stage, k);
        }
        for (int32_t k = cs->elements; k < cs->branches; k++) {
            if (cs->branch[k].part == part->part) {
                add_need(stage, k);
            }
        }
    }
    if (last && plan->of.part == SL_NONE) {
        stage->need[stage->needs++] = stage->red;
        stage->need[stage->needs++] = stage->black;
    } else if (last) {
        const int32_t first = cs->branch_at[plan->of.part];
        for (int32_t k = first; k < cs->branch_at[plan->of.part + 1]; k++) {
            known = known &&
                    (plan->of.element < 0 || k == first + plan->of.element ? want(plan, stage, k)
                                                                           : true);
        }
    }
    for (int32_t c = 0; c < stage->curves; c++) {
        add_need(stage, stage->curve[c]);
    }
    /* Currents of links are sums of those of other branches. */
    bool *listed = sl__arena_take(&plan->arena, cs->branches, sizeof *listed);
    for (int32_t n = 0; known && listed && n < stage->sums; n++) {
        for (int32_t i = 0; i < stage->sum[n].count; i++) {
            const int32_t k = stage->sum[n].branch[i];
            if (!listed[k]) {
                add_need(stage, k);
            }
            listed[k] = true;
        }
    }
    return known && listed;
}

static bool is_lifted(const sl__stage *stage, int32_t k)
{
    for (int32_t n = 0; n < stage->lifts; n++) {
        for (int32_t i = 0; i < stage->lift[n].count; i++) {
            if (stage->lift[n].branch[i] == k) {
                return true;
            }
        }
    }
    return false;
}

/* Branches that drive currents: sources, and what may be one in some sample. */
static void find_drives(const sl__plan *plan, sl__stage *stage)
{
    const sl_case *cs = plan->cs;
    for (int32_t k = 0; k < cs->branches; k++) {
        const sl__law *law = &stage->law[k];
        if (law->form == SL__FIXED) {
            stage->fix[stage->fixed++] = k;
        } else if (law->form == SL__OHMIC && !stage->link[k] &&
                   (stage->offset[k] - law->open_v != 0.0 || is_lifted(stage, k) ||
                    sl__plan_moves(plan, stage, k, SL__NUMBER_OPEN_V))) {
            stage->drive[stage->driven++] = k;
        }
    }
}

/* Numbers rows as they are eliminated, and the reference's after all. */
static void number_rows(const sl__plan *plan, sl__stage *stage, const int32_t *place)
{
    const int32_t last = plan->most_rows;
    for (int32_t k = 0; k < plan->branches; k++) {
        stage->from[k] = stage->from[k] < 0 ? last : place[stage->from[k]];
        stage->to[k] = stage->to[k] < 0 ? last : place[stage->to[k]];
    }
    int32_t needs = 0;
    for (int32_t n = 0; n < stage->needs; n++) {
        if (stage->need[n] >= 0) {
            stage->need[needs++] = place[stage->need[n]];
        }
    }
    stage->needs = needs;
    stage->red = stage->red < 0 ? last : place[stage->red];
    stage->black = stage->black < 0 ? last : place[stage->black];
}

bool sl__plan_wants(sl__plan *plan, sl__stage *stage, bool last)
{
    if (!find_needs(plan, stage, last)) {
        return false;
    }
    find_drives(plan, stage);
    find_flows(plan, stage);
    return true;
}

/* Has a stage the shape of an earlier one? */
static bool shares(const sl__plan *plan, const sl__stage *stage, const sl__stage *earlier)
{
    const size_t bytes = (size_t)plan->branches * sizeof *stage->shape_from;
    return stage->rows == earlier->rows &&
           memcmp(stage->shape_from, earlier->shape_from, bytes) == 0 &&
           memcmp(stage->shape_to, earlier->shape_to, bytes) == 0;
}

/* The factor of a stage: that of an earlier one of its shape, or a new one. */
static sl_status find_factor(sl__plan *plan, sl__stage *stage)
{
    for (const sl__stage *earlier = plan->stage; earlier < stage; earlier++) {
        if (shares(plan, stage, earlier)) {
            stage->factor = earlier->factor;
            return SL_OK;
        }
    }
    stage->factor = plan->factors;
    const sl_status st = sl__factor_new(&plan->al, stage->rows, plan->branches, stage->shape_from,
                                        stage->shape_to, &plan->factor[plan->factors]);
    plan->factors += st == SL_OK;
    return st;
}

sl_status sl__plan_ways(sl__plan *plan, sl__stage *stage)
{
    sl_status st = sl__plan_runs(plan, stage);
    st = st == SL_OK ? sl__plan_sums(plan, stage) : st;
    st = st == SL_OK ? find_factor(plan, stage) : st;
    if (st != SL_OK) {
        return st;
    }
    const sl__factor *factor = plan->factor[stage->factor];
    const int32_t most = 2 * plan->branches;
    int32_t rows = 0;
    int32_t *row = sl__arena_take(&plan->arena, most, sizeof *row);
    int32_t *work = sl__arena_take(&plan->arena, stage->rows, sizeof *work);
    uint8_t *ways = sl__arena_take(&plan->arena, sl__factor_blocks(factor), sizeof *ways);
    stage->use = sl__arena_take(&plan->arena, stage->rows + 1, sizeof *stage->use);
    if (!row || !work || !ways || !stage->use) {
        return SL_E_NOMEM;
    }
    const int32_t *const lists[] = {stage->drive, stage->fix, stage->curve};
    const int32_t counts[] = {stage->driven, stage->fixed, stage->curves};
    for (int i = 0; i < 3; i++) {
        for (int32_t n = 0; n < counts[i]; n++) {
            row[rows++] = stage->from[lists[i][n]];
            row[rows++] = stage->to[lists[i][n]];
        }
    }
    sl__factor_mark_ways(factor, rows, row, SL__WAY_IN, work, ways);
    if (stage->given) { /* what is left over at any row is to be solved for */
        sl__factor_mark_ways(factor, stage->needs, stage->need, SL__WAY_IN, work, ways);
    }
    sl__factor_mark_ways(factor, stage->needs, stage->need, SL__WAY_OUT, work, ways);
    st = sl__along_new(&plan->al, factor, ways, &stage->along);
    if (st == SL_OK) {
        sl__along_place(factor, work);
        number_rows(plan, stage, work);
        stage->used = sl__along_rows(stage->along, stage->use);
        stage->use[stage->used++] = plan->most_rows;
        const int32_t room = sl__along_room(stage->along);
        plan->along_room = room > plan->along_room ? room : plan->along_room;
    }
    return st;
}

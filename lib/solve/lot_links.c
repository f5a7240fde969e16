/* lib/solve/lot_links.c: ideal sources and joints without resistance on a plan.

   A source in a link lifts all nodes that hang on it; where the source varies, so do the offsets of
   the branches there. The current of a link is what leaves the nodes that hang on it by other
   branches. */
#include <string.h>

#include "solve/lot_plan.h"

/* Does a node hang on a link? */
static bool hangs_on(const sl__stage *stage, sl_node node, int32_t link)
{
    for (sl_node n = node; stage->up_node[n] >= 0; n = stage->up_node[n]) {
        if (stage->up_link[n] == link) {
            return true;
        }
    }
    return false;
}

/* The branches between what hangs on a link and the rest: 1 from there, -1 to there. The reading is
   one more branch, after all others. */
static bool list_around(sl__plan *plan, const sl__stage *stage, int32_t link, bool links,
                        sl__plan_around *out)
{
    const sl_case *cs = plan->cs;
    const int32_t most = plan->branches + 1;
    *out = (sl__plan_around){.link = link};
    out->branch = sl__arena_take(&plan->arena, most, sizeof *out->branch);
    out->sign = sl__arena_take(&plan->arena, most, sizeof *out->sign);
    if (plan->arena.failed) {
        return false;
    }
    for (int32_t k = 0; k < most; k++) {
        const bool reading = k == plan->branches;
        if ((reading && (plan->of.part != SL_NONE || !links)) ||
            (!reading && !links && stage->link[k])) {
            continue;
        }
        const bool from = hangs_on(stage, reading ? plan->of.red : cs->branch[k].from, link);
        const bool to = hangs_on(stage, reading ? plan->of.black : cs->branch[k].to, link);
        if (from != to) {
            out->branch[out->count] = k;
            out->sign[out->count++] = from ? 1.0 : -1.0;
        }
    }
    return true;
}

/* The end of a link that hangs on it. */
static sl_node hanging_end(const sl__plan *plan, const sl__stage *stage, int32_t link)
{
    const sl__branch *branch = &plan->cs->branch[link];
    const sl_node from = branch->from;
    return stage->up_node[from] >= 0 && stage->up_link[from] == link ? from : branch->to;
}

/* May the source of a link vary? */
static bool may_lift(const sl__plan *plan, const sl__stage *stage, int32_t k)
{
    if (!stage->link[k] || !sl__plan_moves(plan, stage, k, -1)) {
        return false;
    }
    const sl__plan_part *part = &plan->part[plan->part_of[plan->cs->branch[k].part]];
    return part->items > 0 || part->warm || part->trim >= 0;
}

bool sl__plan_links(sl__plan *plan, sl__stage *stage)
{
    int32_t links = 0;
    for (int32_t k = 0; k < plan->branches; k++) {
        links += stage->link[k];
    }
    stage->lift = sl__arena_take(&plan->arena, links, sizeof *stage->lift);
    if (!stage->lift) {
        return false;
    }
    for (int32_t k = 0; k < plan->branches; k++) {
        if (!may_lift(plan, stage, k)) {
            continue;
        }
        sl__plan_around *lift = &stage->lift[stage->lifts++];
        if (stage->loop[k] || !list_around(plan, stage, k, true, lift)) {
            return false;
        }
        /* From the end that the link hangs by to the other it rises by its source. */
        const bool from = hanging_end(plan, stage, k) == plan->cs->branch[k].from;
        for (int32_t n = 0; n < lift->count; n++) {
            lift->sign[n] *= from ? 1.0 : -1.0;
        }
    }
    return true;
}

bool sl__plan_sum(sl__plan *plan, sl__stage *stage, int32_t link)
{
    for (int32_t n = 0; n < stage->sums; n++) {
        if (stage->sum[n].link == link) {
            return true;
        }
    }
    if (!stage->sum) {
        stage->sum = sl__arena_take(&plan->arena, plan->branches, sizeof *stage->sum);
    }
    if (!stage->sum || stage->loop[link]) {
        return false;
    }
    sl__plan_around *sum = &stage->sum[stage->sums++];
    if (!list_around(plan, stage, link, false, sum)) {
        return false;
    }
    /* What leaves what hangs there comes in by the link. */
    const bool from = hanging_end(plan, stage, link) == plan->cs->branch[link].from;
    for (int32_t n = 0; n < sum->count; n++) {
        sum->sign[n] *= from ? -1.0 : 1.0;
    }
    return true;
}

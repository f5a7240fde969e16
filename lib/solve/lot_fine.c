/* lib/solve/lot_fine.c: how many digits a reading has, and whether it takes pairs to have enough.

   Two things take digits away: a reading that is a small difference of large voltages; and an
   island that hangs on the reference by a high resistance only, whose level is what rounding leaves
   over of the currents that its sources drive, over that resistance. */
#include <math.h>

#include "solve/lot_plan.h"

/* What rounding may leave over, as a share of a current that is driven, at either of its ends. */
#define LEFT_OVER (4.0 * 0x1p-53)

/* Of a reading rounding may make so much: more takes pairs; of more than the second pairs are not
   enough, and samples are solved whole. Less than `NOTHING`, in V or A, is no reading. */
#define ROUGH 1e-11
#define HOPELESS 1e-5
#define NOTHING 1e-12

/* The voltages of a branch's ends, as sizes. */
static double ends_v(const sl_case *cs, int32_t k)
{
    const sl__branch *branch = &cs->branch[k];
    return fabs(cs->answer[0].node_v[branch->from].hi) + fabs(cs->answer[0].node_v[branch->to].hi);
}

/* What a branch drives into its rows when they are at 0 V, in A; of a curve what it carries where
   its slope brings it from there, as steep as it gets. */
static double driven_a(const sl__plan *plan, const sl__stage *stage, int32_t k)
{
    const sl_case *cs = plan->cs;
    const sl__law *law = &stage->law[k];
    switch (law->form) {
    case SL__OHMIC:
        return stage->link[k] ? 0.0 : fabs(stage->offset[k] - law->open_v) / law->ohm;
    case SL__FIXED:
        return fabs(law->amp);
    case SL__CURVE:
        return fmax(cs->net.g[k], law->scale_s) * ends_v(cs, k);
    default:
        return 0.0;
    }
}

/* What rounding may make of the voltage between two rows of the last stage: by what a current
   between these two makes at the ends of everything that drives one. */
static double rounding_v(const sl__plan *plan, int32_t a, int32_t b)
{
    sl_case *cs = plan->cs;
    const sl__stage *stage = &plan->stage[plan->stages - 1];
    for (int32_t row = 0; row < stage->rows; row++) {
        cs->b[row] = (row == a) - (row == b);
    }
    sl__factor_solve(cs->net.factor, cs->b, cs->x);
    double sum = 0.0;
    for (int32_t k = 0; k < cs->branches; k++) {
        const double amps = driven_a(plan, stage, k);
        const int32_t ends[] = {stage->from[k], stage->to[k]};
        for (int e = 0; amps > 0.0 && ends[0] != ends[1] && e < 2; e++) {
            sum += ends[e] < 0 ? 0.0 : amps * fabs(cs->x[ends[e]]);
        }
    }
    return LEFT_OVER * sum;
}

/* The same of the current of a branch that is no link, in A. */
static double rounding_a(const sl__plan *plan, int32_t k)
{
    const sl__stage *stage = &plan->stage[plan->stages - 1];
    const double siemens = plan->cs->net.g[k];
    return siemens > 0.0 ? siemens * rounding_v(plan, stage->from[k], stage->to[k]) : 0.0;
}

/* As a share of the current of an element; that of a link is a sum. */
static double share_of_amps(const sl__plan *plan, int32_t k)
{
    const sl__stage *stage = &plan->stage[plan->stages - 1];
    double amps = fabs(sl__pair_value(plan->cs->answer[0].i[k])), sum = 0.0;
    const sl__plan_around *around = NULL;
    for (int32_t n = 0; stage->link[k] && n < stage->sums; n++) {
        around = stage->sum[n].link == k ? &stage->sum[n] : around;
    }
    for (int32_t n = 0; around && n < around->count; n++) {
        sum += rounding_a(plan, around->branch[n]);
    }
    sum = stage->link[k] ? sum : rounding_a(plan, k);
    return sum / fmax(isnan(amps) ? 0.0 : amps, NOTHING);
}

/* What rounding may make of the reading in the nominal answer, as a share of it. */
static double rounding_share(const sl__plan *plan)
{
    const sl_case *cs = plan->cs;
    const sl_reading *of = &plan->of;
    const sl__stage *stage = &plan->stage[plan->stages - 1];
    if (of->part == SL_NONE) {
        const sl__pair v =
            sl__pair_sub(cs->answer[0].node_v[of->red], cs->answer[0].node_v[of->black]);
        return rounding_v(plan, stage->red, stage->black) / fmax(fabs(sl__pair_value(v)), NOTHING);
    }
    double most = 0.0;
    const int32_t first = cs->branch_at[of->part];
    for (int32_t k = first; k < cs->branch_at[of->part + 1]; k++) {
        if (of->element < 0 || k == first + of->element) {
            most = fmax(most, share_of_amps(plan, k));
        }
    }
    return most;
}

/* How much is left of the terms that the reading is the difference of, as a share. */
static double left_of_terms(const sl__plan *plan)
{
    const sl__stage *stage = &plan->stage[plan->stages - 1];
    const sl_case *cs = plan->cs;
    const sl__answer *answer = &cs->answer[0];
    double most = 0.0, least = INFINITY;
    if (plan->of.part == SL_NONE) {
        const sl__pair red = answer->node_v[plan->of.red], black = answer->node_v[plan->of.black];
        least = fabs(sl__pair_value(sl__pair_sub(red, black)));
        most = fabs(red.hi) + fabs(black.hi);
    }
    for (int32_t k = 0; plan->of.part != SL_NONE && k < cs->elements; k++) {
        const double ohm = stage->law[k].form == SL__OHMIC ? stage->law[k].ohm : 0.0;
        if (cs->branch[k].part == plan->of.part && ohm > 0.0) {
            const sl__branch *branch = &cs->branch[k];
            least = fmin(least, fabs(sl__pair_value(answer->i[k])) * ohm);
            most = fmax(most, fabs(answer->node_v[branch->from].hi) +
                                  fabs(answer->node_v[branch->to].hi) + fabs(stage->law[k].open_v));
        }
    }
    return most > 0.0 ? least / most : INFINITY;
}

/* In pairs all rows are needed. */
static sl_status need_all(sl__plan *plan)
{
    sl__stage *stage = &plan->stage[plan->stages - 1];
    const sl_case *cs = plan->cs;
    stage->given = sl__arena_take(&plan->arena, cs->branches, sizeof *stage->given);
    stage->need = sl__arena_take(&plan->arena, stage->rows, sizeof *stage->need);
    if (!stage->given || !stage->need) {
        return SL_E_NOMEM;
    }
    stage->needs = 0;
    for (int32_t row = 0; row < stage->rows; row++) {
        stage->need[stage->needs++] = row;
    }
    for (int32_t k = 0; k < cs->branches; k++) {
        stage->given[k] = stage->law[k].form != SL__OHMIC || stage->link[k];
    }
    return SL_OK;
}

sl_status sl__plan_fine(sl__plan *plan, bool *found)
{
    const double rounding = rounding_share(plan);
    *found = rounding <= HOPELESS;
    plan->fine = left_of_terms(plan) < SL__LOT_COARSE || rounding > ROUGH;
    return *found && plan->fine ? need_all(plan) : SL_OK;
}

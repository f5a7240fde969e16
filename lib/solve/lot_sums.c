/* lib/solve/lot_sums.c: the conductances of the runs of a stage, and when they are to be worked
   out.

   A conductance stays from one stage to the next, and from the last one to the first of the next
   samples, as long as nothing else is written in its place. */
#include <string.h>

#include "base/memory.h"
#include "solve/lot_plan.h"

/* What a stage is looked at with. */
typedef struct sums {
    sl__plan *plan;
    sl__stage *stage;
    const sl__stage *before; /* NULL: all is to be worked out */
    bool *fresh;             /* [branches] another value, or law, than before */
    int32_t *size, *was;     /* [branches] of the run that a branch stands for; now, and before */
    int32_t *first, *next;   /* [branches] those in it */
} sums;

static bool is_plain(const sl__plan *plan, int32_t k)
{
    return plan->plain[k].to == k;
}

/* Takes in what is plain at the stage: parts whose values are others than at the stage before. */
static void take_plain(sums *s)
{
    sl__plan *plan = s->plan;
    for (int32_t p = 0; p < plan->parts; p++) {
        const sl__plan_part *part = &plan->part[p];
        for (int32_t e = 0; e < part->count && s->stage->work[p].fresh; e++) {
            plan->plain[part->branch + e].to = SL_NONE;
        }
    }
    for (int32_t n = 0; n < s->stage->ohmics; n++) {
        const int32_t k = s->stage->ohmic[n].to;
        plan->plain[k] = s->stage->ohmic[n];
        s->fresh[k] = true;
    }
    for (int32_t n = 0; n < s->stage->settings; n++) {
        s->fresh[s->stage->setting[n]] = true;
    }
}

static void list_members(sums *s)
{
    const sl__stage *stage = s->stage;
    for (int32_t k = s->plan->branches - 1; k >= 0; k--) {
        const int32_t run = stage->run[k];
        if (run >= 0) {
            s->next[k] = s->size[run]++ > 0 ? s->first[run] : SL_NONE;
            s->first[run] = k;
        }
        if (s->before && s->before->run[k] >= 0) {
            s->was[s->before->run[k]]++;
        }
    }
    for (int32_t k = 0; k < s->plan->branches; k++) {
        stage->alone[k] =
            stage->run[k] == k && s->size[k] == 1 && !sl__plan_moves(s->plan, stage, k, -1);
    }
}

/* Is the conductance of a run another one than what stands in its place? */
static bool is_due(const sums *s, int32_t run)
{
    bool due = !s->before || s->size[run] != s->was[run];
    for (int32_t k = s->first[run]; k >= 0; k = s->next[k]) {
        due = due || s->fresh[k] || s->before->run[k] != run;
    }
    return due;
}

/* One by one: in the kernel each adds to the sum, of which the last one makes a conductance. */
static void write_run(sums *s, int32_t run)
{
    sl__stage *stage = s->stage;
    const int32_t begin = stage->ohmics;
    double ohm = 0.0;
    for (int32_t k = s->first[run]; k >= 0; k = s->next[k]) {
        if (is_plain(s->plan, k)) {
            stage->ohmic[stage->ohmics] = s->plan->plain[k];
            stage->ohmic[stage->ohmics++].to = SL_NONE;
        } else {
            ohm += stage->law[k].ohm;
        }
    }
    if (stage->ohmics == begin) {
        stage->ohmic[stage->ohmics++] = (sl__lanes_spread){.least = 0.0};
    }
    stage->ohmic[begin].ohm += ohm;
    stage->ohmic[stage->ohmics - 1].to = run;
}

/* Runs of one first, so that the kernel finds them together. A branch alone that nothing moves is
   set where it is to be. */
static void write_runs(sums *s)
{
    s->stage->ohmics = 0;
    for (int several = 0; several <= 1; several++) {
        for (int32_t k = 0; k < s->plan->branches; k++) {
            if (s->size[k] > 0 && (s->size[k] > 1) == several &&
                (several || is_plain(s->plan, k)) && is_due(s, k)) {
                write_run(s, k);
            }
        }
    }
}

/* A branch that stands alone at a stage, and did not at the one before, may have the conductance of
   a run in its place. Where nothing moves it, it is set then. */
sl_status sl__plan_settings(sl__plan *plan)
{
    const int32_t n = plan->branches;
    bool *listed = sl__new(&plan->al, (size_t)n + 1, sizeof *listed);
    if (!listed) {
        return SL_E_NOMEM;
    }
    for (int32_t s = 0; s < plan->stages; s++) {
        sl__stage *stage = &plan->stage[s];
        const sl__stage *before = &plan->stage[s > 0 ? s - 1 : plan->stages - 1];
        memset(listed, 0, (size_t)n * sizeof *listed);
        for (int32_t i = 0; i < stage->settings; i++) {
            listed[stage->setting[i]] = true;
        }
        for (int32_t k = 0; k < n; k++) {
            if (stage->alone[k] && !before->alone[k] && !listed[k]) {
                stage->setting[stage->settings++] = k;
            }
        }
    }
    sl__free(&plan->al, listed, (size_t)n + 1, sizeof *listed);
    return SL_OK;
}

sl_status sl__plan_sums(sl__plan *plan, sl__stage *stage)
{
    const int32_t n = plan->branches;
    sl__arena scratch = {.al = &plan->al};
    sums s = {.plan = plan,
              .stage = stage,
              .before = stage > plan->stage ? stage - 1 : NULL,
              .fresh = sl__arena_take(&scratch, n, sizeof *s.fresh),
              .size = sl__arena_take(&scratch, n, sizeof *s.size),
              .was = sl__arena_take(&scratch, n, sizeof *s.was),
              .first = sl__arena_take(&scratch, n, sizeof *s.first),
              .next = sl__arena_take(&scratch, n, sizeof *s.next)};
    sl__lanes_spread *ohmic = sl__arena_take(&plan->arena, n, sizeof *ohmic);
    stage->alone = sl__arena_take(&plan->arena, n, sizeof *stage->alone);
    const bool failed = scratch.failed || plan->arena.failed;
    if (!failed) {
        take_plain(&s);
        list_members(&s);
        stage->ohmic = ohmic;
        write_runs(&s);
    }
    sl__arena_clear(&scratch);
    return failed ? SL_E_NOMEM : SL_OK;
}

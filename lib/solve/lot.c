/* lib/solve/lot.c: eight samples along a plan. */
#include <math.h>

#include "base/memory.h"
#include "solve/lot_room.h"

const double *sl__lot_draw(sl__lot *lot, uint64_t seed, const int64_t *sample, sl_shape shape)
{
    const sl__plan *plan = lot->plan;
    sl__counter_lanes(plan->kernels, seed, sample, plan->variables, shape, lot->z, lot->drawn);
    return lot->z;
}

/* What nothing moves is written only where it is another one than at the stage before, which of the
   first is the last: a lot that all lanes have left stands elsewhere. */
static void return_to_last(sl__lot *lot)
{
    const sl__plan *plan = lot->plan;
    const sl__stage *last = &plan->stage[plan->stages - 1];
    if (lot->stage && lot->stage != last) {
        for (int32_t k = 0; k < plan->branches; k++) {
            sl__lot_set_branch(lot, last, k);
        }
    }
}

void sl__lot_begin(sl__lot *lot, unsigned lanes)
{
    return_to_last(lot);
    lot->alive = lanes;
    lot->fine = false;
    for (int32_t l = 0; l < SL__LANES; l++) {
        lot->left_at[l] = -1;
    }
}

void sl__lot_stage(sl__lot *lot, int32_t s, const double *z)
{
    lot->stage = &lot->plan->stage[s];
    sl__lot_set_laws(lot, z);
    sl__lot_start_at(lot, z);
    sl__lot_trimmed(lot);
}

unsigned sl__lot_solve(sl__lot *lot, unsigned lanes, const double *z, double *value)
{
    const sl__plan *plan = lot->plan;
    sl__lot_begin(lot, lanes);
    for (int32_t s = 0; s < plan->stages && lot->alive; s++) {
        sl__lot_stage(lot, s, z);
        sl__lot_settle(lot);
    }
    if (plan->fine && lot->alive) {
        sl__lot_refine(lot);
    }
    unsigned answered = 0;
    for (int32_t l = 0; l < SL__LANES; l++) {
        if (sl__has(lot->alive, l) && sl__lot_read(lot, l, &value[l]) && isfinite(value[l])) {
            answered |= 1U << l;
        }
    }
    return answered;
}

bool sl__lot_left(const sl__lot *lot, int32_t lane, int32_t *stage, sl__move *move)
{
    *stage = lot->left_at[lane];
    *move = lot->left_by[lane];
    return *stage >= 0;
}

sl__lot_net sl__lot_net_of(const sl__lot *lot)
{
    const sl__stage *stage = lot->stage;
    return (sl__lot_net){.from = stage->from,
                         .to = stage->to,
                         .used = stage->used,
                         .use = stage->use,
                         .curves = stage->curves,
                         .driven = stage->driven,
                         .fixed = stage->fixed,
                         .needs = stage->needs,
                         .curve = stage->curve,
                         .slot = stage->slot,
                         .drive = stage->drive,
                         .fix = stage->fix,
                         .need = stage->need,
                         .g = lot->g,
                         .open_v = lot->open_v,
                         .offset = lot->offset,
                         .amp = lot->amp,
                         .v = lot->curve_v,
                         .i = lot->curve_i,
                         .slope = lot->curve_s,
                         .aim = lot->curve_aim,
                         .port = lot->curve_port,
                         .y = lot->y,
                         .out = lot->out};
}

/* An array of lanes, which lie each in a line of the cache of their own; NULL when memory runs out.
 */
static double *take_lanes(sl__arena *a, int32_t count)
{
    void *room = sl__arena_take(a, count + 1, SL__LANES * sizeof(double));
    return room ? (double *)sl__lanes_at(room) : NULL;
}

static sl_status take_room(sl__lot *lot)
{
    const sl__plan *plan = lot->plan;
    sl__arena *a = &lot->arena;
    lot->z = take_lanes(a, plan->variables);
    lot->drawn = take_lanes(a, plan->variables);
    lot->x = take_lanes(a, plan->variables);
    lot->g = take_lanes(a, plan->branches);
    lot->open_v = take_lanes(a, plan->branches);
    lot->offset = take_lanes(a, plan->branches + 1);
    lot->amp = take_lanes(a, plan->branches);
    lot->k = take_lanes(a, plan->slots * SL__CURVE_ROOM);
    lot->curve_v = take_lanes(a, plan->slots);
    lot->curve_i = take_lanes(a, plan->slots);
    lot->curve_s = take_lanes(a, plan->slots);
    lot->curve_aim = take_lanes(a, plan->slots);
    lot->curve_port = take_lanes(a, plan->slots);
    lot->value = take_lanes(a, plan->value_room);
    lot->flow_v = take_lanes(a, plan->flows);
    lot->flow_i = take_lanes(a, plan->flows);
    lot->along = take_lanes(a, plan->along_room);
    lot->y = take_lanes(a, plan->most_rows + 1);
    lot->out = take_lanes(a, plan->most_rows + 1);
    lot->off = take_lanes(a, plan->fine ? plan->most_rows + 1 : 0);
    lot->room = take_lanes(a, plan->fine ? plan->most_rows + 1 : 0);
    lot->trim = take_lanes(a, plan->trims);
    lot->error = take_lanes(a, plan->trims);
    lot->last = take_lanes(a, plan->trims);
    lot->step = take_lanes(a, plan->trims);
    lot->timer = sl__arena_take(a, plan->statefuls, SL__LANES * sizeof *lot->timer);
    lot->want = sl__arena_take(a, plan->statefuls, SL__LANES * sizeof *lot->want);
    return a->failed ? SL_E_NOMEM : SL_OK;
}

sl_status sl__lot_new(const sl_alloc *al, const sl__plan *plan, sl__lot **out)
{
    sl__lot *lot = sl__new(al, 1, sizeof *lot);
    if (!lot) {
        return SL_E_NOMEM;
    }
    *lot = (sl__lot){.al = *al, .plan = plan};
    lot->arena.al = &lot->al;
    if (take_room(lot) != SL_OK) {
        sl__lot_free(lot);
        return SL_E_NOMEM;
    }
    for (int32_t k = 0; k < plan->branches; k++) {
        sl__lot_set_branch(lot, &plan->stage[plan->stages - 1], k);
    }
    *out = lot;
    return SL_OK;
}

void sl__lot_free(sl__lot *lot)
{
    if (lot) {
        const sl_alloc al = lot->al;
        sl__arena_clear(&lot->arena);
        sl__free(&al, lot, 1, sizeof *lot);
    }
}

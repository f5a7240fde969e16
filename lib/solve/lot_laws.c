/* lib/solve/lot_laws.c: the laws of eight samples at a stage. */
#include <string.h>

#include "solve/lot_room.h"

/* The numbers of a curve's law in a lane. */
static void set_numbers(sl__lot *lot, int32_t k, const sl__law *law, int32_t l)
{
    double *to = sl__curve_numbers(lot, lot->plan->slot[k]);
    for (int32_t n = 0; n < SL__CURVE_ROOM; n++) {
        to[sl__curve_number_at(law, n, l)] = law->k[n];
    }
}

/* A branch gets the same law in all lanes. */
void sl__lot_set_branch(sl__lot *lot, const sl__stage *stage, int32_t k)
{
    const sl__law *law = &stage->law[k];
    const bool ohmic = law->form == SL__OHMIC && !stage->link[k];
    for (int32_t l = 0; l < SL__LANES; l++) {
        sl__lanes_of(lot->g, k)[l] = ohmic ? 1.0 / law->ohm : 0.0;
        sl__lanes_of(lot->open_v, k)[l] = law->form == SL__OHMIC ? law->open_v : 0.0;
        sl__lanes_of(lot->offset, k)[l] = stage->offset[k];
        sl__lanes_of(lot->amp, k)[l] = law->form == SL__FIXED ? law->amp : 0.0;
    }
    for (int32_t l = 0; law->form == SL__CURVE && l < SL__LANES; l++) {
        set_numbers(lot, k, law, l);
    }
}

/* A branch gets a law in one lane. False: it is not of the form, or the curve, that it has in the
   plan. */
static bool set_lane(sl__lot *lot, int32_t k, const sl__law *law, int32_t l)
{
    const sl__stage *stage = lot->stage;
    const bool link = law->form == SL__OHMIC && law->ohm == 0.0;
    if (law->form != stage->law[k].form || link != stage->link[k] ||
        law->curve != stage->law[k].curve || law->table != stage->law[k].table) {
        return false;
    }
    if (law->form == SL__CURVE) {
        set_numbers(lot, k, law, l);
    } else if (law->form == SL__FIXED) {
        sl__lanes_of(lot->amp, k)[l] = law->amp;
    } else if (law->form == SL__OHMIC) {
        double *g = &sl__lanes_of(lot->g, k)[l];
        const double now = link ? 0.0 : 1.0 / law->ohm;
        lot->stale |= now != *g ? 1U << l : 0U;
        *g = now;
        sl__lanes_of(lot->open_v, k)[l] = law->open_v;
    }
    return true;
}

/* Asks the kind for the laws of a part in some lanes; those that cannot stand leave. */
void sl__lot_ask_laws(sl__lot *lot, const sl__plan_part *part, unsigned lanes)
{
    const sl__plan *plan = lot->plan;
    const double *celsius = sl__lanes_of(lot->x, plan->variables - 1);
    for (int32_t l = 0; l < SL__LANES; l++) {
        if (!sl__has(lanes, l)) {
            continue;
        }
        sl__law law[SL__ELEMENTS_MOST];
        double *value = sl__values_of(lot, part, l);
        if (part->trim >= 0) {
            value[part->kind->trim_param] = sl__lanes_of(lot->trim, part->trim)[l];
        }
        sl__plan_laws(plan, part, value, celsius[l], lot->stage->state[part->part], law);
        for (int32_t e = 0; e < part->count; e++) {
            if (!set_lane(lot, part->branch + e, &law[e], l)) {
                lot->alive &= ~(1U << l);
            }
        }
    }
}

/* The numbers of a part's laws from their polynomials. */
static void work_out(sl__lot *lot, const sl__plan_part *part, const sl__plan_work *work)
{
    const sl__plan *plan = lot->plan;
    for (int32_t n = 0; n < work->numbers; n++) {
        const sl__plan_number *number = &work->number[n];
        const int32_t k = part->branch + number->element;
        double to[SL__LANES];
        for (int32_t l = 0; l < SL__LANES; l++) {
            to[l] = number->base;
        }
        for (int32_t p = 0; p < number->polys; p++) {
            const sl__plan_poly *poly = &number->poly[p];
            plan->kernels->chebyshev(poly->count, poly->c, poly->middle, poly->scale,
                                     sl__lanes_of(lot->x, poly->x), to);
        }
        for (int32_t l = 0; l < SL__LANES; l++) {
            switch (number->which) {
            case SL__NUMBER_OHM:
                sl__lanes_of(lot->g, k)[l] = 1.0 / to[l];
                break;
            case SL__NUMBER_OPEN_V:
                sl__lanes_of(lot->open_v, k)[l] = to[l];
                break;
            case SL__NUMBER_AMP:
                sl__lanes_of(lot->amp, k)[l] = to[l];
                break;
            default:
                sl__curve_numbers(lot, plan->slot[k])[sl__curve_number_at(
                    &lot->stage->law[k], number->which - SL__NUMBER_K, l)] = to[l];
            }
        }
    }
}

/* The values of a full part, lane by lane; those that cannot stand leave. */
static void complete(sl__lot *lot, const sl__plan_part *part, const sl__plan_work *work)
{
    for (int32_t l = 0; l < SL__LANES; l++) {
        double *value = sl__values_of(lot, part, l);
        if (!sl__plan_complete(lot->plan, part, work, sl__lanes_of(lot->x, part->item) + l,
                               SL__LANES, value)) {
            memcpy(value, work->value, (size_t)part->kind->about.param_count * sizeof *value);
            lot->alive &= ~(1U << l);
        }
    }
}

/* All laws of a stage but those of parts that adjust themselves. */
void sl__lot_set_laws(sl__lot *lot, const double *z)
{
    const sl__plan *plan = lot->plan;
    const sl__stage *stage = lot->stage;
    for (int32_t n = 0; n < stage->settings; n++) {
        sl__lot_set_branch(lot, stage, stage->setting[n]);
    }
    const sl__stage *before = stage == plan->stage ? stage + plan->stages - 1 : stage - 1;
    for (int32_t n = 0; n < before->lifts; n++) {
        for (int32_t i = 0; i < before->lift[n].count; i++) {
            const int32_t k = before->lift[n].branch[i];
            sl__set_lanes(sl__lanes_of(lot->offset, k), stage->offset[k]);
        }
    }
    sl__set_lanes(sl__lanes_of(lot->offset, plan->branches), stage->offset[plan->branches]);
    sl__set_lanes(sl__lanes_of(lot->x, plan->variables - 1), stage->celsius);
    plan->kernels->values(stage->values, stage->spread, z, lot->x);
    plan->kernels->ohmic(stage->ohmics, stage->ohmic, z, lot->g);
    for (int32_t n = 0; n < stage->busy; n++) {
        const int32_t p = stage->at_work[n];
        const sl__plan_part *part = &plan->part[p];
        const sl__plan_work *work = &stage->work[p];
        if (part->stateful || part->trim >= 0 || work->direct) {
            complete(lot, part, work);
        }
        if (work->direct && part->trim < 0) {
            sl__lot_ask_laws(lot, part, SL__LANES_ALL);
        } else if (!work->plain) {
            work_out(lot, part, work);
        }
    }
}

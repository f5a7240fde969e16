/* lib/solve/lot_settle.c: parts that adjust themselves and parts that move, in eight samples. */
#include <math.h>
#include <string.h>

#include "solve/lot_room.h"

/* As trim.c has them. What is no closer than that may still be out by more than 1e-9 of a small
   current behind a small resistance: one more step is taken then. */
#define TRIM_CLOSE 1e-11
#define TRIM_CLOSER 1e-13
#define TRIM_ROUNDS 24

#define MICROSECOND 1e-6

/* ---- Parts that adjust themselves, as trim.c does it by secants. ---- */

/* What they make of the answer, less what they have. Returns the lanes where all are content; those
   that are nearly so, and were not before, are noted. */
static unsigned errors(sl__lot *lot, unsigned lanes, unsigned *nearly)
{
    const sl__plan *plan = lot->plan;
    unsigned content = lanes, close = lanes;
    sl__lot_find_flows(lot, false);
    for (int32_t t = 0; t < plan->trims; t++) {
        const sl__plan_part *part = &plan->part[plan->trim[t]];
        const double *celsius = sl__lanes_of(lot->x, plan->variables - 1);
        for (int32_t l = 0; l < SL__LANES; l++) {
            if (!sl__has(lanes, l)) {
                continue;
            }
            sl__flow flow[SL__ELEMENTS_MOST];
            sl__lot_flows(lot, part, l, flow);
            const double *value = sl__values_of(lot, part, l), x = sl__lanes_of(lot->trim, t)[l];
            const double error =
                part->kind->trim(value, celsius[l], lot->stage->state[part->part], flow) - x;
            sl__lanes_of(lot->error, t)[l] = error;
            if (!(fabs(error) <= TRIM_CLOSE * (1.0 + fabs(x)))) {
                close &= ~(1U << l);
            }
            if (!(fabs(error) <= TRIM_CLOSER * (1.0 + fabs(x)))) {
                content &= ~(1U << l);
            }
        }
    }
    content |= close & *nearly;
    *nearly |= close;
    return content;
}

static void step_trims(sl__lot *lot, unsigned lanes)
{
    const sl__plan *plan = lot->plan;
    for (int32_t t = 0; t < plan->trims; t++) {
        double *x = sl__lanes_of(lot->trim, t), *step = sl__lanes_of(lot->step, t);
        double *last = sl__lanes_of(lot->last, t);
        const double *error = sl__lanes_of(lot->error, t);
        for (int32_t l = 0; l < SL__LANES; l++) {
            if (sl__has(lanes, l)) {
                step[l] = sl__trim_step(error[l], last[l], step[l]);
                last[l] = error[l];
                x[l] += step[l];
            }
        }
        sl__lot_ask_laws(lot, &plan->part[plan->trim[t]], lanes);
    }
}

void sl__lot_start_at(sl__lot *lot, const double *z)
{
    const sl__plan *plan = lot->plan;
    const sl__stage *stage = lot->stage;
    for (int32_t n = 0; n < stage->curves + plan->trims; n++) {
        const int32_t t = n - stage->curves;
        double *to =
            t < 0 ? sl__lanes_of(lot->curve_v, stage->slot[n]) : sl__lanes_of(lot->trim, t);
        const bool follows = t < 0 ? stage->follows[n] : stage != plan->stage;
        const double rise = t >= 0 && follows
                                ? sl__plan_trim(plan, stage, t) - sl__plan_trim(plan, stage - 1, t)
                            : t >= 0  ? sl__plan_trim(plan, stage, t)
                            : follows ? stage->curve_rise[n]
                                      : stage->curve_v[n];
        for (int32_t l = 0; l < SL__LANES; l++) {
            to[l] = follows ? to[l] + rise : rise;
        }
        if (stage->start) {
            plan->loops->start(stage->start_at[n + 1] - stage->start_at[n],
                               stage->start + stage->start_at[n], z, to);
        }
    }
}

void sl__lot_trimmed(sl__lot *lot)
{
    const sl__plan *plan = lot->plan;
    for (int32_t t = 0; t < plan->trims; t++) {
        sl__set_lanes(sl__lanes_of(lot->step, t), 0.0);
        sl__set_lanes(sl__lanes_of(lot->last, t), 0.0);
        sl__lot_ask_laws(lot, &plan->part[plan->trim[t]], lot->alive);
    }
    unsigned lanes = lot->alive, nearly = 0;
    lot->stale = SL__LANES_ALL;
    sl__lot_step(lot, lanes);
    for (int32_t round = 0; plan->trims > 0 && round < TRIM_ROUNDS; round++) {
        lanes &= lot->alive;
        lanes &= ~errors(lot, lanes, &nearly);
        if (!lanes) {
            return;
        }
        step_trims(lot, lanes);
        sl__lot_step(lot, lanes);
    }
    lot->alive &= plan->trims > 0 ? ~lanes : SL__LANES_ALL;
}

/* ---- Which part moves next, as settle.c does it. ---- */

/* Lanes in which another one moves than in the plan leave. */
void sl__lot_settle(sl__lot *lot)
{
    const sl__plan *plan = lot->plan;
    const sl__stage *stage = lot->stage;
    const double *celsius = sl__lanes_of(lot->x, plan->variables - 1);
    sl__lot_find_flows(lot, true);
    for (int32_t l = 0; l < SL__LANES; l++) {
        int64_t *timer = lot->timer + (ptrdiff_t)l * plan->statefuls;
        int32_t *want = lot->want + (ptrdiff_t)l * plan->statefuls;
        int32_t first = -1;
        if (!sl__has(lot->alive, l)) {
            continue;
        }
        for (int32_t s = 0; s < plan->statefuls; s++) {
            const sl__plan_part *part = &plan->part[plan->stateful[s]];
            const double *value = sl__values_of(lot, part, l);
            const int32_t state = stage->state[part->part];
            sl__flow flow[SL__ELEMENTS_MOST];
            sl__lot_flows(lot, part, l, flow);
            const int32_t wanted = part->kind->wants(value, celsius[l], state, flow);
            timer[s] = stage->begins ? -1 : timer[s];
            if (wanted == state) {
                timer[s] = -1;
            } else if (timer[s] < 0 || want[s] != wanted) {
                timer[s] =
                    (int64_t)llround(part->kind->delay_s(value, state, wanted) / MICROSECOND);
            }
            want[s] = wanted;
            if (timer[s] >= 0 && (first < 0 || timer[s] < timer[first])) {
                first = s;
            }
        }
        const sl__move move = {first, first < 0 ? 0 : want[first]};
        if (move.mover != stage->move.mover || move.to != stage->move.to) {
            lot->alive &= ~(1U << l);
            lot->left_at[l] = (int32_t)(stage - plan->stage);
            lot->left_by[l] = move;
        } else if (first >= 0) {
            const int64_t passed = timer[first];
            for (int32_t s = 0; s < plan->statefuls; s++) {
                timer[s] -= timer[s] >= 0 ? passed : 0;
            }
            timer[first] = -1;
        }
    }
}

/* lib/solve/lot_plans.c: the ways that samples take, and lots of those that go one way together. */
#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "solve/lot_plan.h"

/* Plans that are kept: memory is bounded so. */
enum { PLANS_MOST = 16 };
/* Samples drawn to see which ways there are: so many at a time, until all of them are answered by
   plans that are there, and how many may find no way before the rest is not asked any more. Their
   numbers are not those of any draw. */
enum { SCOUTS = 256, SCOUTS_MOST = 1024, FAILURES_MOST = 8 };
#define SCOUT_SEED UINT64_C(0x5363206f7574)

_Static_assert((int)SCOUTS <= (int)SL__LOTS_MOST, "they are asked together");

struct sl__plans {
    sl_alloc al;
    const sl_case *cs;
    sl__vary vary; /* a copy, whose z are those of a scout while its way is looked for */
    sl_reading of;
    int32_t count;
    sl__plan *plan[PLANS_MOST]; /* the one that most scouts took first */
    sl__way way[PLANS_MOST];
    int32_t taken[PLANS_MOST]; /* by how many scouts */
};

struct sl__lots {
    sl_alloc al;
    const sl__plans *plans;
    sl__lot *lot[PLANS_MOST];
    /* Samples that wait for a plan: the last of them, and each the one before it, or -1. */
    int32_t last[PLANS_MOST], before[SL__LOTS_MOST];
};

/* ---- Samples along plans. ---- */

/* A plan of a way that begins as one does up to a stage, and then goes on by another move; -1:
   there is none. */
static int32_t plan_after(const sl__plans *plans, int32_t plan, int32_t stage, sl__move move)
{
    const size_t bytes = (size_t)stage * sizeof move;
    for (int32_t p = 0; p < plans->count; p++) {
        const sl__way *way = &plans->way[p];
        if (way->count > stage && memcmp(way->move, plans->way[plan].move, bytes) == 0 &&
            memcmp(&way->move[stage], &move, sizeof move) == 0) {
            return p;
        }
    }
    return -1;
}

static void wait_for(sl__lots *lots, int32_t plan, int32_t k)
{
    lots->before[k] = lots->last[plan];
    lots->last[plan] = k;
}

/* What is to be solved. */
typedef struct task {
    uint64_t seed;
    sl_shape shape;
    int64_t first;
    double *value;
    int32_t *plan;
} task;

/* Takes up to eight of those that wait for a plan along it. */
static void take_lot(sl__lots *lots, int32_t plan, const task *t)
{
    int32_t list[SL__LANES] = {0}, count = 0;
    int64_t sample[SL__LANES];
    double read[SL__LANES];
    for (; count < SL__LANES && lots->last[plan] >= 0; count++) {
        list[count] = lots->last[plan];
        lots->last[plan] = lots->before[list[count]];
    }
    for (int32_t l = 0; l < SL__LANES; l++) {
        sample[l] = t->first + list[l < count ? l : 0];
    }
    sl__lot *lot = lots->lot[plan];
    const double *z = sl__lot_draw(lot, t->seed, sample, t->shape);
    const unsigned answered = sl__lot_solve(lot, (1U << count) - 1U, z, read);
    for (int32_t l = 0; l < count; l++) {
        int32_t stage;
        sl__move move;
        t->plan[list[l]] = -1;
        if (answered >> l & 1U) {
            t->value[list[l]] = read[l];
            t->plan[list[l]] = plan;
        } else if (sl__lot_left(lot, l, &stage, &move)) {
            const int32_t next = plan_after(lots->plans, plan, stage, move);
            if (next >= 0) {
                wait_for(lots, next, list[l]);
            }
        }
    }
}

/* Until none waits any more: what a sample waits for agrees with the way it goes in one stage more
   each time. */
static void take_all(sl__lots *lots, const task *t)
{
    for (bool waits = true; waits;) {
        waits = false;
        for (int32_t p = 0; p < lots->plans->count; p++) {
            while (lots->last[p] >= 0) {
                take_lot(lots, p, t);
                waits = true;
            }
        }
    }
}

void sl__lots_solve(sl__lots *lots, uint64_t seed, sl_shape shape, int64_t first, int32_t count,
                    double *value, int32_t *plan)
{
    const task t = {seed, shape, first, value, plan};
    for (int32_t k = count - 1; k >= 0; k--) {
        plan[k] = -1;
        if (lots->plans->count > 0) {
            wait_for(lots, 0, k);
        }
    }
    take_all(lots, &t);
}

sl_status sl__lots_new(const sl_alloc *al, const sl__plans *plans, sl__lots **out)
{
    sl__lots *lots = sl__new(al, 1, sizeof *lots);
    if (!lots) {
        return SL_E_NOMEM;
    }
    lots->al = *al;
    lots->plans = plans;
    memset(lots->last, 0xff, sizeof lots->last);
    sl_status st = SL_OK;
    for (int32_t p = 0; p < plans->count && st == SL_OK; p++) {
        st = sl__lot_new(al, plans->plan[p], &lots->lot[p]);
    }
    if (st != SL_OK) {
        sl__lots_free(lots);
        return st;
    }
    *out = lots;
    return SL_OK;
}

void sl__lots_free(sl__lots *lots)
{
    if (lots) {
        const sl_alloc al = lots->al;
        for (int32_t p = 0; p < PLANS_MOST; p++) {
            sl__lot_free(lots->lot[p]);
        }
        sl__free(&al, lots, 1, sizeof *lots);
    }
}

/* ---- Which plans there are. ---- */

/* Makes the plan of a way. *made: there is one now that was not there before. */
static sl_status add_plan(sl__plans *plans, const sl__way *way, bool *made)
{
    const int32_t p = plans->count;
    *made = false;
    for (int32_t k = 0; k < p; k++) {
        if (way->count == plans->way[k].count &&
            memcmp(way->move, plans->way[k].move, (size_t)way->count * sizeof *way->move) == 0) {
            return SL_OK;
        }
    }
    const sl_status st =
        sl__plan_new(&plans->al, plans->cs, &plans->vary, &plans->of, way, &plans->plan[p]);
    if (st == SL_OK && plans->plan[p]) {
        plans->way[p] = *way;
        plans->count++;
        *made = true;
    }
    return st;
}

/* A lot for the last plan, which learns by it where samples had best begin. */
static sl_status add_lot(sl__plans *plans, sl__lots *lots)
{
    const int32_t p = plans->count - 1;
    const sl_status st = sl__lot_new(&plans->al, plans->plan[p], &lots->lot[p]);
    return st == SL_OK ? sl__plan_learn(plans->plan[p], lots->lot[p]) : st;
}

/* Makes the plan of the way that a scout takes, or, at -1, that everything takes as it is. */
static sl_status add_way(sl__plans *plans, sl_case *cs, int64_t scout, bool *made)
{
    sl__vary *vary = &plans->vary;
    sl__way way;
    for (int32_t k = 0; k < vary->count; k++) {
        vary->item[k].z = scout < 0 ? 0.0 : sl__counter_draw(SCOUT_SEED, scout, k, SL_UNIFORM);
    }
    vary->warmth_z = scout < 0 ? 0.0 : sl__counter_draw(SCOUT_SEED, scout, vary->count, SL_UNIFORM);
    bool found;
    *made = false;
    const sl_status st = sl__way_find(cs, &way, &found);
    return st == SL_OK && found ? add_plan(plans, &way, made) : st;
}

typedef struct scouting {
    sl_case *cs;
    sl__lots *lots;
    int32_t failures;
    double value[SCOUTS];
    int32_t plan[SCOUTS];
} scouting;

/* Scouts that no plan answers, one after another, until a new plan is made of the way of one: all
   that are left are then asked whether it answers them. *made: there is one. */
static sl_status learn(sl__plans *plans, scouting *s, int64_t first, bool *made)
{
    *made = false;
    for (int32_t k = 0; k < SCOUTS && !*made; k++) {
        if (s->plan[k] >= 0 || s->failures == FAILURES_MOST || plans->count == PLANS_MOST) {
            continue;
        }
        sl_status st = add_way(plans, s->cs, first + k, made);
        s->failures += !*made;
        if (st == SL_OK && *made) {
            st = add_lot(plans, s->lots);
        }
        if (st != SL_OK) {
            return st;
        }
    }
    return SL_OK;
}

/* Asks those scouts whom no plan has answered. Returns how many still have none. */
static int32_t ask_scouts(scouting *s, int64_t first)
{
    const task t = {SCOUT_SEED, SL_UNIFORM, first, s->value, s->plan};
    int32_t unanswered = 0;
    for (int32_t k = SCOUTS - 1; s->lots->plans->count > 0 && k >= 0; k--) {
        if (s->plan[k] < 0) {
            wait_for(s->lots, 0, k);
        }
    }
    take_all(s->lots, &t);
    for (int32_t k = 0; k < SCOUTS; k++) {
        unanswered += s->plan[k] < 0;
    }
    return unanswered;
}

static sl_status scout(sl__plans *plans, scouting *s)
{
    bool news = true;
    for (int64_t first = 0; news && first < SCOUTS_MOST; first += SCOUTS) {
        memset(s->plan, 0xff, sizeof s->plan);
        news = ask_scouts(s, first) > 0;
        for (bool made = news; made;) {
            const sl_status st = learn(plans, s, first, &made);
            if (st != SL_OK) {
                return st;
            }
            made = made && ask_scouts(s, first) > 0;
        }
        for (int32_t k = 0; k < SCOUTS; k++) {
            plans->taken[s->plan[k] >= 0 ? s->plan[k] : 0] += s->plan[k] >= 0;
        }
    }
    return SL_OK;
}

/* The plan that most scouts took comes first. */
static void put_first(sl__plans *plans)
{
    int32_t most = 0;
    for (int32_t p = 1; p < plans->count; p++) {
        most = plans->taken[p] > plans->taken[most] ? p : most;
    }
    sl__plan *const plan = plans->plan[0];
    const sl__way way = plans->way[0];
    plans->plan[0] = plans->plan[most];
    plans->way[0] = plans->way[most];
    plans->plan[most] = plan;
    plans->way[most] = way;
}

static sl_status find_plans(sl__plans *plans)
{
    scouting *s = sl__new(&plans->al, 1, sizeof *s);
    if (!s) {
        return SL_E_NOMEM;
    }
    bool made;
    sl_status st = sl__lots_new(&plans->al, plans, &s->lots);
    st = st == SL_OK ? sl__case_twin(plans->cs, &plans->al, &s->cs) : st;
    st = st == SL_OK ? sl__case_prepare(s->cs) : st;
    if (st == SL_OK) {
        s->cs->vary = &plans->vary;
        st = add_way(plans, s->cs, -1, &made);
    }
    if (st == SL_OK && made) {
        st = add_lot(plans, s->lots);
    }
    if (st == SL_OK && s->cs->stateful_count > 0) { /* else there is one way only */
        st = scout(plans, s);
        put_first(plans);
    }
    sl_case_free(s->cs);
    sl__lots_free(s->lots);
    sl__free(&plans->al, s, 1, sizeof *s);
    return st;
}

sl_status sl__plans_new(const sl_alloc *al, const sl_case *cs, const sl__vary *vary,
                        const sl_reading *of, sl__plans **out)
{
    sl__plans *plans = sl__new(al, 1, sizeof *plans);
    if (!plans) {
        return SL_E_NOMEM;
    }
    plans->al = *al;
    plans->cs = cs;
    plans->of = *of;
    plans->vary = *vary;
    plans->vary.item = sl__new(al, (size_t)vary->count + 1, sizeof *vary->item);
    sl_status st = plans->vary.item ? SL_OK : SL_E_NOMEM;
    if (st == SL_OK) {
        memcpy(plans->vary.item, vary->item, (size_t)vary->count * sizeof *vary->item);
        st = find_plans(plans);
    }
    if (st != SL_OK) {
        sl__plans_free(plans);
        return st;
    }
    *out = plans;
    return SL_OK;
}

void sl__plans_free(sl__plans *plans)
{
    if (plans) {
        const sl_alloc al = plans->al;
        for (int32_t p = 0; p < plans->count; p++) {
            sl__plan_free(plans->plan[p]);
        }
        sl__free(&al, plans->vary.item, (size_t)plans->vary.count + 1, sizeof *plans->vary.item);
        sl__free(&al, plans, 1, sizeof *plans);
    }
}

int32_t sl__plans_count(const sl__plans *plans)
{
    return plans->count;
}

const sl__plan *sl__plans_at(const sl__plans *plans, int32_t k)
{
    return plans->plan[k];
}

/* lib/solve/lot_starts.c: where Newton's steps begin in a sample: what each parameter alone moves a
   curve, or a part that adjusts itself, by is found once, by lots that have one parameter off in
   each lane. A good start saves steps; nothing that comes out depends on how good it is. */
#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "solve/lot_room.h"

/* How far a parameter is moved to see; and what counts as moving something, as a share of it, or of
   1 V. */
#define TRY 0.5
#define MOVES 5e-4
/* A curve whose slope changes by more than this factor on the way has a bend there. */
#define BENDS 2.0
/* More numbers than this are not worth it. */
#define NUMBERS_MOST (1 << 19)

/* One parameter off, to one side. */
typedef struct probe {
    int32_t variable, side;
} probe;

/* What each probe makes of each unknown of each stage: curves first, then what parts adjust. */
typedef struct learning {
    sl__plan *plan;
    sl__lot *lot;
    int32_t probes, unknowns; /* of a stage, at most */
    probe *probe;
    double *effect; /* [stages][unknowns][probes] */
    double *before; /* [slots + trims][LANES] the same at the stage before */
    double *z;      /* [variables][LANES] */
} learning;

static double *effect_at(const learning *g, int32_t stage, int32_t unknown, int32_t p)
{
    return &g->effect[((ptrdiff_t)stage * g->unknowns + unknown) * g->probes + p];
}

static void list_probes(learning *g)
{
    const sl__vary *vary = g->plan->vary;
    for (int32_t v = 0; v < g->plan->variables; v++) {
        const sl_spread *s = v < vary->count ? &vary->item[v].spread : &vary->warmth;
        if (s->up > 0.0 || s->down > 0.0) {
            g->probe[g->probes++] = (probe){v, 1};
        }
        if (s->up != s->down) {
            g->probe[g->probes++] = (probe){v, -1};
        }
    }
}

/* Takes down what up to eight probes, from the first on, have made of an unknown; what is known of
   it from the stage before is left out. */
static void take_down(learning *g, int32_t first, int32_t unknown, bool follows, double *before,
                      const double *now, double base)
{
    const int32_t stage = (int32_t)(g->lot->stage - g->plan->stage);
    for (int32_t l = 0; l < SL__LANES && first + l < g->probes; l++) {
        const double off = now[l] - base;
        if (sl__has(g->lot->alive, l) && isfinite(off)) {
            *effect_at(g, stage, unknown, first + l) = (off - (follows ? before[l] : 0.0)) / TRY;
        }
        before[l] = off;
    }
}

/* Beyond a bend of a curve what it is moved by tells nothing about smaller moves. */
static void drop_bends(learning *g, int32_t first, int32_t c)
{
    const sl__lot *lot = g->lot;
    const int32_t stage = (int32_t)(lot->stage - g->plan->stage);
    const double *v = sl__lanes_of(lot->curve_v, lot->stage->slot[c]);
    for (int32_t l = 0; l < SL__LANES && first + l < g->probes; l++) {
        double unused, from, to;
        sl__lot_curve(lot, c, l, lot->stage->curve_v[c], &unused, &from);
        sl__lot_curve(lot, c, l, v[l], &unused, &to);
        if (!(to <= BENDS * from && from <= BENDS * to)) {
            *effect_at(g, stage, c, first + l) = 0.0;
        }
    }
}

static void ask(learning *g, int32_t first)
{
    const sl__plan *plan = g->plan;
    sl__lot *lot = g->lot;
    memset(g->z, 0, (size_t)plan->variables * SL__LANES * sizeof *g->z);
    for (int32_t l = 0; l < SL__LANES && first + l < g->probes; l++) {
        const probe *p = &g->probe[first + l];
        g->z[p->variable * SL__LANES + l] = p->side * TRY;
    }
    sl__lot_begin(lot, SL__LANES_ALL);
    for (int32_t s = 0; s < plan->stages && lot->alive; s++) {
        sl__lot_stage(lot, s, g->z);
        const sl__stage *stage = lot->stage;
        for (int32_t c = 0; c < stage->curves; c++) {
            const int32_t slot = stage->slot[c];
            take_down(g, first, c, stage->follows[c], sl__lanes_of(g->before, slot),
                      sl__lanes_of(lot->curve_v, slot), stage->curve_v[c]);
            drop_bends(g, first, c);
        }
        for (int32_t t = 0; t < plan->trims; t++) {
            take_down(g, first, stage->curves + t, s > 0, sl__lanes_of(g->before, plan->slots + t),
                      sl__lanes_of(lot->trim, t), sl__plan_trim(plan, stage, t));
        }
        sl__lot_settle(lot);
    }
}

/* Keeps what moves an unknown. */
static void keep(learning *g, int32_t s, int32_t unknown, double base)
{
    sl__stage *stage = &g->plan->stage[s];
    for (int32_t p = 0; p < g->probes; p++) {
        const double up = *effect_at(g, s, unknown, p);
        const bool both = p + 1 < g->probes && g->probe[p + 1].variable == g->probe[p].variable;
        const double down = both ? -*effect_at(g, s, unknown, p + 1) : up;
        if (fmax(fabs(up), fabs(down)) > MOVES * (1.0 + fabs(base))) {
            if (stage->start) {
                stage->start[stage->starts] = (sl__lot_start){g->probe[p].variable, down, up};
            }
            stage->starts++;
        }
        p += both;
    }
    stage->start_at[unknown + 1] = stage->starts;
}

/* Once to count, once to keep. */
static sl_status keep_all(learning *g)
{
    sl__plan *plan = g->plan;
    for (int32_t s = 0; s < plan->stages; s++) {
        sl__stage *stage = &plan->stage[s];
        stage->start_at =
            sl__arena_take(&plan->arena, stage->curves + plan->trims + 1, sizeof *stage->start_at);
        for (int pass = 0; pass < 2 && stage->start_at; pass++) {
            stage->starts = 0;
            for (int32_t c = 0; c < stage->curves; c++) {
                keep(g, s, c, stage->curve_v[c]);
            }
            for (int32_t t = 0; t < plan->trims; t++) {
                keep(g, s, stage->curves + t, sl__plan_trim(plan, stage, t));
            }
            if (pass == 0) {
                stage->start =
                    sl__arena_take(&plan->arena, stage->starts + 1, sizeof *stage->start);
            }
            if (!stage->start) {
                return SL_E_NOMEM;
            }
        }
    }
    return plan->arena.failed ? SL_E_NOMEM : SL_OK;
}

sl_status sl__plan_learn(sl__plan *plan, sl__lot *lot)
{
    learning g = {.plan = plan, .lot = lot};
    sl__arena scratch = {.al = &plan->al};
    g.probe = sl__arena_take(&scratch, 2 * plan->variables, sizeof *g.probe);
    if (g.probe) {
        list_probes(&g);
    }
    for (int32_t s = 0; s < plan->stages; s++) {
        const int32_t unknowns = plan->stage[s].curves + plan->trims;
        g.unknowns = unknowns > g.unknowns ? unknowns : g.unknowns;
    }
    const int64_t numbers = (int64_t)plan->stages * g.unknowns * g.probes;
    if (!scratch.failed && (numbers == 0 || numbers > NUMBERS_MOST)) {
        sl__arena_clear(&scratch);
        return SL_OK;
    }
    g.effect = sl__arena_take(&scratch, (int32_t)numbers, sizeof *g.effect);
    g.before = sl__arena_take(&scratch, plan->slots + plan->trims, SL__LANES * sizeof *g.before);
    g.z = sl__arena_take(&scratch, plan->variables, SL__LANES * sizeof *g.z);
    sl_status st = scratch.failed ? SL_E_NOMEM : SL_OK;
    for (int32_t first = 0; st == SL_OK && first < g.probes; first += SL__LANES) {
        ask(&g, first);
    }
    st = st == SL_OK ? keep_all(&g) : st;
    sl__arena_clear(&scratch);
    return st;
}

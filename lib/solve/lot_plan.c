/* lib/solve/lot_plan.c: what there is to do at each stage of the way of a case. */
#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "solve/lot_plan.h"

/* Temperatures, and values of what a part adjusts, at which laws are looked at to see whether they
   move. */
#define LOOKS 9

bool sl__plan_complete(const sl__plan *plan, const sl__plan_part *part, const sl__plan_work *work,
                       const double *x, int32_t stride, double *value)
{
    const size_t bytes = (size_t)part->kind->about.param_count * sizeof *value;
    if (part->items == 0) {
        memcpy(value, work->value, bytes);
        return true;
    }
    double given[SL__PARAMS_ROOM];
    sl__message unsaid = {""};
    memcpy(given, work->given, bytes);
    for (int32_t v = 0; v < part->items; v++) {
        given[plan->vary->item[part->item + v].param] = x[(ptrdiff_t)v * stride];
    }
    return sl__parts_complete(part->kind, "", given, value, &unsaid) == SL_OK;
}

void sl__plan_laws(const sl__plan *plan, const sl__plan_part *part, const double *value,
                   double celsius, int32_t state, sl__law *law)
{
    sl__laws_with(plan->cs, part->part, value, celsius, state, law);
    for (int32_t e = 0; e < part->count; e++) {
        if (plan->open[part->branch + e]) {
            law[e].form = SL__ABSENT;
        }
    }
}

/* Do the laws of a part move while one of its values, or the temperature (param -1), does? */
static bool laws_move(sl__plan *plan, const sl__plan_part *part, int32_t param)
{
    const sl__vary *vary = plan->vary;
    for (int32_t s = 0; s < plan->stages; s++) {
        const sl__stage *stage = &plan->stage[s];
        double value[SL__PARAMS_ROOM];
        const double *whole =
            stage->value + (sl__case_values(plan->cs, part->part) - plan->cs->value);
        const int32_t state = stage->state[part->part];
        sl__law before[SL__ELEMENTS_MOST], law[SL__ELEMENTS_MOST];
        memcpy(value, whole, (size_t)part->kind->about.param_count * sizeof *value);
        sl__plan_laws(plan, part, value, stage->celsius, state, before);
        for (int32_t n = 0; n < LOOKS; n++) {
            const double z = 2.0 * n / (LOOKS - 1) - 1.0;
            double celsius = stage->celsius;
            if (param < 0) {
                celsius = sl__spread_value(&vary->warmth, celsius, z, SL__LEAST_C, SL__GREATEST_C);
            } else {
                value[param] = whole[param] + z * (1.0 + 0.1 * fabs(whole[param]));
            }
            sl__plan_laws(plan, part, value, celsius, state, law);
            if (memcmp(before, law, (size_t)part->count * sizeof *law) != 0) {
                return true;
            }
        }
    }
    return false;
}

static bool has_warmth(const sl__vary *vary)
{
    return vary->warmth.down > 0.0 || vary->warmth.up > 0.0;
}

/* Lists the parts that are not the same in all samples, or that decide something. */
static void list_parts(sl__plan *plan)
{
    const sl_case *cs = plan->cs;
    int32_t item = 0;
    for (sl_part p = 0; p < cs->parts; p++) {
        const sl__kind *kind = sl__case_part(cs, p)->kind;
        sl__plan_part part = {.part = p,
                              .kind = kind,
                              .item = item,
                              .branch = cs->branch_at[p],
                              .count = cs->branch_at[p + 1] - cs->branch_at[p],
                              .trim = -1,
                              .stateful = kind->about.state_count > 0};
        while (item < plan->vary->count && plan->vary->item[item].part == p) {
            item++;
        }
        part.items = item - part.item;
        part.warm = has_warmth(plan->vary) && laws_move(plan, &part, -1);
        if (kind->trim && (part.stateful || laws_move(plan, &part, kind->trim_param))) {
            part.trim = plan->trims;
        }
        plan->part_of[p] = -1;
        if (part.items == 0 && !part.warm && part.trim < 0 && !part.stateful) {
            continue;
        }
        part.full = part.stateful || part.trim >= 0;
        if (part.trim >= 0) {
            plan->trim[plan->trims++] = plan->parts;
        }
        if (part.stateful) {
            plan->stateful[plan->statefuls++] = plan->parts;
        }
        plan->part_of[p] = plan->parts;
        plan->part[plan->parts++] = part;
    }
}

/* Is a branch at a stage as it was at another? */
static bool same_branch(const sl__stage *a, const sl__stage *b, int32_t k)
{
    return memcmp(&a->law[k], &b->law[k], sizeof a->law[k]) == 0 &&
           memcmp(&a->offset[k], &b->offset[k], sizeof a->offset[k]) == 0 &&
           a->link[k] == b->link[k];
}

static bool has_setting(const sl__stage *stage, const sl__plan_part *part)
{
    for (int32_t n = 0; n < stage->settings; n++) {
        if (stage->setting[n] >= part->branch && stage->setting[n] < part->branch + part->count) {
            return true;
        }
    }
    return false;
}

/* One polynomial of the first degree, of a parameter of its own, in a resistance. */
static bool is_plain(const sl__plan *plan, const sl__plan_work *work)
{
    const sl__plan_number *number = work->number;
    return !work->direct && work->numbers == 1 && number->which == SL__NUMBER_OHM &&
           number->polys == 1 && number->poly->count <= 2 && number->poly->x < plan->variables - 1;
}

static sl__lanes_spread spread_of(const sl__plan *plan, int32_t item, double value)
{
    const struct sl__vary_item *it = &plan->vary->item[item];
    const sl__part *record = sl__case_part(plan->cs, it->part);
    const sl_param *param = &record->kind->about.params[it->param];
    const double size = it->spread.relative ? fabs(value) : 1.0;
    return (sl__lanes_spread){.value = value,
                              .down = it->spread.down * size,
                              .up = it->spread.up * size,
                              .least = param->least,
                              .greatest = param->greatest,
                              .z = item,
                              .to = item};
}

/* What there is to do for a part at a stage. False: it cannot be followed. */
static bool plan_work(sl__plan *plan, int32_t s, int32_t p)
{
    sl__stage *stage = &plan->stage[s];
    const sl__stage *before = s > 0 ? &plan->stage[s - 1] : NULL;
    sl__plan_part *part = &plan->part[p];
    sl__plan_work *work = &stage->work[p];
    const ptrdiff_t at = sl__case_values(plan->cs, part->part) - plan->cs->value;
    const int32_t params = part->kind->about.param_count;
    const size_t bytes = (size_t)params * sizeof(double);
    work->value = stage->value + at;
    sl__laws_given(plan->cs, stage->condition, part->part);
    work->given = sl__plan_copy(plan, plan->cs->given, params, sizeof *plan->cs->given);
    if (!work->given) {
        return false;
    }
    for (int32_t v = 0; v < part->items; v++) {
        if (isnan(work->value[plan->vary->item[part->item + v].param])) {
            return false;
        }
    }
    const sl__plan_work *was = before ? &before->work[p] : NULL;
    work->fresh = !was || memcmp(was->value, work->value, bytes) != 0 ||
                  memcmp(was->given, work->given, bytes) != 0 ||
                  before->state[part->part] != stage->state[part->part] ||
                  before->celsius != stage->celsius || has_setting(stage, part);
    if (!work->fresh) {
        *work = *was;
        work->fresh = false;
        return true;
    }
    work->direct = part->trim >= 0;
    if (!work->direct && sl__plan_numbers(plan, stage, p) != SL_OK) {
        return false;
    }
    part->full = part->full || work->direct;
    work->plain = is_plain(plan, work);
    if (!work->plain || part->stateful) {
        stage->at_work[stage->busy++] = p;
    }
    for (int32_t v = 0; v < part->items; v++) {
        const int32_t item = part->item + v;
        sl__lanes_spread spread = spread_of(plan, item, work->value[plan->vary->item[item].param]);
        if (!work->plain || part->full) {
            stage->spread[stage->values++] = spread;
        }
        if (work->plain && work->number->poly->x == item) {
            const sl__plan_poly *poly = work->number->poly;
            const double base = work->number->base;
            const double each = poly->count > 1 ? poly->c[1] * poly->scale : 0.0;
            spread.ohm = base * (poly->c[0] - each * poly->middle);
            spread.ohm_each = base * each;
            spread.to = part->branch + work->number->element;
            stage->ohmic[stage->ohmics++] = spread;
        }
    }
    return true;
}

/* Everything of a stage but what write_down has. *found: false where it cannot be followed. */
static sl_status plan_stage(sl__plan *plan, int32_t s, bool *found)
{
    const sl_case *cs = plan->cs;
    sl__arena *a = &plan->arena;
    sl__stage *stage = &plan->stage[s];
    const sl__stage *before = &plan->stage[s > 0 ? s - 1 : plan->stages - 1];
    const int32_t n = cs->branches;
    stage->setting = sl__arena_take(a, n, sizeof *stage->setting);
    stage->work = sl__arena_take(a, plan->parts, sizeof *stage->work);
    stage->at_work = sl__arena_take(a, plan->parts, sizeof *stage->at_work);
    stage->spread = sl__arena_take(a, plan->variables, sizeof *stage->spread);
    stage->ohmic = sl__arena_take(a, plan->variables, sizeof *stage->ohmic);
    stage->drive = sl__arena_take(a, n, sizeof *stage->drive);
    stage->fix = sl__arena_take(a, n, sizeof *stage->fix);
    stage->slot = sl__arena_take(a, stage->curves, sizeof *stage->slot);
    stage->flow = sl__arena_take(a, plan->flows, sizeof *stage->flow);
    stage->follows = sl__arena_take(a, stage->curves, sizeof *stage->follows);
    stage->curve_rise = sl__arena_take(a, stage->curves, sizeof *stage->curve_rise);
    stage->need = sl__arena_take(a, 8 * n + 2, sizeof *stage->need);
    if (a->failed) {
        return SL_E_NOMEM;
    }
    *found = false;
    for (int32_t k = 0; k < n; k++) {
        if (!same_branch(stage, before, k)) {
            stage->setting[stage->settings++] = k;
        }
        if (stage->law[k].form == SL__CURVE && plan->slot[k] < 0) {
            plan->slot[k] = plan->slots++;
        }
    }
    for (int32_t c = 0; c < stage->curves; c++) {
        stage->slot[c] = plan->slot[stage->curve[c]];
        for (int32_t b = 0; s > 0 && b < before->curves; b++) {
            if (before->curve[b] == stage->curve[c]) {
                stage->follows[c] = true;
                stage->curve_rise[c] = stage->curve_v[c] - before->curve_v[b];
            }
        }
    }
    if (has_warmth(plan->vary)) {
        stage->spread[stage->values++] = (sl__lanes_spread){.value = stage->celsius,
                                                            .down = plan->vary->warmth.down,
                                                            .up = plan->vary->warmth.up,
                                                            .least = SL__LEAST_C,
                                                            .greatest = SL__GREATEST_C,
                                                            .z = plan->variables - 1,
                                                            .to = plan->variables - 1};
    }
    for (int32_t p = 0; p < plan->parts; p++) {
        if (!plan_work(plan, s, p)) {
            return a->failed ? SL_E_NOMEM : SL_OK;
        }
    }
    *found = sl__plan_links(plan, stage) && sl__plan_wants(plan, stage, s == plan->stages - 1);
    return a->failed ? SL_E_NOMEM : SL_OK;
}

static sl_status make(sl__plan *plan, const sl_case *cs, const sl__way *way, bool *found)
{
    sl__arena *a = &plan->arena;
    *found = false;
    sl_status st = sl__case_twin(cs, &plan->al, &plan->cs);
    st = st == SL_OK ? sl__case_prepare(plan->cs) : st;
    if (st != SL_OK) {
        return st;
    }
    const int32_t parts = plan->cs->parts, elements = plan->cs->branch_room;
    plan->stage = sl__arena_take(a, way->count, sizeof *plan->stage);
    plan->factor = sl__arena_take(a, way->count, sizeof *plan->factor);
    plan->part = sl__arena_take(a, parts, sizeof *plan->part);
    plan->part_of = sl__arena_take(a, parts, sizeof *plan->part_of);
    plan->slot = sl__arena_take(a, elements, sizeof *plan->slot);
    plan->plain = sl__arena_take(a, elements, sizeof *plan->plain);
    plan->open = sl__arena_take(a, elements, sizeof *plan->open);
    plan->trim = sl__arena_take(a, parts, sizeof *plan->trim);
    plan->stateful = sl__arena_take(a, parts, sizeof *plan->stateful);
    if (a->failed) {
        return SL_E_NOMEM;
    }
    memset(plan->slot, 0xff, (size_t)elements * sizeof *plan->slot);
    for (int32_t k = 0; k < elements; k++) {
        plan->plain[k].to = SL_NONE;
    }
    plan->variables = plan->vary->count + 1;
    st = sl__plan_follow(plan, way, found);
    if (st != SL_OK || !*found) {
        return st;
    }
    list_parts(plan);
    sl__plan_number_flows(plan);
    for (int32_t s = 0; s < plan->stages && *found; s++) {
        st = plan_stage(plan, s, found);
        if (st != SL_OK) {
            return st;
        }
    }
    for (int32_t p = 0; p < plan->parts; p++) {
        plan->part[p].value_at = plan->value_room;
        plan->value_room += plan->part[p].full ? plan->part[p].kind->about.param_count : 0;
    }
    st = *found ? sl__plan_fine(plan, found) : SL_OK;
    for (int32_t s = 0; s < plan->stages && *found && st == SL_OK; s++) {
        st = sl__plan_ways(plan, &plan->stage[s]);
    }
    return st == SL_OK && *found ? sl__plan_settings(plan) : st;
}

double sl__plan_trim(const sl__plan *plan, const sl__stage *stage, int32_t t)
{
    const sl_part part = plan->part[plan->trim[t]].part;
    int32_t own = 0; /* among all of the case's, the inert ones too */
    while (plan->cs->trimming[own] != part) {
        own++;
    }
    return stage->trim[own];
}

void sl__plan_use(sl__plan *plan, int32_t kernel)
{
    plan->kernel = kernel;
    plan->kernels = sl__lanes_kernels_of(kernel);
    plan->loops = sl__lot_kernels_of(kernel);
    plan->powers = sl__lanes_powers_of(kernel);
}

static void free_factors(sl__plan *plan)
{
    for (int32_t k = 0; k < plan->factors; k++) {
        sl__factor_free(plan->factor[k]);
    }
    plan->factors = 0;
}

sl_status sl__plan_new(const sl_alloc *al, const sl_case *cs, const sl__vary *vary,
                       const sl_reading *of, const sl__way *way, sl__plan **out)
{
    *out = NULL;
    sl__plan *plan = sl__new(al, 1, sizeof *plan);
    if (!plan) {
        return SL_E_NOMEM;
    }
    *plan = (sl__plan){.al = *al, .vary = vary, .of = *of};
    plan->arena.al = &plan->al;
    sl__plan_use(plan, sl__lane_kernels());
    bool found = false;
    const sl_status st = make(plan, cs, way, &found);
    free_factors(plan);
    if (st != SL_OK || !found) {
        sl__plan_free(plan);
        return st;
    }
    *out = plan;
    return SL_OK;
}

void sl__plan_free(sl__plan *plan)
{
    if (!plan) {
        return;
    }
    const sl_alloc al = plan->al;
    for (int32_t s = 0; s < plan->stages; s++) {
        sl__along_free(plan->stage[s].along);
    }
    sl_case_free(plan->cs);
    sl__arena_clear(&plan->arena);
    sl__free(&al, plan, 1, sizeof *plan);
}

const int32_t *sl__plan_ends(const sl__plan *plan)
{
    return plan->stage[plan->stages - 1].state;
}

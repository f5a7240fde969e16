/* lib/analysis/effects.c: what every parameter does to one reading. */
#include "strapline/sensitivity.h"

#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "solve/adjoint.h"

/* A parameter is moved by this share of its value to see what the laws make of it: near the cube
   root of the rounding of a double, where a central difference is best. */
#define STEP 6e-6
/* One that is 0 is moved by this, or by this share of its range where that is narrower. */
#define STEP_FROM_ZERO 1e-6
#define STEP_K 1e-2

struct sl_effects {
    sl_alloc al;
    sl__arena arena;
    double reading, by_kelvin;
    int32_t parts;
    int32_t *param_at, *element_at; /* [parts + 1] */
    double *by_param, *by_series;
};

/* Complete parameters of a part with one of them moved. False when that cannot stand. */
static bool move(sl_case *cs, sl_part part, int32_t param, double to, double *value)
{
    const sl__kind *kind = sl__case_part(cs, part)->kind;
    sl__message unused = {""};
    sl__laws_given_now(cs, part);
    cs->given[param] = to;
    if (sl__parts_complete(kind, "", cs->given, value, &unused) != SL_OK) {
        return false;
    }
    if (kind->trim) {
        value[kind->trim_param] = sl__case_values(cs, part)[kind->trim_param];
    }
    return true;
}

static double step_of(const sl_param *param, double value)
{
    return value != 0.0 ? STEP * fabs(value)
                        : STEP_FROM_ZERO * fmin(1.0, param->greatest - param->least);
}

static double effect_of(const sl__adjoint *a, sl_part part, int32_t param)
{
    sl_case *cs = a->cs;
    const sl__kind *kind = sl__case_part(cs, part)->kind;
    const sl_param *def = &kind->about.params[param];
    double at = sl__case_values(cs, part)[param];
    if (isnan(at) || def->quantity == SL_CHOICE || (kind->trim && param == kind->trim_param)) {
        return SL__NAN;
    }
    double room[3][SL__PARAMS_ROOM];
    const double *const values[3] = {room[0], room[1], room[2]};
    const double celsius[3] = {cs->celsius, cs->celsius, cs->celsius};
    sl__stencil stencil = sl__stencil_at(at, step_of(def, at), def->least, def->greatest);
    for (int32_t m = 0; m < stencil.count; m++) {
        if (!move(cs, part, param, stencil.at[m], room[m])) {
            return SL__NAN;
        }
    }
    return sl__adjoint_effect(a, part, &stencil, values, celsius);
}

/* By the temperature around every part. */
static double effect_of_kelvin(const sl__adjoint *a)
{
    sl_case *cs = a->cs;
    sl__stencil stencil = sl__stencil_at(cs->celsius, STEP_K, SL__LEAST_C, SL__GREATEST_C);
    double sum = 0.0;
    for (sl_part p = 0; p < cs->parts; p++) {
        const double *now = sl__case_values(cs, p);
        const double *const values[3] = {now, now, now};
        sum += sl__adjoint_effect(a, p, &stencil, values, stencil.at);
    }
    return sum;
}

static sl_status take_room(sl_effects *e, const sl_case *cs)
{
    e->parts = cs->parts;
    e->param_at = sl__arena_take(&e->arena, cs->parts + 1, sizeof *e->param_at);
    e->element_at = sl__arena_take(&e->arena, cs->parts + 1, sizeof *e->element_at);
    if (e->arena.failed) {
        return SL_E_NOMEM;
    }
    for (sl_part p = 0; p < cs->parts; p++) {
        const sl_kind *kind = &sl__case_part(cs, p)->kind->about;
        e->param_at[p + 1] = e->param_at[p] + kind->param_count;
        e->element_at[p + 1] = e->element_at[p] + kind->element_count;
    }
    e->by_param = sl__arena_take(&e->arena, e->param_at[cs->parts], sizeof *e->by_param);
    e->by_series = sl__arena_take(&e->arena, e->element_at[cs->parts], sizeof *e->by_series);
    return e->arena.failed ? SL_E_NOMEM : SL_OK;
}

static void fill(sl_effects *e, const sl__adjoint *a, const sl_reading *of)
{
    const sl_case *cs = a->cs;
    sl_case_reading(cs, of, &e->reading);
    for (sl_part p = 0; p < cs->parts; p++) {
        for (int32_t k = e->param_at[p]; k < e->param_at[p + 1]; k++) {
            e->by_param[k] = effect_of(a, p, k - e->param_at[p]);
        }
        for (int32_t k = e->element_at[p]; k < e->element_at[p + 1]; k++) {
            e->by_series[k] = sl__adjoint_series(a, cs->branch_at[p] + (k - e->element_at[p]));
        }
    }
    e->by_kelvin = effect_of_kelvin(a);
}

sl_status sl_effects_find(sl_case *cs, const sl_reading *of, sl_effects **out)
{
    sl_effects *e = sl__new(&cs->al, 1, sizeof *e);
    if (!e) {
        return sl__fail(&cs->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    e->al = cs->al;
    e->arena.al = &e->al;
    sl__adjoint adjoint;
    sl_status st = sl__adjoint_open(cs, of, &adjoint);
    if (st == SL_OK && take_room(e, cs) != SL_OK) {
        st = sl__fail(&cs->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    if (st == SL_OK) {
        fill(e, &adjoint, of);
        *out = e;
    } else {
        sl_effects_free(e);
    }
    sl__adjoint_close(&adjoint);
    return st;
}

void sl_effects_free(sl_effects *e)
{
    if (e) {
        sl_alloc al = e->al;
        sl__arena_clear(&e->arena);
        sl__free(&al, e, 1, sizeof *e);
    }
}

double sl_effects_reading(const sl_effects *e)
{
    return e->reading;
}

double sl_effects_param(const sl_effects *e, sl_part part, int32_t param)
{
    if (part == SL_NONE) {
        return e->by_kelvin;
    }
    bool known = part >= 0 && part < e->parts && param >= 0 &&
                 param < e->param_at[part + 1] - e->param_at[part];
    return known ? e->by_param[e->param_at[part] + param] : SL__NAN;
}

double sl_effects_series(const sl_effects *e, sl_part part, int32_t element)
{
    bool known = part >= 0 && part < e->parts && element >= 0 &&
                 element < e->element_at[part + 1] - e->element_at[part];
    return known ? e->by_series[e->element_at[part] + element] : SL__NAN;
}

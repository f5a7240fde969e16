/* lib/analysis/judge.c: what is lost against what may be lost. */
#include "strapline/limits.h"

#include <math.h>

#include "solve/solve.h"

/* Less than this a meter does not show, in V: with it "no drop that shows" can be judged. */
static const double SHOWS_V = 0.005;

/* The length of a step that is a wire; 0 for others. */
static double length_of(const sl_path *path, const sl_step *step)
{
    const sl_kind *kind = &sl__case_part(path->cs, step->part)->kind->about;
    for (int32_t p = 0; p < kind->param_count && step->use == SL_WIRE; p++) {
        if (kind->params[p].quantity == SL_LENGTH && kind->params[p].presence == SL_REQUIRED) {
            return sl__case_values(path->cs, step->part)[p];
        }
    }
    return 0.0;
}

static bool fits_path(const sl_limit *limit, const sl_path *path)
{
    return (limit->loads & SL_USE_BIT(path->load_use)) != 0 &&
           (limit->nominal_v == 0.0 || limit->nominal_v == path->nominal_v) &&
           path->celsius > limit->over_c && path->celsius <= limit->up_to_c;
}

/* The first that fits, or NULL. step: NULL but for SL_LIMIT_STEP. */
static const sl_limit *find(const sl_path *path, const sl_limit_set *set, sl_limit_scope scope,
                            const sl_step *step)
{
    const double metres = step ? length_of(path, step) : 0.0;
    for (int32_t n = 0; n < set->limit_count; n++) {
        const sl_limit *limit = &set->limit[n];
        if (limit->scope != scope || !fits_path(limit, path)) {
            continue;
        }
        const bool of_use = !step || (limit->uses & SL_USE_BIT(step->use)) != 0;
        const bool of_length =
            !step || step->use != SL_WIRE || (metres > limit->over_m && metres <= limit->up_to_m);
        if (of_use && of_length) {
            return limit;
        }
    }
    return NULL;
}

static double volts_of(const sl_limit *limit, const sl_path *path, double amps)
{
    if (!isnan(limit->volts)) {
        return limit->volts;
    }
    return isnan(limit->part) ? limit->per_100_a * amps / 100.0 : limit->part * path->nominal_v;
}

/* A drop above its limit is bad at any current; one below is good only where enough flows through
   the load. */
static sl_ruling verdict_of(const sl_judgement *j, const sl_path *path, double amps,
                            double expected_a)
{
    if (!j->limit || isnan(j->value_v)) {
        return SL_UNLIMITED;
    }
    const bool least = j->limit->scope == SL_LIMIT_SOURCE;
    const bool over =
        least ? j->value_v < j->limit_v : fabs(j->value_v) > fmax(j->limit_v, SHOWS_V);
    if (over && amps > 0.0) {
        return SL_OVER;
    }
    const bool enough = isnan(expected_a) || path->load_a >= SL_ENOUGH_CURRENT * expected_a;
    return path->load_a > 0.0 && enough && !over ? SL_WITHIN : SL_UNJUDGED;
}

static void judge(const sl_path *path, const sl_limit *limit, double value_v, double amps,
                  double expected_a, sl_judgement *out)
{
    *out = (sl_judgement){.limit = limit,
                          .value_v = value_v,
                          .limit_v = limit ? volts_of(limit, path, amps) : SL__NAN};
    out->verdict = verdict_of(out, path, amps, expected_a);
}

sl_status sl_path_judge_step(const sl_path *path, const sl_limit_set *set, double expected_a,
                             int32_t step, sl_judgement *out)
{
    if (step < 0 || step >= path->step_count || path->load_use == SL_USE_COUNT) {
        return SL_E_ARG;
    }
    const sl_step *at = &path->step[step];
    const bool judged = at->side != SL_LOAD_SIDE && at->use != SL_GIVES;
    const sl_limit *limit = judged ? find(path, set, SL_LIMIT_STEP, at) : NULL;
    judge(path, limit, at->drop_v, at->open ? 0.0 : fabs(at->current_a), expected_a, out);
    return SL_OK;
}

static bool counts(const sl_step *step, sl_limit_scope scope)
{
    if (step->side == SL_LOAD_SIDE || step->use == SL_GIVES || step->inside) {
        return false;
    }
    switch (scope) {
    case SL_LIMIT_FEED:
        return step->side == SL_FEED_SIDE;
    case SL_LIMIT_RETURN:
        return step->side == SL_RETURN_SIDE;
    case SL_LIMIT_CABLES:
        return step->use == SL_WIRE || step->use == SL_CONNECTION;
    case SL_LIMIT_BOTH:
        return true;
    default:
        return false;
    }
}

/* The lowest of the sources on the path. */
static double lowest_source(const sl_path *path)
{
    double volts = path->source_v;
    for (int32_t k = 0; k < path->step_count; k++) {
        const sl_step *step = &path->step[k];
        if (step->use == SL_GIVES && step->side != SL_LOAD_SIDE && -step->drop_v < volts) {
            volts = -step->drop_v;
        }
    }
    return volts;
}

sl_status sl_path_judge(const sl_path *path, const sl_limit_set *set, double expected_a,
                        sl_limit_scope scope, sl_judgement *out)
{
    if (scope <= SL_LIMIT_STEP || scope > SL_LIMIT_SOURCE || path->load_use == SL_USE_COUNT) {
        return SL_E_ARG;
    }
    double volts = 0.0;
    for (int32_t k = 0; k < path->step_count; k++) {
        volts += counts(&path->step[k], scope) ? path->step[k].drop_v : 0.0;
    }
    volts = scope == SL_LIMIT_SOURCE ? lowest_source(path) : volts;
    judge(path, find(path, set, scope, NULL), volts, path->load_a, expected_a, out);
    return SL_OK;
}

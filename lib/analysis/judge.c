/* lib/analysis/judge.c: what is lost against what may be lost. */
#include "strapline/limits.h"

#include <math.h>
#include <string.h>

#include "solve/solve.h"

/* Less than this a meter does not show, in V: with it "no drop that shows" can be judged. */
static const double SHOWS_V = 0.005;

/* Of a good part at most: its drop is this many times that of its good resistance. Common practice,
   no source. */
static const double AS_GOOD = 1.25;

/* As much of a current is no other one: what flows through both is in series. */
static const double SERIES = 0.01;

/* Less than this is no current to judge by, in A. */
static const double LEAST_A = 1e-6;

/* The parameter of a part with this name and quantity; NaN when its kind has none. */
static double value_of(const sl_case *cs, sl_part part, const char *name, sl_quantity quantity)
{
    const sl_kind *kind = &sl__case_part(cs, part)->kind->about;
    for (int32_t p = 0; p < kind->param_count; p++) {
        if (kind->params[p].quantity == quantity && strcmp(kind->params[p].name, name) == 0) {
            return sl__case_values(cs, part)[p];
        }
    }
    return SL__NAN;
}

/* Of a wire whose length is not known, as of sheet metal, limits by length say nothing. */
static bool fits_length(const sl_limit *limit, double metres)
{
    const bool any = limit->over_m == 0.0 && isinf(limit->up_to_m);
    return any || (metres > limit->over_m && metres <= limit->up_to_m);
}

/* A limit for charging alone is for what a generator loses on its way to the battery: one battery
   that fills another has none. */
static bool fits_source(const sl_limit *limit, const sl_path *path)
{
    const bool charging = limit->loads == SL_USE_BIT(SL_GIVES);
    return !charging || sl__case_part(path->cs, path->source)->kind->about.negative_post < 0;
}

static bool fits_path(const sl_limit *limit, const sl_path *path, double celsius)
{
    return fits_source(limit, path) && (limit->loads & SL_USE_BIT(path->load_use)) != 0 &&
           (limit->nominal_v == 0.0 || limit->nominal_v == path->nominal_v) &&
           celsius > limit->over_c && celsius <= limit->up_to_c;
}

/* The first that fits, or NULL. step: NULL but for SL_LIMIT_STEP. */
static const sl_limit *find(const sl_path *path, const sl_limit_set *set, sl_limit_scope scope,
                            const sl_step *step, double celsius)
{
    const bool wire = step && step->use == SL_WIRE;
    const double metres = wire ? value_of(path->cs, step->part, "length", SL_LENGTH) : SL__NAN;
    for (int32_t n = 0; n < set->limit_count; n++) {
        const sl_limit *limit = &set->limit[n];
        if (limit->scope == scope && fits_path(limit, path, celsius) &&
            (!step || (limit->uses & SL_USE_BIT(step->use)) != 0) &&
            (!wire || fits_length(limit, metres))) {
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

/* What is to be judged, and what it would be with the parts of the good circuit. */
typedef struct measured {
    double value_v, amps;
    double good_v, good_a; /* in the good circuit; NaN when not known */
    double as_good_v;      /* with the present currents through good parts; NaN when not known */
    bool moment;           /* the currents are those of a moment */
} measured;

/* Is it over its limit for the current alone? */
static bool by_current(const sl_judgement *j, const sl_path *path, const measured *m)
{
    return fabs(m->amps) > AS_GOOD * m->good_a &&
           fabs(m->value_v) <= AS_GOOD * fabs(m->as_good_v) &&
           fabs(m->good_v) <= fmax(volts_of(j->limit, path, m->good_a), SHOWS_V);
}

/* Is this an end of a chatter at which something stands otherwise than in the good circuit? Then
   the currents are those of a moment, such as that of a winding that pulls in, and the good
   circuit's steady ones say nothing of them. */
static bool for_a_moment(const sl_case *cs, const sl_case *good)
{
    if (!good || !good->solved || sl_case_outcome(cs) != SL_CHATTERS) {
        return false;
    }
    const int32_t parts = cs->parts < good->parts ? cs->parts : good->parts;
    for (sl_part p = 0; p < parts; p++) {
        const int32_t here = cs->answer[cs->view].state[p];
        if (cs->answer[1 - cs->view].state[p] != here &&
            good->answer[good->view].state[p] != here) {
            return true;
        }
    }
    return false;
}

/* A drop above its limit is bad at any current, but for one that a good part has with so much
   current; one below is good only where enough flows. */
static sl_ruling verdict_of(const sl_judgement *j, const sl_path *path, const measured *m)
{
    if (!j->limit || isnan(j->value_v)) {
        return SL_UNLIMITED;
    }
    const bool least = j->limit->scope == SL_LIMIT_SOURCE;
    const bool over =
        least ? j->value_v < j->limit_v : fabs(j->value_v) > fmax(j->limit_v, SHOWS_V);
    if (over && m->amps > 0.0) {
        const bool good = !least && by_current(j, path, m);
        return !good ? SL_OVER : m->moment ? SL_UNJUDGED : SL_OVER_BY_CURRENT;
    }
    const bool enough = isnan(m->good_a) || m->amps >= SL_ENOUGH_CURRENT * m->good_a;
    return m->amps > LEAST_A && enough && !over ? SL_WITHIN : SL_UNJUDGED;
}

static void judge(const sl_path *path, const sl_limit *limit, const measured *m, double celsius,
                  sl_judgement *out)
{
    *out = (sl_judgement){.limit = limit,
                          .value_v = m->value_v,
                          .limit_v = limit ? volts_of(limit, path, m->amps) : SL__NAN,
                          .good_a = m->good_a,
                          .celsius = celsius};
    out->verdict = verdict_of(out, path, m);
}

/* The resistance of an element in the good circuit; NaN for what has none. */
static double good_ohm(const sl_case *good, const sl_step *step)
{
    sl__law law[SL__ELEMENTS_MOST];
    sl__laws_at(good, step->part, good->answer[good->view].state[step->part], law);
    const bool ohmic = law[step->element].form == SL__OHMIC && law[step->element].open_v == 0.0;
    return ohmic ? law[step->element].ohm : SL__NAN;
}

/* A step, and beside it the same element of the good circuit. */
static measured measure(const sl_path *path, const sl_case *good, const sl_step *step)
{
    measured m = {step->drop_v, step->open ? 0.0 : fabs(step->current_a),
                  SL__NAN,      SL__NAN,
                  SL__NAN,      for_a_moment(path->cs, good)};
    double amps = SL__NAN, volts = SL__NAN;
    if (good && good->solved && step->part < good->parts && step->part < path->cs->parts &&
        sl_case_element(good, step->part, step->element, &amps, &volts) == SL_OK) {
        m.good_a = fabs(amps);
        m.good_v = fabs(volts);
        m.as_good_v = good_ohm(good, step) * m.amps;
    }
    return m;
}

sl_status sl_path_judge_step(const sl_path *path, const sl_limit_set *set, const sl_case *good,
                             int32_t step, sl_judgement *out)
{
    if (step < 0 || step >= path->step_count || path->load_use == SL_USE_COUNT) {
        return SL_E_ARG;
    }
    const sl_step *at = &path->step[step];
    const bool judged = at->side != SL_LOAD_SIDE && at->use != SL_GIVES;
    const sl_limit *limit = judged ? find(path, set, SL_LIMIT_STEP, at, path->celsius) : NULL;
    const measured m = measure(path, good, at);
    judge(path, limit, &m, SL__NAN, out);
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

/* The lowest of the sources on the path that give. */
static double lowest_source(const sl_path *path, sl_part *part)
{
    double volts = path->source_v;
    *part = path->source;
    for (int32_t k = 0; k < path->step_count; k++) {
        const sl_step *step = &path->step[k];
        if (step->use == SL_GIVES && step->side != SL_LOAD_SIDE && step->drop_v < 0.0 &&
            -step->drop_v < volts) {
            volts = -step->drop_v;
            *part = step->part;
        }
    }
    return volts;
}

/* The steps of a side, or of both, together; the current is that of the load. */
static measured measure_side(const sl_path *path, const sl_case *good, sl_limit_scope scope)
{
    measured all = {0.0, path->load_a, 0.0, SL__NAN, 0.0, for_a_moment(path->cs, good)};
    for (int32_t k = 0; k < path->step_count; k++) {
        const sl_step *step = &path->step[k];
        const measured m = measure(path, good, step);
        if (step->side == SL_LOAD_SIDE) {
            all.good_a = m.good_a;
        }
        if (counts(step, scope)) {
            const double sign = step->drop_v < 0.0 ? -1.0 : 1.0;
            all.value_v += m.value_v;
            all.good_v += sign * m.good_v;
            all.as_good_v += sign * m.as_good_v;
        }
    }
    return all;
}

/* Is there something on the way, as a charging resistor or a diode, that alone loses more when all
   is good? Limits of a side are for wires, connections and contacts. */
static bool loses_by_design(const sl_path *path, const sl_case *good, sl_limit_scope scope,
                            const sl_judgement *j)
{
    for (int32_t k = 0; k < path->step_count && j->limit; k++) {
        const sl_step *step = &path->step[k];
        const measured m = measure(path, good, step);
        const bool series = fabs(m.good_a - j->good_a) <= SERIES * j->good_a;
        const bool is_meant = step->use == SL_SILICON || (step->use >= SL_LOAD_STARTER && series);
        if (counts(step, scope) && is_meant && m.good_v > j->limit_v) {
            return true;
        }
    }
    return false;
}

sl_status sl_path_judge(const sl_path *path, const sl_limit_set *set, const sl_case *good,
                        sl_limit_scope scope, sl_judgement *out)
{
    if (scope <= SL_LIMIT_STEP || scope > SL_LIMIT_SOURCE || path->load_use == SL_USE_COUNT) {
        return SL_E_ARG;
    }
    measured m = measure_side(path, good, scope);
    double celsius = path->celsius;
    if (scope == SL_LIMIT_SOURCE) {
        sl_part source = SL_NONE;
        m.value_v = lowest_source(path, &source);
        celsius =
            sl__temperature_or(value_of(path->cs, source, "temperature", SL_TEMPERATURE), celsius);
    }
    judge(path, find(path, set, scope, NULL, celsius), &m, celsius, out);
    if (scope != SL_LIMIT_SOURCE && loses_by_design(path, good, scope, out)) {
        judge(path, NULL, &m, celsius, out);
    }
    return SL_OK;
}

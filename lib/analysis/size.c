/* lib/analysis/size.c: conductors of every listed size in the place of one. */
#include "strapline/size.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "kinds/conductor.h"
#include "solve/solve.h"

/* Wires of one run carry the same current, within this part of it. */
static const double SAME_CURRENT = 0.05;

/* How long a starter is cranked at most (US Army TM), and what counts as for ever. */
static const double CRANKING_S = 30.0, LASTING_S = 3600.0;

/* Two clean pieces of metal pressed together. */
static const double SHORT_OHM = 1e-4;

static const double MM2_PER_CIRCULAR_MIL = 5.0670748e-4, METRES_PER_FOOT = 0.3048;

/* The odd gauges are hardly made. */
static const int32_t gauges[] = {22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3};

/* What a question needs while it is answered. */
typedef struct sizer {
    const sl_circuit *circuit;
    const sl_size_question *ask;
    sl_size *out;
    sl_case *plain, *shorted; /* the circuit, and the same with the short */
    const sl_edit *edits;
    int32_t count;
    sl_part bridge; /* the short, in `shorted` */
    int32_t fuse_element;
    double given[SL__CONDUCTOR_PARAM_COUNT]; /* of the conductor as it is */
} sizer;

double sl_size_by_rule(double amps, double metres, double volts)
{
    static const double OHM_CIRCULAR_MIL_PER_FOOT = 10.75; /* ABYC E-11 */
    return OHM_CIRCULAR_MIL_PER_FOOT * amps * (metres / METRES_PER_FOOT) / volts *
           MM2_PER_CIRCULAR_MIL;
}

static sl_status refuse(sl_size *out, sl_status status, const char *why)
{
    out->why = why;
    return status;
}

static int32_t find_step(const sl_path *path, sl_part part)
{
    for (int32_t k = 0; k < path->step_count; k++) {
        if (path->step[k].part == part) {
            return k;
        }
    }
    return -1;
}

/* The rating of a step's fuse or breaker; NaN for what has none. */
static double rating_of(const sizer *s, const sl_step *step)
{
    const sl_kind *kind = sl_circuit_part_kind(s->circuit, step->part);
    for (int32_t p = 0; p < kind->param_count && step->use == SL_PROTECTION; p++) {
        if (strcmp(kind->params[p].name, "rating") == 0) {
            return sl__case_values(s->plain, step->part)[p];
        }
    }
    return SL__NAN;
}

/* The fuse with the least rating ahead of a step; NULL: none. */
static const sl_step *least_fuse(const sizer *s, const sl_path *path, int32_t at)
{
    const sl_step *least = NULL;
    for (int32_t k = 0; k < at; k++) {
        const double rating = rating_of(s, &path->step[k]);
        if (!isnan(rating) && !(least && rating >= rating_of(s, least))) {
            least = &path->step[k];
        }
    }
    return least;
}

/* What the loads that come back through a conductor may send through it together. */
typedef struct together {
    bool *counted;    /* [parts] fuses whose rating is in the sum */
    int32_t *guarded; /* [parts] of how many of the loads a fuse is ahead */
    double sum_a;
    int32_t fuses, loads;
} together;

static void add_load(const sizer *s, const sl_path *path, int32_t at, together *all)
{
    const sl_step *least = least_fuse(s, path, at);
    all->loads++;
    if (!least) {
        all->sum_a += path->load_a;
    } else if (!all->counted[least->part]) {
        all->counted[least->part] = true;
        all->sum_a += rating_of(s, least);
        all->fuses++;
    }
    for (int32_t k = 0; k < at; k++) {
        all->guarded[path->step[k].part] += !isnan(rating_of(s, &path->step[k]));
    }
}

/* A fuse that guards all of them lets no more pass than itself. */
static void add_up(sizer *s, const sl_path *path, int32_t at, const together *all)
{
    sl_size *out = s->out;
    out->fuses = out->fuse == SL_NONE ? 0 : 1;
    out->fuses_a = out->fuse_a;
    if (out->fuse == SL_NONE || out->side != SL_RETURN_SIDE) {
        return;
    }
    out->fuses = all->fuses;
    out->fuses_a = all->sum_a;
    for (int32_t k = 0; k < at; k++) {
        const sl_step *step = &path->step[k];
        const double rating = rating_of(s, step);
        if (all->guarded[step->part] == all->loads && rating < out->fuses_a) {
            out->fuses = 1;
            out->fuses_a = rating;
        }
    }
}

/* The path of the greatest load whose current goes through the conductor, and what all of them may
   send through it. */
static sl_status look_at_loads(sizer *s, const sl_load *loads, int32_t count, sl_load *load,
                               sl_path **path, together *all)
{
    sl_status st = SL_OK;
    for (int32_t n = 0; n < count && st >= 0; n++) {
        sl_path *one = NULL;
        st = sl_path_load(s->plain, loads[n].part, loads[n].element, &one);
        const int32_t at = st == SL_OK ? find_step(one, s->ask->part) : -1;
        if (at >= 0) {
            add_load(s, one, at, all);
        }
        if (at >= 0 && !*path) {
            *path = one;
            *load = loads[n];
        } else {
            sl_path_free(one);
        }
    }
    return st < 0 ? st : SL_OK;
}

static double length_of(const sl_case *cs, sl_part part)
{
    const sl__part *record = sl__case_part(cs, part);
    return record->kind->trim_param == SL__CONDUCTOR_METAL_TEMPERATURE &&
                   record->kind->laws == sl__conductor_laws
               ? sl__case_values(cs, part)[SL__CONDUCTOR_LENGTH]
               : 0.0;
}

/* What may be lost: as asked, or by the set. */
static sl_status find_allowance(sizer *s, const sl_path *path, int32_t at)
{
    sl_size *out = s->out;
    const double share = out->length_m / out->run_m;
    out->run_v = isnan(s->ask->drop_v) ? s->ask->drop_part * path->nominal_v : s->ask->drop_v;
    if (isnan(out->run_v)) {
        sl_judgement wire, both, cables;
        sl_path_judge_step(path, s->ask->set, NULL, at, &wire);
        sl_path_judge(path, s->ask->set, NULL, SL_LIMIT_BOTH, &both);
        sl_path_judge(path, s->ask->set, NULL, SL_LIMIT_CABLES, &cables);
        const sl_judgement *whole = both.limit ? &both : &cables;
        out->limit = wire.limit ? wire.limit : whole->limit;
        out->run_v = whole->limit_v;
        if (wire.limit) {
            out->run_v = SL__NAN;
            out->allowed_v = wire.limit_v;
            return SL_OK;
        }
    }
    if (isnan(out->run_v)) {
        return refuse(out, SL_E_VALUE,
                      "the set of limits says nothing of wires to such a load; choose another set, "
                      "or say how much may be lost");
    }
    out->allowed_v = out->run_v * share;
    return SL_OK;
}

/* The run, the fuse, the duty. */
static void look_along(sizer *s, const sl_path *path, int32_t at)
{
    sl_size *out = s->out;
    const double amps = fabs(path->step[at].current_a);
    out->side = path->step[at].side;
    out->nominal_v = path->nominal_v;
    out->length_m = length_of(s->plain, s->ask->part);
    out->air_c = sl__temperature_or(s->given[SL__CONDUCTOR_TEMPERATURE], s->plain->celsius);
    out->limit_c = s->given[SL__CONDUCTOR_LIMIT];
    out->duty_s = path->load_use == SL_LOAD_STARTER ? CRANKING_S : LASTING_S;
    out->fuse = SL_NONE;
    out->fuse_a = SL__NAN;
    for (int32_t k = 0; k < path->step_count; k++) {
        const sl_step *step = &path->step[k];
        const double metres = length_of(s->plain, step->part);
        if (fabs(fabs(step->current_a) - amps) <= SAME_CURRENT * amps) {
            out->run_m += metres;
        } else if (metres > 0.0) {
            out->shared_m += metres;
            out->shared_v += step->drop_v;
        }
    }
    const sl_step *fuse = least_fuse(s, path, at);
    if (fuse) {
        out->fuse = fuse->part;
        out->fuse_a = rating_of(s, fuse);
        s->fuse_element = fuse->element;
    }
}

/* A case with the short: from the far end of the conductor to the other side of the load. */
static sl_status make_short(sizer *s, sl_condition condition, const sl_path *path, int32_t at)
{
    const sl_step *step = &path->step[at];
    const bool feed = step->side == SL_FEED_SIDE;
    const char *nodes[] = {
        sl__case_node_name(s->plain, feed ? step->to : path->red),
        sl__case_node_name(s->plain, feed ? path->black : step->from),
    };
    const double ohm[] = {SHORT_OHM};
    const sl_part_def def = {.kind = "resistor", .name = "(short)", .nodes = nodes, .values = ohm};
    if (s->out->fuse == SL_NONE || strcmp(nodes[0], nodes[1]) == 0) {
        return SL_OK;
    }
    const sl_status st = sl_case_new(s->circuit, condition, &s->shorted);
    return st == SL_OK ? sl_case_attach(s->shorted, &def, &s->bridge) : st;
}

/* Puts a size into a case: everything that follows from it follows anew. */
static sl_status put_size(sizer *s, sl_case *cs, const double *p)
{
    static const int32_t changed[] = {
        SL__CONDUCTOR_SIZE,     SL__CONDUCTOR_BASIS,          SL__CONDUCTOR_PER_METRE,
        SL__CONDUCTOR_AMPACITY, SL__CONDUCTOR_BROKEN_STRANDS, SL__CONDUCTOR_DUTY,
    };
    sl_case_clear(cs);
    sl_status st = s->count > 0 ? sl_case_edit(cs, s->edits, s->count) : SL_OK;
    for (int32_t n = 0; n < SL__COUNT(changed) && st == SL_OK; n++) {
        const sl_edit edit = {s->ask->part, SL_SET, changed[n], p[changed[n]]};
        st = sl_case_edit(cs, &edit, 1);
    }
    return st == SL_OK ? sl_case_solve(cs) : st;
}

/* The temperature at which it loses what it gains. */
static double steady_c(const sl__kind *kind, const double *given, double air_c, double amps)
{
    double p[SL__CONDUCTOR_PARAM_COUNT];
    memcpy(p, given, sizeof p);
    p[SL__CONDUCTOR_HEATING] = 1.0; /* steady */
    p[SL__CONDUCTOR_METAL_TEMPERATURE] = air_c;
    for (int32_t round = 0; round < 100; round++) {
        sl__law law = {0};
        kind->laws(p, air_c, 0, &law);
        const sl__flow flow = {.v = amps * law.ohm, .i = amps};
        p[SL__CONDUCTOR_METAL_TEMPERATURE] = kind->trim(p, air_c, 0, &flow);
    }
    return p[SL__CONDUCTOR_METAL_TEMPERATURE];
}

/* Seconds until its insulation is at its limit, as the conductor itself notices. */
static double seconds_to_limit(const sl_case *cs, sl_part part)
{
    const sl_kind *kind = &sl__case_part(cs, part)->kind->about;
    sl_notice notice[SL__CONDUCTOR_NOTICE_COUNT];
    const int32_t count = sl_case_notices(cs, part, notice, SL__CONDUCTOR_NOTICE_COUNT);
    for (int32_t n = 0; n < count && n < SL__CONDUCTOR_NOTICE_COUNT; n++) {
        if (kind->notices[notice[n].index].quantity == SL_TIME) {
            return notice[n].value;
        }
    }
    return SL__NAN;
}

/* Current through the fuse; of both ends of a chatter the greater. */
static double short_current(sizer *s)
{
    double most = 0.0;
    for (int32_t view = 0; sl_case_view(s->shorted, view) == SL_OK; view++) {
        double amps = 0.0, volts = 0.0;
        sl_case_element(s->shorted, s->out->fuse, s->fuse_element, &amps, &volts);
        most = fmax(most, fabs(amps));
    }
    return most;
}

/* The end of a chatter at which more flows through the conductor, or the only one, in view. */
static void look_at_most(sizer *s, sl_size_row *row)
{
    int32_t most = 0;
    for (int32_t view = 0; sl_case_view(s->plain, view) == SL_OK; view++) {
        double amps = 0.0, volts = 0.0;
        sl_case_element(s->plain, s->ask->part, 0, &amps, &volts);
        if (view == 0 || fabs(amps) > row->current_a) {
            most = view;
            row->current_a = fabs(amps);
            row->drop_v = fabs(volts);
        }
    }
    sl_case_view(s->plain, most);
    row->seconds = seconds_to_limit(s->plain, s->ask->part);
    sl_case_view(s->plain, 0);
}

static void judge_row(const sl_size *out, sl_size_row *row)
{
    const bool lasting = out->duty_s >= LASTING_S;
    row->fails |= row->drop_v > out->allowed_v ? SL_SIZE_DROP : 0u;
    row->fails |= (lasting && row->celsius > out->limit_c) || !isnan(row->seconds) ||
                          (lasting && row->current_a > row->ampacity_a)
                      ? SL_SIZE_HEAT
                      : 0u;
    row->fails |= out->fuses_a > row->ampacity_a ? SL_SIZE_FUSE : 0u;
    row->fails |= row->short_a < SL_FUSE_OPENS * out->fuse_a ? SL_SIZE_SHORT : 0u;
    row->fails |= row->current_a < SL_ENOUGH_CURRENT * out->present.current_a ? SL_SIZE_OFF : 0u;
}

/* What a size does in the circuit. p: the parameters of the conductor, complete. */
static sl_status try_size(sizer *s, const double *p, sl_size_row *row)
{
    const sl__kind *kind = sl__case_part(s->plain, s->ask->part)->kind;
    sl_status st = put_size(s, s->plain, p);
    if (st != SL_OK) {
        return st;
    }
    look_at_most(s, row);
    row->ampacity_a = p[SL__CONDUCTOR_AMPACITY];
    row->celsius = steady_c(kind, p, s->out->air_c, row->current_a);
    row->short_a = SL__NAN;
    if (s->shorted) {
        st = put_size(s, s->shorted, p);
        row->short_a = st == SL_OK ? short_current(s) : SL__NAN;
    }
    judge_row(s->out, row);
    return st == SL_E_NOMEM ? st : SL_OK;
}

/* The conductor with another section. A gauge is no size of the standards, so that its resistance
   is that of its metal. */
static bool with_size(const sizer *s, double mm2, int32_t gauge, double *p)
{
    sl__complaint bad;
    memcpy(p, s->given, sizeof s->given);
    p[SL__CONDUCTOR_SIZE] = mm2;
    p[SL__CONDUCTOR_BASIS] = gauge == SL_NO_GAUGE ? p[SL__CONDUCTOR_BASIS] : 0.0;
    p[SL__CONDUCTOR_PER_METRE] = p[SL__CONDUCTOR_AMPACITY] = SL__NAN;
    p[SL__CONDUCTOR_STRANDS] = p[SL__CONDUCTOR_STRAND_DIAMETER] = SL__NAN;
    p[SL__CONDUCTOR_BROKEN_STRANDS] = 0.0;
    p[SL__CONDUCTOR_DUTY] = s->out->duty_s;
    return sl__conductor_complete(p, (int)p[SL__CONDUCTOR_INSULATION], &bad);
}

static sl_status try_one(sizer *s, double mm2, int32_t gauge, int32_t *best)
{
    double p[SL__CONDUCTOR_PARAM_COUNT];
    sl_size *out = s->out;
    if (!with_size(s, mm2, gauge, p)) {
        return SL_OK; /* not a size of its standard */
    }
    sl_size_row *row = &out->row[out->row_count];
    *row = (sl_size_row){.mm2 = mm2, .gauge = gauge};
    const sl_status st = try_size(s, p, row);
    if (st == SL_E_NOMEM) {
        return st;
    }
    if (st == SL_OK) { /* with some sizes there is no operating point */
        *best = *best < 0 && row->fails == 0 ? out->row_count : *best;
        out->row_count++;
    }
    return SL_OK;
}

static sl_status try_all(sizer *s)
{
    sl_size *out = s->out;
    out->present = (sl_size_row){.mm2 = s->given[SL__CONDUCTOR_SIZE], .gauge = SL_NO_GAUGE};
    double p[SL__CONDUCTOR_PARAM_COUNT];
    memcpy(p, s->given, sizeof p);
    p[SL__CONDUCTOR_DUTY] = out->duty_s;
    sl_status st = try_size(s, p, &out->present);
    for (int32_t n = 0; n < sl__iec60228_count() && st == SL_OK; n++) {
        st = try_one(s, sl__iec60228_mm2(n), SL_NO_GAUGE, &out->best_mm2);
    }
    for (int32_t n = 0; n < SL__COUNT(gauges) && st == SL_OK; n++) {
        st = try_one(s, sl__awg_mm2(gauges[n]), gauges[n], &out->best_gauge);
    }
    return st;
}

/* What is asked of the conductor, by the path of the greatest load. */
static sl_status take_path(sizer *s, sl_condition condition, const sl_load *load,
                           const sl_path *path, const together *all)
{
    const int32_t at = find_step(path, s->ask->part);
    s->out->load = load->part;
    s->out->element = load->element;
    s->out->load_use = load->use;
    look_along(s, path, at);
    add_up(s, path, at, all);
    const sl_status st = find_allowance(s, path, at);
    return st == SL_OK ? make_short(s, condition, path, at) : st;
}

static sl_status size_on_path(sizer *s, sl_condition condition)
{
    sl__arena scratch = {.al = &s->plain->al};
    const int32_t room = s->plain->elements;
    sl_load load = {0}, *loads = sl__arena_take(&scratch, room, sizeof *loads);
    together all = {.counted = sl__arena_take(&scratch, s->plain->parts, sizeof *all.counted),
                    .guarded = sl__arena_take(&scratch, s->plain->parts, sizeof *all.guarded)};
    sl_path *path = NULL;
    const int32_t count = scratch.failed ? SL_E_NOMEM : sl_case_loads(s->plain, loads, room);
    sl_status st = count < 0 ? (sl_status)count : SL_OK;
    st = st == SL_OK ? look_at_loads(s, loads, count, &load, &path, &all) : st;
    if (st == SL_OK) {
        st = path ? take_path(s, condition, &load, path, &all)
                  : refuse(s->out, SL_E_VALUE,
                           "no load's current goes through it in this condition");
    }
    sl_path_free(path);
    sl__arena_clear(&scratch);
    return st == SL_OK ? try_all(s) : st;
}

sl_status sl_size_conductor(const sl_circuit *circuit, sl_condition condition, const sl_edit *edits,
                            int32_t count, const sl_size_question *ask, sl_size *out)
{
    *out = (sl_size){.fuse = SL_NONE, .best_mm2 = -1, .best_gauge = -1, .why = ""};
    sizer s = {
        .circuit = circuit, .ask = ask, .out = out, .edits = edits, .count = count, .bridge = -1};
    if (ask->part < 0 || ask->part >= circuit->parts.names.count) {
        return refuse(out, SL_E_ARG, "there is no such part");
    }
    if (isnan(ask->drop_v) && isnan(ask->drop_part) && !ask->set) {
        return refuse(out, SL_E_ARG, "neither a drop nor a set of limits is said");
    }
    if (ask->drop_v <= 0.0 || ask->drop_part <= 0.0) {
        return refuse(out, SL_E_VALUE, "the drop that is allowed is above 0");
    }
    if (circuit->parts.part[ask->part].kind->laws != sl__conductor_laws) {
        return refuse(out, SL_E_VALUE, "it is neither a cable nor a strap: it has no size");
    }
    sl_status st = sl_case_new(circuit, condition, &s.plain);
    if (st == SL_OK && count > 0) {
        st = sl_case_edit(s.plain, edits, count);
    }
    if (st == SL_OK) {
        st = sl_case_solve(s.plain);
    }
    if (st == SL_OK) {
        memcpy(s.given, sl__case_values(s.plain, ask->part), sizeof s.given);
        st = size_on_path(&s, condition);
    }
    sl_case_free(s.shorted);
    sl_case_free(s.plain);
    return st;
}

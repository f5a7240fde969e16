/* lib/solve/curved_run.c: eight cases along the states of the healthy circuit. */
#include <float.h>
#include <math.h>
#include <string.h>

#include "solve/curved_internal.h"

/* Rounding of a change in a reading, relative, and what the ports are off. */
#define ROUNDING (15.0 * DBL_EPSILON)
/* The current of a link is a sum of others, and so what 1 A through a port makes of it: rounding of
   that is no part of it, but of the ampere. */
#define SUM_ROUNDING (2.0 * DBL_EPSILON)
/* Of an answer this much may be in doubt, relative, and in V or A. */
#define DOUBT 3e-10
#define DOUBT_LEAST 1e-15
/* As in trim.c a part that adjusts itself is content with this share of its value, or of 1; but
   here it may begin as near as that, and makes some steps more, until it is right to the last
   places. */
#define CLOSE 1e-11
#define CLOSEST 1e-15
#define CLOSE_MOST 3
#define ROUNDS_MOST 24

static bool has(unsigned lanes, int32_t l)
{
    return (lanes >> l & 1U) != 0;
}

/* A lane without anything of the last set-up. */
static void clear_lane(sl__curved *c, int32_t lane)
{
    sl__lane_ports *p = &c->ports;
    for (int32_t k = 0; k < p->curves; k++) {
        p->off[k] = (uint8_t)(p->off[k] & ~(1U << lane));
    }
    for (int32_t s = 0; s < SL__SLOTS_MOST; s++) {
        c->from[s][lane] = c->to[s][lane] = -2; /* of no way */
        for (int32_t t = 0; t < SL__SLOTS_MOST; t++) {
            p->between[(s * SL__SLOTS_MOST + t) * SL__LANES + lane] = 0.0;
        }
    }
}

/* Begins with a base: no slots, and all that adjusts itself is where it is there. */
static void begin(sl__curved *c, const sl__curved_base *at)
{
    sl__lane_ports *p = &c->ports;
    p->curves = at->curves;
    p->curve = at->curve;
    p->z = at->z;
    p->slots = 0;
    p->any_off = false;
    memset(p->off, 0, (size_t)at->curves * sizeof *p->off);
    for (int32_t l = 0; l < SL__LANES; l++) {
        clear_lane(c, l);
        c->close[l] = 0;
        for (int32_t t = 0; t < at->base->trimming_count && t < SL__TRIMS_MOST; t++) {
            const sl__part *record = sl__case_part(c->cs, at->base->trimming[t]);
            c->x[l][t] = (at->value + record->value_at)[record->kind->trim_param];
            c->error[l][t] = c->step[l][t] = 0.0;
        }
    }
}

/* Sets up some lanes of a base anew; all others stay as they are. Returns those that it can speak
   of. */
static unsigned set_up(sl__curved *c, int32_t b, const sl__curved_case *cases, unsigned lanes)
{
    const sl__curved_base *at = &c->at[b];
    sl__lane_ports *p = &c->ports;
    unsigned sound = 0;
    for (int32_t l = 0; l < SL__LANES; l++) {
        int32_t used = 0;
        if (!has(lanes, l)) {
            continue;
        }
        clear_lane(c, l);
        if (sl__curved_fill(c, b, l, &cases[l], &used)) {
            sound |= 1U << l;
        } else {
            clear_lane(c, l);
            used = 0;
        }
        for (int32_t s = p->slots; s < used; s++) {
            for (int32_t other = 0; other < SL__LANES; other++) {
                if (other != l) {
                    sl__curved_idle(c, at, s, other);
                }
            }
        }
        p->slots = used > p->slots ? used : p->slots;
        for (int32_t s = used; s < p->slots; s++) {
            sl__curved_idle(c, at, s, l);
        }
    }
    return sound;
}

/* The slot of a lane that stands for an element, or -1. */
static int32_t slot_of(const sl__curved *c, int32_t element, int32_t lane)
{
    for (int32_t s = 0; s < c->ports.slots; s++) {
        if (c->element[s][lane] == element) {
            return s;
        }
    }
    return -1;
}

/* What the ports add to the current of an output over that of their lines; *size: of the terms. */
static double beyond(const sl__curved *c, const sl__curved_base *at, const sl__curved_output *out,
                     int32_t lane, double *size)
{
    const sl__lane_ports *p = &c->ports;
    double sum = 0.0;
    *size = 0.0;
    for (int32_t k = 0; k < at->curves; k++) {
        const int32_t element = at->curve[k].element;
        const sl__branch *branch = &c->cs->branch[element];
        const double sign =
            has(p->off[k], lane) ? 0.0 : sl__curved_sign(out, element, branch->from, branch->to);
        const double term = sign * p->end_beyond[k * SL__LANES + lane];
        sum += term;
        *size += fabs(term);
    }
    for (int32_t s = 0; s < p->slots; s++) {
        if (c->node[s][lane][0] != SL_NONE) {
            const double sign =
                sl__curved_sign(out, c->element[s][lane], c->node[s][lane][0], c->node[s][lane][1]);
            const double term = sign * p->end_beyond[(at->curves + s) * SL__LANES + lane];
            sum += term;
            *size += fabs(term);
        }
    }
    return sum;
}

/* What an element carries in a lane. */
static sl__flow flow_of(const sl__curved *c, const sl__curved_base *at, int32_t k, int32_t lane)
{
    const sl__lane_ports *p = &c->ports;
    const sl__base *base = at->base;
    const int32_t s = slot_of(c, k, lane), o = at->readings + c->watch_of[k];
    const double was = base->answer.u[k];
    if (s >= 0) {
        const int32_t port = (at->curves + s) * SL__LANES + lane;
        const double i = p->end_i[port];
        return (sl__flow){p->end_u[port] + c->origin[s][lane], i, p->slot[s].series_ohm[lane] * i};
    }
    if (at->curve_of[k] >= 0) {
        const int32_t port = at->curve_of[k] * SL__LANES + lane;
        return (sl__flow){p->end_u[port], p->end_i[port], 0.0};
    }
    const double value = c->value[(ptrdiff_t)o * SL__LANES + lane];
    if (base->net.link[k]) {
        double unused, volt = was;
        for (int32_t n = 0; n < c->lifts[lane]; n++) {
            volt += c->lift[lane][n].link == k ? c->lift[lane][n].volt : 0.0;
        }
        return (sl__flow){volt, value + beyond(c, at, &at->output[o], lane, &unused), 0.0};
    }
    const sl__curved_output *out = &at->output[o];
    const double i = sl__pair_value(base->answer.i[k]);
    const double lifted = sl__curved_lifted(c, at, lane, out->red, out->black);
    const double more = base->net.g[k] == 0.0 ? 0.0 : base->net.g[k] * (value - was);
    return (sl__flow){value + lifted, i + more, 0.0};
}

static void flows_of(const sl__curved *c, const sl__curved_base *at, sl_part part, int32_t lane,
                     sl__flow *flow)
{
    const int32_t first = c->cs->branch_at[part], last = c->cs->branch_at[part + 1];
    for (int32_t k = first; k < last; k++) {
        flow[k - first] = flow_of(c, at, k, lane);
    }
}

/* Does every part with states stay as it is in a base, in a lane? */
static bool is_content(const sl__curved *c, const sl__curved_base *at, int32_t lane)
{
    const sl_case *cs = c->cs;
    sl__flow flow[SL__ELEMENTS_MOST];
    for (int32_t q = 0; q < cs->stateful_count; q++) {
        const sl_part part = cs->stateful[q];
        flows_of(c, at, part, lane, flow);
        if (sl__case_part(cs, part)->kind->wants(sl__curved_values(c, at, part, lane), at->celsius,
                                                 at->base->state[part], flow) != at->wish[q]) {
            return false;
        }
    }
    return true;
}

/* Steps the parts of a lane that adjust themselves, as trim.c does. *content: none of them had to.
   False: it cannot. */
static bool step_trims(sl__curved *c, const sl__curved_base *at, int32_t lane, bool *content)
{
    const sl__base *base = at->base;
    double error[SL__TRIMS_MOST] = {0.0};
    bool close = true;
    *content = true;
    if (base->trimming_count > SL__TRIMS_MOST) {
        return false;
    }
    for (int32_t t = 0; t < base->trimming_count; t++) {
        const sl_part part = base->trimming[t];
        const sl__kind *kind = sl__case_part(c->cs, part)->kind;
        const double *value = sl__curved_values(c, at, part, lane), x = c->x[lane][t];
        sl__flow flow[SL__ELEMENTS_MOST];
        if (!kind->trims || kind->trims(value)) {
            flows_of(c, at, part, lane, flow);
            error[t] = kind->trim(value, at->celsius, base->state[part], flow) - x;
        }
        *content = *content && fabs(error[t]) <= CLOSEST * (1.0 + fabs(x));
        close = close && fabs(error[t]) <= CLOSE * (1.0 + fabs(x));
    }
    c->close[lane] += close;
    *content = *content || (close && c->close[lane] > CLOSE_MOST);
    for (int32_t t = 0; t < base->trimming_count && !*content; t++) {
        c->step[lane][t] = sl__trim_step(error[t], c->error[lane][t], c->step[lane][t]);
        c->error[lane][t] = error[t];
        c->x[lane][t] += c->step[lane][t];
    }
    return true;
}

/* Solves some lanes in a base, with all that adjusts itself content. Returns those in which all is
   as in the healthy circuit there. */
static unsigned pass(int32_t kernel, sl__curved *c, int32_t b, const sl__curved_case *cases,
                     unsigned lanes)
{
    const sl__curved_base *at = &c->at[b];
    unsigned left = lanes, done = 0;
    begin(c, at);
    for (int32_t round = 0; left && round < ROUNDS_MOST; round++) {
        left = set_up(c, b, cases, left);
        left = left ? sl__lane_ports_solve(kernel, &c->ports, left) : 0U;
        sl__lane_steps_of(kernel)->spread(&c->ports, at->outputs, at->of, at->curve_w, c->slot_w,
                                          c->value, c->size);
        for (int32_t l = 0; l < SL__LANES; l++) {
            bool content = false;
            if (!has(left, l)) {
                continue;
            }
            if (!step_trims(c, at, l, &content)) {
                left &= ~(1U << l);
            } else if (content) {
                left &= ~(1U << l);
                done |= is_content(c, at, l) ? 1U << l : 0U;
            }
        }
    }
    return done;
}

/* A port that is all a reading is of knows its current best. False: it is not. */
static bool read_port(const sl__curved *c, const sl__curved_base *at, const sl__curved_output *out,
                      int32_t lane, double *value)
{
    if (!out->is_current || out->elements != 1 || out->hang) {
        return false;
    }
    const int32_t s = slot_of(c, out->element[0], lane), k = at->curve_of[out->element[0]];
    if (s < 0 && k < 0) {
        return false;
    }
    *value = out->sign[0] * c->ports.end_i[(s >= 0 ? at->curves + s : k) * SL__LANES + lane];
    return true;
}

/* What all ports draw beyond their lines. */
static double drawn(const sl__curved *c, const sl__curved_base *at, int32_t lane)
{
    double sum = 0.0;
    for (int32_t k = 0; k < at->curves + c->ports.slots; k++) {
        sum += fabs(c->ports.end_beyond[k * SL__LANES + lane]);
    }
    return sum;
}

/* A reading of a lane. What is below its own rounding is 0. False: the rounding matters. */
static bool read_one(const sl__curved *c, const sl__curved_base *at, int32_t r, int32_t lane,
                     double *out)
{
    const sl__curved_output *output = &at->output[r];
    double value = c->value[(ptrdiff_t)r * SL__LANES + lane];
    double size = c->size[(ptrdiff_t)r * SL__LANES + lane], more = 0.0;
    if (output->constant) {
        *out = output->base;
        return true;
    }
    if (read_port(c, at, output, lane, out)) {
        return true;
    }
    if (!output->is_current) {
        value += sl__curved_lifted(c, at, lane, output->red, output->black);
    }
    if (output->is_current) {
        value += beyond(c, at, output, lane, &more);
        size += more;
    }
    const double rounded = output->hang ? SUM_ROUNDING * drawn(c, at, lane) : 0.0;
    const double off = (c->doubt[lane] + ROUNDING) * size + rounded;
    *out = fabs(value) <= off ? 0.0 : value;
    return off <= DOUBT * fabs(value) + DOUBT_LEAST;
}

static void read_lane(const sl__curved *c, int32_t lane, double *out, bool *known)
{
    const sl__curved_base *at = &c->at[c->bases - 1];
    for (int32_t r = 0; r < c->readings && *known; r++) {
        *known = read_one(c, at, r, lane, &out[r]);
    }
}

/* Resistances more, in series or across, fail nowhere on the way to the last base, and where
   nothing is watched move nothing. */
static bool only_last_counts(const sl__curved *c, int32_t count, const sl__curved_case *cases)
{
    bool only = c->watched == 0;
    for (int32_t k = 0; k < count && only; k++) {
        for (int32_t n = 0; n < cases[k].count; n++) {
            const sl__curved_change *change = &cases[k].change[n];
            only = only && (change->node != SL_NONE || change->edit.change == SL_SERIES);
        }
    }
    return only;
}

void sl__curved_run_with(int32_t kernel, sl__curved *c, int32_t count, const sl__curved_case *cases,
                         double *out, bool *known)
{
    unsigned lanes = (1U << count) - 1U;
    for (int32_t b = only_last_counts(c, count, cases) ? c->bases - 1 : 0; b < c->bases && lanes;
         b++) {
        lanes = pass(kernel, c, b, cases, lanes);
    }
    for (int32_t k = 0; k < count; k++) {
        known[k] = has(lanes, k);
        read_lane(c, k, out + (ptrdiff_t)k * c->readings, &known[k]);
    }
}

void sl__curved_run(sl__curved *c, int32_t count, const sl__curved_case *cases, double *out,
                    bool *known)
{
    sl__curved_run_with(sl__lane_kernels(), c, count, cases, out, known);
}

int32_t sl__curved_notices(const sl__curved *c, int32_t which, sl_part part, sl_notice *out,
                           int32_t room)
{
    const sl__curved_base *at = &c->at[c->bases - 1];
    const sl__kind *kind = sl__case_part(c->cs, part)->kind;
    sl__flow flow[SL__ELEMENTS_MOST];
    sl__notice_list list = {0};
    flows_of(c, at, part, which, flow);
    sl__notices_of(kind, sl__curved_values(c, at, part, which), at->base->state[part], flow, &list);
    for (int32_t n = 0; n < list.count && n < room; n++) {
        out[n] = (sl_notice){list.item[n].index, list.item[n].value};
    }
    return list.count;
}

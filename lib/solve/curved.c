/* lib/solve/curved.c: the healthy circuit solved in every state it passes through, and what 1 A
   anywhere does to what is to be known. */
#include "solve/curved.h"

#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "solve/curved_internal.h"

/* Entries of a table, and of all of them; twice as many doubles. */
#define ENTRIES_MOST ((int64_t)1 << 22)
/* Rows and elements. */
#define LANES_MOST ((int64_t)1 << 17)
/* Curves at once. */
#define CURVES_MOST 128

void sl__curved_free(sl__curved *c)
{
    if (!c) {
        return;
    }
    sl_alloc al = c->cs->al;
    for (int32_t b = 0; c->at && b < c->bases; b++) {
        sl__columns_free(c->at[b].columns);
    }
    sl__arena_clear(&c->arena);
    sl_case_free(c->cs);
    sl__free(&al, c, 1, sizeof *c);
}

static double *take_doubles(sl__curved *c, int64_t count)
{
    return sl__arena_take(&c->arena, (int32_t)count, sizeof(double));
}

/* The same where vectors do not lie across two lines of a cache. */
static double *take_vectors(sl__curved *c, int64_t count)
{
    const int32_t vectors = (int32_t)(count / SL__LANES + 2);
    return (double *)(void *)sl__lanes_at(sl__arena_take(&c->arena, vectors, sizeof(sl__lanes)));
}

static void watch(sl__curved *c, int32_t element)
{
    if (c->watch_of[element] < 0) {
        c->watch_of[element] = c->watched_last;
        c->watch[c->watched_last++] = element;
    }
}

/* Lists the elements that parts with states or that adjust themselves go by, in any base; where all
   may be noticed, then all others. */
static void take_watched(sl__curved *c, bool notices)
{
    c->watch = sl__arena_take(&c->arena, c->cs->elements, sizeof *c->watch);
    c->watch_of = sl__arena_take(&c->arena, c->cs->elements, sizeof *c->watch_of);
    for (int32_t k = 0; !c->arena.failed && k < c->cs->elements; k++) {
        c->watch_of[k] = -1;
    }
    for (int32_t b = 0; !c->arena.failed && b < c->bases; b++) {
        const sl__base *base = c->at[b].base;
        for (int32_t n = 0; n < base->watched; n++) {
            watch(c, base->watch[n]);
        }
    }
    c->watched = c->watched_last;
    for (int32_t k = 0; !c->arena.failed && notices && k < c->cs->elements; k++) {
        watch(c, k);
    }
}

/* What the parts with states want in a base, and every parameter there. */
static bool take_base(sl__curved *c, sl__curved_base *at, sl__base *base)
{
    sl_case *cs = c->cs;
    const int32_t values = cs->circuit->parts.value_count;
    at->base = base;
    if (sl__laws_values(cs, base->condition) != SL_OK || !base->sound ||
        base->curves > CURVES_MOST || base->trimming_count != cs->trimming_count) {
        return false;
    }
    sl__trim_show(cs, &base->answer);
    double *value = take_doubles(c, values);
    int32_t *wish = sl__arena_take(&c->arena, cs->stateful_count, sizeof *wish);
    if (c->arena.failed) {
        return false;
    }
    if (values > 0) {
        memcpy(value, cs->value, (size_t)values * sizeof *value);
    }
    at->value = value;
    at->celsius = cs->celsius;
    at->wish = wish;
    for (int32_t q = 0; q < cs->stateful_count; q++) {
        const sl_part part = cs->stateful[q];
        sl__flow flow[SL__ELEMENTS_MOST];
        sl__flows(cs, &base->answer, part, flow);
        wish[q] = sl__case_part(cs, part)->kind->wants(sl__case_values(cs, part), cs->celsius,
                                                       base->state[part], flow);
    }
    return true;
}

/* Has the case settled? Keeps what each base has, the last one that of the readings. */
static bool take_bases(sl__curved *c)
{
    sl_case *cs = c->cs;
    const int32_t bases = cs->quick.bases;
    const sl__base *last = sl__base_of(cs);
    if (cs->outcome != SL_SETTLED || cs->quick.missed || !last) {
        return false;
    }
    c->at = sl__arena_take(&c->arena, bases, sizeof *c->at);
    bool sound = c->at != NULL;
    for (int32_t n = 0; n < bases && sound; n++) {
        sl__base *base = &cs->quick.base[n];
        sound = take_base(c, &c->at[base == last ? bases - 1 : c->bases], base);
        c->bases += base != last;
    }
    c->bases = bases;
    return sound;
}

bool sl__curved_hangs(const sl__network *net, sl_node node, int32_t link)
{
    for (sl_node n = node; net->up_node[n] >= 0; n = net->up_node[n]) {
        if (net->up_link[n] == link) {
            return true;
        }
    }
    return false;
}

/* Adds an element to an output. A link carries what comes to it by all else that ends at the nodes
   that hang on it. False: its current is not defined. */
static bool add_element(sl__curved *c, const sl__curved_base *at, int32_t k, double sign,
                        sl__curved_output *out)
{
    const sl__network *net = &at->base->net;
    out->is_current = true;
    if (!net->link[k]) {
        out->sign[out->elements] = sign;
        out->element[out->elements++] = k;
        return true;
    }
    if (at->base->answer.loop[k]) {
        return false;
    }
    out->hang = out->hang ? out->hang : take_doubles(c, at->base->nodes);
    const sl_node from = c->cs->branch[k].from;
    const bool by_from = net->up_node[from] >= 0 && net->up_link[from] == k;
    for (sl_node n = 0; out->hang && n < at->base->nodes; n++) {
        if (sl__curved_hangs(net, n, k)) {
            out->hang[n] += by_from ? -sign : sign;
        }
    }
    return true;
}

double sl__curved_sign(const sl__curved_output *output, int32_t element, sl_node from, sl_node to)
{
    double sign = output->hang ? output->hang[from] - output->hang[to] : 0.0;
    for (int32_t e = 0; e < output->elements; e++) {
        sign += output->element[e] == element ? output->sign[e] : 0.0;
    }
    return sign;
}

/* An output of a volt reading. */
static void set_volts(const sl__curved_base *at, sl_node red, sl_node black, sl__curved_output *out)
{
    const sl__answer *answer = &at->base->answer;
    out->a = at->base->net.row[red];
    out->b = at->base->net.row[black];
    out->red = red;
    out->black = black;
    out->constant = answer->island[red] != answer->island[black];
    out->base = out->constant
                    ? SL__NAN
                    : sl__pair_value(sl__pair_sub(answer->node_v[red], answer->node_v[black]));
}

/* An output of a current into the first terminal of a part, or of one element. */
static void set_current(sl__curved *c, const sl__curved_base *at, const sl_reading *of,
                        sl__curved_output *out)
{
    const sl_kind *kind = &sl__case_part(c->cs, of->part)->kind->about;
    bool defined = true;
    for (int32_t e = 0; e < kind->element_count; e++) {
        const int32_t k = c->cs->branch_at[of->part] + e;
        const double sign = of->element >= 0              ? (e == of->element ? 1.0 : 0.0)
                            : kind->elements[e].from == 0 ? 1.0
                            : kind->elements[e].to == 0   ? -1.0
                                                          : 0.0;
        if (sign != 0.0) {
            defined = defined && add_element(c, at, k, sign, out);
            out->base += sign * sl__pair_value(at->base->answer.i[k]);
        }
    }
    out->is_current = true;
    if (!defined) {
        *out = (sl__curved_output){.a = -1, .b = -1, .constant = true, .base = SL__NAN};
    }
}

static void set_reading(sl__curved *c, const sl__curved_base *at,
                        const sl__straight_reading *reading, sl__curved_output *out)
{
    if (reading->is_state) {
        const int32_t state = at->base->state[reading->of.part];
        out->constant = true;
        out->base = state >= 0 ? (double)state : SL__NAN;
    } else if (reading->of.part == SL_NONE) {
        set_volts(at, reading->of.red, reading->of.black, out);
    } else {
        set_current(c, at, &reading->of, out);
    }
}

/* What is watched of an element: its voltage, or the current of a link. False: that is not defined.
 */
static bool set_watched(sl__curved *c, const sl__curved_base *at, int32_t k, sl__curved_output *out)
{
    const sl__base *base = at->base;
    if (base->net.link[k]) {
        out->base = sl__pair_value(base->answer.i[k]);
        return add_element(c, at, k, 1.0, out);
    }
    out->a = base->net.from[k];
    out->b = base->net.to[k];
    out->red = c->cs->branch[k].from;
    out->black = c->cs->branch[k].to;
    out->base = base->answer.u[k];
    out->constant = isnan(out->base);
    return true;
}

/* Lists what is to be known in a base. False: something is not defined. */
static bool list_outputs(sl__curved *c, int32_t b, const sl__straight_reading *readings)
{
    sl__curved_base *at = &c->at[b];
    const bool last = b == c->bases - 1;
    at->readings = last ? c->readings : 0;
    at->outputs = at->readings + (last ? c->watched_last : c->watched);
    at->output = sl__arena_take(&c->arena, at->outputs, sizeof *at->output);
    at->of = take_doubles(c, at->outputs);
    bool defined = !c->arena.failed;
    for (int32_t o = 0; o < at->outputs && defined; o++) {
        sl__curved_output *out = &at->output[o];
        out->a = out->b = -1;
        if (o < at->readings) {
            set_reading(c, at, &readings[o], out);
        } else {
            defined = set_watched(c, at, c->watch[o - at->readings], out);
        }
        at->of[o] = out->base;
    }
    return defined && !c->arena.failed;
}

/* Sends `amps` into a row of one lane. */
static void send(double *into, int32_t lane, int32_t row, double amps)
{
    if (row >= 0) {
        into[(ptrdiff_t)row * SL__LANES + lane] += amps;
    }
}

/* The currents that put into a row what an output, or after those a curve, shows of 1 A there. */
static void send_output(const sl__curved *c, const sl__curved_base *at, int32_t o, double *into,
                        int32_t lane)
{
    const sl__network *net = &at->base->net;
    if (o >= at->outputs) {
        const int32_t k = at->base->curve[o - at->outputs];
        send(into, lane, net->from[k], 1.0);
        send(into, lane, net->to[k], -1.0);
        return;
    }
    const sl__curved_output *out = &at->output[o];
    if (!out->is_current && !out->constant) {
        send(into, lane, out->a, 1.0);
        send(into, lane, out->b, -1.0);
    }
    for (int32_t k = 0; k < at->base->elements && out->is_current; k++) {
        const sl__branch *branch = &c->cs->branch[k];
        const double amps =
            net->g[k] == 0.0 ? 0.0 : net->g[k] * sl__curved_sign(out, k, branch->from, branch->to);
        if (amps != 0.0) {
            send(into, lane, net->from[k], amps);
            send(into, lane, net->to[k], -amps);
        }
    }
}

static void fill_table(const sl__curved *c, const sl__curved_base *at, double *into)
{
    const int32_t rows = at->base->net.rows, outputs = at->outputs + at->curves;
    for (int32_t first = 0; first < outputs; first += SL__LANES) {
        const int32_t left = outputs - first, now = left < SL__LANES ? left : SL__LANES;
        const ptrdiff_t to = (ptrdiff_t)at->stride + first;
        memset(into, 0, (size_t)rows * SL__LANES * sizeof *into);
        for (int32_t l = 0; l < now; l++) {
            send_output(c, at, first + l, into, l);
        }
        sl__columns_into(at->columns, into, at->high + to, at->low + to, at->stride);
    }
}

void sl__curved_way(const sl__curved_base *at, int32_t a, int32_t b, double *way)
{
    const double *high_a = at->high + (ptrdiff_t)(a + 1) * at->stride;
    const double *high_b = at->high + (ptrdiff_t)(b + 1) * at->stride;
    const double *low_a = at->low + (ptrdiff_t)(a + 1) * at->stride;
    const double *low_b = at->low + (ptrdiff_t)(b + 1) * at->stride;
    for (int32_t o = 0; o < at->outputs + at->curves; o++) {
        way[o] = (high_a[o] - high_b[o]) + (low_a[o] - low_b[o]);
    }
}

/* The curves as they stand in the base, and what they do to each other and to what is known. Where
   hardly anything goes around one, its current stays as it is; how little does not matter. */
static void fill_curves(sl__curved_base *at, double *way)
{
    const sl__base *base = at->base;
    const int32_t n = at->curves;
    for (int32_t k = 0; k < base->elements; k++) {
        at->curve_of[k] = -1;
    }
    for (int32_t l = 0; l < n; l++) {
        const int32_t k = base->curve[l];
        const sl__law *law = &base->law[k];
        sl__lane_curve *curve = &at->curve[l];
        at->curve_of[k] = l;
        (void)sl__curved_rest(at, k);
        *curve = (sl__lane_curve){.element = k,
                                  .law = law,
                                  .amp = sl__pair_value(base->answer.i[k]),
                                  .volt = base->answer.u[k],
                                  .slope = base->slope[k],
                                  .siemens = base->net.g[k],
                                  .ohm = base->ohm[k],
                                  .rest = base->rest[k]};
        for (int32_t lane = 0; lane < SL__LANES; lane++) {
            curve->bent.straight[lane] = law->k[0];
            curve->bent.knee[lane] = law->k[1];
            curve->bent.least[lane] = law->k[2];
            curve->bent.scale[lane] = law->k[3];
        }
        sl__curved_way(at, base->net.from[k], base->net.to[k], way);
        for (int32_t o = 0; o < at->outputs; o++) {
            at->curve_w[(ptrdiff_t)o * n + l] = way[o];
        }
        for (int32_t m = 0; m < n; m++) {
            at->z[(ptrdiff_t)m * n + l] = m == l ? 0.0 : way[at->outputs + m];
        }
    }
}

/* Tables of a base. *fits: they are not too large. */
static sl_status make_table(sl__curved *c, sl__curved_base *at, int64_t *entries, bool *fits)
{
    sl__arena *a = &c->arena;
    const sl__network *net = &at->base->net;
    const int32_t n = at->base->curves;
    at->curves = n;
    at->stride = (at->outputs + n + SL__LANES - 1) / SL__LANES * SL__LANES;
    *entries += ((int64_t)net->rows + 1) * at->stride;
    *fits = *entries <= ENTRIES_MOST && (int64_t)net->rows + at->base->elements <= LANES_MOST;
    if (!*fits) {
        return SL_OK;
    }
    at->high = take_vectors(c, ((int64_t)net->rows + 1) * at->stride);
    at->low = take_vectors(c, ((int64_t)net->rows + 1) * at->stride);
    at->curve = sl__arena_take(a, n, sizeof *at->curve);
    at->curve_of = sl__arena_take(a, at->base->elements, sizeof *at->curve_of);
    at->z = take_doubles(c, (int64_t)n * n);
    at->curve_w = take_doubles(c, (int64_t)n * at->outputs);
    double *way = take_doubles(c, at->stride),
           *into = take_vectors(c, (int64_t)net->rows * SL__LANES);
    if (a->failed || sl__columns_new(net->factor, net->rows, at->base->elements, net->from, net->to,
                                     net->g, &at->columns) != SL_OK) {
        return SL_E_NOMEM;
    }
    fill_table(c, at, into);
    fill_curves(at, way);
    return SL_OK;
}

/* Room for the systems of eight cases. */
static void take_room(sl__curved *c)
{
    int32_t curves = 0, outputs = 0, stride = 0;
    for (int32_t b = 0; b < c->bases; b++) {
        curves = curves > c->at[b].curves ? curves : c->at[b].curves;
        outputs = outputs > c->at[b].outputs ? outputs : c->at[b].outputs;
        stride = stride > c->at[b].stride ? stride : c->at[b].stride;
    }
    sl__lane_ports *p = &c->ports;
    const int64_t all = (int64_t)(curves + SL__SLOTS_MOST) * SL__LANES;
    double **arrays[] = {&p->u,     &p->i,          &p->slope, &p->beyond, &p->bends,
                         &p->end_u, &p->end_i,      &p->f,     &p->step,   &p->left,
                         &p->right, &p->end_beyond, &p->own,   &p->by};
    for (size_t n = 0; n < sizeof arrays / sizeof *arrays; n++) {
        *arrays[n] = take_doubles(c, all);
    }
    p->dense = take_doubles(c, (int64_t)(curves + SL__SLOTS_MOST) * (curves + SL__SLOTS_MOST));
    p->one = take_doubles(c, 3 * (int64_t)(curves + SL__SLOTS_MOST));
    p->pivot = sl__arena_take(&c->arena, curves + SL__SLOTS_MOST, sizeof *p->pivot);
    p->across = take_doubles(c, (int64_t)SL__SLOTS_MOST * curves * SL__LANES);
    p->between = take_doubles(c, (int64_t)SL__SLOTS_MOST * SL__SLOTS_MOST * SL__LANES);
    p->matrix = take_doubles(c, (int64_t)SL__SLOTS_MOST * SL__SLOTS_MOST * SL__LANES);
    p->off = sl__arena_take(&c->arena, curves, sizeof *p->off);
    p->slot = sl__arena_take(&c->arena, SL__SLOTS_MOST, sizeof *p->slot);
    c->slot_w = take_doubles(c, (int64_t)SL__SLOTS_MOST * outputs * SL__LANES);
    c->way = take_doubles(c, stride);
    c->value = take_doubles(c, (int64_t)outputs * SL__LANES);
    c->size = take_doubles(c, (int64_t)outputs * SL__LANES);
}

/* *fits: it can be answered so. */
static sl_status make(sl__curved *c, const sl__straight_reading *readings, bool notices, bool *fits)
{
    sl_case *cs = c->cs;
    *fits = false;
    sl_status st = sl__case_prepare(cs);
    if (st != SL_OK || (st = sl__bases_record(cs)) != SL_OK) {
        return st == SL_E_NOMEM ? st : SL_OK;
    }
    if (!take_bases(c)) {
        return c->arena.failed ? SL_E_NOMEM : SL_OK;
    }
    take_watched(c, notices);
    *fits = true;
    int64_t entries = 0;
    for (int32_t b = 0; b < c->bases && *fits && !c->arena.failed; b++) {
        *fits = list_outputs(c, b, readings);
        if (*fits && (st = make_table(c, &c->at[b], &entries, fits)) != SL_OK) {
            return st;
        }
    }
    if (*fits) {
        take_room(c);
    }
    return c->arena.failed ? SL_E_NOMEM : SL_OK;
}

sl_status sl__curved_new(const sl_circuit *circuit, sl_condition condition, const sl_edit *edits,
                         int32_t edit_count, const sl__straight_reading *readings, int32_t count,
                         bool notices, sl__curved **out)
{
    *out = NULL;
    sl__curved *c = sl__new(&circuit->al, 1, sizeof *c);
    if (!c) {
        return SL_E_NOMEM;
    }
    sl_status st = sl_case_new(circuit, condition, &c->cs);
    if (st != SL_OK) {
        sl__free(&circuit->al, c, 1, sizeof *c);
        return st;
    }
    c->arena.al = &c->cs->al;
    c->readings = count;
    bool fits = false;
    st = sl_case_edit(c->cs, edits, edit_count);
    st = st == SL_OK ? make(c, readings, notices, &fits) : st;
    if (st != SL_OK || !fits) {
        sl__curved_free(c);
        return st;
    }
    *out = c;
    return SL_OK;
}

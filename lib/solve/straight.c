/* lib/solve/straight.c: the good circuit solved, and what 1 A anywhere does to what is read. */
#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "numeric/column.h"
#include "solve/straight_internal.h"

/* Entries of a table; twice as many doubles. */
#define ENTRIES_MOST ((int64_t)1 << 22)
/* Rows and branches, each of which takes lanes to work in. */
#define LANES_MOST ((int64_t)1 << 17)

void sl__straight_free(sl__straight *s)
{
    if (!s) {
        return;
    }
    sl_alloc al = s->cs->al;
    for (int32_t b = 0; s->at && b < s->bases; b++) {
        sl__columns_free(s->at[b].columns);
    }
    sl__arena_clear(&s->arena);
    sl_case_free(s->cs);
    sl__free(&al, s, 1, sizeof *s);
}

const double *sl__straight_good(const sl__straight *s)
{
    return s->good;
}

static bool is_straight(const sl_case *cs, const sl__base *base)
{
    return base->sound && base->curves == 0 && cs->trimming_count == 0;
}

/* Has the case settled, all of it on straight lines? Keeps the parameters that each base has. */
static bool take_bases(sl__straight *s)
{
    sl_case *cs = s->cs;
    const int32_t bases = cs->quick.bases;
    const sl__base *last = sl__base_of(cs);
    if (cs->outcome != SL_SETTLED || cs->quick.missed || !last) {
        return false;
    }
    const int32_t values = cs->circuit->parts.value_count;
    s->at = sl__arena_take(&s->arena, bases, sizeof *s->at);
    s->value = sl__arena_take(&s->arena, bases, sizeof *s->value);
    s->celsius = sl__arena_take(&s->arena, bases, sizeof *s->celsius);
    bool straight = true;
    for (int32_t n = 0; n < bases && straight && !s->arena.failed; n++) {
        sl__base *base = &cs->quick.base[n];
        const int32_t b = base == last ? bases - 1 : s->bases;
        s->bases += base != last;
        s->at[b].base = base;
        straight = sl__laws_values(cs, base->condition) == SL_OK && is_straight(cs, base);
        s->value[b] = sl__arena_take(&s->arena, values, sizeof **s->value);
        if (s->value[b] && values > 0) {
            memcpy(s->value[b], cs->value, (size_t)values * sizeof **s->value);
        }
        s->celsius[b] = cs->celsius;
    }
    s->bases = bases;
    return straight;
}

static bool is_link(const sl__straight *s, int32_t element)
{
    bool link = false;
    for (int32_t b = 0; b < s->bases; b++) {
        link = link || s->at[b].base->net.link[element];
    }
    return link;
}

/* Lists the elements that parts with states go by. False: one of them is a link. */
static bool take_watched(sl__straight *s)
{
    const sl_case *cs = s->cs;
    s->watch = sl__arena_take(&s->arena, cs->elements, sizeof *s->watch);
    bool known = true;
    for (int32_t n = 0; s->watch && n < cs->stateful_count; n++) {
        const sl_part p = cs->stateful[n];
        for (int32_t k = cs->branch_at[p]; k < cs->branch_at[p + 1]; k++) {
            s->watch[s->watched++] = k;
            known = known && !is_link(s, k);
        }
    }
    return known;
}

/* +1 or -1 by which an element's current is part of a reading; else 0. */
static double sign_of(const sl_case *cs, const sl_reading *of, int32_t e)
{
    if (of->element >= 0) {
        return e == of->element ? 1.0 : 0.0;
    }
    const sl_element *ends = &sl__case_part(cs, of->part)->kind->about.elements[e];
    return ends->from == 0 ? 1.0 : ends->to == 0 ? -1.0 : 0.0;
}

static int32_t element_count(const sl_case *cs, const sl__straight_reading *reading)
{
    return reading->is_state || reading->of.part == SL_NONE
               ? 0
               : sl__case_part(cs, reading->of.part)->kind->about.element_count;
}

/* The share of one element in a reading of its part's current. */
static sl__straight_share share_of(const sl__straight *s, const sl_reading *of, int32_t reading,
                                   int32_t element, int32_t next)
{
    const sl_case *cs = s->cs;
    const sl__base *base = s->at[s->bases - 1].base;
    sl__straight_share share = {reading, next, sign_of(cs, of, element), true, 0.0};
    const int32_t first = cs->branch_at[of->part], last = cs->branch_at[of->part + 1];
    for (int32_t k = first; k < last; k++) {
        const double sign = k - first == element ? 0.0 : sign_of(cs, of, k - first);
        if (sign != 0.0) {
            share.alone = share.alone && base->net.g[k] == 0.0;
            share.others += sign * sl__pair_value(base->answer.i[k]);
        }
    }
    return share;
}

/* Writes down which elements' currents are read. False: that of a link is. */
static bool take_shares(sl__straight *s, const sl__straight_reading *readings)
{
    const sl_case *cs = s->cs;
    int32_t room = 0, count = 0;
    for (int32_t r = 0; r < s->readings; r++) {
        room += element_count(cs, &readings[r]);
    }
    s->share = sl__arena_take(&s->arena, room, sizeof *s->share);
    s->share_of = sl__arena_take(&s->arena, cs->elements, sizeof *s->share_of);
    if (s->arena.failed) {
        return true;
    }
    for (int32_t k = 0; k < cs->elements; k++) {
        s->share_of[k] = -1;
    }
    bool known = true;
    for (int32_t r = 0; r < s->readings; r++) {
        const sl_reading *of = &readings[r].of;
        const int32_t elements = element_count(cs, &readings[r]);
        for (int32_t e = 0; e < elements; e++) {
            if (sign_of(cs, of, e) != 0.0) {
                const int32_t k = cs->branch_at[of->part] + e;
                known = known && !s->at[s->bases - 1].base->net.link[k];
                s->share[count] = share_of(s, of, r, e, s->share_of[k]);
                s->share_of[k] = count++;
            }
        }
    }
    return known;
}

double *sl__straight_vectors(sl__arena *a, int64_t doubles)
{
    const int32_t count = (int32_t)(doubles / SL__LANES + 2);
    return (double *)(void *)sl__lanes_at(sl__arena_take(a, count, sizeof(sl__lanes)));
}

static sl_status read_good(sl__straight *s, const sl__straight_reading *readings)
{
    s->good = sl__straight_vectors(&s->arena, s->readings);
    for (int32_t r = s->readings; s->good && r % SL__LANES != 0; r++) {
        s->good[r] = SL__NAN;
    }
    for (int32_t r = 0; s->good && r < s->readings; r++) {
        const sl__straight_reading *reading = &readings[r];
        if (reading->is_state) {
            const int32_t state = s->cs->answer[0].state[reading->of.part];
            s->good[r] = state >= 0 ? (double)state : SL__NAN;
        } else {
            sl_case_reading(s->cs, &reading->of, &s->good[r]);
        }
    }
    return s->good ? SL_OK : SL_E_NOMEM;
}

/* Sends `amps` into a row of one lane. */
static void send(double *into, int32_t lane, int32_t row, double amps)
{
    if (row >= 0) {
        into[(ptrdiff_t)row * SL__LANES + lane] += amps;
    }
}

/* The currents that put into a row what an output shows of 1 A there. */
static void send_output(const sl__straight *s, const sl__straight_base *at,
                        const sl__straight_reading *readings, int32_t output, double *into,
                        int32_t lane)
{
    const sl__network *net = &at->base->net;
    if (output >= at->readings) {
        const int32_t k = s->watch[output - at->readings];
        if (!isnan(at->base->answer.u[k])) {
            send(into, lane, net->from[k], 1.0);
            send(into, lane, net->to[k], -1.0);
        }
        return;
    }
    const sl__straight_reading *reading = &readings[output];
    if (reading->is_state || isnan(s->good[output])) {
        return;
    }
    if (reading->of.part == SL_NONE) {
        send(into, lane, net->row[reading->of.red], 1.0);
        send(into, lane, net->row[reading->of.black], -1.0);
        return;
    }
    const int32_t elements = element_count(s->cs, reading);
    for (int32_t e = 0; e < elements; e++) {
        const int32_t k = s->cs->branch_at[reading->of.part] + e;
        const double amps = sign_of(s->cs, &reading->of, e) * net->g[k];
        send(into, lane, net->from[k], amps);
        send(into, lane, net->to[k], -amps);
    }
}

/* `into`: room for a row of lanes each. */
static void fill_table(const sl__straight *s, const sl__straight_base *at,
                       const sl__straight_reading *readings, double *into)
{
    const int32_t rows = at->base->net.rows;
    for (int32_t first = 0; first < at->outputs; first += SL__LANES) {
        const int32_t left = at->outputs - first, now = left < SL__LANES ? left : SL__LANES;
        const ptrdiff_t to = (ptrdiff_t)at->stride + first;
        memset(into, 0, (size_t)rows * sizeof(sl__lanes));
        for (int32_t l = 0; l < now; l++) {
            send_output(s, at, readings, first + l, into, l);
        }
        sl__columns_into(at->columns, into, at->high + to, at->low + to, at->stride);
    }
}

/* Tables of a base. *fits: they are not too large. */
static sl_status make_table(sl__straight *s, int32_t b, const sl__straight_reading *readings,
                            bool *fits)
{
    sl__straight_base *at = &s->at[b];
    sl__arena *a = &s->arena;
    const sl__base *base = at->base;
    const sl__network *net = &base->net;
    at->readings = b == s->bases - 1 ? s->readings : 0;
    at->outputs = at->readings + s->watched;
    at->stride = (at->outputs + SL__LANES - 1) / SL__LANES * SL__LANES;
    const int64_t entries = ((int64_t)net->rows + 1) * at->stride;
    *fits = entries <= ENTRIES_MOST && (int64_t)net->rows + base->elements <= LANES_MOST;
    if (!*fits) {
        return SL_OK;
    }
    at->rest = sl__arena_take(a, base->elements, sizeof *at->rest);
    at->error = sl__arena_take(a, base->elements, sizeof *at->error);
    at->high = sl__straight_vectors(a, entries);
    at->low = sl__straight_vectors(a, entries);
    if (a->failed || sl__columns_new(net->factor, net->rows, base->elements, net->from, net->to,
                                     net->g, &at->columns) != SL_OK) {
        return SL_E_NOMEM;
    }
    const size_t size = ((size_t)net->rows + 1) * SL__LANES;
    double *room = sl__take(&s->cs->al, size, sizeof *room);
    if (!room) {
        return SL_E_NOMEM;
    }
    fill_table(s, at, readings, room);
    sl__free(&s->cs->al, room, size, sizeof *room);
    return SL_OK;
}

/* Room for what a run needs. */
static void take_room(sl__straight *s)
{
    int32_t most = 0;
    for (int32_t b = 0; b < s->bases; b++) {
        most = s->at[b].stride > most ? s->at[b].stride : most;
    }
    s->w = sl__straight_vectors(&s->arena, most);
    s->which = sl__arena_take(&s->arena, s->readings, sizeof *s->which);
    s->kernel = sl__lane_kernels();
}

/* *fits: it can be answered in closed form. */
static sl_status make(sl__straight *s, const sl__straight_reading *readings, bool *fits)
{
    sl_case *cs = s->cs;
    *fits = false;
    sl_status st = sl__case_prepare(cs);
    if (st != SL_OK || (st = sl__bases_record(cs)) != SL_OK) {
        return st == SL_E_NOMEM ? st : SL_OK;
    }
    cs->solved = true;
    if (!take_bases(s) || !take_watched(s) || !take_shares(s, readings)) {
        return s->arena.failed ? SL_E_NOMEM : SL_OK;
    }
    if (s->arena.failed || read_good(s, readings) != SL_OK) {
        return SL_E_NOMEM;
    }
    *fits = true;
    for (int32_t b = 0; b < s->bases && *fits; b++) {
        if ((st = make_table(s, b, readings, fits)) != SL_OK) {
            return st;
        }
    }
    take_room(s);
    return s->arena.failed ? SL_E_NOMEM : SL_OK;
}

sl_status sl__straight_new(const sl_circuit *circuit, sl_condition condition, const sl_edit *edits,
                           int32_t edit_count, const sl__straight_reading *readings, int32_t count,
                           sl__straight **out)
{
    *out = NULL;
    sl__straight *s = sl__new(&circuit->al, 1, sizeof *s);
    if (!s) {
        return SL_E_NOMEM;
    }
    sl_status st = sl_case_new(circuit, condition, &s->cs);
    if (st != SL_OK) {
        sl__free(&circuit->al, s, 1, sizeof *s);
        return st;
    }
    s->arena.al = &s->cs->al;
    s->readings = count;
    bool fits = false;
    st = sl_case_edit(s->cs, edits, edit_count);
    st = st == SL_OK ? make(s, readings, &fits) : st;
    if (st != SL_OK || !fits) {
        sl__straight_free(s);
        return st;
    }
    *out = s;
    return SL_OK;
}

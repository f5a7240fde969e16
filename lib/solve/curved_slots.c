/* lib/solve/curved_slots.c: the slots of one lane: what has changed, as its ports see it. */
#include <math.h>
#include <string.h>

#include "solve/curved_internal.h"

/* With more than this the share of the rest, as a multiple of it, is had from a column; a column
   tells less than REST_LEAST of 1 A as nothing. */
#define REST_ERROR_MOST 1e-14
#define REST_LEAST 1e-13
/* More than this, relative, must not be in doubt of what a slot does to itself; and each slot more
   that hangs together with others takes some digits. */
#define DOUBT_MOST 1e-10
#define DOUBT_TOGETHER 3e-14

static bool is_rough(const sl__base *base, int32_t k)
{
    return base->net.g[k] > 0.0 && base->error[k] > REST_ERROR_MOST; /* not NaN */
}

bool sl__curved_rest(const sl__curved_base *at, int32_t element)
{
    sl__base *base = at->base;
    if (is_rough(base, element)) {
        int32_t list[SL__LANES] = {element}, count = 1;
        double rest[SL__LANES] = {0.0};
        for (int32_t k = element + 1; k < base->elements && count < SL__LANES; k++) {
            if (is_rough(base, k)) {
                list[count++] = k;
            }
        }
        sl__columns_rest(at->columns, count, list, rest);
        for (int32_t n = 0; n < count; n++) {
            base->rest[list[n]] = fmax(rest[n], 0.0);
            base->error[list[n]] = rest[n] >= REST_LEAST ? SL__COLUMN_LEFT / rest[n] : SL__NAN;
        }
    }
    return !isnan(base->error[element]);
}

/* Of the slot: rows and nodes of its ends, and what 1 A on that way does. */
static void set_way(sl__curved *c, const sl__curved_base *at, int32_t s, int32_t lane, int32_t a,
                    int32_t b)
{
    sl__lane_ports *p = &c->ports;
    const int32_t n = at->curves;
    double *across = p->across + (ptrdiff_t)s * n * SL__LANES + lane;
    double *w = c->slot_w + (ptrdiff_t)s * at->outputs * SL__LANES + lane;
    c->from[s][lane] = a;
    c->to[s][lane] = b;
    if (lane > 0 && c->from[s][lane - 1] == a && c->to[s][lane - 1] == b &&
        !c->takes_off[lane - 1]) {
        for (int32_t k = 0; k < n; k++) {
            double *entry = across + (ptrdiff_t)k * SL__LANES;
            *entry = entry[-1];
        }
        for (int32_t o = 0; o < at->outputs; o++) {
            double *entry = w + (ptrdiff_t)o * SL__LANES;
            *entry = entry[-1];
        }
        return;
    }
    sl__curved_way(at, a, b, c->way);
    for (int32_t k = 0; k < n; k++) {
        across[(ptrdiff_t)k * SL__LANES] = c->way[at->outputs + k];
    }
    for (int32_t o = 0; o < at->outputs; o++) {
        w[(ptrdiff_t)o * SL__LANES] = c->way[o];
    }
}

void sl__curved_idle(sl__curved *c, const sl__curved_base *at, int32_t s, int32_t lane)
{
    sl__lane_slot *slot = &c->ports.slot[s];
    c->element[s][lane] = c->from[s][lane] = c->to[s][lane] = -1;
    c->node[s][lane][0] = c->node[s][lane][1] = SL_NONE;
    c->origin[s][lane] = 0.0;
    slot->amp[lane] = slot->apart[lane] = slot->siemens[lane] = slot->ohm[lane] = 0.0;
    slot->series_ohm[lane] = slot->fixed[lane] = slot->steep[lane] = 0.0;
    slot->rest[lane] = 1.0;
    slot->curve[lane] = NULL;
    const ptrdiff_t port = (ptrdiff_t)(at->curves + s) * SL__LANES + lane;
    c->ports.end_u[port] = c->ports.end_i[port] = c->ports.end_beyond[port] = 0.0;
    for (int32_t k = 0; k < at->curves; k++) {
        c->ports.across[((ptrdiff_t)s * at->curves + k) * SL__LANES + lane] = 0.0;
    }
    for (int32_t o = 0; o < at->outputs; o++) {
        c->slot_w[((ptrdiff_t)s * at->outputs + o) * SL__LANES + lane] = 0.0;
    }
}

/* Effective resistance between two rows, which the lane before may have asked for. */
static double between(const sl__curved *c, const sl__curved_base *at, int32_t s, int32_t lane,
                      int32_t a, int32_t b)
{
    if (lane > 0 && c->from[s][lane - 1] == a && c->to[s][lane - 1] == b &&
        c->ports.slot[s].siemens[lane - 1] == 0.0) {
        return c->ports.slot[s].ohm[lane - 1];
    }
    return a == b ? 0.0 : sl__effective_between(at->base->effective, a, b);
}

static bool fill_leak(sl__curved *c, const sl__curved_base *at, int32_t s, int32_t lane,
                      const sl__curved_change *leak)
{
    sl__lane_slot *slot = &c->ports.slot[s];
    const sl__answer *answer = &at->base->answer;
    const int32_t a = at->base->net.row[leak->node], b = at->base->net.row[leak->to];
    if (answer->island[leak->node] != answer->island[leak->to]) {
        return false;
    }
    c->element[s][lane] = -1;
    c->node[s][lane][0] = leak->node;
    c->node[s][lane][1] = leak->to;
    slot->amp[lane] = slot->siemens[lane] = slot->series_ohm[lane] = slot->fixed[lane] = 0.0;
    slot->apart[lane] =
        sl__pair_value(sl__pair_sub(answer->node_v[leak->node], answer->node_v[leak->to])) +
        sl__curved_lifted(c, at, lane, leak->node, leak->to);
    c->origin[s][lane] = 0.0;
    slot->rest[lane] = 1.0;
    slot->steep[lane] = 1.0 / leak->edit.value;
    slot->curve[lane] = NULL;
    slot->ohm[lane] = between(c, at, s, lane, a, b);
    set_way(c, at, s, lane, a, b);
    return true;
}

/* The law of a slot. False: a link. */
static bool fill_law(sl__lane_slot *slot, int32_t lane, const sl__law *law, double volt)
{
    slot->fixed[lane] = slot->steep[lane] = 0.0;
    slot->curve[lane] = NULL;
    slot->apart[lane] = volt;
    if (!law || law->form == SL__ABSENT) {
        return true;
    }
    if (law->form == SL__OHMIC) {
        slot->apart[lane] = volt - law->open_v;
        slot->steep[lane] = 1.0 / law->ohm;
        return law->ohm > 0.0;
    }
    if (law->form == SL__FIXED) {
        slot->fixed[lane] = law->amp;
    } else {
        slot->curve[lane] = law;
    }
    return true;
}

/* How well it is known what a slot does to itself, relative. A share of the rest that is next to
   nothing counts as little where the element conducts all the same. */
static double doubt_of(const sl__curved_base *at, int32_t k, const sl__lane_slot *slot,
                       int32_t lane, double series_ohm)
{
    const double siemens = at->base->net.g[k], steep = slot->steep[lane];
    if (siemens == 0.0) {
        return 0.0;
    }
    if (sl__curved_rest(at, k)) {
        return at->base->error[k];
    }
    return steep > 0.0 ? SL__COLUMN_LEFT * siemens * (1.0 / steep + series_ohm) : INFINITY;
}

static bool fill_element(sl__curved *c, const sl__curved_base *at, int32_t s, int32_t lane,
                         const sl__touched *is)
{
    const sl__base *base = at->base;
    const sl__network *net = &base->net;
    const int32_t k = is->element, a = net->from[k], b = net->to[k];
    sl__lane_slot *slot = &c->ports.slot[s];
    const double volt = base->answer.u[k] + is->lift;
    const sl__law *law = is->open ? NULL : is->law ? is->law : &base->law[k];
    if (net->link[k] || isnan(volt) || !fill_law(slot, lane, law, volt) ||
        !(doubt_of(at, k, slot, lane, is->series_ohm) <= DOUBT_MOST)) {
        return false;
    }
    c->origin[s][lane] = law && law->form == SL__OHMIC ? law->open_v : 0.0;
    c->element[s][lane] = k;
    c->node[s][lane][0] = c->cs->branch[k].from;
    c->node[s][lane][1] = c->cs->branch[k].to;
    slot->amp[lane] = sl__pair_value(base->answer.i[k]);
    slot->siemens[lane] = net->g[k];
    slot->series_ohm[lane] = is->series_ohm;
    slot->rest[lane] = net->g[k] > 0.0 ? base->rest[k] : 1.0;
    slot->ohm[lane] = net->g[k] > 0.0 ? base->ohm[k] : between(c, at, s, lane, a, b);
    c->doubt[lane] = fmax(c->doubt[lane], doubt_of(at, k, slot, lane, is->series_ohm));
    set_way(c, at, s, lane, a, b);
    return true;
}

/* A curve that is a slot of the lane is not one of the others there. */
static void take_off(sl__curved *c, const sl__curved_base *at, int32_t lane, int32_t used)
{
    sl__lane_ports *p = &c->ports;
    for (int32_t s = 0; s < used; s++) {
        const int32_t element = c->element[s][lane];
        const int32_t k = element >= 0 ? at->curve_of[element] : -1;
        if (k < 0) {
            continue;
        }
        p->off[k] = (uint8_t)(p->off[k] | 1U << lane);
        p->any_off = c->takes_off[lane] = true;
        for (int32_t t = 0; t < used; t++) {
            p->across[((ptrdiff_t)t * at->curves + k) * SL__LANES + lane] = 0.0;
        }
    }
}

/* What 1 A through the later of two slots puts across the earlier one. False: between two leaks. */
static bool find_between(const sl__curved *c, const sl__curved_base *at, int32_t lane, int32_t s,
                         int32_t t, double *z)
{
    if (c->element[t][lane] < 0) {
        const int32_t other = s;
        s = t;
        t = other;
    }
    const int32_t k = c->element[t][lane], l = c->element[s][lane];
    if (k < 0) {
        return false;
    }
    const sl__base_column *column = sl__base_ask(at->base, k);
    const double g = l >= 0 ? at->base->net.g[l] : 0.0;
    *z = g > 0.0 ? column->amp[l] / g
                 : sl__at_row(column->volt, c->from[s][lane]) -
                       sl__at_row(column->volt, c->to[s][lane]);
    return true;
}

static bool fill_between(sl__curved *c, const sl__curved_base *at, int32_t lane, int32_t used)
{
    for (int32_t s = 0; s < used; s++) {
        for (int32_t t = s + 1; t < used; t++) {
            double z = 0.0;
            if (!find_between(c, at, lane, s, t, &z)) {
                return false;
            }
            c->ports.between[(s * SL__SLOTS_MOST + t) * SL__LANES + lane] = z;
            c->ports.between[(t * SL__SLOTS_MOST + s) * SL__LANES + lane] = z;
        }
    }
    return true;
}

/* Has what conducts no more cut the circuit in two? */
static bool is_cut(const sl__curved_base *at, const sl__touches *all)
{
    int32_t open[SL__SLOTS_MOST], count = 0;
    for (int32_t n = 0; n < all->count; n++) {
        const sl__touched *is = &all->at[n];
        const sl__law *law = is->law ? is->law : &at->base->law[is->element];
        if (at->base->net.g[is->element] > 0.0 && (is->open || sl__is_open(law))) {
            open[count++] = is->element;
        }
    }
    return count > 0 && sl__base_splits(at->base, count, open);
}

bool sl__curved_slots(sl__curved *c, const sl__curved_base *at, int32_t lane,
                      const sl__curved_case *of, const sl__touches *all, int32_t *used)
{
    int32_t slots = 0;
    c->doubt[lane] = 0.0;
    c->takes_off[lane] = false;
    for (int32_t n = 0; n < all->count; n++) {
        if (!at->base->open[all->at[n].element] &&
            !fill_element(c, at, slots++, lane, &all->at[n])) {
            return false;
        }
    }
    for (int32_t n = 0; n < of->count; n++) {
        if (of->change[n].node != SL_NONE &&
            (slots == SL__SLOTS_MOST || !fill_leak(c, at, slots++, lane, &of->change[n]))) {
            return false;
        }
    }
    if (is_cut(at, all)) {
        return false;
    }
    *used = slots;
    c->doubt[lane] += slots > 1 ? (slots - 1) * DOUBT_TOGETHER : 0.0;
    take_off(c, at, lane, slots);
    return fill_between(c, at, lane, slots);
}

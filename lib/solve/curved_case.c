/* lib/solve/curved_case.c: which elements a case changes in a base, and what their laws become. */
#include <math.h>
#include <string.h>

#include "solve/curved_internal.h"

/* NULL: there is no room for one more. */
static sl__touched *touch(sl__touches *all, int32_t element)
{
    for (int32_t n = 0; n < all->count; n++) {
        if (all->at[n].element == element) {
            return &all->at[n];
        }
    }
    if (all->count == SL__SLOTS_MOST) {
        return NULL;
    }
    all->at[all->count] = (sl__touched){.element = element};
    return &all->at[all->count++];
}

/* Elements that are taken away or get a resistance in series. */
static bool add_edit(const sl__curved *c, const sl_edit *edit, sl__touches *all)
{
    const sl_case *cs = c->cs;
    int32_t first = cs->branch_at[edit->part], last = cs->branch_at[edit->part + 1];
    if (sl_circuit_part_lacks(cs->circuit, edit->part, SL_LACKS_ELEMENT, edit->index)) {
        return false;
    }
    if (edit->index >= 0) {
        first += edit->index;
        last = first + 1;
    }
    for (int32_t k = first; k < last; k++) {
        sl__touched *at = touch(all, k);
        if (!at) {
            return false;
        }
        at->open = at->open || edit->change == SL_OPEN;
        at->series_ohm += edit->change == SL_SERIES ? edit->value : 0.0;
    }
    return true;
}

const double *sl__curved_values(const sl__curved *c, const sl__curved_base *at, sl_part part,
                                int32_t lane)
{
    for (int32_t n = 0; n < c->owns[lane]; n++) {
        if (c->own[lane][n].part == part) {
            return c->own[lane][n].value;
        }
    }
    return at->value + sl__case_part(c->cs, part)->value_at;
}

/* Room for parameters of its own for a part of a lane, with a copy of those of the base; NULL:
   there is none. */
static double *own_values(sl__curved *c, const sl__curved_base *at, sl_part part, int32_t lane)
{
    const sl__part *record = sl__case_part(c->cs, part);
    const int32_t count = record->kind->about.param_count;
    if (c->owns[lane] == SL__OWNS_MOST || count > SL__PARAMS_ROOM) {
        return NULL;
    }
    sl__curved_own *own = &c->own[lane][c->owns[lane]++];
    own->part = part;
    memcpy(own->value, at->value + record->value_at, (size_t)count * sizeof *own->value);
    return own->value;
}

/* Which of the base's parts that adjust themselves, or -1. */
static int32_t trim_of(const sl__curved_base *at, sl_part part)
{
    for (int32_t t = 0; t < at->base->trimming_count; t++) {
        if (at->base->trimming[t] == part) {
            return t;
        }
    }
    return -1;
}

/* Does a part with states begin and move as it did before, for all that its parameters say? */
static bool moves_alike(const sl__curved *c, const sl__curved_base *at, sl_part part,
                        const double *now)
{
    const sl__part *record = sl__case_part(c->cs, part);
    const double *was = at->value + record->value_at;
    const int32_t start = record->kind->about.start_param, state = at->base->state[part];
    if (start >= 0 && now[start] != was[start]) {
        return false;
    }
    for (int32_t q = 0; q < c->cs->stateful_count; q++) {
        if (c->cs->stateful[q] == part && at->wish[q] != state &&
            record->kind->delay_s(now, state, at->wish[q]) !=
                record->kind->delay_s(was, state, at->wish[q])) {
            return false;
        }
    }
    return true;
}

/* What the case sets of a part, to its own parameters in the lane. False: they cannot be, or more
   hangs on them than laws. */
static bool set_values(sl__curved *c, const sl__curved_base *at, const sl__curved_case *of,
                       sl_part part, int32_t lane)
{
    static const sl__flow nothing[SL__ELEMENTS_MOST];
    sl_case *cs = c->cs;
    const sl__kind *kind = sl__case_part(cs, part)->kind;
    sl__message why = {""};
    double *value = own_values(c, at, part, lane);
    if (!value) {
        return false;
    }
    sl__laws_given(cs, at->base->condition, part);
    for (int32_t n = 0; n < of->count; n++) {
        const sl__curved_change *change = &of->change[n];
        if (change->node == SL_NONE && change->edit.part == part && change->edit.change == SL_SET) {
            cs->given[change->edit.index] = change->edit.value;
        }
    }
    if (sl__parts_complete(kind, "", cs->given, value, &why) != SL_OK ||
        !moves_alike(c, at, part, value)) {
        return false;
    }
    if (kind->trim && (!kind->trims || kind->trims(value))) {
        const int32_t t = trim_of(at, part);
        value[kind->trim_param] = t >= 0 && t < SL__TRIMS_MOST ? c->x[lane][t] : 0.0;
        return t >= 0 && t < SL__TRIMS_MOST;
    }
    if (kind->trim) {
        value[kind->trim_param] = kind->trim(value, at->celsius, -1, nothing);
    }
    return true;
}

double sl__curved_lifted(const sl__curved *c, const sl__curved_base *at, int32_t lane, sl_node red,
                         sl_node black)
{
    double sum = 0.0;
    for (int32_t n = 0; n < c->lifts[lane]; n++) {
        const sl__curved_lift *lift = &c->lift[lane][n];
        const bool up = sl__curved_hangs(&at->base->net, red, lift->link);
        const bool down = sl__curved_hangs(&at->base->net, black, lift->link);
        sum += up == down ? 0.0 : up ? lift->lift : -lift->lift;
    }
    return sum;
}

/* A source without resistance gives another voltage: to all that goes from what hangs on it to
   elsewhere that is as much more between its ends. False: it cannot. */
static bool lift(sl__curved *c, const sl__curved_base *at, int32_t link, const sl__law *law,
                 int32_t lane, sl__touches *all)
{
    const sl__network *net = &at->base->net;
    const sl_node from = c->cs->branch[link].from;
    if (law->form != SL__OHMIC || law->ohm != 0.0 || at->base->answer.loop[link] ||
        c->lifts[lane] == SL__LIFTS_MOST) {
        return false;
    }
    const double more = law->open_v - at->base->law[link].open_v;
    const bool by_from = net->up_node[from] >= 0 && net->up_link[from] == link;
    const double by = by_from ? more : -more;
    c->lift[lane][c->lifts[lane]++] = (sl__curved_lift){link, more, by};
    for (int32_t k = 0; k < at->base->elements; k++) {
        const sl__branch *branch = &c->cs->branch[k];
        const bool up = !net->link[k] && sl__curved_hangs(net, branch->from, link);
        const bool down = !net->link[k] && sl__curved_hangs(net, branch->to, link);
        if (up != down && !at->base->open[k] && at->base->law[k].form != SL__ABSENT) {
            sl__touched *is = touch(all, k);
            if (!is) {
                return false;
            }
            is->lift += up ? by : -by;
        }
    }
    return true;
}

/* Elements whose laws are not as in the base, with the part's own parameters. */
static bool add_laws(sl__curved *c, const sl__curved_base *at, sl_part part, int32_t lane,
                     sl__touches *all)
{
    const int32_t first = c->cs->branch_at[part], last = c->cs->branch_at[part + 1];
    sl__law law[SL__ELEMENTS_MOST];
    sl__laws_with(c->cs, part, sl__curved_values(c, at, part, lane), at->celsius,
                  at->base->state[part], law);
    for (int32_t k = first; k < last; k++) {
        if (at->base->open[k] || sl__same_law(&law[k - first], &at->base->law[k])) {
            continue;
        }
        if (at->base->net.link[k]) {
            if (!lift(c, at, k, &law[k - first], lane, all)) {
                return false;
            }
            continue;
        }
        sl__touched *is = touch(all, k);
        if (!is) {
            return false;
        }
        sl__law *kept = &c->law[is - all->at][lane];
        *kept = law[k - first];
        is->law = kept;
    }
    return true;
}

/* What a change sets, with all others that set something of the same part. */
static bool add_set(sl__curved *c, const sl__curved_base *at, int32_t lane,
                    const sl__curved_case *of, int32_t change, sl__touches *all)
{
    const sl_part part = of->change[change].edit.part;
    for (int32_t n = 0; n < change; n++) {
        const sl__curved_change *before = &of->change[n];
        if (before->node == SL_NONE && before->edit.part == part && before->edit.change == SL_SET) {
            return true; /* with that one */
        }
    }
    return set_values(c, at, of, part, lane) && add_laws(c, at, part, lane, all);
}

/* Parts that have adjusted themselves otherwise than in the base. */
static bool add_trims(sl__curved *c, const sl__curved_base *at, int32_t lane, sl__touches *all)
{
    const int32_t count = at->base->trimming_count;
    for (int32_t t = 0; t < count && t < SL__TRIMS_MOST; t++) {
        const sl_part part = at->base->trimming[t];
        const int32_t param = sl__case_part(c->cs, part)->kind->trim_param;
        if (sl__curved_values(c, at, part, lane)[param] == c->x[lane][t]) {
            continue;
        }
        double *value = own_values(c, at, part, lane);
        if (!value) {
            return false;
        }
        value[param] = c->x[lane][t];
        if (!add_laws(c, at, part, lane, all)) {
            return false;
        }
    }
    return true;
}

bool sl__curved_fill(sl__curved *c, int32_t b, int32_t lane, const sl__curved_case *of,
                     int32_t *used)
{
    const sl__curved_base *at = &c->at[b];
    sl__touches all = {.count = 0};
    c->owns[lane] = c->lifts[lane] = 0;
    for (int32_t n = 0; n < of->count; n++) {
        const sl__curved_change *change = &of->change[n];
        if (change->node == SL_NONE &&
            !(change->edit.change == SL_SET ? add_set(c, at, lane, of, n, &all)
                                            : add_edit(c, &change->edit, &all))) {
            return false;
        }
    }
    return add_trims(c, at, lane, &all) && sl__curved_slots(c, at, lane, of, &all, used);
}

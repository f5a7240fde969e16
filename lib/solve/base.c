/* lib/solve/base.c: the healthy circuit, ready to be asked about changes. */
#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "numeric/effective.h"
#include "solve/near.h"

/* The line that stands for a curve has at least this share of its typical conductance, so that what
   hangs together in the circuit hangs together in the base. */
#define SLOPE_LEAST 1e-9

static void copy(sl__arena *a, void *to, const void *from, int32_t count, size_t size)
{
    void *array = sl__arena_take(a, count, size);
    if (array && count > 0) {
        memcpy(array, from, (size_t)count * size);
    }
    memcpy(to, &array, sizeof array);
}

/* Copies of what the base keeps of the case. */
static void copy_case(const sl_case *cs, const sl__answer *answer, sl__base *base)
{
    sl__arena *a = &base->arena;
    const sl__network *net = &cs->net;
    int32_t n = cs->nodes, m = cs->elements;
    base->net = (sl__network){.rows = net->rows, .links = net->links, .islands = net->islands};
    copy(a, &base->net.link, net->link, m, sizeof *net->link);
    copy(a, &base->net.order, net->order, n, sizeof *net->order);
    copy(a, &base->net.up_node, net->up_node, n, sizeof *net->up_node);
    copy(a, &base->net.up_link, net->up_link, n, sizeof *net->up_link);
    copy(a, &base->net.row, net->row, n, sizeof *net->row);
    copy(a, &base->net.from, net->from, m, sizeof *net->from);
    copy(a, &base->net.to, net->to, m, sizeof *net->to);
    copy(a, &base->net.g, net->g, m, sizeof *net->g);
    copy(a, &base->answer.row_v, answer->row_v, net->rows, sizeof *answer->row_v);
    copy(a, &base->answer.node_v, answer->node_v, n, sizeof *answer->node_v);
    copy(a, &base->answer.island, answer->island, n, sizeof *answer->island);
    copy(a, &base->answer.i, answer->i, m, sizeof *answer->i);
    copy(a, &base->answer.u, answer->u, m, sizeof *answer->u);
    copy(a, &base->answer.loop, answer->loop, m, sizeof *answer->loop);
    copy(a, &base->answer.trim, answer->trim, cs->trimming_count, sizeof *answer->trim);
    base->law = sl__arena_take(a, m, sizeof *base->law);
    base->open = sl__arena_take(a, m, sizeof *base->open);
    for (int32_t k = 0; base->open && k < m; k++) {
        base->law[k] = cs->branch[k].law;
        base->open[k] = cs->branch[k].open;
    }
}

/* Does the part adjust itself? */
static bool trims(const sl_case *cs, sl_part part)
{
    const sl__kind *kind = sl__case_part(cs, part)->kind;
    return kind->trim && (!kind->trims || kind->trims(sl__case_values(cs, part)));
}

/* Does an element get a column of its own for good? */
static bool stays(const sl_case *cs, const sl__base *base, int32_t k)
{
    return base->law[k].form == SL__CURVE || trims(cs, cs->branch[k].part);
}

static void take_columns(const sl_case *cs, sl__base *base)
{
    sl__arena *a = &base->arena;
    int32_t m = base->elements, kept = 0;
    base->slot = sl__arena_take(a, m, sizeof *base->slot);
    if (a->failed) {
        return;
    }
    for (int32_t k = 0; k < m; k++) {
        base->slot[k] = -1;
        kept += stays(cs, base, k);
    }
    base->columns = kept + SL__SPARE_COLUMNS;
    base->column = sl__arena_take(a, base->columns, sizeof *base->column);
    for (int32_t c = 0; base->column && c < base->columns; c++) {
        base->column[c].element = -1;
        base->column[c].volt = sl__arena_take(a, base->net.rows, sizeof(double));
        base->column[c].amp = sl__arena_take(a, m, sizeof(double));
    }
    base->curve = sl__arena_take(a, kept, sizeof *base->curve);
    for (int32_t k = 0, c = 0; !a->failed && k < m; k++) {
        if (base->law[k].form == SL__CURVE) {
            base->curve[base->curves++] = k;
        }
        if (stays(cs, base, k)) {
            base->slot[k] = c++;
        }
    }
}

/* Lists what must be known to see whether a part moves. */
static void take_watched(const sl_case *cs, sl__base *base)
{
    base->watch = sl__arena_take(&base->arena, base->elements, sizeof *base->watch);
    for (int32_t k = 0; base->watch && k < base->elements; k++) {
        const sl_part part = cs->branch[k].part;
        if (sl__case_part(cs, part)->kind->about.state_count > 0 || trims(cs, part)) {
            base->watch[base->watched++] = k;
        }
    }
}

static void take_scratch(sl__base *base)
{
    sl__arena *a = &base->arena;
    int32_t rows = base->net.rows + 1, m = base->elements;
    base->slope = sl__arena_take(a, m, sizeof *base->slope);
    base->ohm = sl__arena_take(a, m, sizeof *base->ohm);
    base->rest = sl__arena_take(a, m, sizeof *base->rest);
    base->error = sl__arena_take(a, m, sizeof *base->error);
    base->room.b = sl__arena_take(a, rows, sizeof *base->room.b);
    base->room.x = sl__arena_take(a, rows, sizeof *base->room.x);
    base->room.v = sl__arena_take(a, rows, sizeof *base->room.v);
    base->room.sum = sl__arena_take(a, rows, sizeof *base->room.sum);
    base->room.inject = sl__arena_take(a, rows, sizeof *base->room.inject);
    base->room.i = sl__arena_take(a, m, sizeof *base->room.i);
    base->added = sl__arena_take(a, m, sizeof *base->added);
    base->size = sl__arena_take(a, m, sizeof *base->size);
    base->root = sl__arena_take(a, rows, sizeof *base->root);
    base->ports = sl__arena_take(a, 1, sizeof *base->ports);
}

/* Factors with lines in place of the curves, and asks what the network is to each element. The
   factor is the case's, which has the same rows; it makes itself another one when it needs one. */
static sl_status factor(sl_case *cs, sl__base *base)
{
    sl__network *net = &base->net;
    for (int32_t k = 0; k < base->elements; k++) {
        if (base->law[k].form == SL__CURVE) {
            double unused;
            sl__law_current(&base->law[k], base->answer.u[k], &unused, &base->slope[k]);
            net->g[k] = fmax(base->slope[k], SLOPE_LEAST * base->law[k].scale_s);
        }
    }
    net->factor = cs->net.factor;
    cs->net.factor = NULL;
    base->room.factor = net->factor;
    base->room.rows = net->rows;
    base->room.branches = base->elements;
    base->room.from = net->from;
    base->room.to = net->to;
    base->room.g = net->g;
    base->sound = sl__factor_update(net->factor, net->g) == net->islands;
    if (sl__effective_new(net->factor, &base->effective) != SL_OK) {
        return SL_E_NOMEM;
    }
    sl__effective_update(base->effective, net->g, base->ohm, base->rest, base->error);
    return SL_OK;
}

/* A base of the answer that the case, which is healthy, has just been given. */
static sl_status build(sl_case *cs, const sl__answer *answer, sl__base *base)
{
    base->arena.al = &cs->al;
    base->condition = cs->held;
    base->elements = cs->elements;
    base->nodes = cs->nodes;
    copy(&base->arena, &base->state, cs->state, cs->parts, sizeof *base->state);
    base->trimming_count = cs->trimming_count;
    copy(&base->arena, &base->trimming, cs->trimming, cs->trimming_count, sizeof *base->trimming);
    copy_case(cs, answer, base);
    take_scratch(base);
    take_columns(cs, base);
    take_watched(cs, base);
    sl_status st = base->arena.failed ? SL_E_NOMEM : factor(cs, base);
    if (st != SL_OK) {
        sl__base_clear(base);
    }
    return st;
}

void sl__base_clear(sl__base *base)
{
    sl__effective_free(base->effective);
    sl__factor_free(base->net.factor);
    sl__arena_clear(&base->arena);
    *base = (sl__base){0};
}

static void work_out(sl__base *base, int32_t element, sl__base_column *column)
{
    const sl__network *net = &base->net;
    double left = sl__column(&base->room, element, column->volt, column->amp);
    int32_t a = net->from[element], b = net->to[element];
    double across = (a < 0 ? 0.0 : column->volt[a]) - (b < 0 ? 0.0 : column->volt[b]);
    double g = net->g[element];
    column->ohm = g > 0.0 ? column->amp[element] / g : across;
    column->rest = base->rest[element] == 0.0 ? 0.0 : left;
    column->element = element;
}

const sl__base_column *sl__base_ask(sl__base *base, int32_t element)
{
    int32_t slot = base->slot[element];
    if (slot < 0) { /* the spare one that was asked for longest ago */
        slot = base->columns - SL__SPARE_COLUMNS;
        for (int32_t c = slot + 1; c < base->columns; c++) {
            slot = base->column[c].used < base->column[slot].used ? c : slot;
        }
        if (base->column[slot].element >= 0) {
            base->slot[base->column[slot].element] = -1;
        }
        base->column[slot].element = -1;
        base->slot[element] = slot;
    }
    sl__base_column *column = &base->column[slot];
    if (column->element < 0) {
        work_out(base, element, column);
    }
    column->used = ++base->asked;
    return column;
}

static int32_t root_of(int32_t *up, int32_t row)
{
    while (up[row] != row) {
        row = up[row] = up[up[row]];
    }
    return row;
}

static bool is_listed(int32_t count, const int32_t *element, int32_t k)
{
    bool listed = false;
    for (int32_t n = 0; n < count; n++) {
        listed = listed || element[n] == k;
    }
    return listed;
}

/* With more than this share of the current on other ways an element is no bridge, however that was
   rounded. */
#define BRIDGE_MOST 1e-9

bool sl__base_splits(sl__base *base, int32_t count, const int32_t *element)
{
    const sl__network *net = &base->net;
    const int32_t last = net->rows; /* stands for the reference */
    if (count == 1 && base->rest[element[0]] > BRIDGE_MOST) {
        return false;
    }
    for (int32_t row = 0; row <= last; row++) {
        base->root[row] = row;
    }
    for (int32_t k = 0; k < base->elements; k++) {
        if (net->g[k] > 0.0 && !is_listed(count, element, k)) {
            const int32_t a = root_of(base->root, net->from[k] < 0 ? last : net->from[k]);
            const int32_t b = root_of(base->root, net->to[k] < 0 ? last : net->to[k]);
            base->root[a] = b;
        }
    }
    bool splits = false;
    for (int32_t n = 0; n < count; n++) {
        const int32_t a = net->from[element[n]], b = net->to[element[n]];
        splits = splits ||
                 root_of(base->root, a < 0 ? last : a) != root_of(base->root, b < 0 ? last : b);
    }
    return splits;
}

/* Bases that a case keeps. */
#define BASES_MOST 64

sl__base *sl__base_of(const sl_case *cs)
{
    for (int32_t b = 0; b < cs->quick.bases; b++) {
        sl__base *base = &cs->quick.base[b];
        if (base->condition == cs->held &&
            memcmp(base->state, cs->state, (size_t)cs->parts * sizeof *cs->state) == 0) {
            return base;
        }
    }
    return NULL;
}

sl_status sl__base_record(sl_case *cs, const sl__answer *answer)
{
    sl__quick *quick = &cs->quick;
    if (sl__base_of(cs)) {
        return SL_OK;
    }
    if (quick->bases == BASES_MOST || cs->branches != cs->elements) {
        quick->missed = true;
        return SL_OK;
    }
    if (!quick->base && !(quick->base = sl__new(&cs->al, BASES_MOST, sizeof *quick->base))) {
        return SL_E_NOMEM;
    }
    sl_status st = build(cs, answer, &quick->base[quick->bases]);
    quick->bases += st == SL_OK;
    return st;
}

sl_status sl__bases_record(sl_case *cs)
{
    cs->quick.recording = true;
    cs->quick.missed = false;
    sl_status st = sl__settle(cs);
    cs->quick.recording = false;
    return st;
}

sl_status sl__bases_make(sl_case *cs)
{
    const int32_t edits = cs->edit_count;
    cs->edit_count = 0;
    sl_status st = sl__bases_record(cs);
    cs->edit_count = edits;
    cs->quick.made = st != SL_E_NOMEM;
    return st == SL_E_NOMEM ? st : SL_OK;
}

void sl__bases_free(sl_case *cs)
{
    for (int32_t b = 0; b < cs->quick.bases; b++) {
        sl__base_clear(&cs->quick.base[b]);
    }
    sl__free(&cs->al, cs->quick.base, BASES_MOST, sizeof *cs->quick.base);
    cs->quick.base = NULL;
    cs->quick.bases = 0;
    cs->quick.made = false;
}

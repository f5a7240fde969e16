/* lib/numeric/effective.c: effective resistances on the pattern of a factor. */
#include "numeric/effective.h"

#include <float.h>
#include <math.h>

#include "base/memory.h"
#include "numeric/effective_internal.h"

/* Rounding errors of a sum of a few terms, each right to as much; measured: never above. */
#define ERROR_PER_TERM (4.0 * DBL_EPSILON)

static void find_starts(sl__effective *e)
{
    const sl__factor *f = e->f;
    sl__block_start at = {0};
    for (int32_t s = 0; s < f->blocks; s++) {
        const sl__factor_block *b = &f->block[s];
        e->at[s] = at;
        for (int32_t c = 0; c < b->width; c++) {
            e->block_of[at.column + c] = s;
            e->column[f->row_of[at.column + c]] = at.column + c;
        }
        at.column += b->width;
        at.value += b->width * (int64_t)sl__block_height(b);
        at.below += b->below;
        if (sl__is_twig(b)) {
            at.place += (int64_t)(b->below - 1) * b->below / 2;
            continue;
        }
        for (int32_t l = 0, begin = 0; l < b->links; l++, at.link++) {
            at.place += b->below - begin;
            begin = f->link[at.link].end;
        }
    }
    e->block_of[f->rows] = f->blocks;
    for (int32_t s = 0; s < f->blocks; s++) {
        e->at[s].next = e->block_of[f->below_row[e->at[s].below]];
    }
}

static void take(sl__effective *e)
{
    const sl__factor *f = e->f;
    sl__arena *a = &e->arena;
    e->at = sl__arena_take(a, f->blocks + 1, sizeof *e->at);
    e->block_of = sl__arena_take(a, f->rows + 1, sizeof *e->block_of);
    e->column = sl__arena_take(a, f->rows + 1, sizeof *e->column);
    int32_t values = (int32_t)f->values; /* a factor has no more */
    e->fill = sl__arena_take(a, values, sizeof *e->fill);
    e->ohm = sl__arena_take(a, values, sizeof *e->ohm);
    e->slot_at = sl__arena_take(a, f->rows + 1, sizeof *e->slot_at);
    e->slot = sl__arena_take(a, f->branches, sizeof *e->slot);
    e->slot_of = sl__arena_take(a, f->branches, sizeof *e->slot_of);
    e->slot_column = sl__arena_take(a, f->branches, sizeof *e->slot_column);
    for (int32_t s = 0; s < f->blocks; s++) {
        int32_t height = sl__block_height(&f->block[s]);
        e->most = height > e->most ? height : e->most;
    }
    e->square = sl__arena_take(a, e->most * e->most, sizeof *e->square);
    e->share = sl__arena_take(a, e->most, sizeof *e->share);
    e->mean = sl__arena_take(a, e->most, sizeof *e->mean);
    e->y = sl__arena_take(a, f->rows + 1, sizeof *e->y);
    void *abreast =
        sl__arena_take(a, f->rows + 2 + SL__WIDEST_BLOCK, SL__ABREAST * sizeof *e->abreast);
    e->abreast = (double *)(void *)sl__lanes_at(abreast);
    e->marks = sl__arena_take(a, f->blocks / 64 + 1, sizeof *e->marks);
}

/* Slots for the entries with branches; at_entry receives the slot of each such entry, + 1. */
static void find_slots(sl__effective *e, int32_t *at_entry)
{
    const sl__factor *f = e->f;
    int32_t slots = 0;
    for (int32_t k = 0; k < f->branches; k++) {
        if (f->branch_at[k] >= 0) {
            at_entry[f->branch_at[k]]++;
        }
    }
    for (int32_t s = 0; s < f->blocks; s++) {
        const int32_t height = sl__block_height(&f->block[s]);
        for (int32_t c = 0; c < f->block[s].width; c++) {
            int32_t *entry = at_entry + e->at[s].value + (ptrdiff_t)c * height + c + 1;
            e->slot_at[e->at[s].column + c] = slots;
            for (int32_t i = 0; i < height - c - 1; i++) {
                if (entry[i] > 0) {
                    e->slot[slots] = (sl__effective_slot){.row = i, .parallel = entry[i]};
                    e->slot_column[slots] = e->at[s].column + c;
                    entry[i] = ++slots;
                }
            }
        }
    }
    e->slot_at[f->rows] = slots;
    for (int32_t k = 0; k < f->branches; k++) {
        e->slot_of[k] = f->branch_at[k] < 0 ? -1 : at_entry[f->branch_at[k]] - 1;
    }
}

/* Lists a pair of rows of a block if its entry has one branch; only counts while there is no
   room. */
static void list_pair(sl__effective *e, const int32_t *at_entry, int32_t *pairs, int32_t i,
                      int32_t j, int64_t entry)
{
    if (at_entry[entry] == 0 || e->slot[at_entry[entry] - 1].parallel > 1) {
        return;
    }
    if (e->pair) {
        e->pair[*pairs] = (sl__pair_below){i, j, (int32_t)entry};
    }
    (*pairs)++;
}

static int32_t list_pairs(sl__effective *e, const int32_t *at_entry)
{
    const sl__factor *f = e->f;
    int32_t pairs = 0;
    for (int32_t s = 0; s < f->blocks; s++) {
        const sl__factor_block *b = &f->block[s];
        const int32_t height = sl__block_height(b), *place = f->place + e->at[s].place;
        const sl__factor_link *link = f->link + e->at[s].link;
        e->at[s].pairs = pairs;
        if (sl__is_twig(b)) {
            continue;
        }
        for (int32_t i = 1; i < b->width; i++) {
            for (int32_t j = i + 1; j < height; j++) {
                list_pair(e, at_entry, &pairs, i, j, e->at[s].value + (int64_t)i * height + j);
            }
        }
        for (int32_t l = 0, a = 0; l < b->links; l++, link++) {
            const int32_t *end = place + (b->below - a);
            for (; a < link->end; a++, place++) {
                const int64_t column = link->value_at + place[0] * (int64_t)link->height;
                for (int32_t i = 1; i < b->below - a; i++) {
                    list_pair(e, at_entry, &pairs, b->width + a, b->width + a + i,
                              column + place[i]);
                }
            }
            place = end;
        }
    }
    e->at[f->blocks].pairs = pairs;
    return pairs;
}

static sl_status find_branches(sl__effective *e)
{
    int32_t *at_entry = sl__new(&e->al, (size_t)e->f->values, sizeof *at_entry);
    if (!at_entry) {
        return SL_E_NOMEM;
    }
    find_slots(e, at_entry);
    e->pair = sl__arena_take(&e->arena, list_pairs(e, at_entry), sizeof *e->pair);
    if (e->pair) {
        list_pairs(e, at_entry);
    }
    sl__free(&e->al, at_entry, (size_t)e->f->values, sizeof *at_entry);
    return e->arena.failed ? SL_E_NOMEM : SL_OK;
}

sl_status sl__effective_new(const sl__factor *f, sl__effective **out)
{
    sl__effective *e = sl__new(&f->al, 1, sizeof *e);
    if (!e) {
        return SL_E_NOMEM;
    }
    e->al = f->al;
    e->f = f;
    e->arena.al = &e->al;
    take(e);
    if (!e->arena.failed) {
        find_starts(e);
    }
    if (e->arena.failed || find_branches(e) < 0) {
        sl__effective_free(e);
        return SL_E_NOMEM;
    }
    *out = e;
    return SL_OK;
}

void sl__effective_free(sl__effective *e)
{
    if (e) {
        sl_alloc al = e->al;
        sl__arena_clear(&e->arena);
        sl__free(&al, e, 1, sizeof *e);
    }
}

/* `rest` of a branch of conductance g in a slot, and its error as a multiple of it. */
static double rest_of(const sl__effective *e, int32_t slot, int64_t entry, double g, double *error)
{
    const sl__effective_slot *of = &e->slot[slot];
    const double q = e->f->inverse_pivot[e->slot_column[slot]];
    double beside = e->fill[entry], lost = 0.0;
    if (of->parallel > 1) { /* other branches lie there too */
        beside = e->f->value[entry] - g;
        lost = DBL_EPSILON * e->f->value[entry];
    }
    double ways = beside * q + of->others;
    if (ways == 0.0) { /* a bridge: sums of nothing but zeros */
        *error = 0.0;
        return 0.0;
    }
    double rest = ways - g * of->bow;
    double out = ERROR_PER_TERM * (ways + g * of->bow_most) + lost * q;
    *error = rest > 0.0 ? out / rest : INFINITY;
    return rest > 0.0 ? rest : 0.0;
}

void sl__effective_update(sl__effective *e, const double *g, double *ohm, double *rest,
                          double *error)
{
    sl__effective_update_with(sl__lane_kernels(), e, g, ohm, rest, error);
}

void sl__effective_update_with(int32_t kernel, sl__effective *e, const double *g, double *ohm,
                               double *rest, double *error)
{
    const sl__factor *f = e->f;
    sl__effective_fill(e);
    sl__effective_reach(e, kernel);
    for (int32_t k = 0; k < f->branches; k++) {
        const int32_t slot = e->slot_of[k];
        double r = 0.0, rests = 1.0, out = 0.0;
        if (slot >= 0) {
            r = e->slot[slot].ohm;
            rests = rest_of(e, slot, f->branch_at[k], g[k], &out);
        }
        if (ohm) {
            ohm[k] = r;
        }
        if (rest) {
            rest[k] = rests;
        }
        if (error) {
            error[k] = out;
        }
    }
}

/* Puts 1 A into a row and lets it run up the tree to the end of its block; returns the next column
   on the way, f->rows at the end. */
static int32_t climb(sl__effective *e, int32_t s, double *sum)
{
    const sl__factor *f = e->f;
    const sl__factor_block *b = &f->block[s];
    const double *g = f->value + e->at[s].value, *q = f->inverse_pivot + e->at[s].column;
    const int32_t *row = f->below_row + e->at[s].below;
    double *y = e->y + e->at[s].column;
    int32_t height = sl__block_height(b);
    for (int32_t c = 0; c < b->width; c++, g += height) {
        double z = y[c] * q[c];
        *sum += y[c] * z;
        for (int32_t i = c + 1; i < b->width; i++) {
            y[i] += g[i] * z;
        }
        for (int32_t i = 0; i < b->below - 1; i++) {
            e->y[row[i]] += g[b->width + i] * z;
        }
        y[c] = 0.0;
    }
    return row[0];
}

double sl__effective_between(sl__effective *e, int32_t a, int32_t b)
{
    const sl__factor *f = e->f;
    int32_t at[2] = {a < 0 ? f->rows : e->column[a], b < 0 ? f->rows : e->column[b]};
    if (at[0] < f->rows) {
        e->y[at[0]] += 1.0;
    }
    if (at[1] < f->rows) {
        e->y[at[1]] -= 1.0;
    }
    double sum = 0.0;
    while (at[0] < f->rows || at[1] < f->rows) {
        int32_t s0 = e->block_of[at[0]], s1 = e->block_of[at[1]];
        int32_t s = s0 < s1 ? s0 : s1, next = climb(e, s, &sum);
        at[0] = s0 == s ? next : at[0];
        at[1] = s1 == s ? next : at[1];
    }
    return sum;
}

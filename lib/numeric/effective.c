/* lib/numeric/effective.c: effective resistances on the pattern of a factor. */
#include "numeric/effective.h"

#include <float.h>
#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "numeric/effective_internal.h"

/* Rounding errors of a sum of a few terms, each right to as much; measured: never above. */
#define ERROR_PER_TERM (4.0 * DBL_EPSILON)

static bool is_twig(const sl__factor_block *b)
{
    return b->width == 1 && b->below < SL__FEWEST_LINKED;
}

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
        if (is_twig(b)) {
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

/* The column an entry of the values belongs to. */
static int32_t column_of(const sl__effective *e, int64_t entry)
{
    int32_t low = 0, high = e->f->blocks;
    while (high - low > 1) {
        int32_t middle = low + (high - low) / 2;
        if (e->at[middle].value <= entry) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return e->at[low].column +
           (int32_t)((entry - e->at[low].value) / sl__block_height(&e->f->block[low]));
}

static void take(sl__effective *e)
{
    const sl__factor *f = e->f;
    sl__arena *a = &e->arena;
    e->at = sl__arena_take(a, f->blocks, sizeof *e->at);
    e->block_of = sl__arena_take(a, f->rows + 1, sizeof *e->block_of);
    e->column = sl__arena_take(a, f->rows + 1, sizeof *e->column);
    int32_t values = (int32_t)f->values; /* a factor has no more */
    e->fill = sl__arena_take(a, values, sizeof *e->fill);
    e->ohm = sl__arena_take(a, values, sizeof *e->ohm);
    e->others = sl__arena_take(a, values, sizeof *e->others);
    e->bow = sl__arena_take(a, values, sizeof *e->bow);
    e->bow_most = sl__arena_take(a, values, sizeof *e->bow_most);
    e->parallel = sl__arena_take(a, values, sizeof *e->parallel);
    for (int32_t s = 0; s < f->blocks; s++) {
        int32_t height = sl__block_height(&f->block[s]);
        e->most = height > e->most ? height : e->most;
    }
    e->square = sl__arena_take(a, e->most * e->most, sizeof *e->square);
    e->share = sl__arena_take(a, e->most, sizeof *e->share);
    e->mean = sl__arena_take(a, e->most, sizeof *e->mean);
    e->y = sl__arena_take(a, f->rows + 1, sizeof *e->y);
    e->entry_column = sl__arena_take(a, f->branches, sizeof *e->entry_column);
    void *abreast =
        sl__arena_take(a, f->rows + 2 + SL__WIDEST_BLOCK, SL__ABREAST * sizeof *e->abreast);
    e->abreast = (double *)(void *)sl__lanes_at(abreast);
    e->marks = sl__arena_take(a, f->blocks / 64 + 1, sizeof *e->marks);
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
    if (e->arena.failed) {
        sl__effective_free(e);
        return SL_E_NOMEM;
    }
    find_starts(e);
    for (int32_t k = 0; k < f->branches; k++) {
        int64_t entry = f->branch_at[k];
        if (entry >= 0) {
            e->parallel[entry]++;
            e->entry_column[k] = column_of(e, entry);
        }
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

/* What lies between row a of a block's square and the `after` rows that follow it, which are at
   entry[next[0]], entry[next[1]], ... of the factor: taken out of the entries into the square, or
   added to them. */
static void move_row(sl__effective *e, int32_t height, int32_t a, int32_t after, double *entry,
                     const int32_t *next, bool out)
{
    double *row = e->square + (ptrdiff_t)a * height + a + 1;
    double *column = e->square + (ptrdiff_t)(a + 1) * height + a;
    for (int32_t i = 0; i < after; i++) {
        if (out) {
            row[i] = column[(ptrdiff_t)i * height] = entry[next[i]];
        } else {
            entry[next[i]] += row[i];
        }
    }
}

/* All pairs of the rows below a block. */
static void move_below(sl__effective *e, int32_t s, double *entry, bool out)
{
    const sl__factor *f = e->f;
    const sl__factor_block *b = &f->block[s];
    const int32_t *place = f->place + e->at[s].place;
    int32_t height = sl__block_height(b);
    const sl__factor_link *link = f->link + e->at[s].link;
    for (int32_t l = 0, a = 0; l < b->links; l++, link++) {
        const int32_t *end = place + (b->below - a);
        for (; a < link->end; a++, place++) {
            double *column = entry + link->value_at + place[0] * (int64_t)link->height;
            move_row(e, height, b->width + a, b->below - a - 1, column, place + 1, out);
        }
        place = end;
    }
}

/* What a twig adds to the entries: their places lie one after another. */
static void fill_twig(sl__effective *e, int32_t s)
{
    const sl__factor *f = e->f;
    const double *g = f->value + e->at[s].value + 1, q = f->inverse_pivot[e->at[s].column];
    const int32_t *place = f->place + e->at[s].place;
    for (int32_t a = 0, below = f->block[s].below; a < below - 1; a++) {
        double weight = g[a] * q;
        for (int32_t b = a + 1; b < below; b++) {
            e->fill[*place++] += weight * g[b];
        }
    }
}

/* What elimination has added to every entry: the same additions as when it was done, apart from
   what the branches themselves have laid there. */
static void find_fill(sl__effective *e)
{
    const sl__factor *f = e->f;
    memset(e->fill, 0, (size_t)f->values * sizeof *e->fill);
    for (int32_t s = 0; s < f->blocks; s++) {
        const sl__factor_block *b = &f->block[s];
        int32_t height = sl__block_height(b);
        if (is_twig(b)) {
            fill_twig(e, s);
            continue;
        }
        memset(e->square, 0, (size_t)height * (size_t)height * sizeof *e->square);
        for (int32_t c = 0; c < b->width; c++) {
            const double *g = f->value + e->at[s].value + (ptrdiff_t)c * height;
            double q = f->inverse_pivot[e->at[s].column + c];
            for (int32_t i = c + 1; i < height; i++) {
                double weight = g[i] * q, *row = e->square + (ptrdiff_t)i * height;
                for (int32_t j = i + 1; j < height; j++) {
                    row[j] += weight * g[j];
                }
            }
        }
        for (int32_t i = 1; i < b->width; i++) {
            double *to = e->fill + e->at[s].value + (ptrdiff_t)i * height;
            for (int32_t j = i + 1; j < height; j++) {
                to[j] += e->square[(ptrdiff_t)i * height + j];
            }
        }
        move_below(e, s, e->fill, false);
    }
}

/* The shares p of the rows of a column, c + 1 .. height - 1 of the square. Returns the row with the
   greatest one. */
static int32_t share_out(sl__effective *e, const double *g, double q, int32_t c, int32_t height)
{
    int32_t main = c + 1;
    for (int32_t i = c + 1; i < height; i++) {
        e->share[i] = g[i] * q;
        main = g[i] > g[main] ? i : main;
    }
    return main;
}

/* sum p r of row i over the others; the main row must have given up its share. */
static double mean_of(const sl__effective *e, int32_t i, int32_t c, int32_t height)
{
    const double *row = e->square + (ptrdiff_t)i * height;
    double s0 = 0.0, s1 = 0.0;
    int32_t j = c + 1;
    for (; j + 1 < height; j += 2) {
        s0 += e->share[j] * row[j];
        s1 += e->share[j + 1] * row[j + 1];
    }
    return s0 + s1 + (j < height ? e->share[j] * row[j] : 0.0);
}

/* What a column is to its rows, at `base` of the entries, given for each row the mean of its
   resistances to the others, the main row left out, and that to the main row. */
static void write_column(sl__effective *e, int64_t base, const double *g, double q, int32_t rows,
                         int32_t main, const double *mean, const double *to_main)
{
    double main_share = g[main] * q, others = 0.0, spread = 0.0;
    for (int32_t i = 0; i < rows; i++) {
        double share = i == main ? 0.0 : g[i];
        others += share;
        spread += 0.5 * share * q * mean[i];
    }
    double all = spread + main_share * mean[main];
    for (int32_t i = 0; i < rows; i++) {
        double of = i == main ? others * q * mean[i] : mean[i] + main_share * to_main[i];
        double minus = i == main ? spread : all;
        double bow = of > minus ? of - minus : 0.0;
        e->bow[base + i] = bow;
        e->bow_most[base + i] = of + minus;
        e->others[base + i] = (i == main ? others : others - g[i] + g[main]) * q;
        e->ohm[base + i] = q + bow;
    }
}

/* A twig: few rows, so their resistances are best at hand. */
static void reach_twig(sl__effective *e, int32_t s)
{
    enum { ROOM = SL__FEWEST_LINKED };
    const sl__factor *f = e->f;
    int32_t rows = f->block[s].below, main = 0;
    int64_t base = e->at[s].value + 1;
    const double *g = f->value + base, q = f->inverse_pivot[e->at[s].column];
    const int32_t *place = f->place + e->at[s].place;
    double ohm[ROOM][ROOM], mean[ROOM] = {0};
    for (int32_t a = 0; a < rows; a++) {
        ohm[a][a] = 0.0;
        for (int32_t b = a + 1; b < rows; b++) {
            ohm[a][b] = ohm[b][a] = e->ohm[*place++];
        }
        main = g[a] > g[main] ? a : main;
    }
    for (int32_t a = 0; a < rows; a++) {
        double sum = 0.0;
        for (int32_t b = 0; b < rows; b++) {
            sum += b == main ? 0.0 : g[b] * q * ohm[a][b];
        }
        mean[a] = sum;
    }
    write_column(e, base, g, q, rows, main, mean, ohm[main]);
}

/* The resistances between column c of a block and its rows. The row with the greatest share is
   apart: what would cancel against it is left out of the sums. */
static void reach_column(sl__effective *e, int32_t s, int32_t c)
{
    const sl__factor *f = e->f;
    int32_t height = sl__block_height(&f->block[s]);
    int64_t base = e->at[s].value + (int64_t)c * height;
    const double *g = f->value + base, q = f->inverse_pivot[e->at[s].column + c];
    int32_t main = share_out(e, g, q, c, height), first = c + 1;
    e->share[main] = 0.0;
    for (int32_t i = first; i < height; i++) {
        e->mean[i] = mean_of(e, i, c, height);
    }
    write_column(e, base + first, g + first, q, height - first, main - first, e->mean + first,
                 e->square + (ptrdiff_t)main * height + first);
    for (int32_t i = first; i < height; i++) {
        double ohm = e->ohm[base + i];
        e->square[(ptrdiff_t)c * height + i] = e->square[(ptrdiff_t)i * height + c] = ohm;
    }
}

/* From the root of every tree to its leaves. */
static void reach(sl__effective *e)
{
    const sl__factor *f = e->f;
    for (int32_t s = f->blocks - 1; s >= 0; s--) {
        const sl__factor_block *b = &f->block[s];
        int32_t height = sl__block_height(b);
        if (is_twig(b)) {
            reach_twig(e, s);
            continue;
        }
        for (int32_t i = b->width; i < height; i++) {
            e->square[(ptrdiff_t)i * height + i] = 0.0;
        }
        move_below(e, s, e->ohm, true);
        for (int32_t c = b->width - 1; c >= 0; c--) {
            e->square[(ptrdiff_t)c * height + c] = 0.0;
            reach_column(e, s, c);
        }
    }
}

/* `rest` of a branch of conductance g at an entry, and its error as a multiple of it. */
static double rest_of(const sl__effective *e, int64_t entry, double q, double g, double *error)
{
    double beside = e->fill[entry], lost = 0.0;
    if (e->parallel[entry] > 1) { /* other branches lie there too */
        beside = e->f->value[entry] - g;
        lost = DBL_EPSILON * e->f->value[entry];
    }
    double ways = beside * q + e->others[entry];
    if (ways == 0.0) { /* a bridge: sums of nothing but zeros */
        *error = 0.0;
        return 0.0;
    }
    double rest = ways - g * e->bow[entry];
    double out = ERROR_PER_TERM * (ways + g * e->bow_most[entry]) + lost * q;
    *error = rest > 0.0 ? out / rest : INFINITY;
    return rest > 0.0 ? rest : 0.0;
}

void sl__effective_update(sl__effective *e, const double *g, double *ohm, double *rest,
                          double *error)
{
    const sl__factor *f = e->f;
    find_fill(e);
    reach(e);
    for (int32_t k = 0; k < f->branches; k++) {
        int64_t entry = f->branch_at[k];
        double r = 0.0, rests = 1.0, out = 0.0;
        if (entry >= 0) {
            r = e->ohm[entry];
            rests = rest_of(e, entry, f->inverse_pivot[e->entry_column[k]], g[k], &out);
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

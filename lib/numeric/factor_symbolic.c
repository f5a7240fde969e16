/* lib/numeric/factor_symbolic.c: order, elimination tree and blocks of a factor; no arithmetic. */
#include "numeric/factor_internal.h"

#include "base/memory.h"

#include <amd.h>
#include <string.h>

/* The workings of one analysis; all gone when it ends. */
typedef struct analysis {
    const int32_t *from, *to; /* the caller's */
    int32_t neighbours;       /* entries of `neighbour` */
    int32_t *start;           /* rows + 1 */
    int32_t *neighbour;       /* of row r: start[r]..start[r+1]-1, no repeats, no reference */
    int32_t order_words;
    int32_t *order;    /* workspace of the ordering */
    int32_t *position; /* rows + 1: the column that eliminates a row; the reference's is `rows` */
    int32_t *parent;   /* rows: in the elimination tree, -1 at a root */
    int32_t *count;    /* rows: entries of a column below its diagonal, leak not counted */
    int32_t *block_of; /* rows + 1: of a column */
    int32_t *mark;     /* rows + 1 */
    sl__factor_block *run; /* rows, runs used: blocks before the widest are cut */
    int32_t runs;
} analysis;

static void analysis_end(const sl_alloc *al, int32_t rows, analysis *a)
{
    size_t n = (size_t)rows;
    sl__free(al, a->start, n + 1, sizeof *a->start);
    sl__free(al, a->neighbour, (size_t)a->neighbours, sizeof *a->neighbour);
    sl__free(al, a->order, (size_t)a->order_words, sizeof *a->order);
    sl__free(al, a->position, n + 1, sizeof *a->position);
    sl__free(al, a->parent, n, sizeof *a->parent);
    sl__free(al, a->count, n, sizeof *a->count);
    sl__free(al, a->block_of, n + 1, sizeof *a->block_of);
    sl__free(al, a->mark, n + 1, sizeof *a->mark);
    sl__free(al, a->run, n, sizeof *a->run);
}

void sl__factor_free(sl__factor *f)
{
    if (!f) {
        return;
    }
    sl_alloc al = f->al;
    size_t n = (size_t)f->rows;
    sl__free(&al, f->row_of, n, sizeof *f->row_of);
    sl__free(&al, f->block, (size_t)f->blocks, sizeof *f->block);
    sl__free(&al, f->below_row, (size_t)f->below_rows, sizeof *f->below_row);
    sl__free(&al, f->link, (size_t)f->links, sizeof *f->link);
    sl__free(&al, f->place, (size_t)f->places, sizeof *f->place);
    sl__free(&al, f->branch_at, (size_t)f->branches, sizeof *f->branch_at);
    sl__free(&al, f->value, (size_t)f->values, sizeof *f->value);
    sl__free(&al, f->inverse_pivot, n, sizeof *f->inverse_pivot);
    sl__free(&al, f->work, n + 1, sizeof *f->work);
    sl__free(&al, f->sum, n + 1, sizeof *f->sum);
    sl__free(&al, f->dead_row, n, sizeof *f->dead_row);
    sl__free(&al, f, 1, sizeof *f);
}

/* Does a branch join two rows? One with both ends on one row, or on the reference, is ignored. */
static int joins_rows(const analysis *a, int32_t e)
{
    return a->from[e] != SL__REFERENCE && a->to[e] != SL__REFERENCE && a->from[e] != a->to[e];
}

/* The neighbours of each row, once each. */
static sl_status list_neighbours(const sl__factor *f, analysis *a)
{
    int32_t *start = a->start;
    for (int32_t e = 0; e < f->branches; e++) {
        if (joins_rows(a, e)) {
            start[a->from[e]]++;
            start[a->to[e]]++;
            a->neighbours += 2;
        }
    }
    a->neighbour = sl__new(&f->al, (size_t)a->neighbours, sizeof *a->neighbour);
    if (!a->neighbour) {
        return SL_E_NOMEM;
    }
    for (int32_t r = 0; r < f->rows; r++) { /* start[r] becomes the end of r, filled backwards */
        start[r + 1] += start[r];
    }
    for (int32_t e = f->branches - 1; e >= 0; e--) {
        if (joins_rows(a, e)) {
            a->neighbour[--start[a->from[e]]] = a->to[e];
            a->neighbour[--start[a->to[e]]] = a->from[e];
        }
    }
    memset(a->mark, 0xff, (size_t)f->rows * sizeof *a->mark);
    int32_t kept = 0;
    for (int32_t r = 0; r < f->rows; r++) {
        int32_t p = start[r];
        start[r] = kept;
        for (; p < start[r + 1]; p++) {
            if (a->mark[a->neighbour[p]] != r) {
                a->mark[a->neighbour[p]] = r;
                a->neighbour[kept++] = a->neighbour[p];
            }
        }
    }
    start[f->rows] = kept;
    return SL_OK;
}

/* Approximate minimum degree. The plain entry of the library allocates behind our back, so its
   inner one is called, on a workspace of ours. */
static sl_status order_rows(sl__factor *f, analysis *a)
{
    int64_t n = f->rows;
    int64_t entries = a->start[n];
    int64_t room = entries + entries / 5 + n;
    if (room + 9 * n > INT32_MAX) {
        return SL_E_NOMEM;
    }
    a->order_words = (int32_t)(room + 9 * n);
    a->order = sl__new(&f->al, (size_t)a->order_words, sizeof *a->order);
    if (!a->order) {
        return SL_E_NOMEM;
    }
    if (n == 0) {
        return SL_OK;
    }
    int32_t *start = a->order, *length = start + n, *w = length + n, *list = w + 7 * n;
    for (int32_t r = 0; r < n; r++) {
        start[r] = a->start[r];
        length[r] = a->start[r + 1] - a->start[r];
    }
    memcpy(list, a->neighbour, (size_t)entries * sizeof *list);
    amd_2((int)n, start, list, length, (int)room, (int)entries, w, w + n, w + 2 * n, w + 3 * n,
          w + 4 * n, w + 5 * n, w + 6 * n, NULL, NULL);
    memcpy(a->position, w + n, (size_t)n * sizeof *w);
    memcpy(f->row_of, w + 2 * n, (size_t)n * sizeof *w);
    return SL_OK;
}

/* The elimination tree, and the entries of each column: row k of L has an entry in every column on
   the tree's paths from the neighbours of k up to k. */
static void grow_tree(const sl__factor *f, analysis *a)
{
    for (int32_t k = 0; k < f->rows; k++) {
        a->parent[k] = -1;
        a->mark[k] = k;
        int32_t r = f->row_of[k];
        for (int32_t p = a->start[r]; p < a->start[r + 1]; p++) {
            int32_t c = a->position[a->neighbour[p]];
            for (; c < k && a->mark[c] != k; c = a->parent[c]) {
                if (a->parent[c] == -1) {
                    a->parent[c] = k;
                }
                a->count[c]++;
                a->mark[c] = k;
            }
        }
    }
}

/* Whether the run of `width` columns ending before column k may take in the next run, of next_width
   columns, at the price of `extra` entries that are always zero. */
static int worth_joining(int64_t width, int64_t next_width, int64_t below, int64_t extra)
{
    int64_t all = width + next_width;
    int64_t entries = all * (all - 1) / 2 + all * below;
    return extra * 8 <= entries;
}

/* Cuts the columns into runs, joining small ones where few zeros are stored for it. */
static void cut_runs(const sl__factor *f, analysis *a)
{
    int64_t zeros = 0;
    for (int32_t k = 0, end; k < f->rows; k = end) {
        end = k + 1; /* first the columns of exactly one shape */
        while (end < f->rows && a->parent[end - 1] == end &&
               a->count[end - 1] == a->count[end] + 1) {
            end++;
        }
        int32_t width = end - k, below = a->count[end - 1] + 1;
        sl__factor_block *last = a->run + a->runs - 1;
        if (k > 0 && a->parent[k - 1] == k) {
            int64_t extra = zeros + (int64_t)last->width * (width + below - last->below);
            if (worth_joining(last->width, width, below, extra)) {
                last->width += width;
                last->below = below;
                zeros = extra;
                continue;
            }
        }
        a->run[a->runs++] = (sl__factor_block){.first = k, .width = width, .below = below};
        zeros = 0;
    }
}

/* Makes the runs blocks, cutting wide ones. */
static sl_status make_blocks(sl__factor *f, const analysis *a)
{
    int32_t blocks = 0;
    for (int32_t s = 0; s < a->runs; s++) {
        blocks += (a->run[s].width + SL__WIDEST_BLOCK - 1) / SL__WIDEST_BLOCK;
    }
    sl__factor_block *piece = f->block = sl__new(&f->al, (size_t)blocks, sizeof *f->block);
    if (!piece) {
        return SL_E_NOMEM;
    }
    f->blocks = blocks;
    for (int32_t s = 0; s < a->runs; s++) {
        int32_t end = a->run[s].first + a->run[s].width;
        for (int32_t k = a->run[s].first; k < end; k += SL__WIDEST_BLOCK) {
            int32_t width = end - k < SL__WIDEST_BLOCK ? end - k : SL__WIDEST_BLOCK;
            *piece++ = (sl__factor_block){
                .first = k, .width = width, .below = a->run[s].below + end - k - width};
        }
    }
    return SL_OK;
}

/* The rows below each block: those of its last column. Walking the tree row by row writes them in
   ascending order, so nothing is sorted. */
static sl_status list_rows_below(sl__factor *f, analysis *a)
{
    for (int32_t s = 0; s < f->blocks; s++) {
        sl__factor_block *b = &f->block[s];
        int64_t height = b->width + b->below;
        b->below_at = f->below_rows;
        b->value_at = f->values;
        f->below_rows += b->below;
        f->values += b->width * height;
        f->fill += b->width * (int64_t)(b->below - 1) + (int64_t)b->width * (b->width - 1) / 2;
        for (int32_t c = 0; c < b->width; c++) {
            a->block_of[b->first + c] = s;
        }
        a->mark[s] = -1;
        b->below = 0;
    }
    a->block_of[f->rows] = f->blocks;
    f->below_row = sl__new(&f->al, (size_t)f->below_rows, sizeof *f->below_row);
    if (!f->below_row) {
        return SL_E_NOMEM;
    }
    for (int32_t k = 0; k < f->rows; k++) {
        int32_t r = f->row_of[k];
        a->mark[a->block_of[k]] = k;
        for (int32_t p = a->start[r]; p < a->start[r + 1]; p++) {
            int32_t c = a->position[a->neighbour[p]];
            while (c < k && a->mark[a->block_of[c]] != k) {
                sl__factor_block *b = &f->block[a->block_of[c]];
                a->mark[a->block_of[c]] = k;
                f->below_row[b->below_at + b->below++] = k;
                c = a->parent[b->first + b->width - 1];
            }
        }
    }
    for (int32_t s = 0; s < f->blocks; s++) {
        sl__factor_block *b = &f->block[s];
        f->below_row[b->below_at + b->below++] = f->rows;
    }
    return SL_OK;
}

/* Writes the links of block b, when there is room for them, and counts them. */
static void link_block(sl__factor *f, const analysis *a, sl__factor_block *b, int write)
{
    const int32_t *row = f->below_row + b->below_at;
    b->link_at = f->links;
    b->place_at = f->places;
    b->links = 0;
    for (int32_t begin = 0, end; begin < b->below - 1; begin = end) {
        int32_t target = a->block_of[row[begin]];
        for (end = begin + 1; a->block_of[row[end]] == target; end++) {
        }
        if (write) {
            const sl__factor_block *t = &f->block[target];
            f->link[f->links] = (sl__factor_link){t->value_at, t->width + t->below, end};
            const int32_t *there = f->below_row + t->below_at;
            int32_t *place = f->place + f->places;
            for (int32_t i = begin, j = 0; i < b->below; i++) {
                if (i < end) {
                    *place++ = row[i] - t->first;
                    continue;
                }
                while (there[j] != row[i]) { /* found: the target has every row of its source */
                    j++;
                }
                *place++ = t->width + j;
            }
        }
        f->links++;
        b->links++;
        f->places += b->below - begin;
    }
}

static sl_status link_blocks(sl__factor *f, const analysis *a)
{
    for (int32_t s = 0; s < f->blocks; s++) {
        link_block(f, a, &f->block[s], 0);
    }
    f->link = sl__new(&f->al, (size_t)f->links, sizeof *f->link);
    f->place = sl__new(&f->al, (size_t)f->places, sizeof *f->place);
    if (!f->link || !f->place) {
        return SL_E_NOMEM;
    }
    f->links = 0;
    f->places = 0;
    for (int32_t s = 0; s < f->blocks; s++) {
        link_block(f, a, &f->block[s], 1);
    }
    return SL_OK;
}

/* The entry of each branch in the values: the column of its end eliminated first. */
static void place_branches(const sl__factor *f, const analysis *a)
{
    for (int32_t e = 0; e < f->branches; e++) {
        if (a->from[e] == a->to[e]) {
            f->branch_at[e] = -1;
            continue;
        }
        int32_t i = a->from[e] == SL__REFERENCE ? f->rows : a->position[a->from[e]];
        int32_t j = a->to[e] == SL__REFERENCE ? f->rows : a->position[a->to[e]];
        int32_t c = i < j ? i : j, r = i < j ? j : i;
        const sl__factor_block *b = &f->block[a->block_of[c]];
        const int32_t *row = f->below_row + b->below_at;
        int32_t low = r - b->first;
        if (low >= b->width) {
            low = 0;
            for (int32_t high = b->below - 1; low < high;) {
                int32_t middle = low + (high - low) / 2;
                if (row[middle] < r) {
                    low = middle + 1;
                } else {
                    high = middle;
                }
            }
            low += b->width;
        }
        f->branch_at[e] = b->value_at + (c - b->first) * (int64_t)(b->width + b->below) + low;
    }
}

static sl_status analyse(sl__factor *f, analysis *a)
{
    const sl_alloc *al = &f->al;
    size_t n = (size_t)f->rows;
    if (!(a->start = sl__new(al, n + 1, sizeof *a->start)) ||
        !(a->position = sl__new(al, n + 1, sizeof *a->position)) ||
        !(a->parent = sl__new(al, n, sizeof *a->parent)) ||
        !(a->count = sl__new(al, n, sizeof *a->count)) ||
        !(a->block_of = sl__new(al, n + 1, sizeof *a->block_of)) ||
        !(a->mark = sl__new(al, n + 1, sizeof *a->mark)) ||
        !(a->run = sl__new(al, n, sizeof *a->run)) ||
        !(f->row_of = sl__new(al, n, sizeof *f->row_of)) ||
        !(f->branch_at = sl__new(al, (size_t)f->branches, sizeof *f->branch_at)) ||
        !(f->inverse_pivot = sl__new(al, n, sizeof *f->inverse_pivot)) ||
        !(f->work = sl__new(al, n + 1, sizeof *f->work)) ||
        !(f->sum = sl__new(al, n + 1, sizeof *f->sum)) ||
        !(f->dead_row = sl__new(al, n, sizeof *f->dead_row))) {
        return SL_E_NOMEM;
    }
    sl_status st;
    if ((st = list_neighbours(f, a)) < 0 || (st = order_rows(f, a)) < 0) {
        return st;
    }
    grow_tree(f, a);
    cut_runs(f, a);
    if ((st = make_blocks(f, a)) < 0 || (st = list_rows_below(f, a)) < 0 ||
        (st = link_blocks(f, a)) < 0) {
        return st;
    }
    place_branches(f, a);
    f->value = sl__new(al, (size_t)f->values, sizeof *f->value);
    return f->value ? SL_OK : SL_E_NOMEM;
}

sl_status sl__factor_new(const sl_alloc *al, int32_t rows, int32_t branches, const int32_t *from,
                         const int32_t *to, sl__factor **out)
{
    if (!al) {
        al = &sl__default_alloc;
    }
    sl__factor *f = sl__new(al, 1, sizeof *f);
    if (!f) {
        return SL_E_NOMEM;
    }
    f->al = *al;
    f->rows = rows;
    f->branches = branches;
    analysis a = {.from = from, .to = to};
    sl_status st = analyse(f, &a);
    analysis_end(al, rows, &a);
    if (st < 0) {
        sl__factor_free(f);
        return st;
    }
    *out = f;
    return SL_OK;
}

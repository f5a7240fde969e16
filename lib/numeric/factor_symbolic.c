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
    sl__factor_block *block; /* rows: room for as many blocks as there may be */
    int32_t *first;          /* rows: first column of a block */
    int64_t *value_at;       /* rows: its first value */
    int64_t *below_at;       /* rows: its first row below */
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
    sl__free(al, a->block, n, sizeof *a->block);
    sl__free(al, a->first, n, sizeof *a->first);
    sl__free(al, a->value_at, n, sizeof *a->value_at);
    sl__free(al, a->below_at, n, sizeof *a->below_at);
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
    if (f->branches > INT32_MAX / 2) {
        return SL_E_NOMEM;
    }
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
        a->count[k] = 0;
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

/* Moves the lowest levels of the tree to the front, level by level. Neighbours in the order of the
   ordering are mostly child and parent, and each column would wait for the division of the one
   before it; columns of one level do not touch each other. Higher up, where columns form wide
   blocks, the order must stay. Any order with children before parents gives the same fill. */
static void put_twigs_first(sl__factor *f, analysis *a)
{
    int32_t *level = a->block_of, *row = a->first; /* neither is in use yet */
    int32_t start[SL__TWIG_LEVELS + 2] = {0};
    memset(level, 0, (size_t)f->rows * sizeof *level);
    for (int32_t k = 0; k < f->rows; k++) {
        int32_t p = a->parent[k], above = level[k] + (level[k] < SL__TWIG_LEVELS);
        if (p >= 0 && level[p] < above) {
            level[p] = above;
        }
        start[level[k] + 1]++;
    }
    for (int32_t l = 0; l <= SL__TWIG_LEVELS; l++) {
        start[l + 1] += start[l];
    }
    for (int32_t k = 0; k < f->rows; k++) {
        row[start[level[k]]++] = f->row_of[k];
    }
    for (int32_t k = 0; k < f->rows; k++) {
        f->row_of[k] = row[k];
        a->position[row[k]] = k;
    }
}

/* Whether a block of `width` columns may take in the next one, of next_width, at the price of
   storing `zeros` entries that are always zero. */
static int worth_joining(int64_t width, int64_t next_width, int64_t below, int64_t zeros)
{
    int64_t all = width + next_width;
    int64_t entries = all * (all - 1) / 2 + all * below;
    return all <= SL__WIDEST_BLOCK && zeros * SL__FEWEST_PER_ZERO <= entries;
}

/* Cuts the columns into blocks: of columns of one shape, and then of columns of nearly one shape,
   for one wide block costs less than two narrow ones. */
static sl_status cut_blocks(sl__factor *f, analysis *a)
{
    int32_t blocks = 0;
    int64_t zeros = 0;
    for (int32_t k = 0, end; k < f->rows; k = end) {
        end = k + 1;
        while (end < f->rows && end - k < SL__WIDEST_BLOCK && a->parent[end - 1] == end &&
               a->count[end - 1] == a->count[end] + 1) {
            end++;
        }
        int32_t width = end - k, below = a->count[end - 1] + 1;
        if (k > 0 && a->parent[k - 1] == k) {
            sl__factor_block *last = a->block + blocks - 1;
            int64_t joined = zeros + (int64_t)last->width * (width + below - last->below);
            if (worth_joining(last->width, width, below, joined)) {
                last->width += width;
                last->below = below;
                zeros = joined;
                continue;
            }
        }
        a->block[blocks++] = (sl__factor_block){.width = width, .below = below};
        zeros = 0;
    }
    f->block = sl__new(&f->al, (size_t)blocks, sizeof *f->block);
    if (!f->block) {
        return SL_E_NOMEM;
    }
    memcpy(f->block, a->block, (size_t)blocks * sizeof *f->block);
    f->blocks = blocks;
    return SL_OK;
}

static void lay_out_blocks(sl__factor *f, analysis *a)
{
    for (int32_t s = 0, k = 0; s < f->blocks; s++) {
        const sl__factor_block *b = &f->block[s];
        a->first[s] = k;
        a->below_at[s] = f->below_rows;
        a->value_at[s] = f->values;
        f->below_rows += b->below;
        f->values += b->width * (int64_t)(b->width + b->below);
        f->fill += b->width * (int64_t)(b->below - 1) + b->width * (int64_t)(b->width - 1) / 2;
        for (int32_t end = k + b->width; k < end; k++) {
            a->block_of[k] = s;
        }
    }
    a->block_of[f->rows] = f->blocks;
}

/* The rows below each block: those of its last column. Walking the tree row by row writes them in
   ascending order, so nothing is sorted. */
static sl_status list_rows_below(sl__factor *f, analysis *a)
{
    f->below_row = sl__new(&f->al, (size_t)f->below_rows, sizeof *f->below_row);
    if (!f->below_row) {
        return SL_E_NOMEM;
    }
    int32_t *listed = a->count; /* no longer needed as what it was */
    for (int32_t s = 0; s < f->blocks; s++) {
        listed[s] = 0;
        a->mark[s] = -1;
    }
    for (int32_t k = 0; k < f->rows; k++) {
        int32_t r = f->row_of[k];
        a->mark[a->block_of[k]] = k;
        for (int32_t p = a->start[r]; p < a->start[r + 1]; p++) {
            int32_t c = a->position[a->neighbour[p]];
            while (c < k && a->mark[a->block_of[c]] != k) {
                int32_t s = a->block_of[c];
                a->mark[s] = k;
                f->below_row[a->below_at[s] + listed[s]++] = k;
                c = a->parent[a->first[s] + f->block[s].width - 1];
            }
        }
    }
    for (int32_t s = 0; s < f->blocks; s++) {
        f->below_row[a->below_at[s] + listed[s]] = f->rows;
    }
    return SL_OK;
}

/* Where some rows, ascending, are in a column of block t, which has them all. */
static void find_rows(const sl__factor *f, const analysis *a, int32_t t, int32_t count,
                      const int32_t *row, int32_t *place)
{
    int32_t width = f->block[t].width, first = a->first[t];
    const int32_t *there = f->below_row + a->below_at[t];
    for (int32_t i = 0, j = 0; i < count; i++) {
        if (row[i] - first < width) {
            place[i] = row[i] - first;
            continue;
        }
        for (; there[j] != row[i]; j++) {
        }
        place[i] = width + j;
    }
}

/* What a column of few rows has for links: the value of each pair of its rows. */
static void place_pairs(sl__factor *f, const analysis *a, int32_t s, int write)
{
    const int32_t *row = f->below_row + a->below_at[s];
    for (int32_t i = 0, after = f->block[s].below - 1; after > 0; i++, after--) {
        if (write) {
            int32_t t = a->block_of[row[i]], *place = f->place + f->places;
            int64_t height = f->block[t].width + f->block[t].below;
            int64_t column = a->value_at[t] + (row[i] - a->first[t]) * height;
            find_rows(f, a, t, after, row + i + 1, place);
            for (int32_t k = 0; k < after; k++) {
                place[k] += (int32_t)column;
            }
        }
        f->places += after;
    }
}

/* One link for each run of rows below that are columns of one block. */
static void link_block(sl__factor *f, const analysis *a, int32_t s, int write)
{
    const int32_t *row = f->below_row + a->below_at[s];
    int32_t below = f->block[s].below, links = 0;
    for (int32_t begin = 0, end; begin < below - 1; begin = end, links++) {
        int32_t t = a->block_of[row[begin]];
        for (end = begin + 1; a->block_of[row[end]] == t; end++) { /* the reference stops it */
        }
        if (write) {
            int32_t height = f->block[t].width + f->block[t].below;
            f->link[f->links + links] = (sl__factor_link){a->value_at[t], height, end};
            find_rows(f, a, t, below - begin, row + begin, f->place + f->places);
        }
        f->places += below - begin;
    }
    f->block[s].links = links;
    f->links += links;
}

/* Goes through all links: once to count them, once to write them. */
static void go_through_links(sl__factor *f, const analysis *a, int write)
{
    f->links = 0;
    f->places = 0;
    for (int32_t s = 0; s < f->blocks; s++) {
        if (f->block[s].width == 1 && f->block[s].below < SL__FEWEST_LINKED) {
            place_pairs(f, a, s, write);
        } else {
            link_block(f, a, s, write);
        }
    }
}

static sl_status link_blocks(sl__factor *f, const analysis *a)
{
    go_through_links(f, a, 0);
    f->link = sl__new(&f->al, (size_t)f->links, sizeof *f->link);
    f->place = sl__new(&f->al, (size_t)f->places, sizeof *f->place);
    if (!f->link || !f->place) {
        return SL_E_NOMEM;
    }
    go_through_links(f, a, 1);
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
        int32_t s = a->block_of[c];
        int32_t width = f->block[s].width, below = f->block[s].below, at = r - a->first[s];
        if (at >= width) {
            const int32_t *row = f->below_row + a->below_at[s];
            int32_t low = 0;
            for (int32_t high = below - 1; low < high;) {
                int32_t middle = low + (high - low) / 2;
                if (row[middle] < r) {
                    low = middle + 1;
                } else {
                    high = middle;
                }
            }
            at = width + low;
        }
        f->branch_at[e] = a->value_at[s] + (c - a->first[s]) * (int64_t)(width + below) + at;
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
        !(a->block = sl__new(al, n, sizeof *a->block)) ||
        !(a->first = sl__new(al, n, sizeof *a->first)) ||
        !(a->value_at = sl__new(al, n, sizeof *a->value_at)) ||
        !(a->below_at = sl__new(al, n, sizeof *a->below_at)) ||
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
    put_twigs_first(f, a);
    grow_tree(f, a);
    if ((st = cut_blocks(f, a)) < 0) {
        return st;
    }
    lay_out_blocks(f, a);
    if (f->values > INT32_MAX) { /* 16 GiB; places are 32 bits wide */
        return SL_E_NOMEM;
    }
    if ((st = list_rows_below(f, a)) < 0 || (st = link_blocks(f, a)) < 0) {
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

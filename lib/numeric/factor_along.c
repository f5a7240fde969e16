/* lib/numeric/factor_along.c: the pattern of a factor laid out for solves that concern some rows.
 */
#include "numeric/factor_along.h"

#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include "base/arena.h"
#include "base/memory.h"
#include "numeric/factor_internal.h"

/* A block of columns, in the order of elimination (factor_internal.h). Places in the room count
   lane arrays. Of what it reads in the order of the blocks it says how much is its own. */
typedef struct sl__along_block {
    int32_t width, below, column;
    int32_t value;    /* where its values are in the room; 1/pivot is kept where the pivot stands */
    int32_t row;      /* where its rows below begin */
    int32_t branches; /* that stand in its values */
    int32_t born;     /* blocks whose values begin at 0 here */
    int32_t links, places;
    uint8_t ways;
} sl__along_block;

struct sl__along {
    sl_alloc al;
    sl__arena arena;
    int32_t rows, blocks, room;
    sl__along_block *block;
    int32_t *row;
    int32_t *branch, *branch_at; /* and where in the values of their block */
    int32_t *born;               /* pairs: where in the room, how many */
    int32_t *place;              /* of a block of one column without links: in the room */
    sl__factor_link *link;       /* value_at: in the room */
};

#define LANES_KERNEL "numeric/factor_along_kernel.h"
#include "numeric/each_width.h"

/* Room that is free again, from a place on; in order, never two side by side. */
typedef struct gap {
    int32_t at, count;
} gap;

/* What is known while a layout is made. */
typedef struct layout {
    const sl__factor *f;
    sl__along *p;
    int64_t *from; /* [blocks + 1] values of each block in the factor */
    int32_t *base; /* [blocks] in the room, -1: not yet */
    int32_t kept;  /* where the next block that stays will be */
    gap *gap;      /* [blocks + 1] */
    int32_t gaps;
    int32_t top;  /* the end of the room in use */
    int32_t born; /* pairs written */
} layout;

static bool stays(const sl__along_block *b)
{
    return b->ways != 0;
}

static int32_t size_of(const sl__along_block *b)
{
    return b->width * (b->width + b->below);
}

/* A place for a block that does not stay: the first gap that is large enough, or the end. */
static int32_t take(layout *l, int32_t count)
{
    for (int32_t n = 0; n < l->gaps; n++) {
        gap *g = &l->gap[n];
        if (g->count >= count) {
            const int32_t at = g->at;
            g->at += count;
            g->count -= count;
            if (g->count == 0) {
                memmove(g, g + 1, (size_t)(--l->gaps - n) * sizeof *g);
            }
            return at;
        }
    }
    l->top += count;
    return l->top - count;
}

static void give_back(layout *l, int32_t at, int32_t count)
{
    int32_t n = 0;
    while (n < l->gaps && l->gap[n].at < at) {
        n++;
    }
    const bool before = n > 0 && l->gap[n - 1].at + l->gap[n - 1].count == at;
    const bool after = n < l->gaps && at + count == l->gap[n].at;
    if (before) {
        l->gap[n - 1].count += count + (after ? l->gap[n].count : 0);
        if (after) {
            memmove(&l->gap[n], &l->gap[n + 1], (size_t)(--l->gaps - n) * sizeof *l->gap);
        }
    } else if (after) {
        l->gap[n].at = at;
        l->gap[n].count += count;
    } else {
        memmove(&l->gap[n + 1], &l->gap[n], (size_t)(l->gaps++ - n) * sizeof *l->gap);
        l->gap[n] = (gap){at, count};
    }
}

/* The place of a block's values, which begin here at the latest. */
static int32_t base_of(layout *l, int32_t block, sl__along_block *by)
{
    if (l->base[block] < 0) {
        const sl__along_block *b = &l->p->block[block];
        if (stays(b)) {
            l->base[block] = l->kept;
            l->kept += size_of(b);
        } else {
            l->base[block] = take(l, size_of(b));
        }
        int32_t *born = l->p->born + (ptrdiff_t)2 * l->born++;
        born[0] = l->base[block];
        born[1] = size_of(b);
        by->born++;
    }
    return l->base[block];
}

static int32_t block_with(const layout *l, int64_t value)
{
    int32_t low = 0, high = l->f->blocks - 1;
    while (low < high) {
        const int32_t middle = high - (high - low) / 2;
        if (l->from[middle] <= value) {
            low = middle;
        } else {
            high = middle - 1;
        }
    }
    return low;
}

/* Lays out the blocks: what each adds to lies somewhere by then. */
static void lay_out(layout *l)
{
    const sl__factor *f = l->f;
    sl__along *p = l->p;
    int32_t *place = p->place;
    sl__factor_link *link = p->link;
    for (int32_t s = 0; s < f->blocks; s++) {
        sl__along_block *b = &p->block[s];
        b->value = base_of(l, s, b);
        if (b->links == 0 && b->width == 1) {
            for (int32_t n = 0; n < b->places; n++) {
                const int32_t t = block_with(l, place[n]);
                place[n] += (int32_t)(base_of(l, t, b) - l->from[t]);
            }
        }
        for (int32_t n = 0; n < b->links; n++) {
            link[n].value_at = base_of(l, block_with(l, link[n].value_at), b);
        }
        if (!stays(b)) {
            give_back(l, b->value, size_of(b));
        }
        place += b->places;
        link += b->links;
    }
}

/* What the blocks are, and how much of everything is theirs. */
static void list_blocks(layout *l, const uint8_t *ways)
{
    const sl__factor *f = l->f;
    int32_t column = 0, row = 0, staying = 0;
    const sl__factor_link *link = f->link;
    l->from[0] = 0;
    for (int32_t s = 0; s < f->blocks; s++) {
        const sl__factor_block *from = &f->block[s];
        sl__along_block *b = &l->p->block[s];
        const bool few = from->width == 1 && from->below < SL__FEWEST_LINKED;
        *b = (sl__along_block){.width = from->width,
                               .below = from->below,
                               .column = column,
                               .row = row,
                               .links = few ? 0 : from->links,
                               .ways = ways[s]};
        b->places = few ? b->below * (b->below - 1) / 2 : 0;
        for (int32_t n = 0, begin = 0; n < b->links; n++, link++) {
            for (; begin < link->end; begin++) {
                b->places++;
            }
            b->places += b->below - begin;
        }
        column += b->width;
        row += b->below;
        staying += stays(b) ? size_of(b) : 0;
        l->from[s + 1] = l->from[s] + size_of(b);
        l->base[s] = -1;
    }
    l->kept = l->top;
    l->top += staying;
}

/* Branches by the blocks that they stand in. */
static void list_branches(layout *l)
{
    const sl__factor *f = l->f;
    sl__along *p = l->p;
    for (int32_t e = 0; e < f->branches; e++) {
        if (f->branch_at[e] >= 0) {
            p->block[block_with(l, f->branch_at[e])].branches++;
        }
    }
    int32_t *next = l->base; /* -1 each again afterwards */
    for (int32_t s = 0, at = 0; s < f->blocks; s++) {
        next[s] = at;
        at += p->block[s].branches;
    }
    for (int32_t e = 0; e < f->branches; e++) {
        if (f->branch_at[e] >= 0) {
            const int32_t s = block_with(l, f->branch_at[e]);
            p->branch_at[next[s]] = (int32_t)(f->branch_at[e] - l->from[s]);
            p->branch[next[s]++] = e;
        }
    }
    for (int32_t s = 0; s < f->blocks; s++) {
        next[s] = -1;
    }
}

static sl_status make(sl__along *p, const sl__factor *f, const uint8_t *ways)
{
    sl__arena scratch = {.al = &p->al};
    layout l = {.f = f, .p = p};
    p->rows = f->rows;
    p->blocks = f->blocks;
    p->block = sl__arena_take(&p->arena, f->blocks, sizeof *p->block);
    p->row = sl__arena_take(&p->arena, (int32_t)f->below_rows, sizeof *p->row);
    p->branch = sl__arena_take(&p->arena, f->branches, sizeof *p->branch);
    p->branch_at = sl__arena_take(&p->arena, f->branches, sizeof *p->branch_at);
    p->born = sl__arena_take(&p->arena, 2 * f->blocks, sizeof *p->born);
    p->place = sl__arena_take(&p->arena, (int32_t)f->places, sizeof *p->place);
    p->link = sl__arena_take(&p->arena, (int32_t)f->links, sizeof *p->link);
    l.from = sl__arena_take(&scratch, f->blocks + 1, sizeof *l.from);
    l.base = sl__arena_take(&scratch, f->blocks, sizeof *l.base);
    l.gap = sl__arena_take(&scratch, f->blocks + 1, sizeof *l.gap);
    const bool failed = p->arena.failed || scratch.failed;
    if (!failed) {
        int32_t most = 0;
        for (int32_t s = 0; s < f->blocks; s++) {
            most = f->block[s].below > most ? f->block[s].below : most;
        }
        l.top = 1 + most; /* the pivots that are 0, and sums on the way */
        memcpy(p->row, f->below_row, (size_t)f->below_rows * sizeof *p->row);
        memcpy(p->place, f->place, (size_t)f->places * sizeof *p->place);
        memcpy(p->link, f->link, (size_t)f->links * sizeof *p->link);
        list_blocks(&l, ways);
        list_branches(&l);
        lay_out(&l);
        p->room = l.top;
    }
    sl__arena_clear(&scratch);
    return failed ? SL_E_NOMEM : SL_OK;
}

sl_status sl__along_new(const sl_alloc *al, const sl__factor *f, const uint8_t *ways,
                        sl__along **out)
{
    sl__along *p = sl__new(al, 1, sizeof *p);
    if (!p) {
        return SL_E_NOMEM;
    }
    p->al = *al;
    p->arena.al = &p->al;
    const sl_status st = make(p, f, ways);
    if (st != SL_OK) {
        sl__along_free(p);
        return st;
    }
    *out = p;
    return SL_OK;
}

void sl__along_free(sl__along *p)
{
    if (p) {
        const sl_alloc al = p->al;
        sl__arena_clear(&p->arena);
        sl__free(&al, p, 1, sizeof *p);
    }
}

void sl__along_place(const sl__factor *f, int32_t *place)
{
    for (int32_t k = 0; k < f->rows; k++) {
        place[f->row_of[k]] = k;
    }
}

int32_t sl__along_rows(const sl__along *p, int32_t *row)
{
    int32_t count = 0;
    for (int32_t s = 0; s < p->blocks; s++) {
        for (int32_t c = 0; c < p->block[s].width && stays(&p->block[s]); c++) {
            row[count++] = p->block[s].column + c;
        }
    }
    return count;
}

int32_t sl__along_room(const sl__along *p)
{
    return p->room;
}

void sl__along_factor(const sl__along *p, int32_t kernel, double *room, const double *g, double *y,
                      int32_t *dead)
{
    SL__OF_WIDTH(kernel, factor)(p, room, g, y, dead);
}

void sl__along_solve(const sl__along *p, int32_t kernel, double *room, double *y)
{
    SL__OF_WIDTH(kernel, solve)(p, room, y);
}

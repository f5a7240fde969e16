/* lib/numeric/sheet.c: nested dissection of a sheet. */
#include "numeric/sheet.h"

#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "numeric/front.h"
#include "numeric/sheet_internal.h"

/* Rectangles of no more cells than this a side are kept to be used again. */
#define KEPT_SIDE 128

typedef struct kept_block {
    int32_t width, height, open;
    int32_t origin; /* the node it was worked out at */
    sl__block block;
} kept_block;

/* Doubles of a block that is not given back to the allocator at once, and how many wait. */
enum { SPARE_LEAST = 4096, SPARE_ROOM = 32 };

typedef struct spare {
    double *g;
    size_t room;
} spare;

typedef struct dissection {
    const sl_alloc *al;
    const sl__sheet *sheet;
    kept_block *kept; /* [kept_room], kept_count in use */
    int32_t kept_count, kept_room;
    spare spare[SPARE_ROOM];
    int32_t spare_count;
    int32_t *leaf_id; /* [SL__LEAF_NODES + contact_count] */
    double done, all; /* multiplications */
} dissection;

/* Large blocks are handed on from one front to the next: asking the system for fresh pages costs
   more than the arithmetic. */
static void give_back(dissection *d, double *g, size_t room)
{
    if (room < SPARE_LEAST || d->spare_count == SPARE_ROOM) {
        sl__free(d->al, g, room, sizeof *g);
    } else if (g) {
        d->spare[d->spare_count++] = (spare){g, room};
    }
}

/* Takes the smallest spare block that is large enough and not far too large, or a new one. */
static double *take(dissection *d, size_t size, size_t *room)
{
    int32_t best = -1;
    for (int32_t k = 0; k < d->spare_count; k++) {
        const size_t has = d->spare[k].room;
        if (has >= size && has / 2 <= size && (best < 0 || has < d->spare[best].room)) {
            best = k;
        }
    }
    if (best < 0) {
        *room = size;
        return sl__take(d->al, size, sizeof(double));
    }
    *room = d->spare[best].room;
    double *g = d->spare[best].g;
    d->spare[best] = d->spare[--d->spare_count];
    return g;
}

static void free_block(dissection *d, sl__block *block)
{
    if (!block->kept) {
        sl__free(d->al, block->id, (size_t)block->n, sizeof *block->id);
        give_back(d, block->g, block->room);
    }
    *block = (sl__block){0};
}

static sl_status new_block(dissection *d, int32_t n, sl__block *out)
{
    *out = (sl__block){.n = n};
    out->id = sl__new(d->al, (size_t)n, sizeof *out->id);
    out->g = out->id ? take(d, sl__front_size(n), &out->room) : NULL;
    if (!out->g) {
        free_block(d, out);
        return SL_E_NOMEM;
    }
    return SL_OK;
}

/* Eliminates the first `gone` nodes of a block, and leaves a block of the others. */
static sl_status eliminate(dissection *d, sl__block *block, int32_t gone)
{
    size_t work_room = 0;
    double *work = take(d, sl__front_work(block->n), &work_room);
    sl__block left = {0};
    if (!work) {
        free_block(d, block);
        return SL_E_NOMEM;
    }
    sl__front_eliminate(block->g, block->n, gone, work);
    give_back(d, work, work_room);
    sl_status st = new_block(d, block->n - gone, &left);
    if (st == SL_OK) {
        memcpy(left.id, block->id + gone, (size_t)left.n * sizeof *left.id);
        sl__front_copy_left(block->g, block->n, gone, left.g);
    }
    free_block(d, block);
    *block = left;
    return st;
}

static sl_status reduce_leaf(dissection *d, const sl__rect *rect, sl__block *out)
{
    int32_t gone = 0;
    const int32_t n = sl__leaf_ids(d->sheet, rect, d->leaf_id, &gone);
    sl_status st = new_block(d, n, out);
    if (st != SL_OK) {
        return st;
    }
    memcpy(out->id, d->leaf_id, (size_t)n * sizeof *out->id);
    sl__front_clear(out->g, n);
    sl__leaf_fill(d->sheet, rect, out->id, n, out->g);
    return eliminate(d, out, gone);
}

/* Ids of both halves, each once, ascending. */
static int32_t merge_ids(const sl__block half[2], int32_t *id)
{
    int32_t n = 0, i = 0, j = 0;
    while (i < half[0].n || j < half[1].n) {
        const int32_t a = i < half[0].n ? half[0].id[i] + half[0].shift : INT32_MAX;
        const int32_t b = j < half[1].n ? half[1].id[j] + half[1].shift : INT32_MAX;
        id[n++] = a < b ? a : b;
        i += a <= b;
        j += b <= a;
    }
    return n;
}

/* Where the nodes of a half are in the whole: place[k] for its node k. ids ascend, and where[] says
   where each of them is. */
static void find_places(const sl__block *half, const int32_t *id, const int32_t *where,
                        int32_t *place)
{
    int32_t at = 0;
    for (int32_t k = 0; k < half->n; k++) {
        while (id[at] != half->id[k] + half->shift) {
            at++;
        }
        place[k] = where[at];
    }
}

static void add_half(const sl__block *half, const int32_t *place, double *g, int32_t stride)
{
    const int32_t from = sl__front_stride(half->n);
    for (int32_t c = 0; c < half->n; c++) {
        const double *column = half->g + (ptrdiff_t)c * from;
        const ptrdiff_t at = place[c];
        for (int32_t r = c + 1; r < half->n; r++) {
            if (place[r] > at) {
                g[at * stride + place[r]] += column[r];
            } else {
                g[place[r] * (ptrdiff_t)stride + at] += column[r];
            }
        }
    }
}

/* Puts two halves together and frees them. The nodes that go come first; each group ascends. */
static sl_status put_together(dissection *d, const sl__rect *rect, sl__block half[2],
                              sl__block *whole, int32_t *gone)
{
    const int32_t most = half[0].n + half[1].n;
    int32_t *id = sl__new(d->al, 3 * (size_t)most, sizeof *id);
    int32_t *where = id ? id + most : NULL, *place = id ? where + most : NULL;
    sl_status st = id ? SL_OK : SL_E_NOMEM;
    if (st == SL_OK) {
        const int32_t n = merge_ids(half, id);
        *gone = 0;
        for (int32_t k = 0; k < n; k++) {
            *gone += !sl__sheet_stays(d->sheet, rect, id[k]);
        }
        for (int32_t k = 0, goes = 0, stays = *gone; k < n; k++) {
            where[k] = sl__sheet_stays(d->sheet, rect, id[k]) ? stays++ : goes++;
        }
        st = new_block(d, n, whole);
        if (st == SL_OK) {
            sl__front_clear(whole->g, n);
        }
        for (int32_t k = 0; st == SL_OK && k < n; k++) {
            whole->id[where[k]] = id[k];
        }
    }
    for (int h = 0; h < 2; h++) {
        if (st == SL_OK) {
            find_places(&half[h], id, where, place);
            add_half(&half[h], place, whole->g, sl__front_stride(whole->n));
        }
        free_block(d, &half[h]);
    }
    sl__free(d->al, id, 3 * (size_t)most, sizeof *id);
    return st;
}

static bool is_leaf(const sl__rect *rect)
{
    return (rect->x1 - rect->x0) * (int64_t)(rect->y1 - rect->y0) <= SL__LEAF_CELLS;
}

/* Cuts a rectangle across its longer side. */
static void cut(const sl__rect *rect, sl__rect half[2])
{
    half[0] = half[1] = *rect;
    if (rect->x1 - rect->x0 >= rect->y1 - rect->y0) {
        half[0].x1 = half[1].x0 = rect->x0 + (rect->x1 - rect->x0) / 2;
        half[0].open |= SL__RIGHT;
        half[1].open |= SL__LEFT;
    } else {
        half[0].y1 = half[1].y0 = rect->y0 + (rect->y1 - rect->y0) / 2;
        half[0].open |= SL__ABOVE;
        half[1].open |= SL__BELOW;
    }
}

/* Multiplications that eliminating the cut of a rectangle takes, contacts left out. */
static double cost_of_cut(const sl__rect *rect)
{
    const int32_t width = rect->x1 - rect->x0, height = rect->y1 - rect->y0;
    const int32_t gone = width >= height ? height : width;
    const int32_t sides_x = ((rect->open & SL__BELOW) != 0) + ((rect->open & SL__ABOVE) != 0);
    const int32_t sides_y = ((rect->open & SL__LEFT) != 0) + ((rect->open & SL__RIGHT) != 0);
    return sl__front_cost(gone + sides_x * width + sides_y * height, gone);
}

/* A rectangle without contacts or holes is worked out once for its size, when it is small: large
   ones seldom come twice, and their blocks are large. */
static bool is_worth_keeping(const dissection *d, const sl__rect *rect)
{
    return rect->x1 - rect->x0 <= KEPT_SIDE && rect->y1 - rect->y0 <= KEPT_SIDE &&
           sl__sheet_is_plain(d->sheet, rect);
}

static sl_status reduce(dissection *d, const sl__rect *rect, sl__block *out);

static sl_status reduce_halves(dissection *d, const sl__rect *rect, sl__block *out)
{
    sl__rect part[2];
    sl__block half[2] = {{0}, {0}};
    int32_t gone = 0;
    cut(rect, part);
    sl_status st = reduce(d, &part[0], &half[0]);
    if (st == SL_OK) {
        st = reduce(d, &part[1], &half[1]);
    }
    if (st != SL_OK) {
        free_block(d, &half[0]);
        return st;
    }
    st = put_together(d, rect, half, out, &gone);
    if (st != SL_OK) {
        return st;
    }
    st = eliminate(d, out, gone);
    const sl__sheet *sheet = d->sheet;
    d->done += is_worth_keeping(d, rect) ? 0.0 : cost_of_cut(rect);
    if (st == SL_OK && sheet->go_on && !sheet->go_on(sheet->user, d->done / d->all)) {
        free_block(d, out);
        return SL_E_STOPPED;
    }
    return st;
}

static const kept_block *find_kept(const dissection *d, const sl__rect *rect)
{
    for (int32_t k = 0; k < d->kept_count; k++) {
        const kept_block *kept = &d->kept[k];
        if (kept->width == rect->x1 - rect->x0 && kept->height == rect->y1 - rect->y0 &&
            kept->open == rect->open) {
            return kept;
        }
    }
    return NULL;
}

/* A rectangle without contacts or holes: like one that was worked out before, or to be kept. */
static sl_status reduce_plain(dissection *d, const sl__rect *rect, sl__block *out)
{
    const int32_t origin = sl__sheet_node(d->sheet, rect->x0, rect->y0);
    const kept_block *like = find_kept(d, rect);
    if (!like) {
        sl_status st = is_leaf(rect) ? reduce_leaf(d, rect, out) : reduce_halves(d, rect, out);
        kept_block *grown = st == SL_OK ? sl__reserve(d->al, d->kept, &d->kept_room,
                                                      d->kept_count + 1, sizeof *grown)
                                        : NULL;
        if (!grown) {
            free_block(d, out);
            return st == SL_OK ? SL_E_NOMEM : st;
        }
        d->kept = grown;
        d->kept[d->kept_count] = (kept_block){.width = rect->x1 - rect->x0,
                                              .height = rect->y1 - rect->y0,
                                              .open = rect->open,
                                              .origin = origin,
                                              .block = *out};
        like = &d->kept[d->kept_count++];
    }
    *out = like->block;
    out->shift = origin - like->origin;
    out->kept = true;
    return SL_OK;
}

/* The block of a rectangle: what its cells are between the nodes on its open sides and its
   contacts. */
static sl_status reduce(dissection *d, const sl__rect *rect, sl__block *out)
{
    if (is_worth_keeping(d, rect)) {
        return reduce_plain(d, rect, out);
    }
    return is_leaf(rect) ? reduce_leaf(d, rect, out) : reduce_halves(d, rect, out);
}

/* Multiplications that a rectangle takes in all, but for those that are kept. */
static double expected_cost(const dissection *d, const sl__rect *rect)
{
    if (is_leaf(rect) || is_worth_keeping(d, rect)) {
        return 0.0;
    }
    sl__rect half[2];
    cut(rect, half);
    return cost_of_cut(rect) + expected_cost(d, &half[0]) + expected_cost(d, &half[1]);
}

static void copy_out(const sl__sheet *sheet, const sl__block *block, double *g)
{
    const int32_t count = sheet->contact_count, nodes = sl__sheet_nodes(sheet);
    const int32_t stride = sl__front_stride(block->n);
    memset(g, 0, (size_t)count * (size_t)count * sizeof *g);
    for (int32_t c = 0; c < block->n; c++) {
        for (int32_t r = c + 1; r < block->n; r++) {
            const ptrdiff_t a = block->id[c] + block->shift - nodes;
            const ptrdiff_t b = block->id[r] + block->shift - nodes;
            g[a * count + b] = g[b * count + a] = block->g[(ptrdiff_t)c * stride + r];
        }
    }
}

sl_status sl__sheet_reduce(const sl_alloc *al, const sl__sheet *sheet, double *g)
{
    dissection d = {.al = al, .sheet = sheet};
    const size_t leaf_room = SL__LEAF_NODES + (size_t)sheet->contact_count;
    const sl__rect whole = {0, 0, sheet->nx, sheet->ny, 0};
    sl__block block = {0};
    d.leaf_id = sl__new(al, leaf_room, sizeof *d.leaf_id);
    d.all = fmax(expected_cost(&d, &whole), 1.0);
    sl_status st = d.leaf_id ? reduce(&d, &whole, &block) : SL_E_NOMEM;
    if (st == SL_OK) {
        copy_out(sheet, &block, g);
        free_block(&d, &block);
    }
    for (int32_t k = 0; k < d.kept_count; k++) {
        free_block(&d, &d.kept[k].block);
    }
    for (int32_t k = 0; k < d.spare_count; k++) {
        sl__free(al, d.spare[k].g, d.spare[k].room, sizeof(double));
    }
    sl__free(al, d.kept, (size_t)d.kept_room, sizeof *d.kept);
    sl__free(al, d.leaf_id, leaf_room, sizeof *d.leaf_id);
    return st;
}

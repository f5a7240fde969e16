/* lib/numeric/sheet_leaf.c: the smallest rectangles of a sheet, and how contacts cut its edges. */
#include <math.h>

#include "numeric/front.h"
#include "numeric/sheet_internal.h"

/* Least length of a piece of an edge, in edges. A contact whose rim a node lies on, but for
   rounding, is joined to it by this; what the piece adds is far below what a mesh can say. */
#define SHORTEST_PIECE 1e-9

static bool contains(const sl__sheet_contact *c, double x, double y)
{
    const double dx = fabs(x - c->x), dy = fabs(y - c->y);
    if (!c->round) {
        return dx <= c->rx && dy <= c->ry;
    }
    const double u = dx / c->rx, v = dy / c->ry;
    return u * u + v * v <= 1.0;
}

/* Where a contact lies on the line along one axis that is `off` from its centre across it: half
   the length of that piece, below 0 when it is not met. */
static double half_chord(const sl__sheet_contact *c, double off, double along, double across)
{
    const double v = fabs(off);
    if (v > across) {
        return -1.0;
    }
    return c->round ? along * sqrt(fmax(0.0, (1.0 - v / across) * (1.0 + v / across))) : along;
}

static bool touches(const sl__sheet_contact *c, const sl__rect *rect)
{
    return c->x + c->rx >= rect->x0 && c->x - c->rx <= rect->x1 && c->y + c->ry >= rect->y0 &&
           c->y - c->ry <= rect->y1;
}

bool sl__sheet_is_plain(const sl__sheet *sheet, const sl__rect *rect)
{
    for (int32_t k = 0; k < sheet->contact_count; k++) {
        if (touches(&sheet->contact[k], rect)) {
            return false;
        }
    }
    for (int32_t k = 0; k < sheet->hole_count; k++) {
        const sl__sheet_hole *hole = &sheet->hole[k];
        if (hole->x1 > rect->x0 && hole->x0 < rect->x1 && hole->y1 > rect->y0 &&
            hole->y0 < rect->y1) {
            return false;
        }
    }
    return true;
}

bool sl__sheet_stays(const sl__sheet *sheet, const sl__rect *rect, int32_t id)
{
    if (id >= sl__sheet_nodes(sheet)) {
        return true;
    }
    const int32_t x = id % (sheet->nx + 1), y = id / (sheet->nx + 1);
    return (x == rect->x0 && (rect->open & SL__LEFT)) ||
           (x == rect->x1 && (rect->open & SL__RIGHT)) ||
           (y == rect->y0 && (rect->open & SL__BELOW)) ||
           (y == rect->y1 && (rect->open & SL__ABOVE));
}

/* The node at a point of the mesh, or the contact it lies in. */
static int32_t id_at(const sl__sheet *sheet, int32_t x, int32_t y)
{
    for (int32_t k = 0; k < sheet->contact_count; k++) {
        if (contains(&sheet->contact[k], x, y)) {
            return sl__sheet_nodes(sheet) + k;
        }
    }
    return sl__sheet_node(sheet, x, y);
}

int32_t sl__leaf_ids(const sl__sheet *sheet, const sl__rect *rect, int32_t *id, int32_t *gone)
{
    const int32_t nodes = sl__sheet_nodes(sheet);
    int32_t n = 0;
    for (int stays = 0; stays <= 1; stays++) {
        for (int32_t y = rect->y0; y <= rect->y1; y++) {
            for (int32_t x = rect->x0; x <= rect->x1; x++) {
                const int32_t node = id_at(sheet, x, y);
                if (node < nodes && sl__sheet_stays(sheet, rect, node) == (bool)stays) {
                    id[n++] = node;
                }
            }
        }
        *gone = stays ? *gone : n;
    }
    for (int32_t k = 0; k < sheet->contact_count; k++) {
        if (touches(&sheet->contact[k], rect)) {
            id[n++] = nodes + k;
        }
    }
    return n;
}

/* A leaf while it is filled. */
typedef struct leaf {
    const sl__sheet *sheet;
    const int32_t *id;
    int32_t n, stride;
    double *g;
} leaf;

static int32_t place_of(const leaf *l, int32_t id)
{
    int32_t k = 0;
    while (k < l->n && l->id[k] != id) {
        k++;
    }
    return k;
}

static void join(const leaf *l, int32_t id, int32_t other, double g)
{
    const int32_t a = place_of(l, id), b = place_of(l, other);
    if (a < b) {
        l->g[(ptrdiff_t)a * l->stride + b] += g;
    } else if (b < a) {
        l->g[(ptrdiff_t)b * l->stride + a] += g;
    }
}

/* The contact met next on an edge from (x, y), after `after` edges: where it begins and ends.
   Returns -1 when there is none. */
static int32_t next_contact(const sl__sheet *sheet, int32_t x, int32_t y, bool upward, double after,
                            double *begins, double *ends)
{
    int32_t found = -1;
    for (int32_t k = 0; k < sheet->contact_count; k++) {
        const sl__sheet_contact *c = &sheet->contact[k];
        const double half =
            upward ? half_chord(c, x - c->x, c->ry, c->rx) : half_chord(c, y - c->y, c->rx, c->ry);
        const double middle = upward ? c->y - y : c->x - x;
        const double from = middle - half, to = middle + half;
        if (half >= 0.0 && to >= 0.0 && from <= 1.0 && to > after &&
            (found < 0 || from < *begins)) {
            found = k;
            *begins = from;
            *ends = to;
        }
    }
    return found;
}

/* Adds one edge: the pieces of it between nodes and contacts. */
static void join_edge(const leaf *l, int32_t x, int32_t y, bool upward, double g)
{
    const int32_t nodes = sl__sheet_nodes(l->sheet);
    const int32_t last = id_at(l->sheet, upward ? x : x + 1, upward ? y + 1 : y);
    int32_t at = id_at(l->sheet, x, y);
    double reached = 0.0, begins = 0.0, ends = 0.0, after = -1.0;
    for (;;) {
        const int32_t k = next_contact(l->sheet, x, y, upward, after, &begins, &ends);
        if (k < 0) {
            break;
        }
        join(l, at, nodes + k, g / fmax(begins - reached, SHORTEST_PIECE));
        at = nodes + k;
        reached = fmin(ends, 1.0);
        after = ends;
    }
    join(l, at, last, g / fmax(1.0 - reached, SHORTEST_PIECE));
}

static bool is_metal(const sl__sheet *sheet, int32_t x, int32_t y)
{
    for (int32_t k = 0; k < sheet->hole_count; k++) {
        const sl__sheet_hole *hole = &sheet->hole[k];
        if (x >= hole->x0 && x < hole->x1 && y >= hole->y0 && y < hole->y1) {
            return false;
        }
    }
    return true;
}

void sl__leaf_fill(const sl__sheet *sheet, const sl__rect *rect, const int32_t *id, int32_t n,
                   double *g)
{
    const leaf l = {sheet, id, n, sl__front_stride(n), g};
    for (int32_t y = rect->y0; y < rect->y1; y++) {
        for (int32_t x = rect->x0; x < rect->x1; x++) {
            if (is_metal(sheet, x, y)) {
                join_edge(&l, x, y, false, 0.5 * sheet->gx);
                join_edge(&l, x, y + 1, false, 0.5 * sheet->gx);
                join_edge(&l, x, y, true, 0.5 * sheet->gy);
                join_edge(&l, x + 1, y, true, 0.5 * sheet->gy);
            }
        }
    }
}

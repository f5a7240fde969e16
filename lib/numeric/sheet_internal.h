/* lib/numeric/sheet_internal.h: what the dissection of a sheet and its smallest rectangles share.
 */
#ifndef SL_NUMERIC_SHEET_INTERNAL_H
#define SL_NUMERIC_SHEET_INTERNAL_H

#include "numeric/sheet.h"

/* Cells of a rectangle that is not cut any further. */
enum { SL__LEAF_CELLS = 16, SL__LEAF_NODES = 2 * (SL__LEAF_CELLS + 1) };

/* Sides that border on metal still to come: nodes on them stay. */
enum { SL__LEFT = 1, SL__RIGHT = 2, SL__BELOW = 4, SL__ABOVE = 8 };

/* Cells x0 <= x < x1, y0 <= y < y1. */
typedef struct sl__rect {
    int32_t x0, y0, x1, y1;
    int open; /* sides */
} sl__rect;

/* Conductances between nodes, see front.h. A node is y (nx + 1) + x; a contact c is the number of
   nodes + c, so contacts come last. */
typedef struct sl__block {
    int32_t n;
    int32_t *id; /* [n] ascending */
    double *g;   /* [room], sl__front_size(n) of it used */
    size_t room;
    int32_t shift; /* to be added to every id */
    bool kept;     /* belongs to the store of finished rectangles */
} sl__block;

static inline int32_t sl__sheet_node(const sl__sheet *sheet, int32_t x, int32_t y)
{
    return y * (sheet->nx + 1) + x;
}

static inline int32_t sl__sheet_nodes(const sl__sheet *sheet)
{
    return (sheet->nx + 1) * (sheet->ny + 1);
}

/* Does an id stay when this rectangle is done? */
bool sl__sheet_stays(const sl__sheet *sheet, const sl__rect *rect, int32_t id);

/* Does no contact touch this rectangle, and no hole? */
bool sl__sheet_is_plain(const sl__sheet *sheet, const sl__rect *rect);

/* The nodes and contacts of a smallest rectangle, those that do not stay first, each group
   ascending. id has room for SL__LEAF_NODES + contact_count. Returns how many there are; *gone
   receives how many of them do not stay. */
int32_t sl__leaf_ids(const sl__sheet *sheet, const sl__rect *rect, int32_t *id, int32_t *gone);

/* Adds the conductances of its cells to g, which is zeroed. */
void sl__leaf_fill(const sl__sheet *sheet, const sl__rect *rect, const int32_t *id, int32_t n,
                   double *g);

#endif

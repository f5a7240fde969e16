/* lib/numeric/sheet.h: a rectangular mesh of conductances reduced to its contacts.

   The mesh has nx by ny cells and (nx + 1) (ny + 1) nodes, at (0, 0) to (nx, ny). Every cell of
   metal brings half a conductance gx along each of its two sides in x, and half a gy along each of
   its two sides in y, so an edge between two cells has the whole and one along the rim of the metal
   has half. This is the five-point rule for the field equation of a uniform sheet, whose rim no
   current crosses.

   A contact is a region at one potential. Nodes in it are that contact; an edge that it cuts keeps
   the piece outside it, whose conductance is that of the edge over the share of its length. So the
   place and the size of a contact count exactly and not in whole cells (second order in the cell:
   Gibou, Fedkiw, Cheng and Kang, J. Comput. Phys. 176 (2002) 205-227, in its symmetric form).

   The nodes are eliminated by nested dissection of the rectangle (George, SIAM J. Numer. Anal. 10
   (1973) 345-363): a rectangle is cut across, both halves are reduced to the nodes on their open
   sides, put together, and the nodes of the cut eliminated. Nothing is ever subtracted: see
   front.h. Only the fronts on the way down are kept. Rectangles of the same size without contacts
   or holes have the same conductances, so of those each size is worked out once. */
#ifndef SL_NUMERIC_SHEET_H
#define SL_NUMERIC_SHEET_H

#include <stdbool.h>

#include "strapline/base.h"

typedef struct sl__sheet_contact {
    bool round;    /* an ellipse, else a rectangle */
    double x, y;   /* its centre, in cells */
    double rx, ry; /* half its size each way, in cells; a rectangle may have 0 in one */
} sl__sheet_contact;

/* Cells without metal: x0 <= x < x1, y0 <= y < y1. */
typedef struct sl__sheet_hole {
    int32_t x0, y0, x1, y1;
} sl__sheet_hole;

typedef struct sl__sheet {
    int32_t nx, ny;                   /* cells, >= 1; (nx + 1) (ny + 1) < 2^31 - contact_count */
    double gx, gy;                    /* >= 0 */
    const sl__sheet_contact *contact; /* [contact_count] that do not overlap */
    int32_t contact_count;
    const sl__sheet_hole *hole; /* [hole_count] */
    int32_t hole_count;
    bool (*go_on)(void *user,
                  double done); /* share of the work, 0 to 1; false stops. May be NULL */
    void *user;
} sl__sheet;

/* g[contact_count * contact_count] receives the conductances between contacts, symmetric, 0 on the
   diagonal and where no metal joins two. SL_OK, SL_E_NOMEM, or SL_E_STOPPED; g is untouched then.
   All memory is freed again. */
sl_status sl__sheet_reduce(const sl_alloc *al, const sl__sheet *sheet, double *g);

#endif

/* lib/circuit/outline.c: the shape of a panel: what cannot stand is refused, and the rest is laid
   on a mesh and reduced to its studs. */
#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "base/message.h"
#include "numeric/sheet.h"
#include "strapline/panel.h"

#define PANEL_LEAST_M 1e-3
#define PANEL_GREATEST_M 100.0

/* Cells across the smallest stud: what is taken, and the least allowed. */
static const double ACROSS = 3.0, ACROSS_LEAST = 2.0;

/* Sides that lie on a line of the mesh but for rounding are put there; in cells. */
static const double ON_A_LINE = 1e-6;

/* For sizes that are compared with others they were worked out from. */
static const double ROUNDING = 1e-9;

static bool is_bar(const sl_stud *stud)
{
    return stud->diameter_m == 0.0;
}

/* "stud 3", or by its node. */
static void add_stud(const sl_panel_shape *shape, int32_t k, sl__message *why)
{
    if (shape->studs[k].node) {
        sl__message_add(why, "stud \"%s\"", shape->studs[k].node);
    } else {
        sl__message_add(why, "stud %d", (int)k + 1);
    }
}

/* "stud ...: TEXT" */
static sl_status refuse_stud(const sl_panel_shape *shape, int32_t k, const char *text,
                             sl__message *why)
{
    why->text[0] = '\0';
    add_stud(shape, k, why);
    sl__message_add(why, ": %s", text);
    return SL_E_VALUE;
}

static bool is_size(double m)
{
    return m >= 0.0 && m <= PANEL_GREATEST_M;
}

static sl_status check_stud(const sl_panel_shape *shape, int32_t k, sl__message *why)
{
    const sl_stud *s = &shape->studs[k];
    const double half_x = 0.5 * s->width_m, half_y = 0.5 * s->height_m;
    const double slack_x = ROUNDING * shape->width_m, slack_y = ROUNDING * shape->height_m;
    if (!is_size(s->diameter_m) || !is_size(s->width_m) || !is_size(s->height_m)) {
        return refuse_stud(shape, k, "its diameter, width and height are 0 to 100 m", why);
    }
    if (is_bar(s) == (s->width_m == 0.0 && s->height_m == 0.0)) {
        return refuse_stud(shape, k,
                           "give either the diameter of a disc or the width and height of a bar; a "
                           "point of no size has no resistance to a sheet",
                           why);
    }
    if (!(s->x_m - half_x >= -slack_x && s->x_m + half_x <= shape->width_m + slack_x &&
          s->y_m - half_y >= -slack_y && s->y_m + half_y <= shape->height_m + slack_y)) {
        sl__fail(why, SL_E_VALUE, "%s", "");
        add_stud(shape, k, why);
        sl__message_add(why,
                        " is at %g m, %g m; allowed: 0 to %g m in x and 0 to %g m in y, a bar with "
                        "all its length",
                        s->x_m, s->y_m, shape->width_m, shape->height_m);
        return SL_E_VALUE;
    }
    return SL_OK;
}

/* The bare sheet between two studs; a disc is a point with a radius, a bar a rectangle with none.
 */
static double gap_m(const sl_stud *a, const sl_stud *b)
{
    const double dx = fabs(a->x_m - b->x_m) - 0.5 * (a->width_m + b->width_m);
    const double dy = fabs(a->y_m - b->y_m) - 0.5 * (a->height_m + b->height_m);
    return hypot(fmax(dx, 0.0), fmax(dy, 0.0)) - 0.5 * (a->diameter_m + b->diameter_m);
}

static sl_status check_studs(const sl_panel_shape *shape, sl__message *why)
{
    for (int32_t k = 0; k < shape->stud_count; k++) {
        sl_status st = check_stud(shape, k, why);
        for (int32_t j = 0; j < k && st == SL_OK; j++) {
            if (gap_m(&shape->studs[j], &shape->studs[k]) <= 0.0) {
                st = refuse_stud(shape, k, "it touches ", why);
                add_stud(shape, j, why);
                sl__message_add(why, "; put both conductors on one stud, or move them apart");
            }
        }
        if (st != SL_OK) {
            return st;
        }
    }
    return SL_OK;
}

static sl_status check_cutouts(const sl_panel_shape *shape, sl__message *why)
{
    for (int32_t k = 0; k < shape->cutout_count; k++) {
        const sl_cutout *c = &shape->cutouts[k];
        if (!(c->x_m >= 0.0 && c->y_m >= 0.0 && c->width_m > 0.0 && c->height_m > 0.0 &&
              c->x_m + c->width_m <= shape->width_m * (1.0 + ROUNDING) &&
              c->y_m + c->height_m <= shape->height_m * (1.0 + ROUNDING))) {
            return sl__fail(why, SL_E_VALUE,
                            "cut-out %d, %g m x %g m from %g m, %g m, is not on the panel of %g m "
                            "x %g m; its place is that of its corner nearest the origin",
                            (int)k + 1, c->width_m, c->height_m, c->x_m, c->y_m, shape->width_m,
                            shape->height_m);
        }
    }
    return SL_OK;
}

/* The size of a stud that the mesh must show. */
static double size_m(const sl_stud *stud)
{
    return is_bar(stud) ? fmax(stud->width_m, stud->height_m) : stud->diameter_m;
}

/* Chooses the number of cells each way. */
static sl_status choose_mesh(const sl_panel_shape *shape, sl_panel_mesh *mesh, sl__message *why)
{
    int32_t smallest = 0;
    for (int32_t k = 1; k < shape->stud_count; k++) {
        smallest = size_m(&shape->studs[k]) < size_m(&shape->studs[smallest]) ? k : smallest;
    }
    const double size = size_m(&shape->studs[smallest]);
    const double step = shape->mesh_m > 0.0 ? shape->mesh_m : size / ACROSS;
    if (step > size / ACROSS_LEAST * (1.0 + ROUNDING)) {
        sl__fail(why, SL_E_VALUE, "the mesh of %g m is too coarse for ", step);
        add_stud(shape, smallest, why);
        sl__message_add(why, ", %g m across; allowed: up to half of that", size);
        return SL_E_VALUE;
    }
    const double x = fmax(1.0, ceil(shape->width_m / step * (1.0 - ROUNDING)));
    const double y = fmax(1.0, ceil(shape->height_m / step * (1.0 - ROUNDING)));
    if (!(x * y <= SL_PANEL_CELLS_MOST)) {
        return sl__fail(why, SL_E_VALUE,
                        "a mesh of %g m makes %.0f x %.0f cells, more than %d in all; give a "
                        "coarser mesh, or the smallest stud more metal",
                        step, x, y, SL_PANEL_CELLS_MOST);
    }
    mesh->cells_x = (int32_t)x;
    mesh->cells_y = (int32_t)y;
    mesh->step_x_m = shape->width_m / x;
    mesh->step_y_m = shape->height_m / y;
    return SL_OK;
}

static bool is_length(double m)
{
    return m >= PANEL_LEAST_M && m <= PANEL_GREATEST_M;
}

static sl_status check_shape(const sl_panel_shape *shape, sl__message *why)
{
    if (!is_length(shape->width_m) || !is_length(shape->height_m)) {
        return sl__fail(why, SL_E_VALUE, "the panel is %g m x %g m; allowed: %g to %g m each way",
                        shape->width_m, shape->height_m, PANEL_LEAST_M, PANEL_GREATEST_M);
    }
    if (!(shape->mesh_m >= 0.0)) {
        return sl__fail(why, SL_E_VALUE, "the mesh is %g m; allowed: above 0", shape->mesh_m);
    }
    if (shape->stud_count < 2 || shape->stud_count > SL_STUDS_MOST) {
        return sl__fail(why, SL_E_ARG, "the panel has %d studs; allowed: 2 to %d",
                        (int)shape->stud_count, SL_STUDS_MOST);
    }
    if (shape->cutout_count < 0 || shape->cutout_count > SL_CUTOUTS_MOST) {
        return sl__fail(why, SL_E_ARG, "the panel has %d cut-outs; allowed: 0 to %d",
                        (int)shape->cutout_count, SL_CUTOUTS_MOST);
    }
    sl_status st = check_studs(shape, why);
    return st == SL_OK ? check_cutouts(shape, why) : st;
}

static double on_line(double cells)
{
    return fabs(cells - round(cells)) <= ON_A_LINE ? round(cells) : cells;
}

/* A stud in cells of the mesh. */
static sl__sheet_contact contact_of(const sl_stud *stud, const sl_panel_mesh *mesh)
{
    const double x = stud->x_m / mesh->step_x_m, y = stud->y_m / mesh->step_y_m;
    if (!is_bar(stud)) {
        return (sl__sheet_contact){true, x, y, 0.5 * stud->diameter_m / mesh->step_x_m,
                                   0.5 * stud->diameter_m / mesh->step_y_m};
    }
    const double half_x = 0.5 * stud->width_m / mesh->step_x_m;
    const double half_y = 0.5 * stud->height_m / mesh->step_y_m;
    const double x0 = on_line(x - half_x), x1 = on_line(x + half_x);
    const double y0 = on_line(y - half_y), y1 = on_line(y + half_y);
    return (sl__sheet_contact){false, 0.5 * (x0 + x1), 0.5 * (y0 + y1), 0.5 * (x1 - x0),
                               0.5 * (y1 - y0)};
}

static sl__sheet_hole hole_of(const sl_cutout *cutout, const sl_panel_mesh *mesh)
{
    return (sl__sheet_hole){(int32_t)round(cutout->x_m / mesh->step_x_m),
                            (int32_t)round(cutout->y_m / mesh->step_y_m),
                            (int32_t)round((cutout->x_m + cutout->width_m) / mesh->step_x_m),
                            (int32_t)round((cutout->y_m + cutout->height_m) / mesh->step_y_m)};
}

/* A cut-out narrower than half a cell would vanish, and a stud inside one holds on to nothing. */
static sl_status check_holes(const sl_panel_shape *shape, const sl__sheet *sheet, sl__message *why)
{
    for (int32_t h = 0; h < sheet->hole_count; h++) {
        const sl__sheet_hole *hole = &sheet->hole[h];
        if (hole->x0 == hole->x1 || hole->y0 == hole->y1) {
            return sl__fail(why, SL_E_VALUE,
                            "cut-out %d is narrower than half a cell of the mesh and would vanish; "
                            "give a finer mesh",
                            (int)h + 1);
        }
        for (int32_t k = 0; k < sheet->contact_count; k++) {
            const sl__sheet_contact *c = &sheet->contact[k];
            if (c->x - c->rx > hole->x0 && c->x + c->rx < hole->x1 && c->y - c->ry > hole->y0 &&
                c->y + c->ry < hole->y1) {
                refuse_stud(shape, k, "it lies in ", why);
                sl__message_add(why, "cut-out %d", (int)h + 1);
                return SL_E_VALUE;
            }
        }
    }
    return SL_OK;
}

/* Lays a checked shape on its mesh and reduces it. */
static sl_status reduce(const sl_alloc *al, const sl_panel_shape *shape, const sl_watch *watch,
                        double *conductance, const sl_panel_mesh *mesh, sl__message *why)
{
    const size_t studs = (size_t)shape->stud_count, cutouts = (size_t)shape->cutout_count;
    sl__sheet_contact *contact = sl__new(al, studs, sizeof *contact);
    sl__sheet_hole *hole = sl__new(al, cutouts, sizeof *hole);
    sl_status st = contact && hole ? SL_OK : SL_E_NOMEM;
    if (st == SL_OK) {
        for (size_t k = 0; k < studs; k++) {
            contact[k] = contact_of(&shape->studs[k], mesh);
        }
        for (size_t k = 0; k < cutouts; k++) {
            hole[k] = hole_of(&shape->cutouts[k], mesh);
        }
        const sl__sheet sheet = {.nx = mesh->cells_x,
                                 .ny = mesh->cells_y,
                                 .gx = mesh->step_y_m / mesh->step_x_m,
                                 .gy = mesh->step_x_m / mesh->step_y_m,
                                 .contact = contact,
                                 .contact_count = shape->stud_count,
                                 .hole = hole,
                                 .hole_count = shape->cutout_count,
                                 .go_on = watch ? watch->go_on : NULL,
                                 .user = watch ? watch->user : NULL};
        st = check_holes(shape, &sheet, why);
        st = st == SL_OK ? sl__sheet_reduce(al, &sheet, conductance) : st;
    }
    sl__free(al, contact, studs, sizeof *contact);
    sl__free(al, hole, cutouts, sizeof *hole);
    return st;
}

sl_status sl_panel_reduce(const sl_alloc *alloc, const sl_panel_shape *shape, const sl_watch *watch,
                          double *conductance, sl_panel_mesh *mesh)
{
    const sl_alloc *al = alloc ? alloc : &sl__default_alloc;
    sl_panel_mesh used = {0};
    sl__message why = {""};
    sl_status st = check_shape(shape, &why);
    st = st == SL_OK ? choose_mesh(shape, &used, &why) : st;
    st = st == SL_OK ? reduce(al, shape, watch, conductance, &used, &why) : st;
    if (st == SL_OK) {
        *mesh = used;
        return SL_OK;
    }
    const char *text = why.text[0] ? why.text : sl_status_text(st);
    _Static_assert(sizeof mesh->message == sizeof why.text, "a whole message fits");
    memcpy(mesh->message, text, strlen(text) + 1);
    return st;
}

/* lib/circuit/panel.c: panels of a circuit: a part for every two studs, and what belongs together.
 */
#include "circuit/panel.h"

#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "circuit/circuit.h"

/* Less than this, in squares of the sheet, is no path: its resistance would leave the range of a
   double. */
static const double LEAST_CONDUCTANCE = 1e-100;

static bool is_panel(const sl_circuit *c, sl_panel panel)
{
    return panel >= 0 && panel < c->panels.names.count;
}

int32_t sl_circuit_panel_count(const sl_circuit *c)
{
    return c->panels.names.count;
}

sl_panel sl_circuit_find_panel(const sl_circuit *c, const char *name)
{
    return sl__names_find(&c->panels.names, name);
}

const char *sl_circuit_panel_name(const sl_circuit *c, sl_panel panel)
{
    return is_panel(c, panel) ? c->panels.names.text[panel] : NULL;
}

sl_status sl_circuit_panel_parts(const sl_circuit *c, sl_panel panel, sl_part *first,
                                 int32_t *count)
{
    if (!is_panel(c, panel)) {
        return SL_E_ARG;
    }
    *first = c->panels.panel[panel].first;
    *count = c->panels.panel[panel].count;
    return SL_OK;
}

sl_panel sl_circuit_part_panel(const sl_circuit *c, sl_part part)
{
    for (sl_panel k = 0; k < c->panels.names.count; k++) {
        const sl__panel *panel = &c->panels.panel[k];
        if (part >= panel->first && part < panel->first + panel->count) {
            return k;
        }
    }
    return SL_NONE;
}

int32_t sl_circuit_stud_count(const sl_circuit *c, sl_panel panel)
{
    return is_panel(c, panel) ? c->panels.panel[panel].studs : -1;
}

sl_node sl_circuit_stud_node(const sl_circuit *c, sl_panel panel, int32_t stud)
{
    const bool known = stud >= 0 && stud < sl_circuit_stud_count(c, panel);
    return known ? c->panels.stud_node[c->panels.panel[panel].stud_at + stud] : SL_NONE;
}

/* Everything that can be said before the mesh is reduced. */
static sl_status check_def(sl_circuit *c, const sl_panel_def *def)
{
    if (!def->name || !*def->name || strchr(def->name, ':')) {
        return sl__fail(&c->message, SL_E_ARG, "a panel needs a name, and a name holds no colon");
    }
    if (sl__names_find(&c->parts.names, def->name) >= 0 ||
        sl__names_find(&c->panels.names, def->name) >= 0) {
        return sl__fail(&c->message, SL_E_NAME,
                        "panel \"%s\": there is a part of that name already", def->name);
    }
    for (int32_t k = 0; k < def->shape->stud_count; k++) {
        const char *node = def->shape->studs[k].node;
        if (!node || !*node) {
            return sl__fail(&c->message, SL_E_ARG, "panel \"%s\": stud %d has no node", def->name,
                            (int)k + 1);
        }
        for (int32_t j = 0; j < k; j++) {
            if (strcmp(node, def->shape->studs[j].node) == 0) {
                return sl__fail(&c->message, SL_E_NAME,
                                "panel \"%s\": two studs are on node \"%s\"; give each its own",
                                def->name, node);
            }
        }
    }
    return SL_OK;
}

/* Room in the list of panels for one more. */
static sl_status make_room(sl_circuit *c, int32_t studs)
{
    sl__panel_list *list = &c->panels;
    sl__panel *panel =
        sl__reserve(&c->al, list->panel, &list->panel_room, list->names.count + 1, sizeof *panel);
    list->panel = panel ? panel : list->panel;
    sl_node *node = sl__reserve(&c->al, list->stud_node, &list->stud_room, list->stud_count + studs,
                                sizeof *node);
    list->stud_node = node ? node : list->stud_node;
    return panel && node ? SL_OK
                         : sl__fail(&c->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
}

/* One part, between studs a and b. */
static sl_status add_between(sl_circuit *c, const sl_panel_def *def, int32_t a, int32_t b,
                             double conductance, double *values)
{
    const char *nodes[] = {def->shape->studs[a].node, def->shape->studs[b].node};
    sl__message name = {""};
    sl__message_add(&name, "%s %s - %s", def->name, nodes[0], nodes[1]);
    if (strlen(name.text) + 1 == sizeof name.text) { /* cut: it might be another part's */
        return sl__fail(&c->message, SL_E_ARG, "panel \"%.40s...\": names so long leave no room",
                        def->name);
    }
    values[0] = 1.0 / conductance;
    const sl_part_def part = {.kind = "sheet", .name = name.text, .nodes = nodes, .values = values};
    sl_part index;
    return sl_circuit_add(c, &part, &index);
}

/* The nodes of all studs, also of one that no metal joins to another, then the parts. */
static sl_status add_parts(sl_circuit *c, const sl_panel_def *def, const double *conductance,
                           double *values)
{
    const int32_t studs = def->shape->stud_count;
    sl_status st = SL_OK;
    for (int32_t k = 0; k < studs && st == SL_OK; k++) {
        st = sl_circuit_node(c, def->shape->studs[k].node,
                             &c->panels.stud_node[c->panels.stud_count + k]);
    }
    for (int32_t a = 0; a < studs; a++) {
        for (int32_t b = a + 1; b < studs && st == SL_OK; b++) {
            const double g = conductance[(ptrdiff_t)a * studs + b];
            st = g > LEAST_CONDUCTANCE ? add_between(c, def, a, b, g, values) : SL_OK;
        }
    }
    return st;
}

/* Adds nodes and parts and puts the panel down, or leaves the circuit as it was. */
static sl_status put_down(sl_circuit *c, const sl_panel_def *def, const double *conductance,
                          double *values, sl_panel *out)
{
    const sl__part_list before = c->parts;
    const int32_t nodes = c->nodes.count, first = before.names.count;
    sl_status st = add_parts(c, def, conductance, values);
    sl_panel index = 0;
    if (st == SL_OK && sl__names_add(&c->al, &c->panels.names, def->name, &index) != SL_OK) {
        st = sl__fail(&c->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    if (st != SL_OK) {
        sl__names_truncate(&c->al, &c->parts.names, first);
        c->parts.node_count = before.node_count;
        c->parts.value_count = before.value_count;
        sl__names_truncate(&c->al, &c->nodes, nodes);
        return st;
    }
    c->panels.panel[index] = (sl__panel){.first = first,
                                         .count = c->parts.names.count - first,
                                         .stud_at = c->panels.stud_count,
                                         .studs = def->shape->stud_count};
    c->panels.stud_count += def->shape->stud_count;
    *out = index;
    return SL_OK;
}

/* The metal must be one that the kind allows, before any work is done on its shape. */
static sl_status check_metal(sl_circuit *c, const sl_panel_def *def, const sl_kind *sheet,
                             double *values, double *complete)
{
    memcpy(values, def->values, (size_t)sheet->param_count * sizeof *values);
    values[0] = 1.0; /* squares */
    return sl__parts_complete(sl__kind_of(sheet), def->name, values, complete, &c->message);
}

sl_status sl_circuit_add_panel(sl_circuit *c, const sl_panel_def *def, sl_panel *out)
{
    const sl_kind *sheet = sl_kind_find("sheet");
    const size_t studs = (size_t)(def->shape->stud_count > 0 ? def->shape->stud_count : 0);
    const size_t params = (size_t)sheet->param_count;
    sl_status st = check_def(c, def);
    st = st == SL_OK ? make_room(c, (int32_t)studs) : st;
    if (st != SL_OK) {
        return st;
    }
    double *conductance = sl__new(&c->al, studs * studs, sizeof *conductance);
    double *values = sl__new(&c->al, 2 * params, sizeof *values);
    sl_panel_mesh mesh = {0};
    if (!conductance || !values) {
        st = sl__fail(&c->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    } else {
        st = check_metal(c, def, sheet, values, values + params);
    }
    if (st == SL_OK) {
        st = sl_panel_reduce(&c->al, def->shape, def->watch, conductance, &mesh);
        if (st != SL_OK) {
            sl__fail(&c->message, st, "panel \"%s\": %s", def->name, mesh.message);
        }
    }
    st = st == SL_OK ? put_down(c, def, conductance, values, out) : st;
    sl__free(&c->al, conductance, studs * studs, sizeof *conductance);
    sl__free(&c->al, values, 2 * params, sizeof *values);
    return st;
}

void sl__panels_free(const sl_alloc *al, sl__panel_list *list)
{
    sl__names_free(al, &list->names);
    sl__free(al, list->panel, (size_t)list->panel_room, sizeof *list->panel);
    sl__free(al, list->stud_node, (size_t)list->stud_room, sizeof *list->stud_node);
    *list = (sl__panel_list){0};
}

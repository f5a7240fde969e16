/* lib/circuit/parts.c: a part is checked against the description of its kind, then appended. */
#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "circuit/circuit.h"

sl_status sl__temperature_check(double celsius, sl__message *why)
{
    if (celsius >= SL__LEAST_C && celsius <= SL__GREATEST_C) {
        return SL_OK;
    }
    return sl__fail(why, SL_E_VALUE, "temperature is %g C; allowed: %g to %g C", celsius,
                    SL__LEAST_C, SL__GREATEST_C);
}

sl_status sl__param_check(const sl_kind *kind, const char *name, int32_t param, double value,
                          sl__message *why)
{
    const sl_param *p = &kind->params[param];
    bool whole = p->quantity != SL_CHOICE || value == floor(value);
    if (value >= p->least && value <= p->greatest && whole) {
        return SL_OK;
    }
    const char *unit = sl_quantity_unit(p->quantity);
    return sl__fail(why, SL_E_VALUE, "%s \"%s\": %s is %g %s; allowed: %g to %g %s", kind->name,
                    name, p->name, value, unit, p->least, p->greatest, unit);
}

/* The names of a kind's elements, for messages. */
static void add_element_names(const sl_kind *kind, sl__message *why)
{
    for (int32_t i = 0; i < kind->element_count; i++) {
        sl__message_add(why, "%s%s", i ? ", " : "", kind->elements[i].name);
    }
}

sl_status sl__edit_check(const sl_kind *kind, const char *name, const sl_edit *edit,
                         sl__message *why)
{
    if (edit->change == SL_SET) {
        if (edit->index < 0 || edit->index >= kind->param_count) {
            return sl__fail(why, SL_E_ARG, "%s \"%s\": it has no parameter %d", kind->name, name,
                            (int)edit->index);
        }
        return sl__param_check(kind, name, edit->index, edit->value, why);
    }
    if (edit->index < -1 || edit->index >= kind->element_count) {
        return sl__fail(why, SL_E_ARG, "%s \"%s\": it has no element %d", kind->name, name,
                        (int)edit->index);
    }
    if (edit->change == SL_OPEN) {
        return SL_OK;
    }
    if (edit->index == -1 && kind->element_count != 1) {
        sl__fail(why, SL_E_ARG,
                 "%s \"%s\": say which element the resistance is in series with: ", kind->name,
                 name);
        add_element_names(kind, why);
        return SL_E_ARG;
    }
    if (edit->value > 0.0 && edit->value <= 1e15) {
        return SL_OK;
    }
    return sl__fail(why, SL_E_VALUE,
                    "%s \"%s\": the added resistance is %g ohm; allowed: above 0 to 1e15 ohm (an "
                    "interruption is `open`)",
                    kind->name, name, edit->value);
}

sl_status sl__parts_complete(const sl__kind *kind, const char *name, const double *given,
                             double *value, sl__message *why)
{
    const sl_kind *about = &kind->about;
    for (int32_t i = 0; i < about->param_count; i++) {
        const sl_param *p = &about->params[i];
        value[i] = isnan(given[i]) && p->presence == SL_DEFAULT ? p->fallback : given[i];
        if (isnan(value[i]) && p->presence == SL_REQUIRED) {
            return sl__fail(why, SL_E_VALUE, "%s \"%s\": %s is missing; give %s (%s)", about->name,
                            name, p->name, sl_quantity_text(p->quantity), p->doc);
        }
        if (!isnan(given[i]) && sl__param_check(about, name, i, given[i], why) != SL_OK) {
            return SL_E_VALUE;
        }
    }
    sl__complaint bad = {0, ""};
    if (kind->complete && !kind->complete(value, &bad)) {
        return sl__fail(why, SL_E_VALUE, "%s \"%s\": %s: %s", about->name, name,
                        about->params[bad.param].name, bad.text);
    }
    return SL_OK;
}

/* Room for one more part of this kind in every array of the list. */
static sl_status make_room(const sl_alloc *al, sl__part_list *list, const sl_kind *kind)
{
    int32_t parts = list->names.count + 1;
    int32_t nodes = list->node_count + kind->terminal_count;
    int32_t values = list->value_count + kind->param_count;
    sl__part *part = sl__reserve(al, list->part, &list->part_room, parts, sizeof *part);
    list->part = part ? part : list->part;
    int32_t *node = sl__reserve(al, list->node, &list->node_room, nodes, sizeof *node);
    list->node = node ? node : list->node;
    double *given = sl__reserve(al, list->given, &list->given_room, values, sizeof *given);
    list->given = given ? given : list->given;
    double *value = sl__reserve(al, list->value, &list->value_room, values, sizeof *value);
    list->value = value ? value : list->value;
    return part && node && given && value ? SL_OK : SL_E_NOMEM;
}

/* The node of each terminal: the named one, or one of the part's own, "PART.TERMINAL". */
static sl_status find_nodes(const sl__node_finder *finder, const sl_kind *kind,
                            const sl_part_def *def, int32_t *node, sl__message *why)
{
    for (int32_t t = 0; t < kind->terminal_count; t++) {
        const sl_terminal *terminal = &kind->terminals[t];
        const char *name = def->nodes[t];
        sl__message own = {""};
        if (!name && terminal->optional) {
            sl__message_add(&own, "%s.%s", def->name, terminal->name);
            name = own.text;
            if (strlen(name) + 1 == sizeof own.text) { /* cut: it might be another part's */
                return sl__fail(why, SL_E_ARG,
                                "%s \"%.40s...\": so long a name leaves no room to name its "
                                "terminal %s; name the node it ends on, or the part shorter",
                                kind->name, def->name, terminal->name);
            }
        }
        if (!name || !*name) {
            return sl__fail(why, SL_E_ARG,
                            "%s \"%s\": terminal %s is missing; name the node it ends on (%s)",
                            kind->name, def->name, terminal->name, terminal->doc);
        }
        sl_status st = finder->find(finder->user, name, name == own.text, &node[t]);
        if (st == SL_E_NAME) {
            return sl__fail(why, st, "%s \"%s\": the circuit has no node \"%s\"", kind->name,
                            def->name, name);
        }
        if (st != SL_OK) {
            return sl__fail(why, st, "%s", sl_status_text(st));
        }
    }
    return SL_OK;
}

/* A path for current from a node to itself is a mistake in the file, never a part. */
static sl_status check_ends(const sl_kind *kind, const sl_part_def *def, const int32_t *node,
                            sl__message *why)
{
    for (int32_t e = 0; e < kind->element_count; e++) {
        const sl_element *element = &kind->elements[e];
        if (node[element->from] == node[element->to]) {
            return sl__fail(why, SL_E_ARG,
                            "%s \"%s\": both ends of its %s are on node \"%s\"; give two "
                            "different nodes for %s and %s",
                            kind->name, def->name, element->name,
                            def->nodes[element->from] ? def->nodes[element->from]
                                                      : def->nodes[element->to],
                            kind->terminals[element->from].name, kind->terminals[element->to].name);
        }
    }
    return SL_OK;
}

/* Copies measured points behind those the list has: their count, then the pairs. */
static sl_status copy_points(const sl_alloc *al, sl__part_list *list, const sl__kind *kind,
                             const sl_part_def *def, sl__message *why)
{
    const sl_kind *about = &kind->about;
    int32_t count = def->points ? def->point_count : 0;
    if (!about->takes_points || count < 1 || count > 100000) {
        bool wrong = about->takes_points || count != 0;
        return !wrong ? SL_OK
                      : sl__fail(why, SL_E_VALUE, "%s \"%s\": %s", about->name, def->name,
                                 about->takes_points ? "give 1 to 100000 measured points"
                                                     : "it takes no measured points");
    }
    for (int32_t k = 0; k < count; k++) {
        const double *point = def->points + (ptrdiff_t)2 * k;
        double v = point[0], i = point[1];
        if (!isfinite(v) || !isfinite(i) || (k > 0 && !(v > point[-2]))) {
            return sl__fail(why, SL_E_VALUE,
                            "%s \"%s\": point %d is %g V, %g A; voltages must rise from point to "
                            "point",
                            about->name, def->name, (int)k + 1, v, i);
        }
    }
    sl__complaint bad = {0, ""};
    if (kind->accept && !kind->accept(def->points, count, &bad)) {
        return sl__fail(why, SL_E_VALUE, "%s \"%s\": points: %s", about->name, def->name, bad.text);
    }
    double *table = sl__reserve(al, list->table, &list->table_room,
                                list->table_count + 1 + 2 * count, sizeof *table);
    if (!table) {
        return sl__fail(why, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    list->table = table;
    table[list->table_count] = count;
    memcpy(table + list->table_count + 1, def->points, 2 * (size_t)count * sizeof *table);
    return SL_OK;
}

sl_status sl__parts_add(const sl_alloc *al, sl__part_list *list, const sl__part_list *also,
                        const sl__node_finder *finder, const sl_part_def *def, sl__message *why,
                        sl_part *out)
{
    const sl_kind *about = sl_kind_find(def->kind);
    if (!about) {
        return sl__fail(why, SL_E_NAME, "there is no kind of part named \"%s\"", def->kind);
    }
    if (!def->name || !*def->name || strchr(def->name, ':')) {
        return sl__fail(why, SL_E_ARG, "a %s needs a name, and a name holds no colon", about->name);
    }
    if (sl__names_find(&list->names, def->name) >= 0 ||
        (also && sl__names_find(&also->names, def->name) >= 0)) {
        return sl__fail(why, SL_E_NAME, "%s \"%s\": there is a part of that name already",
                        about->name, def->name);
    }
    if (make_room(al, list, about) != SL_OK) {
        return sl__fail(why, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    const sl__kind *kind = sl__kind_of(about);
    double *given = list->given + list->value_count;
    if (about->param_count > 0) {
        memcpy(given, def->values, (size_t)about->param_count * sizeof *given);
    }
    int32_t *node = list->node + list->node_count;
    sl_status st = sl__parts_complete(kind, def->name, given, list->value + list->value_count, why);
    if (st == SL_OK) {
        st = copy_points(al, list, kind, def, why);
    }
    if (st == SL_OK) {
        st = find_nodes(finder, about, def, node, why);
    }
    if (st == SL_OK) {
        st = check_ends(about, def, node, why);
    }
    if (st != SL_OK) {
        return st;
    }
    if (sl__names_add(al, &list->names, def->name, out) != SL_OK) {
        return sl__fail(why, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    bool has_table = about->takes_points;
    list->part[*out] = (sl__part){.kind = kind,
                                  .node_at = list->node_count,
                                  .table_at = has_table ? list->table_count : -1,
                                  .value_at = list->value_count};
    list->table_count += has_table ? 1 + 2 * def->point_count : 0;
    list->node_count += about->terminal_count;
    list->value_count += about->param_count;
    return SL_OK;
}

void sl__parts_free(const sl_alloc *al, sl__part_list *list)
{
    sl__names_free(al, &list->names);
    sl__free(al, list->part, (size_t)list->part_room, sizeof *list->part);
    sl__free(al, list->node, (size_t)list->node_room, sizeof *list->node);
    sl__free(al, list->given, (size_t)list->given_room, sizeof *list->given);
    sl__free(al, list->value, (size_t)list->value_room, sizeof *list->value);
    sl__free(al, list->table, (size_t)list->table_room, sizeof *list->table);
    *list = (sl__part_list){0};
}

/* lib/circuit/circuit.c: a circuit and what it is made of; everything is checked at the door. */
#include "circuit/circuit.h"

#include <math.h>
#include <string.h>

#include "base/memory.h"

#define CELSIUS_AT_FIRST 20.0

sl_status sl_circuit_new(const sl_alloc *alloc, sl_circuit **out)
{
    sl_alloc al = alloc ? *alloc : sl__default_alloc;
    sl_circuit *c = sl__new(&al, 1, sizeof *c);
    if (!c) {
        return SL_E_NOMEM;
    }
    c->al = al;
    c->reference = SL_NONE;
    c->celsius = CELSIUS_AT_FIRST;
    sl_condition rest;
    if (sl_circuit_add_condition(c, "rest", &rest) != SL_OK) {
        sl_circuit_free(c);
        return SL_E_NOMEM;
    }
    c->conditions_given = false;
    *out = c;
    return SL_OK;
}

void sl_circuit_free(sl_circuit *c)
{
    if (!c) {
        return;
    }
    sl_alloc al = c->al;
    for (int32_t i = 0; i < c->condition_names.count; i++) {
        sl__free(&al, c->condition[i].edit, (size_t)c->condition[i].edit_room, sizeof(sl_edit));
    }
    sl__free(&al, c->condition, (size_t)c->condition_room, sizeof *c->condition);
    sl__names_free(&al, &c->condition_names);
    sl__free(&al, c->spread, (size_t)c->spread_room, sizeof *c->spread);
    sl__parts_free(&al, &c->parts);
    sl__panels_free(&al, &c->panels);
    sl__names_free(&al, &c->nodes);
    sl__free(&al, c, 1, sizeof *c);
}

const char *sl_circuit_message(const sl_circuit *c)
{
    return c->message.text;
}

/* Finds or makes a node. */
static sl_status find_or_make(void *user, const char *name, bool made_here, sl_node *out)
{
    (void)made_here;
    sl_circuit *c = user;
    sl_node node = sl__names_find(&c->nodes, name);
    if (node < 0) {
        return sl__names_add(&c->al, &c->nodes, name, out);
    }
    *out = node;
    return SL_OK;
}

sl_status sl_circuit_node(sl_circuit *c, const char *name, sl_node *out)
{
    if (!name || !*name) {
        return sl__fail(&c->message, SL_E_ARG, "a node needs a name");
    }
    sl_status st = find_or_make(c, name, false, out);
    return st == SL_OK ? st : sl__fail(&c->message, st, "%s", sl_status_text(st));
}

sl_node sl_circuit_find_node(const sl_circuit *c, const char *name)
{
    return sl__names_find(&c->nodes, name);
}

sl_part sl_circuit_find_part(const sl_circuit *c, const char *name)
{
    return sl__names_find(&c->parts.names, name);
}

sl_condition sl_circuit_find_condition(const sl_circuit *c, const char *name)
{
    return sl__names_find(&c->condition_names, name);
}

int32_t sl_circuit_node_count(const sl_circuit *c)
{
    return c->nodes.count;
}

int32_t sl_circuit_part_count(const sl_circuit *c)
{
    return c->parts.names.count;
}

int32_t sl_circuit_condition_count(const sl_circuit *c)
{
    return c->condition_names.count;
}

/* A name by number, NULL when there is none of that number. */
static const char *name_of(const sl__names *names, int32_t index)
{
    return index >= 0 && index < names->count ? names->text[index] : NULL;
}

const char *sl_circuit_node_name(const sl_circuit *c, sl_node node)
{
    return name_of(&c->nodes, node);
}

const char *sl_circuit_part_name(const sl_circuit *c, sl_part part)
{
    return name_of(&c->parts.names, part);
}

const char *sl_circuit_condition_name(const sl_circuit *c, sl_condition condition)
{
    return name_of(&c->condition_names, condition);
}

static bool is_part(const sl_circuit *c, sl_part part)
{
    return part >= 0 && part < c->parts.names.count;
}

const sl_kind *sl_circuit_part_kind(const sl_circuit *c, sl_part part)
{
    return is_part(c, part) ? &c->parts.part[part].kind->about : NULL;
}

sl_node sl_circuit_part_node(const sl_circuit *c, sl_part part, int32_t terminal)
{
    if (!is_part(c, part)) {
        return SL_NONE;
    }
    const sl__part *p = &c->parts.part[part];
    bool known = terminal >= 0 && terminal < p->kind->about.terminal_count;
    return known ? c->parts.node[p->node_at + terminal] : SL_NONE;
}

sl_status sl_circuit_add(sl_circuit *c, const sl_part_def *def, sl_part *out)
{
    if (def->name && sl__names_find(&c->panels.names, def->name) >= 0) {
        return sl__fail(&c->message, SL_E_NAME, "\"%s\": there is a panel of that name already",
                        def->name);
    }
    int32_t nodes = c->nodes.count;
    sl__node_finder finder = {c, find_or_make};
    sl_status st = sl__parts_add(&c->al, &c->parts, NULL, &finder, def, &c->message, out);
    if (st != SL_OK) {
        sl__names_truncate(&c->al, &c->nodes, nodes);
    }
    return st;
}

sl_origin sl__origin_of(const sl_param *param, double given, double used)
{
    if (!isnan(given)) {
        return SL_GIVEN;
    }
    if (isnan(used)) {
        return SL_NOT_SET;
    }
    const bool is_default = param->presence == SL_DEFAULT && used == param->fallback;
    return is_default ? SL_BY_DEFAULT : SL_WORKED_OUT;
}

sl_status sl_circuit_part_value(const sl_circuit *c, sl_part part, int32_t param, double *value,
                                sl_origin *origin)
{
    if (!is_part(c, part)) {
        return SL_E_ARG;
    }
    const sl__part *p = &c->parts.part[part];
    if (param < 0 || param >= p->kind->about.param_count) {
        return SL_E_ARG;
    }
    double given = c->parts.given[p->value_at + param];
    double used = c->parts.value[p->value_at + param];
    if (value) {
        *value = used;
    }
    if (origin) {
        *origin = sl__origin_of(&p->kind->about.params[param], given, used);
    }
    return SL_OK;
}

sl_status sl_circuit_set_reference(sl_circuit *c, sl_node node)
{
    if (node < 0 || node >= c->nodes.count) {
        return sl__fail(&c->message, SL_E_ARG, "the reference is not a node of the circuit");
    }
    c->reference = node;
    return SL_OK;
}

sl_node sl_circuit_reference(const sl_circuit *c)
{
    if (c->reference != SL_NONE) {
        return c->reference;
    }
    for (sl_part i = 0; i < c->parts.names.count; i++) {
        int32_t post = c->parts.part[i].kind->about.negative_post;
        if (post >= 0) {
            return sl_circuit_part_node(c, i, post);
        }
    }
    return SL_NONE;
}

sl_status sl_circuit_set_temperature(sl_circuit *c, double celsius)
{
    sl_status st = sl__temperature_check(celsius, &c->message);
    c->celsius = st == SL_OK ? celsius : c->celsius;
    return st;
}

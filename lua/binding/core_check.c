/* lua/binding/core_check.c: arguments from Lua to what the library takes; wrong ones raise. */
#include "core.h"

#include <math.h>
#include <string.h>

sl_node core_check_node(lua_State *L, const sl_circuit *circuit, int index)
{
    const char *name = luaL_checkstring(L, index);
    sl_node node = sl_circuit_find_node(circuit, name);
    if (node == SL_NONE) {
        luaL_error(L, "the circuit has no node '%s'", name);
    }
    return node;
}

sl_part core_check_part(lua_State *L, const sl_circuit *circuit, int index)
{
    const char *name = luaL_checkstring(L, index);
    sl_part part = sl_circuit_find_part(circuit, name);
    if (part == SL_NONE) {
        luaL_error(L, "the circuit has no part '%s'", name);
    }
    return part;
}

int32_t core_check_param(lua_State *L, const sl_kind *kind, int index)
{
    const char *name = luaL_checkstring(L, index);
    for (int32_t i = 0; i < kind->param_count; i++) {
        if (strcmp(kind->params[i].name, name) == 0) {
            return i;
        }
    }
    return luaL_error(L, "a %s has no field '%s'", kind->name, name);
}

int32_t core_check_element(lua_State *L, const sl_kind *kind, int index)
{
    const char *name = luaL_checkstring(L, index);
    for (int32_t i = 0; i < kind->element_count; i++) {
        if (strcmp(kind->elements[i].name, name) == 0) {
            return i;
        }
    }
    return luaL_error(L, "a %s has no element '%s'", kind->name, name);
}

/* The texts stay valid while the table at `first + 2` holds them. */
static void read_nodes(lua_State *L, int table, const sl_kind *kind, const char **nodes)
{
    for (int32_t i = 0; i < kind->terminal_count; i++) {
        nodes[i] = NULL;
        if (lua_getfield(L, table, kind->terminals[i].name) == LUA_TSTRING) {
            nodes[i] = lua_tostring(L, -1);
        }
        lua_pop(L, 1);
    }
}

void core_read_values(lua_State *L, int table, const sl_kind *kind, double *values)
{
    for (int32_t i = 0; i < kind->param_count; i++) {
        values[i] = NAN;
        if (lua_getfield(L, table, kind->params[i].name) != LUA_TNIL) {
            values[i] = luaL_checknumber(L, -1);
        }
        lua_pop(L, 1);
    }
}

/* Measured points, when the argument is there: a flat list of volts and amperes. */
static void read_points(lua_State *L, int list, sl_part_def *def)
{
    if (lua_isnoneornil(L, list)) {
        return;
    }
    luaL_checktype(L, list, LUA_TTABLE);
    lua_Unsigned count = lua_rawlen(L, list) / 2;
    luaL_argcheck(L, count <= 100000, list, "too many points");
    double *points = lua_newuserdatauv(L, (size_t)(2 * count + 1) * sizeof *points, 0);
    for (lua_Unsigned k = 0; k < 2 * count; k++) {
        lua_rawgeti(L, list, (lua_Integer)k + 1);
        points[k] = luaL_checknumber(L, -1);
        lua_pop(L, 1);
    }
    def->points = points;
    def->point_count = (int32_t)count;
}

void core_check_part_def(lua_State *L, int first, sl_part_def *def)
{
    *def = (sl_part_def){0};
    lua_settop(L, first + 4);
    def->kind = luaL_checkstring(L, first);
    def->name = luaL_checkstring(L, first + 1);
    luaL_checktype(L, first + 2, LUA_TTABLE);
    luaL_checktype(L, first + 3, LUA_TTABLE);
    const sl_kind *kind = sl_kind_find(def->kind);
    luaL_argcheck(L, kind, first, "unknown kind of part");
    size_t terminals = (size_t)kind->terminal_count;
    size_t params = (size_t)kind->param_count;
    const char **nodes = lua_newuserdatauv(L, (terminals + 1) * sizeof *nodes, 0);
    double *values = lua_newuserdatauv(L, (params + 1) * sizeof *values, 0);
    read_nodes(L, first + 2, kind, nodes);
    core_read_values(L, first + 3, kind, values);
    read_points(L, first + 4, def);
    def->nodes = nodes;
    def->values = values;
}

int32_t core_check_edit(lua_State *L, const sl_circuit *circuit, int first, sl_edit *edit)
{
    static const char *const changes[] = {"set", "open", "series", NULL};
    const sl_panel panel = sl_circuit_find_panel(circuit, luaL_checkstring(L, first));
    const sl_kind *kind = sl_kind_find("sheet");
    int32_t count = 1;
    if (panel == SL_NONE) {
        edit->part = core_check_part(L, circuit, first);
        kind = sl_circuit_part_kind(circuit, edit->part);
    } else {
        sl_circuit_panel_parts(circuit, panel, &edit->part, &count);
    }
    edit->change = (sl_change)luaL_checkoption(L, first + 1, NULL, changes);
    edit->index = -1;
    if (edit->change == SL_SET) {
        edit->index = core_check_param(L, kind, first + 2);
    } else if (!lua_isnoneornil(L, first + 2)) {
        edit->index = core_check_element(L, kind, first + 2);
    }
    edit->value = edit->change == SL_OPEN ? 0.0 : luaL_checknumber(L, first + 3);
    return count;
}

/* One entry of a list of edits, to *out. Returns how many parts it is meant for. */
static int32_t check_entry(lua_State *L, const sl_circuit *circuit, int list, lua_Integer at,
                           sl_edit *out)
{
    static const char *const keys[] = {"part", "change", "what", "value"};
    const int top = lua_gettop(L);
    lua_rawgeti(L, list, at);
    luaL_checktype(L, -1, LUA_TTABLE);
    for (size_t k = 0; k < sizeof keys / sizeof *keys; k++) {
        lua_getfield(L, top + 1, keys[k]);
    }
    const int32_t parts = core_check_edit(L, circuit, top + 2, out);
    lua_settop(L, top);
    return parts;
}

const sl_edit *core_check_edits(lua_State *L, const sl_circuit *circuit, int list, int32_t *count)
{
    const lua_Integer entries = (lua_Integer)lua_rawlen(L, list);
    luaL_argcheck(L, entries <= 10000, list, "too many edits");
    sl_edit edit;
    size_t all = 0, filled = 0;
    for (lua_Integer n = 1; n <= entries; n++) {
        all += (size_t)check_entry(L, circuit, list, n, &edit);
    }
    sl_edit *edits = lua_newuserdatauv(L, (all + 1) * sizeof *edits, 0);
    for (lua_Integer n = 1; n <= entries; n++) {
        int32_t left = check_entry(L, circuit, list, n, &edit);
        for (; left > 0; left--, edit.part++) {
            edits[filled++] = edit;
        }
    }
    *count = (int32_t)filled;
    return edits;
}

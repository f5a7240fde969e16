/* lua/binding/core.c: circuits, and the opening of the module. */
#include "core.h"

#include <string.h>

#include <math.h>

/* The library takes its memory from Lua, so limits and failure tests of Lua cover it. The allocator
   is asked for each time, because Lua may exchange it. While several threads run a sweep, Lua
   itself waits for them. */
void *core_resize(void *user, void *block, size_t old_bytes, size_t new_bytes)
{
    core_circuit *box = user;
    void *lua_user = NULL;
    pthread_mutex_lock(&box->lock);
    lua_Alloc allocate = lua_getallocf(box->main, &lua_user);
    void *given = allocate(lua_user, block, block ? old_bytes : 0, new_bytes);
    pthread_mutex_unlock(&box->lock);
    return given;
}

void core_release_circuit(core_circuit *box)
{
    if (box->closed && box->cases == 0 && box->circuit) {
        sl_circuit_free(box->circuit);
        box->circuit = NULL;
        pthread_mutex_destroy(&box->lock);
    }
}

core_circuit *core_check_circuit(lua_State *L, int index)
{
    core_circuit *box = luaL_checkudata(L, index, CORE_CIRCUIT);
    luaL_argcheck(L, box->circuit && !box->closed, index, "the circuit is closed");
    return box;
}

int core_fail(lua_State *L, sl_status status, const char *message)
{
    lua_pushnil(L);
    lua_pushstring(L, message && *message ? message : sl_status_text(status));
    lua_pushstring(L, sl_status_name(status));
    return 3;
}

int core_result(lua_State *L, sl_status status, const char *message)
{
    if (status < 0) {
        return core_fail(L, status, message);
    }
    lua_pushboolean(L, true);
    return 1;
}

void core_push_number(lua_State *L, double value)
{
    if (isnan(value)) {
        lua_pushnil(L);
    } else {
        lua_pushnumber(L, value);
    }
}

void core_set_number(lua_State *L, const char *key, double value)
{
    if (!isnan(value)) {
        lua_pushnumber(L, value);
        lua_setfield(L, -2, key);
    }
}

void core_set_integer(lua_State *L, const char *key, lua_Integer value)
{
    lua_pushinteger(L, value);
    lua_setfield(L, -2, key);
}

void core_set_text(lua_State *L, const char *key, const char *text)
{
    lua_pushstring(L, text ? text : "");
    lua_setfield(L, -2, key);
}

void core_set_flag(lua_State *L, const char *key, bool flag)
{
    lua_pushboolean(L, flag);
    lua_setfield(L, -2, key);
}

void core_push_origin(lua_State *L, sl_origin origin)
{
    static const char *const names[] = {"given",   "default",   "worked out",
                                        "not set", "condition", "fault"};
    lua_pushstring(L, names[origin]);
}

sl_condition core_check_condition(lua_State *L, const sl_circuit *circuit, int index)
{
    const char *name = luaL_checkstring(L, index);
    sl_condition condition = sl_circuit_find_condition(circuit, name);
    if (condition == SL_NONE) {
        luaL_error(L, "the circuit has no condition '%s'", name);
    }
    return condition;
}

/* core.circuit() -> circuit */
static int new_circuit(lua_State *L)
{
    core_circuit *box = lua_newuserdatauv(L, sizeof *box, 0);
    *box = (core_circuit){.crowd = 64};
    luaL_setmetatable(L, CORE_CIRCUIT);
    lua_rawgeti(L, LUA_REGISTRYINDEX, LUA_RIDX_MAINTHREAD);
    box->main = lua_tothread(L, -1);
    lua_pop(L, 1);
    sl_alloc alloc = {core_resize, box};
    pthread_mutex_init(&box->lock, NULL);
    sl_status status = sl_circuit_new(&alloc, &box->circuit);
    if (status < 0) {
        pthread_mutex_destroy(&box->lock);
        return core_fail(L, status, NULL);
    }
    return 1;
}

static int free_circuit(lua_State *L)
{
    core_circuit *box = luaL_checkudata(L, 1, CORE_CIRCUIT);
    box->closed = true;
    core_release_circuit(box);
    return 0;
}

/* circuit:add(kind, name, nodes by terminal, values by parameter [, points]) -> true */
static int add_part(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    sl_part_def def;
    sl_part part;
    core_check_part_def(L, 2, &def);
    sl_status status = sl_circuit_add(box->circuit, &def, &part);
    return core_result(L, status, sl_circuit_message(box->circuit));
}

/* circuit:set_reference(node) -> true */
static int set_reference(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    sl_node node = core_check_node(L, box->circuit, 2);
    sl_status status = sl_circuit_set_reference(box->circuit, node);
    return core_result(L, status, sl_circuit_message(box->circuit));
}

/* circuit:reference() -> node or nil */
static int reference(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    sl_node node = sl_circuit_reference(box->circuit);
    if (node == SL_NONE) {
        return 0;
    }
    lua_pushstring(L, sl_circuit_node_name(box->circuit, node));
    return 1;
}

/* circuit:set_temperature(celsius) -> true */
static int set_temperature(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    sl_status status = sl_circuit_set_temperature(box->circuit, luaL_checknumber(L, 2));
    return core_result(L, status, sl_circuit_message(box->circuit));
}

/* circuit:add_condition(name) -> true */
static int add_condition(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    sl_condition condition;
    sl_status status = sl_circuit_add_condition(box->circuit, luaL_checkstring(L, 2), &condition);
    return core_result(L, status, sl_circuit_message(box->circuit));
}

/* circuit:edit(condition, part, "set" | "open" | "series", what, value) -> true */
static int edit_condition(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    sl_condition condition = core_check_condition(L, box->circuit, 2);
    sl_edit edit;
    sl_status status = SL_OK;
    for (int32_t left = core_check_edit(L, box->circuit, 3, &edit); left > 0 && status >= 0;
         left--) {
        status = sl_condition_edit(box->circuit, condition, &edit);
        edit.part++;
    }
    return core_result(L, status, sl_circuit_message(box->circuit));
}

/* circuit:condition_temperature(condition, celsius) -> true */
static int condition_temperature(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    sl_condition condition = core_check_condition(L, box->circuit, 2);
    double celsius = luaL_checknumber(L, 3);
    sl_status status = sl_condition_set_temperature(box->circuit, condition, celsius);
    return core_result(L, status, sl_circuit_message(box->circuit));
}

/* circuit:condition_engine_speed(condition, rpm) -> true */
static int condition_engine_speed(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    sl_condition condition = core_check_condition(L, box->circuit, 2);
    double rpm = luaL_checknumber(L, 3);
    sl_status status = sl_condition_set_engine_speed(box->circuit, condition, rpm);
    return core_result(L, status, sl_circuit_message(box->circuit));
}

/* circuit:condition_after(condition, earlier condition) -> true */
static int condition_after(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    sl_condition condition = core_check_condition(L, box->circuit, 2);
    sl_condition before = core_check_condition(L, box->circuit, 3);
    sl_status status = sl_condition_after(box->circuit, condition, before);
    return core_result(L, status, sl_circuit_message(box->circuit));
}

/* circuit:part_value(part, parameter) -> number or nil, origin */
static int part_value(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    sl_part part = core_check_part(L, box->circuit, 2);
    int32_t param = core_check_param(L, sl_circuit_part_kind(box->circuit, part), 3);
    double value = NAN;
    sl_origin origin = SL_NOT_SET;
    sl_status status = sl_circuit_part_value(box->circuit, part, param, &value, &origin);
    if (status < 0) {
        return core_fail(L, status, sl_circuit_message(box->circuit));
    }
    core_push_number(L, value);
    core_push_origin(L, origin);
    return 2;
}

/* circuit:part_node(part, terminal counted from 1) -> node */
static int part_node(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    sl_part part = core_check_part(L, box->circuit, 2);
    lua_Integer terminal = luaL_checkinteger(L, 3);
    int32_t count = sl_circuit_part_kind(box->circuit, part)->terminal_count;
    luaL_argcheck(L, terminal >= 1 && terminal <= count, 3, "no such terminal");
    sl_node node = sl_circuit_part_node(box->circuit, part, (int32_t)terminal - 1);
    lua_pushstring(L, sl_circuit_node_name(box->circuit, node));
    return 1;
}

/* circuit:feed() -> the node that feeds come from */
static int feed(lua_State *L)
{
    const sl_circuit *circuit = core_check_circuit(L, 1)->circuit;
    sl_node node = SL_NONE;
    sl_status status = sl_circuit_find_feed(circuit, &node);
    if (status < 0) {
        return core_fail(L, status, NULL);
    }
    lua_pushstring(L, sl_circuit_node_name(circuit, node));
    return 1;
}

/* A list of names. */
static int push_names(lua_State *L, const sl_circuit *circuit, int32_t count,
                      const char *(*name)(const sl_circuit *, int32_t))
{
    lua_createtable(L, count, 0);
    for (int32_t i = 0; i < count; i++) {
        lua_pushstring(L, name(circuit, i));
        lua_rawseti(L, -2, i + 1);
    }
    return 1;
}

/* circuit:nodes(), circuit:parts(), circuit:conditions() -> list of names */
static int node_names(lua_State *L)
{
    const sl_circuit *circuit = core_check_circuit(L, 1)->circuit;
    return push_names(L, circuit, sl_circuit_node_count(circuit), sl_circuit_node_name);
}

static int part_names(lua_State *L)
{
    const sl_circuit *circuit = core_check_circuit(L, 1)->circuit;
    return push_names(L, circuit, sl_circuit_part_count(circuit), sl_circuit_part_name);
}

static int condition_names(lua_State *L)
{
    const sl_circuit *circuit = core_check_circuit(L, 1)->circuit;
    return push_names(L, circuit, sl_circuit_condition_count(circuit), sl_circuit_condition_name);
}

/* circuit:has_node(name), circuit:has_part(name) -> boolean */
static int has_node(lua_State *L)
{
    const sl_circuit *circuit = core_check_circuit(L, 1)->circuit;
    lua_pushboolean(L, sl_circuit_find_node(circuit, luaL_checkstring(L, 2)) != SL_NONE);
    return 1;
}

static int has_part(lua_State *L)
{
    const sl_circuit *circuit = core_check_circuit(L, 1)->circuit;
    const char *name = luaL_checkstring(L, 2);
    lua_pushboolean(L, sl_circuit_find_part(circuit, name) != SL_NONE ||
                           sl_circuit_find_panel(circuit, name) != SL_NONE);
    return 1;
}

/* circuit:reach(node) -> "test point" | "unused" | "inside" */
static int reach(lua_State *L)
{
    static const char *const names[] = {"test point", "unused", "inside"};
    const sl_circuit *circuit = core_check_circuit(L, 1)->circuit;
    lua_pushstring(L, names[sl_circuit_node_reach(circuit, core_check_node(L, circuit, 2))]);
    return 1;
}

/* circuit:lacks(part, "element" | "mode", name) -> boolean; false for a panel */
static int lacks(lua_State *L)
{
    static const char *const of[] = {"element", "mode", NULL};
    const sl_circuit *circuit = core_check_circuit(L, 1)->circuit;
    const sl_part part = sl_circuit_find_part(circuit, luaL_checkstring(L, 2));
    const sl_kind *kind = sl_circuit_part_kind(circuit, part);
    const bool element = luaL_checkoption(L, 3, NULL, of) == 0;
    const char *name = luaL_checkstring(L, 4);
    const int32_t count = !kind ? 0 : element ? kind->element_count : kind->mode_count;
    int32_t at = 0;
    while (at < count &&
           strcmp(name, element ? kind->elements[at].name : kind->modes[at].name) != 0) {
        at++;
    }
    lua_pushboolean(L, at < count &&
                           sl_circuit_part_lacks(circuit, part,
                                                 element ? SL_LACKS_ELEMENT : SL_LACKS_MODE, at));
    return 1;
}

static int version(lua_State *L)
{
    lua_pushstring(L, sl_version());
    return 1;
}

static const luaL_Reg circuit_methods[] = {
    {"add", add_part},
    {"add_panel", core_add_panel},
    {"set_reference", set_reference},
    {"reference", reference},
    {"set_temperature", set_temperature},
    {"add_condition", add_condition},
    {"edit", edit_condition},
    {"condition_temperature", condition_temperature},
    {"condition_engine_speed", condition_engine_speed},
    {"condition_after", condition_after},
    {"part_value", part_value},
    {"set_spread", core_set_spread},
    {"spread", core_spread},
    {"part_node", part_node},
    {"feed", feed},
    {"nodes", node_names},
    {"parts", part_names},
    {"conditions", condition_names},
    {"has_node", has_node},
    {"has_part", has_part},
    {"reach", reach},
    {"lacks", lacks},
    {"case", core_new_case},
    {"size", core_size},
    {"sweep", core_new_sweep},
    {"sneaks", core_sneaks},
    {"close", free_circuit},
    {NULL, NULL},
};

static const luaL_Reg functions[] = {
    {"circuit", new_circuit},
    {"kind", core_kind},
    {"kind_names", core_kind_names},
    {"kind_spread", core_kind_spread},
    {"fenced", core_fenced},
    {"multimeter", core_multimeter},
    {"shown", core_shown},
    {"limit_sets", core_limit_sets},
    {"fuse_band", core_fuse_band},
    {"version", version},
    {NULL, NULL},
};

void core_set_class(lua_State *L, const char *name, const luaL_Reg *methods, lua_CFunction free)
{
    luaL_newmetatable(L, name);
    lua_newtable(L);
    luaL_setfuncs(L, methods, 0);
    lua_setfield(L, -2, "__index");
    lua_pushcfunction(L, free);
    lua_setfield(L, -2, "__gc");
    lua_pushcfunction(L, free);
    lua_setfield(L, -2, "__close");
    lua_pop(L, 1);
}

int luaopen_strapline_core(lua_State *L)
{
    luaL_checkversion(L);
    core_set_class(L, CORE_CIRCUIT, circuit_methods, free_circuit);
    core_open_case(L);
    core_open_sweep(L);
    core_open_band(L);
    luaL_newlib(L, functions);
    return 1;
}

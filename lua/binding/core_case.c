/* lua/binding/core_case.c: cases and their answers. */
#include "core.h"

#include <math.h>

#define NOTICE_ROOM 8

core_case *core_check_case(lua_State *L, int index)
{
    core_case *box = luaL_checkudata(L, index, CORE_CASE);
    luaL_argcheck(L, box->cs && !box->closed, index, "the case is closed");
    return box;
}

void core_release_case(core_case *box)
{
    if (box->closed && box->lent == 0 && box->cs) {
        sl_case_free(box->cs);
        box->cs = NULL;
        box->owner->cases--;
        core_release_circuit(box->owner);
    }
}

static int free_case(lua_State *L)
{
    core_case *box = luaL_checkudata(L, 1, CORE_CASE);
    box->closed = true;
    core_release_case(box);
    return 0;
}

/* Lua does not see how much memory a case holds; when many are alive, it is told to look for those
   nobody uses. */
static void thin_out(lua_State *L, core_circuit *owner)
{
    if (owner->cases >= owner->crowd) {
        lua_gc(L, LUA_GCCOLLECT);
        owner->crowd = owner->cases < 32 ? 64 : 2 * owner->cases;
    }
}

int core_new_case(lua_State *L)
{
    core_circuit *owner = core_check_circuit(L, 1);
    sl_condition condition = 0;
    if (!lua_isnoneornil(L, 2)) {
        const char *name = luaL_checkstring(L, 2);
        condition = sl_circuit_find_condition(owner->circuit, name);
        if (condition == SL_NONE) {
            return luaL_error(L, "the circuit has no condition '%s'", name);
        }
    }
    thin_out(L, owner);
    core_case *box = lua_newuserdatauv(L, sizeof *box, 1);
    *box = (core_case){.owner = owner};
    luaL_setmetatable(L, CORE_CASE);
    lua_pushvalue(L, 1);
    lua_setiuservalue(L, -2, 1);
    sl_status status = sl_case_new(owner->circuit, condition, &box->cs);
    if (status < 0) {
        return core_fail(L, status, NULL);
    }
    owner->cases++;
    return 1;
}

/* case:edit(part, "set" | "open" | "series", what, value) -> true */
static int edit_case(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    sl_edit edit;
    sl_status status = SL_OK;
    int32_t left = core_check_edit(L, box->owner->circuit, 2, &edit);
    for (; left > 0 && status >= 0; left--) {
        status = sl_case_edit(box->cs, &edit, 1);
        edit.part++;
    }
    return core_result(L, status, sl_case_message(box->cs));
}

static int clear_case(lua_State *L)
{
    sl_case_clear(core_check_case(L, 1)->cs);
    return 0;
}

/* case:attach(kind, name, nodes by terminal, values by parameter) -> number of the part */
static int attach(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    sl_part_def def;
    sl_part part;
    core_check_part_def(L, 2, &def);
    sl_status status = sl_case_attach(box->cs, &def, &part);
    if (status < 0) {
        return core_fail(L, status, sl_case_message(box->cs));
    }
    lua_pushinteger(L, part + 1);
    return 1;
}

/* case:solve() -> true */
static int solve(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    return core_result(L, sl_case_solve(box->cs), sl_case_message(box->cs));
}

/* case:outcome() -> "settled" | "timing" | "chatters", period in s */
static int outcome(lua_State *L)
{
    static const char *const names[] = {"settled", "timing", "chatters"};
    core_case *box = core_check_case(L, 1);
    lua_pushstring(L, names[sl_case_outcome(box->cs)]);
    lua_pushnumber(L, sl_case_period_s(box->cs));
    return 2;
}

/* case:view(1 | 2) -> true: which end of a chatter the answers speak of */
static int view(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    lua_Integer end = luaL_checkinteger(L, 2);
    luaL_argcheck(L, end == 1 || end == 2, 2, "1 or 2");
    return core_result(L, sl_case_view(box->cs, (int32_t)end - 1), sl_case_message(box->cs));
}

/* case:between(red, black) -> volts, or nil where nothing joins the two */
static int between(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    sl_node red = core_check_node(L, box->owner->circuit, 2);
    sl_node black = core_check_node(L, box->owner->circuit, 3);
    double volts = NAN;
    sl_case_between(box->cs, red, black, &volts);
    core_push_number(L, volts);
    return 1;
}

/* The number of a part given by its number or its name. */
static sl_part check_any_part(lua_State *L, const core_case *box, int index)
{
    if (lua_isinteger(L, index)) {
        return (sl_part)(lua_tointeger(L, index) - 1);
    }
    return core_check_part(L, box->owner->circuit, index);
}

/* case:current(part) -> amperes into the first terminal, or nil where not defined */
static int current(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    sl_part_answer answer = {.current_a = NAN};
    sl_status status = sl_case_part(box->cs, check_any_part(L, box, 2), &answer);
    if (status < 0) {
        return core_fail(L, status, sl_case_message(box->cs));
    }
    core_push_number(L, answer.current_a);
    return 1;
}

/* case:value(part, parameter) -> the value this case uses or nil, origin */
/* The parts of a panel have the values of its metal in common: the first of them tells those. */
static sl_part part_or_panel(lua_State *L, const sl_circuit *circuit, int index)
{
    const sl_panel panel = sl_circuit_find_panel(circuit, luaL_checkstring(L, index));
    if (panel == SL_NONE) {
        return core_check_part(L, circuit, index);
    }
    sl_part part;
    int32_t count;
    sl_circuit_panel_parts(circuit, panel, &part, &count);
    return part;
}

static int value(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    sl_part part = part_or_panel(L, box->owner->circuit, 2);
    int32_t param = core_check_param(L, sl_circuit_part_kind(box->owner->circuit, part), 3);
    double result = NAN;
    sl_origin origin = SL_NOT_SET;
    sl_status status = sl_case_part_value(box->cs, part, param, &result);
    if (status < 0 || (status = sl_case_part_origin(box->cs, part, param, &origin)) < 0) {
        return core_fail(L, status, sl_case_message(box->cs));
    }
    core_push_number(L, result);
    core_push_origin(L, origin);
    return 2;
}

void core_file_entry(lua_State *L, int32_t index, const char *name)
{
    lua_pushstring(L, name);
    lua_pushvalue(L, -1);
    lua_setfield(L, -3, "name");
    lua_pushvalue(L, -2);
    lua_rawset(L, -4);
    lua_rawseti(L, -2, index + 1);
}

static void push_nodes(lua_State *L, const core_case *box)
{
    const sl_circuit *circuit = box->owner->circuit;
    int32_t count = sl_circuit_node_count(circuit);
    lua_createtable(L, count, count);
    for (int32_t i = 0; i < count; i++) {
        double volts = NAN;
        sl_status status = sl_case_node(box->cs, i, &volts);
        lua_createtable(L, 0, 3);
        core_set_number(L, "voltage", volts);
        lua_pushboolean(L, status == SL_W_FLOATING);
        lua_setfield(L, -2, "floating");
        core_file_entry(L, i, sl_circuit_node_name(circuit, i));
    }
}

static void push_elements(lua_State *L, const core_case *box, sl_part part, const sl_kind *kind)
{
    int32_t entries = 0;
    lua_createtable(L, kind->element_count, kind->element_count);
    for (int32_t i = 0; i < kind->element_count; i++) {
        double amperes = NAN, volts = NAN;
        if (sl_case_part_lacks(box->cs, part, SL_LACKS_ELEMENT, i)) {
            continue;
        }
        sl_case_element(box->cs, part, i, &amperes, &volts);
        lua_createtable(L, 0, 3);
        core_set_number(L, "current", amperes);
        core_set_number(L, "drop", volts);
        core_file_entry(L, entries++, kind->elements[i].name);
    }
}

/* Notices as {name, value}; their texts are in the kind's description. */
static void push_notices(lua_State *L, const core_case *box, sl_part part, const sl_kind *kind)
{
    sl_notice notices[NOTICE_ROOM];
    int32_t count = kind->notice_count ? sl_case_notices(box->cs, part, notices, NOTICE_ROOM) : 0;
    count = count < NOTICE_ROOM ? count : NOTICE_ROOM;
    lua_createtable(L, count, 0);
    for (int32_t i = 0; i < count; i++) {
        lua_createtable(L, 0, 2);
        lua_pushstring(L, kind->notices[notices[i].index].name);
        lua_setfield(L, -2, "name");
        core_set_number(L, "value", notices[i].value);
        lua_rawseti(L, -2, i + 1);
    }
}

/* case:notices(part or its number, kind) -> list of {name, value} */
static int list_notices(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    const sl_kind *kind = sl_kind_find(luaL_checkstring(L, 3));
    luaL_argcheck(L, kind, 3, "unknown kind of part");
    push_notices(L, box, check_any_part(L, box, 2), kind);
    return 1;
}

static void push_part(lua_State *L, const core_case *box, sl_part part)
{
    const sl_kind *kind = sl_circuit_part_kind(box->owner->circuit, part);
    sl_part_answer answer = {NAN, NAN, NAN, -1, false};
    sl_case_part(box->cs, part, &answer);
    lua_createtable(L, 0, 9);
    lua_pushstring(L, kind->name);
    lua_setfield(L, -2, "kind");
    core_set_number(L, "current", answer.current_a);
    core_set_number(L, "drop", answer.drop_v);
    core_set_number(L, "power", answer.power_w);
    lua_pushboolean(L, answer.chatters);
    lua_setfield(L, -2, "chatters");
    if (answer.state >= 0 && answer.state < kind->state_count) {
        lua_pushstring(L, kind->states[answer.state]);
        lua_setfield(L, -2, "state");
    }
    push_elements(L, box, part, kind);
    lua_setfield(L, -2, "elements");
    push_notices(L, box, part, kind);
    lua_setfield(L, -2, "notices");
}

/* A panel stands for its parts. */
static void push_parts(lua_State *L, const core_case *box)
{
    const sl_circuit *circuit = box->owner->circuit;
    int32_t count = sl_circuit_part_count(circuit), entries = 0;
    lua_createtable(L, count, count);
    for (sl_part part = 0; part < count; part++) {
        if (sl_circuit_part_panel(circuit, part) == SL_NONE) {
            push_part(L, box, part);
            core_file_entry(L, entries++, sl_circuit_part_name(circuit, part));
        }
    }
    for (sl_panel panel = 0; panel < sl_circuit_panel_count(circuit); panel++) {
        core_push_panel(L, box, panel);
        core_file_entry(L, entries++, sl_circuit_panel_name(circuit, panel));
    }
}

static void push_quality(lua_State *L, const core_case *box)
{
    sl_quality quality;
    sl_case_quality(box->cs, &quality);
    lua_createtable(L, 0, 5);
    lua_pushnumber(L, quality.residual);
    lua_setfield(L, -2, "residual");
    lua_pushnumber(L, quality.power_balance);
    lua_setfield(L, -2, "power_balance");
    if (quality.worst != SL_NONE) {
        lua_pushstring(L, sl_circuit_node_name(box->owner->circuit, quality.worst));
        lua_setfield(L, -2, "worst");
    }
    lua_pushinteger(L, quality.iterations);
    lua_setfield(L, -2, "iterations");
    lua_pushinteger(L, quality.flips);
    lua_setfield(L, -2, "flips");
}

/* case:answer() -> {nodes, parts, quality}; only after a solve that succeeded */
static int answer(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    lua_createtable(L, 0, 12);
    push_nodes(L, box);
    lua_setfield(L, -2, "nodes");
    push_parts(L, box);
    lua_setfield(L, -2, "parts");
    push_quality(L, box);
    lua_setfield(L, -2, "quality");
    return 1;
}

static const luaL_Reg methods[] = {
    {"edit", edit_case},   {"clear", clear_case},     {"attach", attach},
    {"solve", solve},      {"outcome", outcome},      {"view", view},
    {"between", between},  {"current", current},      {"value", value},
    {"answer", answer},    {"close", free_case},      {"notices", list_notices},
    {"loads", core_loads}, {"path", core_path},       {"way", core_way},
    {"cuts", core_cuts},   {"effects", core_effects}, {"band", core_new_band},
    {NULL, NULL},
};

void core_open_case(lua_State *L)
{
    core_set_class(L, CORE_CASE, methods, free_case);
    luaL_getmetatable(L, CORE_CASE);
    lua_getfield(L, -1, "__index");
    luaL_setfuncs(L, core_instrument_methods, 0);
    lua_pop(L, 2);
}

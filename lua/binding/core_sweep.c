/* lua/binding/core_sweep.c: sweeps put together. */
#include "core_sweep.h"

#include <math.h>
#include <string.h>

core_sweep *core_check_sweep(lua_State *L, int index)
{
    core_sweep *box = luaL_checkudata(L, index, CORE_SWEEP);
    luaL_argcheck(L, box->sweep, index, "the sweep is closed");
    return box;
}

/* A sweep that nothing has been run of: it can still change. */
static core_sweep *check_open(lua_State *L)
{
    core_sweep *box = core_check_sweep(L, 1);
    luaL_argcheck(L, !box->started, 1, "the sweep has been run: it cannot change any more");
    return box;
}

static int free_sweep(lua_State *L)
{
    core_sweep *box = luaL_checkudata(L, 1, CORE_SWEEP);
    for (int k = 0; box->sweep && k < CORE_THREADS_MOST; k++) {
        sl_sweeper_free(box->sweeper[k]);
        sl_contrast_free(box->contrast[k]);
        core_free_rows(&box->rows[k]);
    }
    if (box->sweep) {
        sl_sweep_free(box->sweep);
        box->sweep = NULL;
        box->owner->cases--;
        core_release_circuit(box->owner);
    }
    return 0;
}

int core_new_sweep(lua_State *L)
{
    core_circuit *owner = core_check_circuit(L, 1);
    core_sweep *box = lua_newuserdatauv(L, sizeof *box, 1);
    memset(box, 0, sizeof *box);
    box->owner = owner;
    for (int k = 0; k < CORE_THREADS_MOST; k++) {
        box->rows[k].owner = owner;
    }
    luaL_setmetatable(L, CORE_SWEEP);
    lua_pushvalue(L, 1);
    lua_setiuservalue(L, -2, 1);
    sl_status status = sl_sweep_new(owner->circuit, &box->sweep);
    if (status < 0) {
        return core_fail(L, status, NULL);
    }
    owner->cases++;
    return 1;
}

static int result(lua_State *L, const core_sweep *box, sl_status status)
{
    return core_result(L, status, sl_sweep_message(box->sweep));
}

/* sweep:condition(name) -> true */
static int add_condition(lua_State *L)
{
    core_sweep *box = check_open(L);
    const char *name = luaL_checkstring(L, 2);
    sl_condition condition = sl_circuit_find_condition(box->owner->circuit, name);
    if (condition == SL_NONE) {
        return luaL_error(L, "the circuit has no condition '%s'", name);
    }
    return result(L, box, sl_sweep_add_condition(box->sweep, condition));
}

/* sweep:modes(part, severities) -> true */
static int add_modes(lua_State *L)
{
    core_sweep *box = check_open(L);
    sl_part part = core_check_part(L, box->owner->circuit, 2);
    lua_Integer severities = luaL_checkinteger(L, 3);
    luaL_argcheck(L, severities >= 1 && severities <= 1000, 3, "1 to 1000");
    return result(L, box, sl_sweep_add_modes(box->sweep, part, (int32_t)severities));
}

/* sweep:edits(name, { { part =, change =, what =, value = }, ... }) -> true */
static int add_edits(lua_State *L)
{
    core_sweep *box = check_open(L);
    const char *name = luaL_checkstring(L, 2);
    luaL_checktype(L, 3, LUA_TTABLE);
    int32_t count = 0;
    const sl_edit *edits = core_check_edits(L, box->owner->circuit, 3, &count);
    return result(L, box, sl_sweep_add_edits(box->sweep, name, edits, count));
}

/* sweep:leak(node, to, ohm) -> true */
static int add_leak(lua_State *L)
{
    core_sweep *box = check_open(L);
    sl_node node = core_check_node(L, box->owner->circuit, 2);
    sl_node to = core_check_node(L, box->owner->circuit, 3);
    return result(L, box, sl_sweep_add_leak(box->sweep, node, to, luaL_checknumber(L, 4)));
}

/* The node of argument `arg`, or that of the second terminal of the part. */
static sl_node end_of(lua_State *L, const sl_circuit *circuit, sl_part part, int arg)
{
    return lua_isnoneornil(L, arg) ? sl_circuit_part_node(circuit, part, 1)
                                   : core_check_node(L, circuit, arg);
}

/* sweep:swap(part, other [, node, to]) -> true: at their second ends, or at these nodes */
static int add_swap(lua_State *L)
{
    core_sweep *box = check_open(L);
    const sl_circuit *circuit = box->owner->circuit;
    const sl_part part = core_check_part(L, circuit, 2), other = core_check_part(L, circuit, 3);
    const sl_node node = end_of(L, circuit, part, 4), to = end_of(L, circuit, other, 5);
    return result(L, box, sl_sweep_add_swap(box->sweep, part, node, other, to));
}

/* sweep:swaps(part) -> true */
static int add_swaps(lua_State *L)
{
    core_sweep *box = check_open(L);
    const sl_part part = core_check_part(L, box->owner->circuit, 2);
    return result(L, box, sl_sweep_add_swaps(box->sweep, part));
}

/* sweep:reading(quantity, of [, group [, second]]) -> true: `of` is the red node or a part,
   `second` the black node or an element; groups count from 1. */
static int add_reading(lua_State *L)
{
    static const char *const names[] = {"voltage", "current",         "drop",         "power",
                                        "state",   "element current", "element drop", NULL};
    core_sweep *box = check_open(L);
    const sl_circuit *circuit = box->owner->circuit;
    sl_sweep_reading reading = {SL_SWEEP_VOLTAGE, 0, 0, 0};
    reading.quantity = (sl_sweep_quantity)luaL_checkoption(L, 2, NULL, names);
    lua_Integer group = luaL_optinteger(L, 4, 1);
    luaL_argcheck(L, group >= 1 && group <= SL_SWEEP_GROUPS, 4, "1 to 4");
    reading.group = (int32_t)group - 1;
    if (reading.quantity == SL_SWEEP_VOLTAGE) {
        reading.a = core_check_node(L, circuit, 3);
        reading.b = core_check_node(L, circuit, 5);
    } else {
        reading.a = core_check_part(L, circuit, 3);
    }
    if (reading.quantity >= SL_SWEEP_ELEMENT_CURRENT) {
        reading.b = core_check_element(L, sl_circuit_part_kind(circuit, reading.a), 5);
    }
    return result(L, box, sl_sweep_add_reading(box->sweep, &reading));
}

/* sweep:pairs(whether) */
static int set_pairs(lua_State *L)
{
    core_sweep *box = check_open(L);
    sl_sweep_set_pairs(box->sweep, lua_toboolean(L, 2));
    return 0;
}

/* sweep:count() -> cases, cases of each condition */
static int count(lua_State *L)
{
    core_sweep *box = core_check_sweep(L, 1);
    lua_pushinteger(L, sl_sweep_case_count(box->sweep));
    lua_pushinteger(L, sl_sweep_condition_cases(box->sweep));
    return 2;
}

static void push_fault(lua_State *L, const sl_circuit *circuit, const sl_fault *fault)
{
    static const char *const types[] = {"given", "mode", "leak", "swapped"};
    lua_createtable(L, 0, 5);
    core_set_text(L, "type", types[fault->type]);
    if (fault->name) {
        core_set_text(L, "name", fault->name);
    }
    if (fault->part != SL_NONE) {
        core_set_text(L, "part", sl_circuit_part_name(circuit, fault->part));
    }
    if (fault->mode >= 0) {
        core_set_text(L, "mode",
                      sl_circuit_part_kind(circuit, fault->part)->modes[fault->mode].name);
    }
    if (fault->other != SL_NONE) {
        core_set_text(L, "other", sl_circuit_part_name(circuit, fault->other));
    }
    if (fault->node != SL_NONE) {
        core_set_text(L, "node", sl_circuit_node_name(circuit, fault->node));
        core_set_text(L, "to", sl_circuit_node_name(circuit, fault->to));
    }
    lua_pushnumber(L, fault->value);
    lua_setfield(L, -2, "value");
}

/* sweep:faults() -> list of { type, name, part, mode, other, node, to, value } */
static int faults(lua_State *L)
{
    core_sweep *box = core_check_sweep(L, 1);
    int32_t all = sl_sweep_fault_count(box->sweep);
    lua_createtable(L, all, 0);
    for (int32_t k = 0; k < all; k++) {
        sl_fault fault;
        sl_sweep_fault_at(box->sweep, k, &fault);
        push_fault(L, box->owner->circuit, &fault);
        lua_rawseti(L, -2, k + 1);
    }
    return 1;
}

static const luaL_Reg methods[] = {
    {"condition", add_condition},
    {"modes", add_modes},
    {"edits", add_edits},
    {"leak", add_leak},
    {"swap", add_swap},
    {"swaps", add_swaps},
    {"reading", add_reading},
    {"pairs", set_pairs},
    {"count", count},
    {"faults", faults},
    {"run", core_run_sweep},
    {"fill", core_fill_sweep},
    {"contrast", core_contrast_sweep},
    {"stats", core_sweep_stats},
    {"close", free_sweep},
    {NULL, NULL},
};

void core_open_sweep(lua_State *L)
{
    core_set_class(L, CORE_SWEEP, methods, free_sweep);
}

/* lua/binding/core_size.c: sizing of conductors. What is not defined is nil. */
#include "core.h"

#include <math.h>

/* What fails a size, as a list of words. */
static void set_fails(lua_State *L, uint32_t fails)
{
    static const char *const words[] = {"drop", "heat", "fuse", "short", "off"};
    lua_newtable(L);
    lua_Integer count = 0;
    for (uint32_t n = 0; n < sizeof words / sizeof *words; n++) {
        if (fails & 1u << n) {
            lua_pushstring(L, words[n]);
            lua_rawseti(L, -2, ++count);
        }
    }
    lua_setfield(L, -2, "fails");
}

static void push_row(lua_State *L, const sl_size_row *row)
{
    lua_createtable(L, 0, 9);
    core_set_number(L, "size", row->mm2);
    if (row->gauge != SL_NO_GAUGE) {
        lua_pushinteger(L, row->gauge);
        lua_setfield(L, -2, "gauge");
    }
    core_set_number(L, "current", row->current_a);
    core_set_number(L, "drop", row->drop_v);
    core_set_number(L, "ampacity", row->ampacity_a);
    core_set_number(L, "temperature", row->celsius);
    core_set_number(L, "seconds", row->seconds);
    core_set_number(L, "short_current", row->short_a);
    set_fails(L, row->fails);
}

static void set_rows(lua_State *L, const sl_size *size)
{
    lua_createtable(L, size->row_count, 0);
    for (int32_t n = 0; n < size->row_count; n++) {
        push_row(L, &size->row[n]);
        lua_rawseti(L, -2, n + 1);
    }
    if (size->best_mm2 >= 0) {
        lua_rawgeti(L, -1, size->best_mm2 + 1);
        lua_setfield(L, -3, "best");
    }
    if (size->best_gauge >= 0) {
        lua_rawgeti(L, -1, size->best_gauge + 1);
        lua_setfield(L, -3, "best_gauge");
    }
    lua_setfield(L, -2, "rows");
    push_row(L, &size->present);
    lua_setfield(L, -2, "present");
}

static void push_size(lua_State *L, const sl_circuit *circuit, const sl_size *size)
{
    lua_createtable(L, 0, 20);
    const sl_kind *kind = sl_circuit_part_kind(circuit, size->load);
    core_set_text(L, "load", sl_circuit_part_name(circuit, size->load));
    if (kind->element_count > 1) {
        core_set_text(L, "element", kind->elements[size->element].name);
    }
    core_set_text(L, "side", size->side == SL_FEED_SIDE ? "feed" : "return");
    core_set_number(L, "length", size->length_m);
    core_set_number(L, "run_length", size->run_m);
    core_set_number(L, "run_allowed", size->run_v);
    core_set_number(L, "shared_length", size->shared_m);
    core_set_number(L, "shared_drop", size->shared_v);
    core_set_number(L, "allowed", size->allowed_v);
    core_set_number(L, "nominal", size->nominal_v);
    core_set_number(L, "limit_temperature", size->limit_c);
    core_set_number(L, "duty", size->duty_s);
    core_set_number(L, "air", size->air_c);
    if (size->fuse != SL_NONE) {
        core_set_text(L, "fuse", sl_circuit_part_name(circuit, size->fuse));
        core_set_number(L, "fuse_rating", size->fuse_a);
        core_set_number(L, "fuses", size->fuses);
        core_set_number(L, "fuses_together", size->fuses_a);
    }
    core_push_limit(L, size->limit);
    lua_setfield(L, -2, "limit");
    core_set_number(L, "by_rule",
                    sl_size_by_rule(size->present.current_a, size->length_m, size->allowed_v));
    set_rows(L, size);
}

/* A number field of the table at `index`, NaN when it is not there. */
static double field(lua_State *L, int index, const char *key)
{
    lua_getfield(L, index, key);
    const double value = luaL_optnumber(L, -1, (double)NAN);
    lua_pop(L, 1);
    return value;
}

/* circuit:size(condition, part, edits, {drop =, part =, set =}) -> sizes; or nil, message, code */
int core_size(lua_State *L)
{
    const core_circuit *box = core_check_circuit(L, 1);
    const sl_condition condition = sl_circuit_find_condition(box->circuit, luaL_checkstring(L, 2));
    luaL_argcheck(L, condition != SL_NONE, 2, "no such condition");
    sl_size_question ask = {.part = core_check_part(L, box->circuit, 3)};
    luaL_checktype(L, 4, LUA_TTABLE);
    luaL_checktype(L, 5, LUA_TTABLE);
    ask.drop_v = field(L, 5, "drop");
    ask.drop_part = field(L, 5, "part");
    lua_getfield(L, 5, "set");
    ask.set = sl_limit_set_find(luaL_checkstring(L, -1));
    luaL_argcheck(L, ask.set, 5, "no such set of limits");
    int32_t count = 0;
    const sl_edit *edits = core_check_edits(L, box->circuit, 4, &count);
    sl_size *size = lua_newuserdatauv(L, sizeof *size, 0);
    const sl_status status = sl_size_conductor(box->circuit, condition, edits, count, &ask, size);
    if (status < 0) {
        return core_fail(L, status, size->why);
    }
    push_size(L, box->circuit, size);
    return 1;
}

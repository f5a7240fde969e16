/* lua/binding/core_band.c: spreads, what parameters do to a reading, and bands. */
#include <math.h>
#include <string.h>

#include "core.h"

typedef struct core_band {
    sl_band *band; /* NULL before it is made and after it is freed */
    core_case *owner;
} core_band;

/* A condition and a part, either may be nil, and a parameter of the part, at `first` and on. */
static void check_place(lua_State *L, const sl_circuit *circuit, int first, sl_condition *condition,
                        sl_part *part, int32_t *param)
{
    *condition = lua_isnil(L, first) ? SL_NONE : core_check_condition(L, circuit, first);
    *part = lua_isnil(L, first + 1) ? SL_NONE : core_check_part(L, circuit, first + 1);
    *param =
        *part == SL_NONE ? 0 : core_check_param(L, sl_circuit_part_kind(circuit, *part), first + 2);
}

/* circuit:set_spread(condition or nil, part or nil, parameter, down, up, relative) -> true */
int core_set_spread(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    sl_condition condition;
    sl_part part;
    int32_t param;
    check_place(L, box->circuit, 2, &condition, &part, &param);
    sl_spread spread = {luaL_checknumber(L, 5), luaL_checknumber(L, 6), lua_toboolean(L, 7)};
    sl_status status = sl_circuit_set_spread(box->circuit, condition, part, param, &spread);
    return core_result(L, status, sl_circuit_message(box->circuit));
}

static int push_spread(lua_State *L, const sl_spread *spread)
{
    lua_pushnumber(L, spread->down);
    lua_pushnumber(L, spread->up);
    lua_pushboolean(L, spread->relative);
    return 3;
}

/* circuit:spread(condition or nil, part or nil, parameter) -> down, up, relative; or nothing */
int core_spread(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    sl_condition condition;
    sl_part part;
    int32_t param;
    sl_spread spread;
    check_place(L, box->circuit, 2, &condition, &part, &param);
    return sl_circuit_spread(box->circuit, condition, part, param, &spread)
               ? push_spread(L, &spread)
               : 0;
}

/* core.kind_spread(kind, parameter) -> down, up, relative, standing; or nothing */
int core_kind_spread(lua_State *L)
{
    const sl_kind *kind = sl_kind_find(luaL_checkstring(L, 1));
    luaL_argcheck(L, kind, 1, "unknown kind of part");
    sl_spread spread;
    const char *standing;
    if (!sl_kind_spread(kind, core_check_param(L, kind, 2), &spread, &standing)) {
        return 0;
    }
    push_spread(L, &spread);
    lua_pushstring(L, standing);
    return 4;
}

/* {red = NODE, black = NODE} or {part = PART, element = ELEMENT or nil} at a stack index. */
static sl_reading check_reading(lua_State *L, const sl_circuit *circuit, int index)
{
    sl_reading of = {SL_NONE, -1, SL_NONE, SL_NONE};
    luaL_checktype(L, index, LUA_TTABLE);
    if (lua_getfield(L, index, "part") != LUA_TNIL) {
        of.part = core_check_part(L, circuit, -1);
        if (lua_getfield(L, index, "element") != LUA_TNIL) {
            of.element = core_check_element(L, sl_circuit_part_kind(circuit, of.part), -1);
        }
        lua_pop(L, 1);
    } else {
        lua_getfield(L, index, "red");
        of.red = core_check_node(L, circuit, -1);
        lua_getfield(L, index, "black");
        of.black = core_check_node(L, circuit, -1);
        lua_pop(L, 2);
    }
    lua_pop(L, 1);
    return of;
}

static void push_part_effects(lua_State *L, const sl_circuit *circuit, const sl_effects *effects,
                              sl_part part)
{
    const sl_kind *kind = sl_circuit_part_kind(circuit, part);
    lua_createtable(L, 0, 4);
    lua_pushstring(L, sl_circuit_part_name(circuit, part));
    lua_setfield(L, -2, "name");
    const sl_panel panel = sl_circuit_part_panel(circuit, part);
    if (panel != SL_NONE) {
        core_set_text(L, "panel", sl_circuit_panel_name(circuit, panel));
    }
    lua_createtable(L, 0, kind->param_count);
    for (int32_t k = 0; k < kind->param_count; k++) {
        core_set_number(L, kind->params[k].name, sl_effects_param(effects, part, k));
    }
    lua_setfield(L, -2, "params");
    lua_createtable(L, 0, kind->element_count);
    for (int32_t k = 0; k < kind->element_count; k++) {
        core_set_number(L, kind->elements[k].name, sl_effects_series(effects, part, k));
    }
    lua_setfield(L, -2, "series");
}

/* Everything found, as a table. In a protected call: the effects must be freed. */
static int push_effects(lua_State *L)
{
    const sl_effects *effects = lua_touserdata(L, 1);
    const sl_circuit *circuit = lua_touserdata(L, 2);
    int32_t parts = sl_circuit_part_count(circuit);
    lua_createtable(L, 0, 3);
    core_set_number(L, "reading", sl_effects_reading(effects));
    core_set_number(L, "kelvin", sl_effects_param(effects, SL_NONE, 0));
    lua_createtable(L, parts, 0);
    for (sl_part p = 0; p < parts; p++) {
        push_part_effects(L, circuit, effects, p);
        lua_rawseti(L, -2, p + 1);
    }
    lua_setfield(L, -2, "parts");
    return 1;
}

/* case:effects(reading) -> { reading, kelvin, parts = { { name, panel, params, series } } }; or
   nil, message, code */
int core_effects(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    sl_reading of = check_reading(L, box->owner->circuit, 2);
    lua_pushcfunction(L, push_effects);
    sl_effects *effects = NULL;
    sl_status status = sl_effects_find(box->cs, &of, &effects);
    if (status != SL_OK) {
        return core_fail(L, status, sl_case_message(box->cs));
    }
    lua_pushlightuserdata(L, effects);
    lua_pushlightuserdata(L, box->owner->circuit);
    int outcome = lua_pcall(L, 2, 1, 0);
    sl_effects_free(effects);
    return outcome == LUA_OK ? 1 : lua_error(L);
}

static core_band *check_band(lua_State *L)
{
    core_band *box = luaL_checkudata(L, 1, CORE_BAND);
    luaL_argcheck(L, box->band, 1, "the band is closed");
    return box;
}

static int free_band(lua_State *L)
{
    core_band *box = luaL_checkudata(L, 1, CORE_BAND);
    if (box->band) {
        sl_band_free(box->band);
        box->band = NULL;
        box->owner->lent--;
        core_release_case(box->owner);
    }
    return 0;
}

/* case:band(reading, usual) -> band; the case is the band's while there is one */
int core_new_band(lua_State *L)
{
    core_case *owner = core_check_case(L, 1);
    sl_reading of = check_reading(L, owner->owner->circuit, 2);
    core_band *box = lua_newuserdatauv(L, sizeof *box, 1);
    *box = (core_band){.owner = owner};
    luaL_setmetatable(L, CORE_BAND);
    lua_pushvalue(L, 1);
    lua_setiuservalue(L, -2, 1);
    sl_status status = sl_band_new(owner->cs, &of, lua_toboolean(L, 3), &box->band);
    if (status != SL_OK) {
        return core_fail(L, status, sl_case_message(owner->cs));
    }
    owner->lent++;
    return 1;
}

/* The part and the parameter of something that varies; neither for the temperature. */
static void name_varied(lua_State *L, const sl_circuit *circuit, const sl_varied *v)
{
    if (v->part != SL_NONE) {
        lua_pushstring(L, sl_circuit_part_name(circuit, v->part));
        lua_setfield(L, -2, "part");
        lua_pushstring(L, sl_circuit_part_kind(circuit, v->part)->params[v->param].name);
        lua_setfield(L, -2, "param");
    }
    lua_pushstring(L, v->standing);
    lua_setfield(L, -2, "standing");
}

/* band:varied() -> list of { part, param, value, low, high, slope, at_low, at_high, turns,
   standing }; without part and param: the temperature */
static int varied(lua_State *L)
{
    core_band *box = check_band(L);
    int32_t count = sl_band_count(box->band);
    lua_createtable(L, count, 0);
    for (int32_t k = 0; k < count; k++) {
        sl_varied v;
        sl_band_varied(box->band, k, &v);
        lua_createtable(L, 0, 10);
        name_varied(L, box->owner->owner->circuit, &v);
        core_set_number(L, "value", v.value);
        core_set_number(L, "low", v.low);
        core_set_number(L, "high", v.high);
        core_set_number(L, "slope", v.slope);
        core_set_number(L, "at_low", v.at_low);
        core_set_number(L, "at_high", v.at_high);
        lua_pushboolean(L, v.turns);
        lua_setfield(L, -2, "turns");
        lua_rawseti(L, -2, k + 1);
    }
    return 1;
}

/* band:nominal() -> reading, whether it chatters, the reading at the other end or nil */
static int nominal(lua_State *L)
{
    const sl_band *band = check_band(L)->band;
    double other;
    const bool chatters = sl_band_chatters(band, &other);
    lua_pushnumber(L, sl_band_nominal(band));
    lua_pushboolean(L, chatters);
    if (!chatters || isnan(other)) {
        lua_pushnil(L);
    } else {
        lua_pushnumber(L, other);
    }
    return 3;
}

/* Parts whose state differs at a corner: { part, before, low, high }. */
static void push_moved(lua_State *L, const core_band *box, int32_t count)
{
    const sl_circuit *circuit = box->owner->owner->circuit;
    lua_createtable(L, count, 0);
    for (int32_t k = 0; k < count; k++) {
        sl_moved m;
        sl_band_moved(box->band, k, &m);
        const sl_kind *kind = sl_circuit_part_kind(circuit, m.part);
        lua_createtable(L, 0, 4);
        if (kind) {
            lua_pushstring(L, sl_circuit_part_name(circuit, m.part));
            lua_setfield(L, -2, "part");
            lua_pushstring(L, kind->states[m.before]);
            lua_setfield(L, -2, "before");
            lua_pushstring(L, kind->states[m.low]);
            lua_setfield(L, -2, "low");
            lua_pushstring(L, kind->states[m.high]);
            lua_setfield(L, -2, "high");
        }
        lua_rawseti(L, -2, k + 1);
    }
}

/* band:worst() -> { low, high, beyond_low, beyond_high, turning, unsolved, looked, chatters,
   low_chatters, high_chatters, moved } */
static int worst(lua_State *L)
{
    core_band *box = check_band(L);
    sl_worst w;
    sl_status status = sl_band_worst(box->band, &w);
    if (status != SL_OK) {
        return core_fail(L, status, sl_band_message(box->band));
    }
    lua_createtable(L, 0, 11);
    core_set_number(L, "low", w.low);
    core_set_number(L, "high", w.high);
    core_set_number(L, "beyond_low", w.beyond_low);
    core_set_number(L, "beyond_high", w.beyond_high);
    lua_pushinteger(L, w.turning);
    lua_setfield(L, -2, "turning");
    lua_pushinteger(L, w.unsolved);
    lua_setfield(L, -2, "unsolved");
    lua_pushinteger(L, w.looked);
    lua_setfield(L, -2, "looked");
    lua_pushinteger(L, w.chatters);
    lua_setfield(L, -2, "chatters");
    lua_pushboolean(L, w.low_chatters);
    lua_setfield(L, -2, "low_chatters");
    lua_pushboolean(L, w.high_chatters);
    lua_setfield(L, -2, "high_chatters");
    push_moved(L, box, w.moved);
    lua_setfield(L, -2, "moved");
    return 1;
}

/* band:rss() -> low, high */
static int rss(lua_State *L)
{
    double low, high;
    sl_band_rss(check_band(L)->band, &low, &high);
    lua_pushnumber(L, low);
    lua_pushnumber(L, high);
    return 2;
}

static double number_field(lua_State *L, const char *key, double without)
{
    lua_getfield(L, 2, key);
    double value = luaL_optnumber(L, -1, without);
    lua_pop(L, 1);
    return value;
}

static int64_t whole_field(lua_State *L, const char *key, int64_t without)
{
    lua_getfield(L, 2, key);
    int64_t value = luaL_optinteger(L, -1, without);
    lua_pop(L, 1);
    return value;
}

/* As sl_shape counts them. */
static const char *const shapes[] = {"uniform", "normal", NULL};

static sl_shape shape_field(lua_State *L)
{
    lua_getfield(L, 2, "shape");
    sl_shape shape = (sl_shape)luaL_checkoption(L, -1, "uniform", shapes);
    lua_pop(L, 1);
    return shape;
}

/* Ends of parts with states that were not always the same: { part, ends = { { state, count } } };
   without state: it chatters. */
static void push_ended(lua_State *L, const core_band *box)
{
    const sl_circuit *circuit = box->owner->owner->circuit;
    lua_newtable(L);
    for (sl_part p = 0; p < sl_circuit_part_count(circuit); p++) {
        const sl_kind *kind = sl_circuit_part_kind(circuit, p);
        lua_newtable(L);
        for (int32_t s = -1; s < kind->state_count; s++) {
            int64_t count = sl_band_ended(box->band, p, s);
            if (count > 0) {
                lua_createtable(L, 0, 2);
                if (s >= 0) {
                    lua_pushstring(L, kind->states[s]);
                    lua_setfield(L, -2, "state");
                }
                lua_pushinteger(L, count);
                lua_setfield(L, -2, "count");
                lua_rawseti(L, -2, (lua_Integer)lua_rawlen(L, -2) + 1);
            }
        }
        if (lua_rawlen(L, -1) > 1) {
            lua_createtable(L, 0, 2);
            lua_insert(L, -2);
            lua_setfield(L, -2, "ends");
            core_set_text(L, "part", sl_circuit_part_name(circuit, p));
            lua_rawseti(L, -2, (lua_Integer)lua_rawlen(L, -2) + 1);
        } else {
            lua_pop(L, 1);
        }
    }
}

static void push_drawn(lua_State *L, const core_band *box, const sl_drawn *d)
{
    lua_createtable(L, 0, 16);
    const struct {
        const char *key;
        int64_t value;
    } whole[] = {{"samples", d->samples},
                 {"unsolved", d->unsolved},
                 {"chatters", d->chatters},
                 {"failed", d->failed},
                 {"whole", d->whole}};
    for (size_t i = 0; i < sizeof whole / sizeof *whole; i++) {
        lua_pushinteger(L, whole[i].value);
        lua_setfield(L, -2, whole[i].key);
    }
    core_set_number(L, "mean", d->mean);
    core_set_number(L, "deviation", d->deviation);
    core_set_number(L, "least", d->least);
    core_set_number(L, "greatest", d->greatest);
    core_set_number(L, "step", d->step);
    core_set_number(L, "share", d->share);
    core_set_number(L, "share_low", d->share_low);
    core_set_number(L, "share_high", d->share_high);
    lua_createtable(L, 7, 0);
    for (int i = 0; i < 7; i++) {
        lua_pushnumber(L, d->percentile[i]);
        lua_rawseti(L, -2, i + 1);
    }
    lua_setfield(L, -2, "percentile");
    push_ended(L, box);
    lua_setfield(L, -2, "ended");
}

/* band:draw({samples, seed, shape = "uniform" | "normal", threads, least, greatest}, progress or
   nil) -> figures. progress(done, of) returns whether to go on. */
static int draw(lua_State *L)
{
    core_band *box = check_band(L);
    luaL_checktype(L, 2, LUA_TTABLE);
    lua_settop(L, 3);
    const int64_t threads = whole_field(L, "threads", 1); /* 0: the library refuses it */
    sl_draw how = {.samples = whole_field(L, "samples", 10000),
                   .seed = (uint64_t)whole_field(L, "seed", 1),
                   .shape = shape_field(L),
                   .threads = threads > 0 && threads < INT32_MAX ? (int32_t)threads : 0,
                   .least = number_field(L, "least", -INFINITY),
                   .greatest = number_field(L, "greatest", INFINITY)};
    core_progress progress = core_take_progress(L, 3);
    how.progress = core_tell_progress;
    how.user = &progress;
    sl_drawn drawn;
    sl_status status = sl_band_draw(box->band, &how, &drawn);
    core_end_progress(&progress);
    if (status != SL_OK) {
        return core_fail(L, status, sl_band_message(box->band));
    }
    push_drawn(L, box, &drawn);
    return 1;
}

/* band:sample(seed, "uniform" | "normal", number from 0) -> the reading of that sample */
static int sample(lua_State *L)
{
    core_band *box = check_band(L);
    double value;
    sl_shape shape = (sl_shape)luaL_checkoption(L, 3, NULL, shapes);
    sl_status status = sl_band_sample(box->band, (uint64_t)luaL_checkinteger(L, 2), shape,
                                      luaL_checkinteger(L, 4), &value);
    if (status != SL_OK) {
        return core_fail(L, status, sl_band_message(box->band));
    }
    lua_pushnumber(L, value);
    return 1;
}

static const luaL_Reg methods[] = {
    {"varied", varied}, {"nominal", nominal}, {"worst", worst},     {"rss", rss},
    {"draw", draw},     {"sample", sample},   {"close", free_band}, {NULL, NULL},
};

void core_open_band(lua_State *L)
{
    core_set_class(L, CORE_BAND, methods, free_band);
}

/* lua/binding/core_instrument.c: what instruments show on a case. */
#include "core.h"

#include <math.h>

static double field(lua_State *L, int table, const char *name, double otherwise)
{
    double value = otherwise;
    if (lua_getfield(L, table, name) != LUA_TNIL) {
        value = luaL_checknumber(L, -1);
    }
    lua_pop(L, 1);
    return value;
}

/* A multimeter from a table of what is not usual, or nil. */
static sl_multimeter check_multimeter(lua_State *L, int index)
{
    sl_multimeter meter;
    sl_multimeter_usual(&meter);
    if (lua_isnoneornil(L, index)) {
        return meter;
    }
    luaL_checktype(L, index, LUA_TTABLE);
    meter.input_ohm = field(L, index, "input_resistance", meter.input_ohm);
    meter.lead_ohm = field(L, index, "lead_resistance", meter.lead_ohm);
    meter.test_v = field(L, index, "test_voltage", meter.test_v);
    meter.burden_ohm = field(L, index, "burden", meter.burden_ohm);
    meter.fuse_a = field(L, index, "fuse", meter.fuse_a);
    meter.counts = field(L, index, "counts", meter.counts);
    return meter;
}

int core_multimeter(lua_State *L)
{
    sl_multimeter meter;
    sl_multimeter_usual(&meter);
    lua_createtable(L, 0, 6);
    core_set_number(L, "input_resistance", meter.input_ohm);
    core_set_number(L, "lead_resistance", meter.lead_ohm);
    core_set_number(L, "test_voltage", meter.test_v);
    core_set_number(L, "burden", meter.burden_ohm);
    core_set_number(L, "fuse", meter.fuse_a);
    core_set_number(L, "counts", meter.counts);
    return 1;
}

int core_shown(lua_State *L)
{
    const double value = luaL_checknumber(L, 1);
    const sl_display display = {luaL_checknumber(L, 2), luaL_checknumber(L, 3),
                                luaL_checknumber(L, 4)};
    luaL_argcheck(L, display.counts >= 100.0 && display.counts <= 1e9, 2, "100 to 1e9");
    luaL_argcheck(L, display.step > 0.0, 3, "above 0");
    double shown, step;
    const bool fits = sl_display_show(&display, value, &shown, &step);
    core_push_number(L, fits ? shown : (double)NAN);
    lua_pushnumber(L, step);
    return 2;
}

static int ohms(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    const sl_node red = core_check_node(L, box->owner->circuit, 2);
    const sl_node black = core_check_node(L, box->owner->circuit, 3);
    const sl_multimeter meter = check_multimeter(L, 4);
    sl_ohms found;
    const sl_status status = sl_case_ohms(box->cs, red, black, &meter, &found);
    if (status < 0) {
        return core_fail(L, status, sl_case_message(box->cs));
    }
    lua_createtable(L, 0, 6);
    core_set_number(L, "resistance", isinf(found.ohm) ? (double)NAN : found.ohm);
    core_set_number(L, "swapped", isinf(found.swapped_ohm) ? (double)NAN : found.swapped_ohm);
    core_set_number(L, "before", found.before_v);
    core_set_number(L, "range", found.range_ohm);
    core_set_flag(L, "live", found.live);
    return 1;
}

static int pile(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    const sl_node red = core_check_node(L, box->owner->circuit, 2);
    const sl_node black = core_check_node(L, box->owner->circuit, 3);
    sl_pile found;
    const sl_status status =
        sl_case_pile(box->cs, red, black, luaL_checknumber(L, 4), luaL_checknumber(L, 5), &found);
    if (status < 0) {
        return core_fail(L, status, sl_case_message(box->cs));
    }
    lua_createtable(L, 0, 5);
    core_set_number(L, "current", found.current_a);
    core_set_number(L, "drop", found.drop_v);
    core_set_number(L, "resistance", found.ohm);
    core_set_flag(L, "reached", found.reached);
    lua_pushinteger(L, found.part + 1);
    lua_setfield(L, -2, "part");
    return 1;
}

static int alone(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    const sl_part part = core_check_part(L, box->owner->circuit, 2);
    return core_result(L, sl_case_alone(box->cs, part), sl_case_message(box->cs));
}

static int load_test(lua_State *L)
{
    static const char *const verdicts[] = {"passes", "fails", "charge first"};
    core_case *box = core_check_case(L, 1);
    sl_load_test test;
    const sl_status status =
        sl_case_load_test(box->cs, core_check_part(L, box->owner->circuit, 2), &test);
    if (status < 0) {
        return core_fail(L, status, sl_case_message(box->cs));
    }
    lua_createtable(L, 0, 7);
    core_set_number(L, "rating", test.rating_a);
    core_set_number(L, "load", test.load_a);
    core_set_number(L, "surface_charge", test.surface_v);
    core_set_number(L, "rest_voltage", test.rest_v);
    core_set_number(L, "loaded_voltage", test.loaded_v);
    core_set_number(L, "least_voltage", test.least_v);
    core_set_number(L, "temperature", test.celsius);
    lua_pushstring(L, verdicts[test.verdict]);
    lua_setfield(L, -2, "verdict");
    return 1;
}

static int terminal(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    const sl_part part = core_check_part(L, box->owner->circuit, 2);
    const lua_Integer index = luaL_checkinteger(L, 3);
    const int32_t count = sl_circuit_part_kind(box->owner->circuit, part)->terminal_count;
    luaL_argcheck(L, index >= 1 && index <= count, 3, "no such terminal");
    double amps = NAN;
    const sl_status status = sl_case_terminal(box->cs, part, (int32_t)index - 1, &amps);
    if (status < 0) {
        return core_fail(L, status, "the case is not solved");
    }
    core_push_number(L, amps);
    return 1;
}

static int element(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    const sl_part part = core_check_part(L, box->owner->circuit, 2);
    const int32_t index = core_check_element(L, sl_circuit_part_kind(box->owner->circuit, part), 3);
    double amps = NAN, volts = NAN;
    const sl_status status = sl_case_element(box->cs, part, index, &amps, &volts);
    if (status < 0) {
        return core_fail(L, status, "the case is not solved");
    }
    core_push_number(L, amps);
    core_push_number(L, volts);
    return 2;
}

const luaL_Reg core_instrument_methods[] = {
    {"ohms", ohms},   /* (red, black [, multimeter]) -> {resistance, swapped, before, ...} */
    {"pile", pile},   /* (red, black, amperes, least ohm) -> {current, drop, ..., part} */
    {"alone", alone}, /* (part) -> true: every other part is taken out */
    {"load_test", load_test}, /* (battery) -> {rating, load, rest_voltage, ..., verdict} */
    {"element", element},     /* (part, element) -> amperes, volts across it */
    {"terminal", terminal},   /* (part, terminal counted from 1) -> amperes into the part, or nil */
    {NULL, NULL},
};

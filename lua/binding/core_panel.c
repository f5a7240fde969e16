/* lua/binding/core_panel.c: panels of a circuit: their shape from a table, and what they carry. */
#include "core.h"

#include <math.h>

/* A length at a field of the table on top of the stack; 0 where it is not there. */
static double length_at(lua_State *L, const char *field)
{
    lua_getfield(L, -1, field);
    double value = luaL_optnumber(L, -1, 0.0);
    lua_pop(L, 1);
    return value;
}

/* Pushes the list at a field of the table at `table`; returns its length. */
static int32_t push_list(lua_State *L, int table, const char *field, int32_t most)
{
    if (lua_getfield(L, table, field) == LUA_TNIL) {
        return 0;
    }
    luaL_checktype(L, -1, LUA_TTABLE);
    lua_Unsigned count = lua_rawlen(L, -1);
    luaL_argcheck(L, count <= (lua_Unsigned)most, table, "too many studs or cut-outs");
    return (int32_t)count;
}

/* The texts stay valid while the table holds them; the array is userdata left on the stack. */
static void read_studs(lua_State *L, int table, sl_panel_shape *shape)
{
    shape->stud_count = push_list(L, table, "studs", SL_STUDS_MOST);
    const int list = lua_gettop(L);
    sl_stud *studs = lua_newuserdatauv(L, (size_t)(shape->stud_count + 1) * sizeof *studs, 0);
    for (int32_t k = 0; k < shape->stud_count; k++) {
        lua_rawgeti(L, list, k + 1);
        luaL_checktype(L, -1, LUA_TTABLE);
        lua_getfield(L, -1, "node");
        const char *node = luaL_checkstring(L, -1);
        lua_pop(L, 1);
        studs[k] = (sl_stud){.node = node,
                             .x_m = length_at(L, "x"),
                             .y_m = length_at(L, "y"),
                             .diameter_m = length_at(L, "diameter"),
                             .width_m = length_at(L, "width"),
                             .height_m = length_at(L, "height")};
        lua_pop(L, 1);
    }
    shape->studs = studs;
}

static void read_cutouts(lua_State *L, int table, sl_panel_shape *shape)
{
    shape->cutout_count = push_list(L, table, "cutouts", SL_CUTOUTS_MOST);
    const int list = lua_gettop(L);
    sl_cutout *cutouts =
        lua_newuserdatauv(L, (size_t)(shape->cutout_count + 1) * sizeof *cutouts, 0);
    for (int32_t k = 0; k < shape->cutout_count; k++) {
        lua_rawgeti(L, list, k + 1);
        luaL_checktype(L, -1, LUA_TTABLE);
        cutouts[k] = (sl_cutout){length_at(L, "x"), length_at(L, "y"), length_at(L, "width"),
                                 length_at(L, "height")};
        lua_pop(L, 1);
    }
    shape->cutouts = cutouts;
}

/* circuit:add_panel(name, shape, values by parameter of the kind sheet) -> true
   shape = { width, height, mesh, studs = { { node, x, y, diameter, width, height } }, cutouts = {
   { x, y, width, height } } }, all in metres; what is left out is 0. */
int core_add_panel(lua_State *L)
{
    core_circuit *box = core_check_circuit(L, 1);
    const char *name = luaL_checkstring(L, 2);
    luaL_checktype(L, 3, LUA_TTABLE);
    luaL_checktype(L, 4, LUA_TTABLE);
    lua_settop(L, 4);
    const sl_kind *sheet = sl_kind_find("sheet");
    double *values = lua_newuserdatauv(L, (size_t)sheet->param_count * sizeof *values, 0);
    core_read_values(L, 4, sheet, values);
    lua_pushvalue(L, 3);
    sl_panel_shape shape = {.width_m = length_at(L, "width"),
                            .height_m = length_at(L, "height"),
                            .mesh_m = length_at(L, "mesh")};
    lua_pop(L, 1);
    read_studs(L, 3, &shape);
    read_cutouts(L, 3, &shape);
    const sl_panel_def def = {.name = name, .shape = &shape, .values = values};
    sl_panel panel;
    sl_status status = sl_circuit_add_panel(box->circuit, &def, &panel);
    return core_result(L, status, sl_circuit_message(box->circuit));
}

/* Power that all its parts take. */
static double panel_power(const core_case *box, sl_panel panel)
{
    sl_part first = 0;
    int32_t count = 0;
    double sum = 0.0;
    sl_circuit_panel_parts(box->owner->circuit, panel, &first, &count);
    for (sl_part part = first; part < first + count; part++) {
        sl_part_answer answer = {.power_w = NAN};
        sl_case_part(box->cs, part, &answer);
        sum += answer.power_w;
    }
    return sum;
}

/* Pushes the current into a stud and its voltage against another one, which is nil where nothing
   joins the two. */
static void set_stud(lua_State *L, const core_case *box, sl_panel panel, int32_t stud,
                     int32_t against)
{
    const sl_circuit *circuit = box->owner->circuit;
    double amperes = NAN, volts = NAN;
    sl_case_stud(box->cs, panel, stud, &amperes);
    sl_case_between(box->cs, sl_circuit_stud_node(circuit, panel, stud),
                    sl_circuit_stud_node(circuit, panel, against), &volts);
    core_push_number(L, amperes);
    lua_setfield(L, -2, "current");
    core_push_number(L, volts);
    lua_setfield(L, -2, "drop");
}

/* As a part: current and drop of the first stud, the second as the other end; an element for every
   stud, with the current into the metal and the drop against the first. */
void core_push_panel(lua_State *L, const core_case *box, sl_panel panel)
{
    const sl_circuit *circuit = box->owner->circuit;
    const int32_t studs = sl_circuit_stud_count(circuit, panel);
    lua_createtable(L, 0, 9);
    lua_pushstring(L, "panel");
    lua_setfield(L, -2, "kind");
    set_stud(L, box, panel, 0, 1);
    core_push_number(L, panel_power(box, panel));
    lua_setfield(L, -2, "power");
    lua_pushboolean(L, false);
    lua_setfield(L, -2, "chatters");
    lua_newtable(L);
    lua_setfield(L, -2, "notices");
    lua_createtable(L, studs, studs);
    for (int32_t k = 0; k < studs; k++) {
        lua_createtable(L, 0, 3);
        set_stud(L, box, panel, k, 0);
        core_file_entry(L, k,
                        sl_circuit_node_name(circuit, sl_circuit_stud_node(circuit, panel, k)));
    }
    lua_setfield(L, -2, "elements");
}

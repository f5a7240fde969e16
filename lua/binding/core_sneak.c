/* lua/binding/core_sneak.c: circuit:sneaks(). */
#include "core.h"

static void set_switching(lua_State *L, const char *key, const sl_circuit *circuit,
                          const sl_switching *where)
{
    lua_createtable(L, 0, 3);
    core_set_text(L, "condition", sl_circuit_condition_name(circuit, where->condition));
    if (where->moved != SL_NONE) {
        const sl_kind *kind = sl_circuit_part_kind(circuit, where->moved);
        core_set_text(L, "moved", sl_circuit_part_name(circuit, where->moved));
        core_set_text(L, "position", kind->params[kind->position_param].choices[where->position]);
    }
    lua_setfield(L, -2, key);
}

static void push_sneak(lua_State *L, const sl_circuit *circuit, const sl_sneak *sneak)
{
    const sl_kind *kind = sl_circuit_part_kind(circuit, sneak->part);
    lua_createtable(L, 0, 10);
    core_set_text(L, "type", sneak->type == SL_SNEAK_THROUGH ? "through" : "reverses");
    core_set_text(L, "part", sl_circuit_part_name(circuit, sneak->part));
    core_set_text(L, "element", kind->elements[sneak->element].name);
    lua_pushinteger(L, sneak->states);
    lua_setfield(L, -2, "states");
    set_switching(L, "where", circuit, &sneak->where);
    core_set_number(L, "volts", sneak->volts);
    core_set_number(L, "amps", sneak->amps);
    if (sneak->through != SL_NONE) {
        core_set_text(L, "through", sl_circuit_part_name(circuit, sneak->through));
    }
    if (sneak->type == SL_SNEAK_REVERSES) {
        set_switching(L, "other", circuit, &sneak->other);
        core_set_number(L, "other_amps", sneak->other_amps);
    }
}

/* The most elements a part can have is 8. */
#define ELEMENTS_MOST 8

/* circuit:sneaks() -> list of { type = "through" | "reverses", part, element, states, where =
   { condition, moved, position }, volts, amps, through, other, other_amps } */
int core_sneaks(lua_State *L)
{
    const sl_circuit *circuit = core_check_circuit(L, 1)->circuit;
    int32_t room = 2 * ELEMENTS_MOST * sl_circuit_part_count(circuit), count = 0;
    sl_sneak *found = lua_newuserdatauv(L, ((size_t)room + 1) * sizeof *found, 0);
    sl_status status = sl_circuit_find_sneaks(circuit, found, room, &count);
    if (status < 0) {
        return core_fail(L, status, NULL);
    }
    lua_createtable(L, count, 0);
    for (int32_t k = 0; k < count && k < room; k++) {
        push_sneak(L, circuit, &found[k]);
        lua_rawseti(L, -2, k + 1);
    }
    return 1;
}

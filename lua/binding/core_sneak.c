/* lua/binding/core_sneak.c: circuit:sneaks(). */
#include "core.h"

static void set_switching(lua_State *L, const char *key, const sl_circuit *circuit,
                          const sl_switching *where)
{
    lua_createtable(L, 0, 4);
    core_set_text(L, "condition", sl_circuit_condition_name(circuit, where->condition));
    if (where->moved != SL_NONE) {
        const sl_kind *kind = sl_circuit_part_kind(circuit, where->moved);
        core_set_text(L, "moved", sl_circuit_part_name(circuit, where->moved));
        core_set_text(L, "position", kind->params[kind->position_param].choices[where->position]);
    }
    if (where->lost != SL_NONE) {
        core_set_text(L, "lost", sl_circuit_part_name(circuit, where->lost));
    }
    lua_setfield(L, -2, key);
}

static void push_sneak(lua_State *L, const sl_circuit *circuit, const sl_sneak *sneak)
{
    static const char *const types[] = {"through", "reverses", "lost"};
    const sl_kind *kind = sl_circuit_part_kind(circuit, sneak->part);
    lua_createtable(L, 0, 11);
    core_set_text(L, "type", types[sneak->type]);
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
    if (sneak->also != SL_NONE) {
        core_set_text(L, "also", sl_circuit_part_name(circuit, sneak->also));
    }
    if (sneak->type == SL_SNEAK_REVERSES) {
        set_switching(L, "other", circuit, &sneak->other);
        core_set_number(L, "other_amps", sneak->other_amps);
    }
}

/* More than circuits have; where it is not enough, the search says how much is. */
#define ROOM 1000

/* circuit:sneaks([progress]) -> list of { type = "through" | "reverses" | "lost", part, element,
   states, where = { condition, moved, position, lost }, volts, amps, through, also, other,
   other_amps }, whether it was stopped. progress(done, of) returns whether to go on. */
int core_sneaks(lua_State *L)
{
    const sl_circuit *circuit = core_check_circuit(L, 1)->circuit;
    int32_t room = 0, count = ROOM;
    sl_status status = SL_OK;
    sl_sneak *found = NULL;
    while (count > room && status != SL_E_STOPPED) {
        room = count;
        lua_settop(L, 2);
        found = lua_newuserdatauv(L, (size_t)room * sizeof *found, 0);
        core_progress progress = core_take_progress(L, 2);
        status =
            sl_circuit_find_sneaks(circuit, core_tell_progress, &progress, found, room, &count);
        core_end_progress(&progress);
        if (status < 0 && status != SL_E_STOPPED) {
            return core_fail(L, status, NULL);
        }
    }
    count = count < room ? count : room;
    lua_createtable(L, count, 0);
    for (int32_t k = 0; k < count; k++) {
        push_sneak(L, circuit, &found[k]);
        lua_rawseti(L, -2, k + 1);
    }
    lua_pushboolean(L, status == SL_E_STOPPED);
    return 2;
}

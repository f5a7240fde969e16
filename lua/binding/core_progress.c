/* lua/binding/core_progress.c: the Lua function that long work is told to. */
#include "core.h"

core_progress core_take_progress(lua_State *L, int index)
{
    if (!lua_isnoneornil(L, index)) {
        luaL_checktype(L, index, LUA_TFUNCTION);
    }
    luaL_checkstack(L, 20, NULL);
    return (core_progress){L, index, lua_gettop(L), false};
}

bool core_tell_progress(void *user, int64_t done, int64_t of)
{
    core_progress *p = user;
    lua_settop(p->L, p->top);
    if (lua_isnoneornil(p->L, p->index)) {
        return true;
    }
    lua_pushvalue(p->L, p->index);
    lua_pushinteger(p->L, done);
    lua_pushinteger(p->L, of);
    p->raised = lua_pcall(p->L, 2, 1, 0) != LUA_OK;
    return !p->raised && lua_toboolean(p->L, -1);
}

void core_end_progress(const core_progress *p)
{
    if (p->raised) {
        lua_settop(p->L, p->top + 1);
        lua_error(p->L);
    }
}

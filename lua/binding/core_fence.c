/* lua/binding/core_fence.c: runs a Lua function within limits of instructions, time and memory.

   Circuit files come from anywhere; one that loops or grows without end must stop, and must not be
   able to catch its own stopping. */
#include "core.h"

#include <string.h>
#include <time.h>

/* How often the limits are looked at. A single instruction may copy or compare all the memory the
   fence allows, so this also bounds how far a run can pass its time. */
#define STRIDE 1000

typedef struct fence {
    lua_State *L;
    const char *chunk; /* name of the chunk whose lines are reported, as load was given it */
    lua_Alloc resize;
    void *user;
    lua_Integer used, room; /* bytes beyond what was in use at the start */
    lua_Integer left;       /* instructions */
    clock_t start, allowed;
    const char *reason; /* NULL: nothing stopped it */
    int line;           /* in the chunk, where it was stopped; 0 when not known */
} fence;

static const char key; /* its address is the registry key of the fence in force */

/* The line the chunk is at: that of its innermost active function. Reads only. */
static int line_of(lua_State *L, const char *chunk)
{
    lua_Debug ar;
    for (int level = 0; lua_getstack(L, level, &ar); level++) {
        if (lua_getinfo(L, "Sl", &ar) && strcmp(ar.source, chunk) == 0) {
            return ar.currentline;
        }
    }
    return 0;
}

static void *fenced_resize(void *user, void *block, size_t old_bytes, size_t new_bytes)
{
    fence *f = user;
    lua_Integer held = block ? (lua_Integer)old_bytes : 0;
    lua_Integer growth = (lua_Integer)new_bytes - held;
    if (growth > 0 && f->used + growth > f->room) {
        f->reason = "memory";
        f->line = line_of(f->L, f->chunk);
        return NULL;
    }
    void *result = f->resize(f->user, block, old_bytes, new_bytes);
    if (result || new_bytes == 0) {
        f->used += growth;
    }
    return result;
}

static void fenced_hook(lua_State *L, lua_Debug *ar)
{
    (void)ar;
    lua_rawgetp(L, LUA_REGISTRYINDEX, &key);
    fence *f = lua_touserdata(L, -1);
    lua_pop(L, 1);
    f->left -= STRIDE;
    if (f->left <= 0) {
        f->reason = "instructions";
    } else if (clock() - f->start > f->allowed) {
        f->reason = "time";
    } else {
        return;
    }
    f->line = line_of(L, f->chunk);
    luaL_error(L, "stopped");
}

/* Calls the function on top of the stack inside the fence; leaves what lua_pcall leaves. */
static int call_inside(lua_State *L, fence *f)
{
    lua_Hook hook = lua_gethook(L);
    int mask = lua_gethookmask(L), count = lua_gethookcount(L);
    f->resize = lua_getallocf(L, &f->user);
    lua_setallocf(L, fenced_resize, f);
    lua_sethook(L, fenced_hook, LUA_MASKCOUNT, STRIDE);
    int status = lua_pcall(L, 0, 0, 0);
    lua_sethook(L, hook, mask, count);
    lua_setallocf(L, f->resize, f->user);
    return status;
}

/* core.fenced(function, chunk name, instructions, seconds, bytes)
   -> true
   -> false, "instructions" | "time" | "memory", line
   -> false, "error", the error */
int core_fenced(lua_State *L)
{
    luaL_checktype(L, 1, LUA_TFUNCTION);
    fence f = {.L = L, .chunk = luaL_checkstring(L, 2), .start = clock()};
    f.left = luaL_checkinteger(L, 3);
    f.allowed = (clock_t)(luaL_checknumber(L, 4) * CLOCKS_PER_SEC);
    f.room = luaL_checkinteger(L, 5);
    if (lua_rawgetp(L, LUA_REGISTRYINDEX, &key) != LUA_TNIL) {
        lua_pushboolean(L, false);
        lua_pushstring(L, "error");
        lua_pushstring(L, "a circuit file cannot be loaded while another one is");
        return 3;
    }
    lua_pushlightuserdata(L, &f);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &key);
    lua_pushvalue(L, 1);
    int status = call_inside(L, &f);
    lua_pushnil(L);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &key);
    if (status == LUA_OK) {
        lua_pushboolean(L, true);
        return 1;
    }
    bool stopped = f.reason && (status == LUA_ERRMEM || strcmp(f.reason, "memory") != 0);
    lua_pushboolean(L, false);
    lua_pushstring(L, stopped ? f.reason : "error");
    if (stopped) {
        lua_pushinteger(L, f.line);
    } else {
        lua_pushvalue(L, -3);
    }
    return 3;
}

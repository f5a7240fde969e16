/* lua/command/main.c: the strapline program: a small host that runs the Lua module
   `strapline.command` inside one protected call and turns what it returns into an exit code. */
#include <stdio.h>
#include <stdlib.h>

#include "interrupt.h"
#include "lauxlib.h"
#include "lua.h"
#include "lualib.h"
#include "modules.h"

#define EXIT_CANNOT 2

int luaopen_strapline_core(lua_State *L);

/* Called by `require`, once for each module somebody needs. */
static int open_module(lua_State *L)
{
    const sl_module *module = lua_touserdata(L, lua_upvalueindex(1));
    lua_pushfstring(L, "=%s", module->name);
    const char *chunk = lua_tostring(L, -1);
    if (luaL_loadbufferx(L, module->text, module->length, chunk, "t") != LUA_OK) {
        return lua_error(L);
    }
    lua_pushstring(L, module->name);
    lua_call(L, 1, 1);
    return 1;
}

static void preload(lua_State *L)
{
    luaL_getsubtable(L, LUA_REGISTRYINDEX, LUA_PRELOAD_TABLE);
    lua_pushcfunction(L, luaopen_strapline_core);
    lua_setfield(L, -2, "strapline.core");
    lua_pushcfunction(L, luaopen_strapline_interrupt);
    lua_setfield(L, -2, "strapline.interrupt");
    for (size_t i = 0; i < sl_module_count; i++) {
        lua_pushlightuserdata(L, (void *)&sl_modules[i]);
        lua_pushcclosure(L, open_module, 1);
        lua_setfield(L, -2, sl_modules[i].name);
    }
    lua_pop(L, 1);
}

static int traceback(lua_State *L)
{
    const char *message = lua_tostring(L, 1);
    if (!message) {
        message = luaL_tolstring(L, 1, NULL);
    }
    luaL_traceback(L, L, message, 1);
    return 1;
}

/* Everything that can raise: libraries, modules, the command itself. Returns the exit code. */
static int run(lua_State *L)
{
    int argc = (int)lua_tointeger(L, 1);
    char **argv = lua_touserdata(L, 2);
    luaL_openlibs(L);
    preload(L);
    lua_getglobal(L, "require");
    lua_pushstring(L, "strapline.command");
    lua_call(L, 1, 1);
    lua_createtable(L, argc, 0);
    for (int i = 1; i < argc; i++) {
        lua_pushstring(L, argv[i]);
        lua_rawseti(L, -2, i);
    }
    lua_call(L, 1, 1);
    return 1;
}

int main(int argc, char **argv)
{
    lua_State *L = luaL_newstate();
    if (!L) {
        fputs("strapline: out of memory\n", stderr);
        return EXIT_CANNOT;
    }
    lua_pushcfunction(L, traceback);
    lua_pushcfunction(L, run);
    lua_pushinteger(L, argc);
    lua_pushlightuserdata(L, argv);
    int code = EXIT_CANNOT;
    if (lua_pcall(L, 2, 1, 1) == LUA_OK) {
        code = (int)lua_tointeger(L, -1);
    } else {
        fprintf(stderr, "strapline: %s\n", lua_tostring(L, -1));
    }
    lua_close(L);
    if (code == 0 && (fflush(stdout) != 0 || ferror(stdout))) { /* a script may not have looked */
        fputs("strapline: cannot write all of standard output\n", stderr);
        code = EXIT_CANNOT;
    }
    return code;
}

/* lua/command/interrupt.c: the module strapline.interrupt of the program: Ctrl-C as a question, for
   verbs that can stop half way and say what they have. */
#include <signal.h>

#include "interrupt.h"
#include "lauxlib.h"

static volatile sig_atomic_t asked = 0;

/* The second time it ends the program, as ever. */
static void note(int number)
{
    asked = 1;
    signal(number, SIG_DFL);
}

/* interrupt.watch(): from now on Ctrl-C is only noted */
static int watch(lua_State *L)
{
    (void)L;
    asked = 0;
    if (signal(SIGINT, note) == SIG_IGN) { /* whoever started it wants it left alone */
        signal(SIGINT, SIG_IGN);
    }
    return 0;
}

/* interrupt.asked() -> whether it has come since */
static int was_asked(lua_State *L)
{
    lua_pushboolean(L, asked != 0);
    return 1;
}

int luaopen_strapline_interrupt(lua_State *L)
{
    static const luaL_Reg functions[] = {{"watch", watch}, {"asked", was_asked}, {NULL, NULL}};
    luaL_newlib(L, functions);
    return 1;
}

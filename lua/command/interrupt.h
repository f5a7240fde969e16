/* lua/command/interrupt.h: the module strapline.interrupt. */
#ifndef SL_COMMAND_INTERRUPT_H
#define SL_COMMAND_INTERRUPT_H

#include "lua.h"

int luaopen_strapline_interrupt(lua_State *L);

#endif

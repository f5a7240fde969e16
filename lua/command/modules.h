/* lua/command/modules.h: the Lua modules inside the program. The build makes the table from the
   files of lua/strapline: "strapline" is init.lua, "strapline.NAME" is NAME.lua. */
#ifndef SL_COMMAND_MODULES_H
#define SL_COMMAND_MODULES_H

#include <stddef.h>

typedef struct sl_module {
    const char *name; /* as given to `require` */
    const char *text;
    size_t length;
} sl_module;

extern const sl_module sl_modules[];
extern const size_t sl_module_count;

#endif

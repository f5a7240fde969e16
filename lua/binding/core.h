/* lua/binding/core.h: what the files of the Lua module `strapline.core` share.

   The module is thin: names go in, tables and numbers come out. Wrong use raises an error; what the
   library refuses comes back as nil, message, code name. Counting is from 1, as in Lua.

   Who owns what: a circuit lives in a full userdata, and so does a case. The userdata is made
   first, empty and with its metatable, and only then filled, so an error raised at any point leaks
   nothing. A case keeps the userdata of its circuit as its user value, and the circuit is freed
   when it is closed and its last case is gone, in whatever order Lua collects them; so it is with a
   case and the bands and paths that borrow it. */
#ifndef SL_BINDING_CORE_H
#define SL_BINDING_CORE_H

#include <pthread.h>

#include "lauxlib.h"
#include "lua.h"
#include "strapline/strapline.h"

#define CORE_CIRCUIT "strapline.circuit"
#define CORE_CASE "strapline.case"
#define CORE_SWEEP "strapline.sweep"
#define CORE_BAND "strapline.band"

typedef struct core_circuit {
    sl_circuit *circuit;  /* NULL before it is made and after it is freed */
    lua_State *main;      /* whose allocator feeds the library */
    pthread_mutex_t lock; /* one thread of a sweep at a time takes memory */
    int cases;            /* alive, sweeps among them */
    int crowd;            /* that many cases alive ask for a collection */
    bool closed;
} core_circuit;

typedef struct core_case {
    sl_case *cs; /* NULL before it is made and after it is freed */
    core_circuit *owner;
    int lent; /* to bands and paths that are alive */
    bool closed;
} core_case;

/* The circuit at a stack index; raises when it is something else or closed. */
core_circuit *core_check_circuit(lua_State *L, int index);

/* The allocator of a circuit's library objects; `user` is its core_circuit. Any thread. */
void *core_resize(void *user, void *block, size_t old_bytes, size_t new_bytes);

/* The case at a stack index; raises when it is something else or closed. */
core_case *core_check_case(lua_State *L, int index);

/* Frees a case that is closed and lent to nothing. */
void core_release_case(core_case *box);

/* The condition of the name at a stack index. Raises when there is none. */
sl_condition core_check_condition(lua_State *L, const sl_circuit *circuit, int index);

/* Frees a circuit that is closed and has no case left. */
void core_release_circuit(core_circuit *box);

/* Pushes nil, the message and the name of the status; returns 3. */
int core_fail(lua_State *L, sl_status status, const char *message);

/* Pushes true, or what core_fail pushes. */
int core_result(lua_State *L, sl_status status, const char *message);

/* A number as Lua shows it: nil when not defined. */
void core_push_number(lua_State *L, double value);

/* Sets a field of the table on top of the stack; a number that is not defined is left out. */
void core_set_number(lua_State *L, const char *key, double value);
void core_set_integer(lua_State *L, const char *key, lua_Integer value);
void core_set_text(lua_State *L, const char *key, const char *text);
void core_set_flag(lua_State *L, const char *key, bool flag);

/* Pushes where a value comes from: "given", "default", "worked out", "not set", "condition" or
   "fault". */
void core_push_origin(lua_State *L, sl_origin origin);

/* The node, part, parameter or element of the name at a stack index. Raises when the circuit or the
   kind does not have it. */
sl_node core_check_node(lua_State *L, const sl_circuit *circuit, int index);
sl_part core_check_part(lua_State *L, const sl_circuit *circuit, int index);
int32_t core_check_param(lua_State *L, const sl_kind *kind, int index);
int32_t core_check_element(lua_State *L, const sl_kind *kind, int index);

/* Fills a part definition from kind, name, table of nodes by terminal, table of values by parameter
   at stack indices `first` and on. Its arrays are userdata left on the stack. */
void core_check_part_def(lua_State *L, int first, sl_part_def *def);

/* Fills an edit from part, change, what changes, value at stack indices `first` and on. The part
   may be a panel: returns how many parts, from edit->part on, it is meant for. */
int32_t core_check_edit(lua_State *L, const sl_circuit *circuit, int first, sl_edit *edit);

/* The edits in the list at a stack index, entries {part, change, what, value}, one for each part of
   a panel. They are userdata left on the stack. */
const sl_edit *core_check_edits(lua_State *L, const sl_circuit *circuit, int list, int32_t *count);

/* Values by parameter from the table at a stack index; NaN where it has none. */
void core_read_values(lua_State *L, int table, const sl_kind *kind, double *values);

/* Files the entry on top of the stack in the list below it, by number and by name. */
void core_file_entry(lua_State *L, int32_t index, const char *name);

/* A function at a stack index, or nil, that long work calls with what is done and of how much;
   false stops the work. What it raises stops it too, and is raised once the work has ended: so is
   what a hook raises, by which a host stops its scripts. What lies above the present top of the
   stack is lost whenever the work calls. */
typedef struct core_progress {
    lua_State *L;
    int index, top;
    bool raised;
} core_progress;

core_progress core_take_progress(lua_State *L, int index);
bool core_tell_progress(void *progress, int64_t done, int64_t of);
void core_end_progress(const core_progress *progress);

int core_add_panel(lua_State *L);

/* Pushes what a panel carries, shaped like a part. */
void core_push_panel(lua_State *L, const core_case *box, sl_panel panel);

/* Paths of a case, see core_path.c. */
int core_loads(lua_State *L);      /* case:loads() */
int core_path(lua_State *L);       /* case:path(part, element, set, expected) */
int core_way(lua_State *L);        /* case:way(red, black) */
int core_cuts(lua_State *L);       /* case:cuts(node) */
int core_limit_sets(lua_State *L); /* core.limit_sets() */
int core_fuse_band(lua_State *L);  /* core.fuse_band(part of its rating) */
int core_size(lua_State *L);       /* circuit:size(part, question) */

/* Pushes a limit as a table, or nil for NULL. */
void core_push_limit(lua_State *L, const sl_limit *limit);

int core_new_case(lua_State *L);  /* circuit:case(condition) */
int core_new_sweep(lua_State *L); /* circuit:sweep() */
int core_sneaks(lua_State *L);    /* circuit:sneaks(progress) */
int core_kind(lua_State *L);      /* core.kind(name) */
int core_kind_names(lua_State *L);
int core_fenced(lua_State *L);
int core_multimeter(lua_State *L); /* core.multimeter() -> a usual one */
int core_shown(lua_State *L); /* core.shown(value, counts, step, most) -> number or nil, its step */

/* Methods of cases for instruments. */
extern const luaL_Reg core_instrument_methods[];

int core_set_spread(lua_State *L);  /* circuit:set_spread(...) */
int core_spread(lua_State *L);      /* circuit:spread(...) */
int core_kind_spread(lua_State *L); /* core.kind_spread(kind, parameter) */
int core_effects(lua_State *L);     /* case:effects(reading) */
int core_new_band(lua_State *L);    /* case:band(reading, usual) */

/* Makes the metatables of cases, of bands and of sweeps. */
void core_open_case(lua_State *L);
void core_open_band(lua_State *L);
void core_open_sweep(lua_State *L);

/* What `require "strapline.core"` calls; the only name of the binding seen outside. */
LUAMOD_API int luaopen_strapline_core(lua_State *L);

/* Gives a metatable its methods and finalizers. */
void core_set_class(lua_State *L, const char *name, const luaL_Reg *methods, lua_CFunction free);

#endif

/* lua/binding/core_sweep.h: what the files of sweeps share. */
#ifndef SL_BINDING_CORE_SWEEP_H
#define SL_BINDING_CORE_SWEEP_H

#include "core.h"

#define CORE_THREADS_MOST 64

/* Rows of one thread, as numbers and texts in a row, until Lua takes them. */
typedef struct core_rows {
    core_circuit *owner;
    double *value;
    size_t count, room;
    char *text;
    size_t text_count, text_room;
    bool failed; /* out of memory: the last row is not whole */
} core_rows;

typedef struct core_sweep {
    sl_sweep *sweep; /* NULL before it is made and after it is freed */
    core_circuit *owner;
    sl_sweeper *sweeper[CORE_THREADS_MOST];
    sl_contrast *contrast[CORE_THREADS_MOST];
    core_rows rows[CORE_THREADS_MOST];
    bool started, notices, quick;
    double change_v;
} core_sweep;

/* The sweep at a stack index; raises when it is something else or closed. */
core_sweep *core_check_sweep(lua_State *L, int index);

/* Makes the sweeper of a thread, when it is not there. */
sl_status core_make_sweeper(core_sweep *box, int worker);

int core_run_sweep(lua_State *L); /* sweep:run(...) */

/* sweep:fill(first, count [, threads [, quick]]) -> { [reading] = { [case - first + 1] = value } },
   { [case - first + 1] = outcome, or name of a status } */
int core_fill_sweep(lua_State *L);
int core_contrast_sweep(lua_State *L); /* sweep:contrast(...) */
int core_sweep_stats(lua_State *L);    /* sweep:stats() */
void core_free_rows(core_rows *rows);

#endif

/* lua/binding/core_sweep_fill.c: a sweep's readings as columns, without a table for each row. */
#include "core_sweep.h"

#include <math.h>
#include <stdint.h>

/* What the threads fill in, and the stretch of each. */
typedef struct filling {
    core_sweep *box;
    int64_t first, count;
    double *values; /* where its stretch begins */
    sl_sweep_mark *marks;
    int worker;
    sl_status status;
} filling;

static void *fill(void *user)
{
    filling *f = user;
    f->status =
        sl_sweeper_fill(f->box->sweeper[f->worker], f->first, f->count, f->values, f->marks, NULL);
    return NULL;
}

/* Equal stretches in order; the calling thread fills the first, and any that no thread can be had
   for. */
static sl_status fill_all(core_sweep *box, int64_t first, int64_t count, int threads,
                          double *values, sl_sweep_mark *marks)
{
    filling part[CORE_THREADS_MOST];
    pthread_t thread[CORE_THREADS_MOST];
    bool running[CORE_THREADS_MOST] = {false};
    const int32_t readings = sl_sweep_reading_count(box->sweep);
    for (int k = 0; k < threads; k++) {
        const int64_t from = count * k / threads, to = count * (k + 1) / threads;
        part[k] = (filling){box, first + from, to - from, values + from * readings, marks + from,
                            k,   SL_OK};
        sl_status status = core_make_sweeper(box, k);
        if (status < 0) {
            return status;
        }
    }
    for (int k = 1; k < threads; k++) {
        running[k] = pthread_create(&thread[k], NULL, fill, &part[k]) == 0;
    }
    sl_status worst = SL_OK;
    for (int k = 0; k < threads; k++) {
        if (running[k]) {
            pthread_join(thread[k], NULL);
        } else {
            fill(&part[k]);
        }
        worst = part[k].status < 0 ? part[k].status : worst;
    }
    return worst;
}

/* One list for each reading, and one of how each case ended. */
static void push_columns(lua_State *L, int64_t count, int32_t readings, const double *values,
                         const sl_sweep_mark *marks)
{
    static const char *const outcomes[] = {"settled", "timing", "chatters"};
    lua_createtable(L, readings, 0);
    for (int32_t r = 0; r < readings; r++) {
        lua_createtable(L, (int)(count < 100000 ? count : 100000), 0);
        for (int64_t k = 0; k < count; k++) {
            const double value = values[k * readings + r];
            if (!isnan(value)) {
                lua_pushnumber(L, value);
                lua_rawseti(L, -2, k + 1);
            }
        }
        lua_rawseti(L, -2, r + 1);
    }
    lua_createtable(L, (int)(count < 100000 ? count : 100000), 0);
    for (int64_t k = 0; k < count; k++) {
        lua_pushstring(L, marks[k].status < 0 ? sl_status_name(marks[k].status)
                                              : outcomes[marks[k].outcome]);
        lua_rawseti(L, -2, k + 1);
    }
}

/* The arrays are a value of Lua's, so that an error while columns are made frees them. */
static void *room_of(lua_State *L, int64_t count, size_t size)
{
    const uint64_t most = SIZE_MAX / 2 / size;
    return (uint64_t)count < most ? lua_newuserdatauv(L, (size_t)count * size + 1, 0) : NULL;
}

int core_fill_sweep(lua_State *L)
{
    core_sweep *box = core_check_sweep(L, 1);
    const lua_Integer first = luaL_checkinteger(L, 2), asked = luaL_checkinteger(L, 3);
    const lua_Integer threads = luaL_optinteger(L, 4, 1);
    luaL_argcheck(L, first >= 1, 2, "cases count from 1");
    luaL_argcheck(L, asked >= 0, 3, "a number of cases");
    luaL_argcheck(L, threads >= 1 && threads <= CORE_THREADS_MOST, 4, "1 to 64");
    luaL_argcheck(L, !box->sweeper[0] || !box->notices, 1, "notices are in rows, not in columns");
    box->quick = lua_toboolean(L, 5);
    box->started = true;
    const int64_t left = sl_sweep_case_count(box->sweep) - (first - 1);
    const int64_t count = left < 0 ? 0 : asked < left ? asked : left;
    const int32_t readings = sl_sweep_reading_count(box->sweep);
    const size_t row = ((size_t)readings + 1) * sizeof(double);
    double *values = room_of(L, count, row);
    sl_sweep_mark *marks = values ? room_of(L, count, sizeof *marks) : NULL;
    if (!values || !marks) {
        return core_fail(L, SL_E_NOMEM, NULL);
    }
    const sl_status status =
        count == 0 ? SL_OK : fill_all(box, first - 1, count, (int)threads, values, marks);
    if (status < 0) {
        return core_fail(L, status, NULL);
    }
    push_columns(L, count, readings, values, marks);
    return 2;
}

/* lua/binding/core_sweep_run.c: rows of sweeps, found by one thread or several, in their order.

   Each thread writes the rows of its own stretch of cases to a list of numbers; when all are done,
   the lists are made into Lua tables one after the other. No thread but the first sees Lua. */
#include "core_sweep.h"

#include <math.h>
#include <string.h>

void core_free_rows(core_rows *rows)
{
    if (rows->value) {
        core_resize(rows->owner, rows->value, rows->room * sizeof *rows->value, 0);
    }
    if (rows->text) {
        core_resize(rows->owner, rows->text, rows->text_room, 0);
    }
    *rows = (core_rows){.owner = rows->owner};
}

/* Room for `more` numbers; false when there is none. */
static bool make_room(core_rows *rows, size_t more)
{
    if (rows->count + more > rows->room) {
        size_t room = 2 * (rows->count + more);
        double *grown =
            core_resize(rows->owner, rows->value, rows->room * sizeof *grown, room * sizeof *grown);
        rows->failed = !grown;
        rows->value = grown ? grown : rows->value;
        rows->room = grown ? room : rows->room;
    }
    return !rows->failed;
}

static void put(core_rows *rows, double value)
{
    rows->value[rows->count++] = value;
}

/* Keeps a text; its place is put among the numbers. */
static bool put_text(core_rows *rows, const char *text)
{
    size_t length = strlen(text) + 1;
    if (rows->text_count + length > rows->text_room) {
        size_t room = 2 * (rows->text_count + length);
        char *grown = core_resize(rows->owner, rows->text, rows->text_room, room);
        rows->failed = !grown;
        rows->text = grown ? grown : rows->text;
        rows->text_room = grown ? room : rows->text_room;
    }
    if (rows->failed) {
        return false;
    }
    memcpy(rows->text + rows->text_count, text, length);
    put(rows, (double)rows->text_count);
    rows->text_count += length;
    return true;
}

#define HEAD 9

static bool put_head(core_rows *rows, const sl_sweep_row *row)
{
    put(rows, (double)row->index);
    put(rows, row->what.condition);
    put(rows, row->what.fault);
    put(rows, row->what.second);
    put(rows, row->status);
    put(rows, row->outcome);
    put(rows, row->end);
    put(rows, row->period_s);
    return put_text(rows, row->message);
}

typedef struct stretch {
    core_sweep *box;
    int64_t first, count;
    int worker;
    sl_status status;
} stretch;

static bool take_row(void *user, const sl_sweep_row *row)
{
    const stretch *s = user;
    core_rows *rows = &s->box->rows[s->worker];
    size_t readings = (size_t)sl_sweep_reading_count(s->box->sweep);
    size_t notices = (size_t)row->notice_count;
    size_t before = rows->count;
    if (!make_room(rows, HEAD + readings + 1 + 3 * notices) || !put_head(rows, row)) {
        rows->count = before;
        return false;
    }
    for (size_t k = 0; k < readings; k++) {
        put(rows, row->value[k]);
    }
    put(rows, (double)notices);
    for (size_t k = 0; k < notices; k++) {
        put(rows, row->notice[k].part);
        put(rows, row->notice[k].index);
        put(rows, row->notice[k].value);
    }
    return true;
}

static void put_reading(core_rows *rows, const sl_contrast_reading *reading)
{
    put(rows, reading->reading);
    put(rows, reading->good);
    put(rows, reading->now);
    put(rows, reading->alone_good);
    put(rows, reading->alone_now);
}

static bool take_contrast(void *user, const sl_contrast_row *row)
{
    const stretch *s = user;
    core_rows *rows = &s->box->rows[s->worker];
    size_t symptoms = (size_t)row->symptom_count, before = rows->count;
    if (!make_room(rows, HEAD + 3 + 10 * SL_SWEEP_GROUPS + 5 * symptoms) ||
        !put_head(rows, row->row)) {
        rows->count = before;
        return false;
    }
    put(rows, row->good_status);
    put(rows, row->load_only);
    for (int g = 0; g < SL_SWEEP_GROUPS; g++) {
        put_reading(rows, &row->best[g]);
        put_reading(rows, &row->alone[g]);
    }
    put(rows, (double)symptoms);
    for (size_t k = 0; k < symptoms; k++) {
        put(rows, row->symptom[k].type);
        put(rows, row->symptom[k].part);
        put(rows, row->symptom[k].index);
        put(rows, row->symptom[k].good);
        put(rows, row->symptom[k].now);
    }
    return true;
}

sl_status core_make_sweeper(core_sweep *box, int worker)
{
    const sl_sweep_setup setup = {NULL, 0, box->notices, box->quick};
    return box->sweeper[worker] ? SL_OK : sl_sweeper_new(box->sweep, &setup, &box->sweeper[worker]);
}

static sl_status make_worker(core_sweep *box, int worker, bool contrast)
{
    if (!contrast) {
        return core_make_sweeper(box, worker);
    }
    if (box->contrast[worker]) {
        return SL_OK;
    }
    int32_t loads = sl_circuit_quiet(box->owner->circuit, NULL, 0);
    size_t bytes = ((size_t)loads + 1) * sizeof(sl_edit);
    sl_edit *edits = core_resize(box->owner, NULL, 0, bytes);
    if (!edits) {
        return SL_E_NOMEM;
    }
    sl_circuit_quiet(box->owner->circuit, edits, loads);
    sl_status status =
        sl_contrast_new(box->sweep, edits, loads, box->change_v, &box->contrast[worker]);
    core_resize(box->owner, edits, bytes, 0);
    return status;
}

static void *run_rows(void *user)
{
    stretch *s = user;
    s->status = sl_sweeper_run(s->box->sweeper[s->worker], s->first, s->count, take_row, s, NULL);
    return NULL;
}

static void *run_contrast(void *user)
{
    stretch *s = user;
    s->status =
        sl_contrast_run(s->box->contrast[s->worker], s->first, s->count, take_contrast, s, NULL);
    return NULL;
}

/* Shares cases out among threads, equal stretches in order; the calling thread runs the first, and
   any that no thread can be had for. */
static sl_status run_stretches(core_sweep *box, int64_t first, int64_t count, int threads,
                               bool contrast)
{
    stretch stretches[CORE_THREADS_MOST];
    pthread_t thread[CORE_THREADS_MOST];
    bool running[CORE_THREADS_MOST] = {false};
    void *(*run)(void *) = contrast ? run_contrast : run_rows;
    for (int k = 0; k < threads; k++) {
        const int64_t from = count * k / threads, to = count * (k + 1) / threads;
        stretches[k] = (stretch){box, first + from, to - from, k, SL_OK};
        box->rows[k].count = box->rows[k].text_count = 0;
        box->rows[k].failed = false;
        sl_status status = make_worker(box, k, contrast);
        if (status < 0) {
            return status;
        }
    }
    for (int k = 1; k < threads; k++) {
        running[k] = pthread_create(&thread[k], NULL, run, &stretches[k]) == 0;
    }
    sl_status worst = SL_OK;
    for (int k = 0; k < threads; k++) {
        if (running[k]) {
            pthread_join(thread[k], NULL);
        } else {
            run(&stretches[k]);
        }
        worst = stretches[k].status < 0 ? stretches[k].status
                : box->rows[k].failed   ? SL_E_NOMEM
                                        : worst;
    }
    return worst;
}

static void set_count(lua_State *L, const char *key, double value)
{
    lua_pushinteger(L, (lua_Integer)value);
    lua_setfield(L, -2, key);
}

/* The head of a row, as a table that is left on the stack; returns what follows it. */
static const double *push_head(lua_State *L, const core_sweep *box, const core_rows *rows,
                               const double *at)
{
    static const char *const outcomes[] = {"settled", "timing", "chatters"};
    lua_createtable(L, 0, 14);
    set_count(L, "case", at[0] + 1);
    core_set_text(L, "condition",
                  sl_circuit_condition_name(box->owner->circuit, (sl_condition)at[1]));
    if (at[2] >= 0) {
        set_count(L, "fault", at[2] + 1);
    }
    if (at[3] >= 0) {
        set_count(L, "second", at[3] + 1);
    }
    if (at[4] < 0) {
        core_set_text(L, "status", sl_status_name((sl_status)at[4]));
        core_set_text(L, "message", rows->text + (size_t)at[8]);
    } else {
        core_set_text(L, "outcome", outcomes[(int)at[5]]);
        set_count(L, "ending", at[6] + 1);
        core_set_number(L, "period", at[7]);
    }
    return at + HEAD;
}

static const char *notice_name(const core_sweep *box, double part, double index)
{
    return index < 0
               ? "chatter"
               : sl_circuit_part_kind(box->owner->circuit, (sl_part)part)->notices[(int)index].name;
}

static const double *push_row(lua_State *L, const core_sweep *box, const core_rows *rows,
                              const double *at)
{
    int32_t readings = sl_sweep_reading_count(box->sweep);
    at = push_head(L, box, rows, at);
    lua_createtable(L, readings, 0);
    for (int32_t k = 0; k < readings; k++) {
        if (!isnan(at[k])) {
            lua_pushnumber(L, at[k]);
            lua_rawseti(L, -2, k + 1);
        }
    }
    lua_setfield(L, -2, "values");
    at += readings;
    int32_t notices = (int32_t)*at++;
    lua_createtable(L, notices, 0);
    for (int32_t k = 0; k < notices; k++, at += 3) {
        lua_createtable(L, 0, 3);
        core_set_text(L, "part", sl_circuit_part_name(box->owner->circuit, (sl_part)at[0]));
        core_set_text(L, "name", notice_name(box, at[0], at[1]));
        core_set_number(L, "value", at[2]);
        lua_rawseti(L, -2, k + 1);
    }
    lua_setfield(L, -2, "notices");
    return at;
}

static void push_reading(lua_State *L, const double *at, int group)
{
    if (at[0] < 0) {
        return;
    }
    lua_createtable(L, 0, 5);
    set_count(L, "reading", at[0] + 1);
    core_set_number(L, "good", at[1]);
    core_set_number(L, "now", at[2]);
    core_set_number(L, "alone_good", at[3]);
    core_set_number(L, "alone_now", at[4]);
    lua_rawseti(L, -2, group + 1);
}

static const double *push_contrast(lua_State *L, const core_sweep *box, const core_rows *rows,
                                   const double *at)
{
    static const char *const types[] = {"appears", "disappears", "changes", "chatters"};
    at = push_head(L, box, rows, at);
    if (*at < 0) {
        core_set_text(L, "good_status", sl_status_name((sl_status)*at));
    }
    lua_pushboolean(L, at[1] != 0.0);
    lua_setfield(L, -2, "load_only");
    at += 2;
    for (int which = 0; which < 2; which++) {
        lua_createtable(L, SL_SWEEP_GROUPS, 0);
        for (int g = 0; g < SL_SWEEP_GROUPS; g++) {
            push_reading(L, &at[(ptrdiff_t)10 * g + (ptrdiff_t)5 * which], g);
        }
        lua_setfield(L, -2, which == 0 ? "best" : "alone");
    }
    at += (ptrdiff_t)10 * SL_SWEEP_GROUPS;
    int32_t symptoms = (int32_t)*at++;
    lua_createtable(L, symptoms, 0);
    for (int32_t k = 0; k < symptoms; k++, at += 5) {
        lua_createtable(L, 0, 5);
        core_set_text(L, "type", types[(int)at[0]]);
        core_set_text(L, "part", sl_circuit_part_name(box->owner->circuit, (sl_part)at[1]));
        core_set_text(L, "name", notice_name(box, at[1], at[2]));
        core_set_number(L, "good", at[3]);
        core_set_number(L, "now", at[4]);
        lua_rawseti(L, -2, k + 1);
    }
    lua_setfield(L, -2, "symptoms");
    return at;
}

/* Runs cases and returns the list of their rows. */
static int run_cases(lua_State *L, core_sweep *box, bool contrast)
{
    lua_Integer first = luaL_checkinteger(L, 2), count = luaL_checkinteger(L, 3);
    lua_Integer threads = luaL_optinteger(L, 4, 1);
    luaL_argcheck(L, first >= 1, 2, "cases count from 1");
    luaL_argcheck(L, count >= 0, 3, "a number of cases");
    luaL_argcheck(L, threads >= 1 && threads <= CORE_THREADS_MOST, 4, "1 to 64");
    const int64_t all = sl_sweep_case_count(box->sweep);
    count = count > all - (first - 1) ? all - (first - 1) : count;
    count = count < 0 ? 0 : count;
    box->started = true;
    sl_status status = run_stretches(box, first - 1, count, (int)threads, contrast);
    if (status < 0) {
        return core_fail(L, status, NULL);
    }
    lua_createtable(L, (int)(count < 100000 ? count : 100000), 0);
    lua_Integer row = 0;
    for (int k = 0; k < threads; k++) {
        const core_rows *rows = &box->rows[k];
        for (const double *at = rows->value; at && at < rows->value + rows->count;) {
            at = contrast ? push_contrast(L, box, rows, at) : push_row(L, box, rows, at);
            lua_rawseti(L, -2, ++row);
        }
    }
    return 1;
}

/* sweep:run(first, count [, threads [, notices [, quick]]]) -> list of { case, condition, fault,
   second, outcome, ending, period, values, notices }, or with status and message in place of an
   outcome */
int core_run_sweep(lua_State *L)
{
    core_sweep *box = core_check_sweep(L, 1);
    const bool notices = lua_toboolean(L, 5);
    luaL_argcheck(L, !box->sweeper[0] || box->notices == notices, 5,
                  "a sweep is run with notices or without");
    box->notices = notices;
    box->quick = lua_toboolean(L, 6);
    return run_cases(L, box, false);
}

/* sweep:contrast(first, count, threads, change) -> list of { case, ..., good_status, load_only,
   best = { [group] = { reading, good, now, alone_good, alone_now } }, alone = the same,
   symptoms = { { type, part, name, good, now } } } */
int core_contrast_sweep(lua_State *L)
{
    core_sweep *box = core_check_sweep(L, 1);
    const double change = luaL_checknumber(L, 5);
    luaL_argcheck(L, change > 0, 5, "a voltage above 0");
    luaL_argcheck(L, !box->contrast[0] || box->change_v == change, 5,
                  "a sweep is contrasted with one change");
    box->change_v = change;
    return run_cases(L, box, true);
}

/* sweep:stats() -> { cases, full_solves, circuits_made, without, chattering, closed_forms,
   by_ports } so far */
int core_sweep_stats(lua_State *L)
{
    core_sweep *box = core_check_sweep(L, 1);
    sl_sweep_stats sum = {0};
    for (int k = 0; k < CORE_THREADS_MOST; k++) {
        sl_sweep_stats one[2] = {{0}, {0}};
        if (box->sweeper[k]) {
            sl_sweeper_stats(box->sweeper[k], &one[0]);
        }
        if (box->contrast[k]) {
            sl_contrast_stats(box->contrast[k], &one[1]);
        }
        for (int i = 0; i < 2; i++) {
            sum.cases += one[i].cases;
            sum.full_solves += one[i].full_solves;
            sum.circuits_made += one[i].circuits_made;
            sum.without += one[i].without;
            sum.chattering += one[i].chattering;
            sum.closed_forms += one[i].closed_forms;
            sum.by_ports += one[i].by_ports;
        }
    }
    lua_createtable(L, 0, 7);
    set_count(L, "cases", (double)sum.cases);
    set_count(L, "full_solves", (double)sum.full_solves);
    set_count(L, "circuits_made", (double)sum.circuits_made);
    set_count(L, "without", (double)sum.without);
    set_count(L, "chattering", (double)sum.chattering);
    set_count(L, "closed_forms", (double)sum.closed_forms);
    set_count(L, "by_ports", (double)sum.by_ports);
    return 1;
}

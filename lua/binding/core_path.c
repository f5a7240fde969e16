/* lua/binding/core_path.c: paths of the current, and limits on what may be lost on them. Every list
   counts from 1; what is not defined is nil. */
#include "core.h"

#include <math.h>
#include <string.h>

/* Names of a part and one of its elements. `element` is left out where the part has only one. */
static void set_element(lua_State *L, const sl_circuit *circuit, sl_part part, int32_t element)
{
    const sl_kind *kind = sl_circuit_part_kind(circuit, part);
    core_set_text(L, "part", sl_circuit_part_name(circuit, part));
    core_set_text(L, "kind", kind->name);
    if (kind->element_count > 1) {
        core_set_text(L, "element", kind->elements[element].name);
    }
}

/* case:loads() -> list of {part, kind, element, use, current}, the greatest first */
int core_loads(lua_State *L)
{
    const core_case *box = core_check_case(L, 1);
    const sl_circuit *circuit = box->owner->circuit;
    int32_t count = sl_case_loads(box->cs, NULL, 0);
    if (count < 0) {
        return core_fail(L, (sl_status)count, NULL);
    }
    sl_load *loads = lua_newuserdatauv(L, (size_t)(count + 1) * sizeof *loads, 0);
    count = sl_case_loads(box->cs, loads, count);
    lua_createtable(L, count > 0 ? count : 0, 0);
    for (int32_t n = 0; n < count; n++) {
        lua_createtable(L, 0, 5);
        set_element(L, circuit, loads[n].part, loads[n].element);
        core_set_text(L, "use", sl_use_text(loads[n].use));
        core_set_number(L, "current", loads[n].current_a);
        lua_rawseti(L, -2, n + 1);
    }
    return 1;
}

void core_push_limit(lua_State *L, const sl_limit *limit)
{
    if (!limit) {
        lua_pushnil(L);
        return;
    }
    lua_createtable(L, 0, 9);
    core_set_text(L, "text", limit->text);
    core_set_text(L, "condition", limit->condition);
    core_set_text(L, "source", limit->source);
    core_set_text(L, "standing", limit->standing);
    core_set_number(L, "nominal", limit->nominal_v);
    core_set_number(L, "volts", limit->volts);
    core_set_number(L, "per_100_a", limit->per_100_a);
    core_set_number(L, "part", limit->part);
    core_set_flag(L, "least", limit->scope == SL_LIMIT_SOURCE);
}

/* core.fuse_band(part of the rating) -> {over, least, most, does}; nil where a fuse holds. `most`
   is nil where it may hold for ever. */
int core_fuse_band(lua_State *L)
{
    const sl_fuse_band *band = sl_fuse_band_of(luaL_checknumber(L, 1));
    if (!band) {
        lua_pushnil(L);
        return 1;
    }
    lua_createtable(L, 0, 4);
    core_set_number(L, "over", band->over);
    core_set_number(L, "least", band->least_s);
    core_set_number(L, "most", isinf(band->most_s) ? (double)NAN : band->most_s);
    core_set_text(L, "does", band->does);
    return 1;
}

/* core.limit_sets() -> list of {name, about, limits} */
int core_limit_sets(lua_State *L)
{
    lua_createtable(L, sl_limit_set_count(), 0);
    for (int32_t s = 0; s < sl_limit_set_count(); s++) {
        const sl_limit_set *set = sl_limit_set_at(s);
        lua_createtable(L, 0, 3);
        core_set_text(L, "name", set->name);
        core_set_text(L, "about", set->about);
        lua_createtable(L, set->limit_count, 0);
        for (int32_t n = 0; n < set->limit_count; n++) {
            core_push_limit(L, &set->limit[n]);
            lua_rawseti(L, -2, n + 1);
        }
        lua_setfield(L, -2, "limits");
        lua_rawseti(L, -2, s + 1);
    }
    return 1;
}

/* Sets field `key` to {value, allowed, good_current, celsius, verdict, limit}. */
static void set_judgement(lua_State *L, const char *key, const sl_judgement *j)
{
    static const char *const verdicts[] = {"ok", "bad", "cannot judge", "no limit", "by current"};
    lua_createtable(L, 0, 6);
    core_set_number(L, "value", j->value_v);
    core_set_number(L, "allowed", j->limit_v);
    core_set_number(L, "good_current", j->good_a);
    core_set_number(L, "celsius", j->celsius);
    core_set_text(L, "verdict", verdicts[j->verdict]);
    core_push_limit(L, j->limit);
    lua_setfield(L, -2, "limit");
    lua_setfield(L, -2, key);
}

static void push_step(lua_State *L, const sl_circuit *circuit, const sl_step *step)
{
    static const char *const sides[] = {"feed", "load", "return"};
    lua_createtable(L, 0, 15);
    set_element(L, circuit, step->part, step->element);
    core_set_text(L, "from", sl_circuit_node_name(circuit, step->from));
    core_set_text(L, "to", sl_circuit_node_name(circuit, step->to));
    core_set_text(L, "use", sl_use_text(step->use));
    core_set_text(L, "side", sides[step->side]);
    core_set_flag(L, "inside", step->inside);
    core_set_flag(L, "open", step->open);
    core_set_flag(L, "moved", step->moved);
    core_set_number(L, "current", step->current_a);
    core_set_number(L, "drop", step->drop_v);
    core_set_number(L, "share", step->share);
    core_set_integer(L, "shown", step->shown);
}

static void set_beside(lua_State *L, const sl_circuit *circuit, const sl_path *path, int32_t step,
                       const sl_case *good)
{
    lua_newtable(L);
    lua_Integer count = 0;
    for (int32_t n = 0; n < path->beside_count; n++) {
        const sl_beside *beside = &path->beside[n];
        if (beside->step == step) {
            lua_createtable(L, 0, 7);
            set_element(L, circuit, beside->part, beside->element);
            core_set_text(L, "use", sl_use_text(beside->use));
            core_set_number(L, "current", beside->current_a);
            core_set_number(L, "share", beside->share);
            double good_a, unused;
            if (good &&
                sl_case_element(good, beside->part, beside->element, &good_a, &unused) == SL_OK) {
                core_set_number(L, "good_current", fabs(good_a));
            }
            lua_rawseti(L, -2, ++count);
        }
    }
    lua_setfield(L, -2, "beside");
}

static void push_path(lua_State *L, const sl_circuit *circuit, const sl_path *path,
                      const sl_case *good)
{
    lua_createtable(L, 0, 24);
    set_element(L, circuit, path->source, path->source_element);
    lua_getfield(L, -1, "part");
    lua_setfield(L, -2, "source");
    core_set_text(L, "plus", sl_circuit_node_name(circuit, path->plus));
    core_set_text(L, "minus", sl_circuit_node_name(circuit, path->minus));
    core_set_text(L, "red", sl_circuit_node_name(circuit, path->red));
    core_set_text(L, "black", sl_circuit_node_name(circuit, path->black));
    if (path->load_use < SL_USE_COUNT) {
        core_set_text(L, "use", sl_use_text(path->load_use));
    }
    core_set_number(L, "load_current", path->load_a);
    core_set_number(L, "source_current", path->source_a);
    core_set_number(L, "source_voltage", path->source_v);
    core_set_number(L, "open_voltage", path->open_v);
    core_set_number(L, "inside_drop", path->inside_v);
    core_set_number(L, "nominal", path->nominal_v);
    core_set_number(L, "unit", path->unit_v);
    core_set_integer(L, "shown_source", path->shown_source);
    core_set_integer(L, "shown_open", path->shown_open);
    core_set_integer(L, "stops", path->stops);
    lua_createtable(L, path->step_count, 0);
    for (int32_t k = 0; k < path->step_count; k++) {
        push_step(L, circuit, &path->step[k]);
        set_beside(L, circuit, path, k, good);
        lua_rawseti(L, -2, k + 1);
    }
    lua_setfield(L, -2, "steps");
}

/* A path lives in a userdata while tables are made of it, so that an error frees it; then it is
   freed at once. Until then the case is lent to it: an error may close the case first. */
#define CORE_PATH "strapline.path"

typedef struct core_path_box {
    sl_path *path; /* NULL before it is made and after it is freed */
    core_case *owner;
} core_path_box;

static int free_path(lua_State *L)
{
    core_path_box *box = luaL_checkudata(L, -1, CORE_PATH);
    if (box->owner) {
        core_case *owner = box->owner;
        sl_path_free(box->path);
        *box = (core_path_box){NULL, NULL};
        owner->lent--;
        core_release_case(owner);
    }
    return 0;
}

static core_path_box *new_path(lua_State *L, core_case *owner)
{
    core_path_box *box = lua_newuserdatauv(L, sizeof *box, 1);
    *box = (core_path_box){NULL, NULL};
    if (luaL_newmetatable(L, CORE_PATH)) {
        lua_pushcfunction(L, free_path);
        lua_setfield(L, -2, "__gc");
    }
    lua_setmetatable(L, -2);
    lua_pushvalue(L, 1); /* the case must outlive it */
    lua_setiuservalue(L, -2, 1);
    box->owner = owner;
    owner->lent++;
    return box;
}

/* Of the two on top of the stack, the path and what was made of it, leaves the latter. */
static int close_path(lua_State *L)
{
    lua_insert(L, -2);
    free_path(L);
    lua_pop(L, 1);
    return 1;
}

/* What limits say of a path: of each step as its field `judged`, of sides as fields of the path. */
static void judge(lua_State *L, const sl_path *path, const sl_limit_set *set, const sl_case *good)
{
    static const char *const names[] = {
        [SL_LIMIT_FEED] = "feed",     [SL_LIMIT_RETURN] = "ground",    [SL_LIMIT_BOTH] = "both",
        [SL_LIMIT_CABLES] = "cables", [SL_LIMIT_SOURCE] = "batteries",
    };
    sl_judgement j;
    lua_getfield(L, -1, "steps");
    for (int32_t k = 0; k < path->step_count; k++) {
        lua_rawgeti(L, -1, k + 1);
        sl_path_judge_step(path, set, good, k, &j);
        set_judgement(L, "judged", &j);
        lua_pop(L, 1);
    }
    lua_pop(L, 1);
    for (int scope = SL_LIMIT_FEED; scope <= SL_LIMIT_SOURCE; scope++) {
        sl_path_judge(path, set, good, (sl_limit_scope)scope, &j);
        set_judgement(L, names[scope], &j);
    }
}

/* Of the path in the box: the way its current takes in the good case, where that has one. */
static sl_status take_usual(core_path_box *way, const sl_case *good)
{
    sl_path *usual = NULL;
    const sl_status status = good ? sl_path_usual(way->path, good, &usual) : SL_OK;
    if (usual) {
        sl_path_free(way->path);
        way->path = usual;
    }
    return status < 0 ? status : SL_OK;
}

/* case:path(part, element or nil, name of a set of limits or nil, solved case without
   faults or nil)
   -> path, or nil, message, code where no way leads there */
int core_path(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    const sl_circuit *circuit = box->owner->circuit;
    const sl_part part = core_check_part(L, circuit, 2);
    int32_t element = -1;
    if (!lua_isnoneornil(L, 3)) {
        element = core_check_element(L, sl_circuit_part_kind(circuit, part), 3);
    }
    const sl_limit_set *set = NULL;
    if (!lua_isnoneornil(L, 4)) {
        set = sl_limit_set_find(luaL_checkstring(L, 4));
        luaL_argcheck(L, set, 4, "no such set of limits");
    }
    const sl_case *good = lua_isnoneornil(L, 5) ? NULL : core_check_case(L, 5)->cs;
    core_path_box *way = new_path(L, box);
    sl_status status = sl_path_load(box->cs, part, element, &way->path);
    if (status == SL_OK) {
        status = take_usual(way, good);
    }
    if (status != SL_OK) {
        free_path(L);
        return core_fail(L, status, NULL);
    }
    push_path(L, circuit, way->path, good);
    if (set) {
        judge(L, way->path, set, good);
    }
    return close_path(L);
}

/* case:way(red, black, solved case without faults or nil)
   -> path, or nil, message, code where no way leads there */
int core_way(lua_State *L)
{
    core_case *box = core_check_case(L, 1);
    const sl_circuit *circuit = box->owner->circuit;
    const sl_node red = core_check_node(L, circuit, 2), black = core_check_node(L, circuit, 3);
    const sl_case *good = lua_isnoneornil(L, 4) ? NULL : core_check_case(L, 4)->cs;
    core_path_box *way = new_path(L, box);
    sl_status status = sl_path_leads(box->cs, red, black, &way->path);
    if (status == SL_OK) {
        status = take_usual(way, good);
    }
    if (status != SL_OK) {
        free_path(L);
        return core_fail(L, status, NULL);
    }
    push_path(L, circuit, way->path, good);
    return close_path(L);
}

/* case:cuts(node) -> list of open places round the piece of circuit the node belongs to */
int core_cuts(lua_State *L)
{
    const core_case *box = core_check_case(L, 1);
    const sl_circuit *circuit = box->owner->circuit;
    const sl_node node = core_check_node(L, circuit, 2);
    int32_t count = sl_case_cuts(box->cs, node, NULL, 0);
    if (count < 0) {
        return core_fail(L, (sl_status)count, NULL);
    }
    sl_step *steps = lua_newuserdatauv(L, (size_t)(count + 1) * sizeof *steps, 0);
    count = sl_case_cuts(box->cs, node, steps, count);
    lua_createtable(L, count > 0 ? count : 0, 0);
    for (int32_t k = 0; k < count; k++) {
        push_step(L, circuit, &steps[k]);
        lua_rawseti(L, -2, k + 1);
    }
    return 1;
}

/* lua/binding/core_kinds.c: the descriptions of the kinds as Lua tables. Lists hold their entries
   by number and by name. */
#include "core.h"

#include <math.h>

static void set_quantity(lua_State *L, sl_quantity quantity)
{
    core_set_text(L, "quantity", sl_quantity_text(quantity));
    core_set_text(L, "unit", sl_quantity_unit(quantity));
    core_set_flag(L, "bare", sl_quantity_bare(quantity));
}

/* Files the entry on top of the stack in the list below it, by number and by name. */
static void file_entry(lua_State *L, int32_t index, const char *name)
{
    core_set_text(L, "name", name);
    lua_pushvalue(L, -1);
    lua_setfield(L, -3, name);
    lua_rawseti(L, -2, index + 1);
}

static void set_names(lua_State *L, const char *key, const char *const *names, int32_t count)
{
    lua_createtable(L, count, 0);
    for (int32_t i = 0; i < count; i++) {
        lua_pushstring(L, names[i]);
        lua_rawseti(L, -2, i + 1);
    }
    lua_setfield(L, -2, key);
}

/* Field `lacked`: the parameter and its value, 'solenoid = "none"', of parts without this. */
static void set_lack(lua_State *L, const sl_kind *kind, sl_lack_of of, int32_t index)
{
    for (int32_t k = 0; k < kind->lack_count; k++) {
        const sl_lack *lack = &kind->lacks[k];
        const sl_param *param = &kind->params[lack->param];
        if (lack->of != of || lack->index != index) {
            continue;
        }
        if (isnan(lack->value)) {
            lua_pushfstring(L, "no %s given", param->name);
        } else {
            lua_pushfstring(L, "%s = \"%s\"", param->name, param->choices[(int)lack->value]);
        }
        lua_setfield(L, -2, "lacked");
    }
}

static void set_terminals(lua_State *L, const sl_kind *kind)
{
    lua_createtable(L, kind->terminal_count, kind->terminal_count);
    for (int32_t i = 0; i < kind->terminal_count; i++) {
        const sl_terminal *terminal = &kind->terminals[i];
        lua_createtable(L, 0, 4);
        core_set_number(L, "index", i + 1);
        core_set_flag(L, "optional", terminal->optional);
        core_set_flag(L, "inside", (kind->inside & SL_TERMINAL_BIT(i)) != 0);
        core_set_text(L, "doc", terminal->doc);
        set_lack(L, kind, SL_LACKS_TERMINAL, i);
        file_entry(L, i, terminal->name);
    }
    lua_setfield(L, -2, "terminals");
}

static void push_param(lua_State *L, const sl_param *param)
{
    static const char *const presences[] = {"required", "default", "derived"};
    lua_createtable(L, 0, 12);
    set_quantity(L, param->quantity);
    core_set_text(L, "presence", presences[param->presence]);
    if (param->presence == SL_DEFAULT) {
        core_set_number(L, "fallback", param->fallback);
    }
    core_set_number(L, "least", param->least);
    core_set_number(L, "greatest", param->greatest);
    core_set_text(L, "doc", param->doc);
    core_set_text(L, "standing", param->standing);
    if (param->choices) {
        int32_t count = 0;
        while (param->choices[count]) {
            count++;
        }
        set_names(L, "choices", param->choices, count);
    }
}

static void set_params(lua_State *L, const sl_kind *kind)
{
    lua_createtable(L, kind->param_count, kind->param_count);
    for (int32_t i = 0; i < kind->param_count; i++) {
        push_param(L, &kind->params[i]);
        for (int32_t u = 0; u < kind->usual_count; u++) {
            if (kind->usual[u].param == i) {
                core_set_number(L, "usual", kind->usual[u].value);
            }
        }
        file_entry(L, i, kind->params[i].name);
    }
    lua_setfield(L, -2, "params");
}

static void set_elements(lua_State *L, const sl_kind *kind)
{
    lua_createtable(L, kind->element_count, kind->element_count);
    for (int32_t i = 0; i < kind->element_count; i++) {
        const sl_element *element = &kind->elements[i];
        lua_createtable(L, 0, 4);
        core_set_text(L, "from", kind->terminals[element->from].name);
        core_set_text(L, "to", kind->terminals[element->to].name);
        core_set_text(L, "doc", element->doc);
        core_set_text(L, "use", sl_use_text(kind->uses[i]));
        set_lack(L, kind, SL_LACKS_ELEMENT, i);
        file_entry(L, i, element->name);
    }
    lua_setfield(L, -2, "elements");
}

/* `what` names the parameter or element that a mode changes. */
static void set_modes(lua_State *L, const sl_kind *kind)
{
    static const char *const changes[] = {"set", "open", "series"};
    lua_createtable(L, kind->mode_count, kind->mode_count);
    for (int32_t i = 0; i < kind->mode_count; i++) {
        const sl_mode *mode = &kind->modes[i];
        lua_createtable(L, 0, 8);
        core_set_text(L, "change", changes[mode->change]);
        if (mode->index >= 0) {
            core_set_text(L, "what",
                          mode->change == SL_SET ? kind->params[mode->index].name
                                                 : kind->elements[mode->index].name);
        }
        core_set_number(L, "least", mode->least);
        core_set_number(L, "greatest", mode->greatest);
        core_set_text(L, "doc", mode->doc);
        core_set_text(L, "standing", mode->standing);
        set_lack(L, kind, SL_LACKS_MODE, i);
        file_entry(L, i, mode->name);
    }
    lua_setfield(L, -2, "modes");
}

static void set_notices(lua_State *L, const sl_kind *kind)
{
    lua_createtable(L, kind->notice_count, kind->notice_count);
    for (int32_t i = 0; i < kind->notice_count; i++) {
        lua_createtable(L, 0, 5);
        set_quantity(L, kind->notices[i].quantity);
        core_set_text(L, "text", kind->notices[i].text);
        file_entry(L, i, kind->notices[i].name);
    }
    lua_setfield(L, -2, "notices");
}

/* The names of the parameters and of the terminal with a special duty. */
static void set_duties(lua_State *L, const sl_kind *kind)
{
    if (kind->start_param >= 0) {
        core_set_text(L, "start_param", kind->params[kind->start_param].name);
    }
    if (kind->position_param >= 0) {
        core_set_text(L, "position_param", kind->params[kind->position_param].name);
    }
    if (kind->negative_post >= 0) {
        core_set_text(L, "negative_post", kind->terminals[kind->negative_post].name);
    }
}

/* core.kind(name) -> description or nil */
int core_kind(lua_State *L)
{
    const sl_kind *kind = sl_kind_find(luaL_checkstring(L, 1));
    if (!kind) {
        return 0;
    }
    lua_createtable(L, 0, 16);
    core_set_text(L, "name", kind->name);
    core_set_text(L, "doc", kind->doc);
    core_set_text(L, "law", kind->law);
    core_set_text(L, "standing", kind->standing);
    core_set_text(L, "check", kind->check);
    core_set_text(L, "example", kind->example);
    set_terminals(L, kind);
    set_params(L, kind);
    set_elements(L, kind);
    set_modes(L, kind);
    set_notices(L, kind);
    set_names(L, "states", kind->states, kind->states ? kind->state_count : 0);
    core_set_flag(L, "takes_points", kind->takes_points);
    core_set_flag(L, "load", sl_kind_is_load(kind));
    set_duties(L, kind);
    return 1;
}

/* core.kind_names() -> list of names, in the order of the reference pages */
int core_kind_names(lua_State *L)
{
    int32_t count = sl_kind_count();
    lua_createtable(L, count, 0);
    for (int32_t i = 0; i < count; i++) {
        lua_pushstring(L, sl_kind_at(i)->name);
        lua_rawseti(L, -2, i + 1);
    }
    return 1;
}

/* lib/circuit/condition.c: how the vehicle is held: a list of edits, a temperature, a history. */
#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "circuit/circuit.h"

/* The number of a new condition. Condition 0 "rest" stands in until the first condition is given,
   which takes its place. */
static sl_status take_name(sl_circuit *c, const char *name, sl_condition *index)
{
    bool stand_in = !c->conditions_given && c->condition_names.count == 1;
    if (!stand_in) {
        return sl__names_add(&c->al, &c->condition_names, name, index);
    }
    *index = 0;
    sl_status st = sl__names_rename(&c->al, &c->condition_names, 0, name);
    if (st == SL_OK) {
        sl__free(&c->al, c->condition[0].edit, (size_t)c->condition[0].edit_room, sizeof(sl_edit));
    }
    return st;
}

sl_status sl_circuit_add_condition(sl_circuit *c, const char *name, sl_condition *out)
{
    if (!name || !*name) {
        return sl__fail(&c->message, SL_E_ARG, "a condition needs a name");
    }
    if (c->conditions_given && sl__names_find(&c->condition_names, name) >= 0) {
        return sl__fail(&c->message, SL_E_NAME, "there is a condition named \"%s\" already", name);
    }
    sl__condition *grown = sl__reserve(&c->al, c->condition, &c->condition_room,
                                       c->condition_names.count + 1, sizeof *grown);
    if (!grown) {
        return sl__fail(&c->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    c->condition = grown;
    sl_condition index;
    if (take_name(c, name, &index) != SL_OK) {
        return sl__fail(&c->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    c->condition[index] = (sl__condition){.celsius = SL__NAN, .after = SL_NONE};
    c->conditions_given = true;
    *out = index;
    return SL_OK;
}

int32_t sl__engine_speed_param(const sl_kind *kind)
{
    for (int32_t i = 0; kind->engine_speed && i < kind->param_count; i++) {
        if (strcmp(kind->params[i].name, kind->engine_speed) == 0) {
            return i;
        }
    }
    return -1;
}

static bool is_condition(const sl_circuit *c, sl_condition condition)
{
    return condition >= 0 && condition < c->condition_names.count;
}

sl_status sl_condition_edit(sl_circuit *c, sl_condition condition, const sl_edit *edit)
{
    if (!is_condition(c, condition) || edit->part < 0 || edit->part >= c->parts.names.count) {
        return sl__fail(&c->message, SL_E_ARG, "no such condition or part");
    }
    sl_status st = sl__edit_check(&c->parts.part[edit->part].kind->about,
                                  c->parts.names.text[edit->part], edit, &c->message);
    if (st != SL_OK) {
        return st;
    }
    sl__condition *held = &c->condition[condition];
    sl_edit *grown =
        sl__reserve(&c->al, held->edit, &held->edit_room, held->edit_count + 1, sizeof *grown);
    if (!grown) {
        return sl__fail(&c->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    held->edit = grown;
    held->edit[held->edit_count++] = *edit;
    return SL_OK;
}

sl_status sl_condition_set_temperature(sl_circuit *c, sl_condition condition, double celsius)
{
    if (!is_condition(c, condition)) {
        return sl__fail(&c->message, SL_E_ARG, "no such condition");
    }
    sl_status st = sl__temperature_check(celsius, &c->message);
    if (st == SL_OK) {
        c->condition[condition].celsius = celsius;
    }
    return st;
}

sl_status sl_condition_set_engine_speed(sl_circuit *c, sl_condition condition, double rpm)
{
    if (!is_condition(c, condition)) {
        return sl__fail(&c->message, SL_E_ARG, "no such condition");
    }
    const int32_t before = c->condition[condition].edit_count;
    for (sl_part part = 0; part < c->parts.names.count; part++) {
        const int32_t param = sl__engine_speed_param(&c->parts.part[part].kind->about);
        const sl_edit edit = {part, SL_SET, param, rpm};
        const sl_status st = param >= 0 ? sl_condition_edit(c, condition, &edit) : SL_OK;
        if (st != SL_OK) {
            c->condition[condition].edit_count = before;
            return st;
        }
    }
    if (c->condition[condition].edit_count == before) {
        return sl__fail(&c->message, SL_E_VALUE,
                        "no part of this circuit turns with the engine, as an alternator does");
    }
    return SL_OK;
}

sl_status sl_condition_after(sl_circuit *c, sl_condition condition, sl_condition before)
{
    if (!is_condition(c, condition) || !is_condition(c, before) || before >= condition) {
        return sl__fail(&c->message, SL_E_ARG,
                        "a condition can only come after one that was made before it");
    }
    c->condition[condition].after = before;
    return SL_OK;
}

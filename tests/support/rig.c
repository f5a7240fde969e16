/* tests/support/rig.c: circuits in a line a part. */
#define _DEFAULT_SOURCE /* strtok_r */
#include "rig.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TERMINALS = 8, PARAMS = 40, TEXT = 400 };

static _Noreturn void stop(const char *what, const char *name, const char *why)
{
    fprintf(stderr, "rig: %s \"%s\": %s\n", what, name, why ? why : "");
    exit(1);
}

int32_t rig_param(const sl_kind *kind, const char *name)
{
    for (int32_t i = 0; i < kind->param_count; i++) {
        if (strcmp(kind->params[i].name, name) == 0) {
            return i;
        }
    }
    stop(kind->name, name, "no such parameter");
}

int32_t rig_element(const sl_kind *kind, const char *name)
{
    if (!name) {
        return -1;
    }
    for (int32_t i = 0; i < kind->element_count; i++) {
        if (strcmp(kind->elements[i].name, name) == 0) {
            return i;
        }
    }
    stop(kind->name, name, "no such element");
}

static double read_value(const sl_param *param, const char *text)
{
    for (int32_t i = 0; param->choices && param->choices[i]; i++) {
        if (strcmp(param->choices[i], text) == 0) {
            return i;
        }
    }
    char *end;
    double value = strtod(text, &end);
    if (end == text || *end) {
        stop(param->name, text, "not a value");
    }
    return value;
}

static void read_values(const sl_kind *kind, char *text, double *value)
{
    char *rest = NULL; /* not kept inside strtok: threads use this */
    for (char *field = strtok_r(text, ",", &rest); field; field = strtok_r(NULL, ",", &rest)) {
        char *equals = strchr(field, '=');
        if (!equals) {
            stop(kind->name, field, "no =");
        }
        *equals = '\0';
        field += strspn(field, " ");
        int32_t at = rig_param(kind, field);
        value[at] = read_value(&kind->params[at], equals + 1);
    }
}

/* A definition and what it points to. */
typedef struct definition {
    sl_part_def def;
    const char *node[TERMINALS];
    double value[PARAMS];
    char node_text[TEXT], value_text[TEXT];
} definition;

static void define(definition *d, const char *kind, const char *name, const char *nodes,
                   const char *values)
{
    *d = (definition){.def = {.kind = kind, .name = name, .nodes = d->node, .values = d->value}};
    snprintf(d->node_text, TEXT, "%s", nodes);
    snprintf(d->value_text, TEXT, "%s", values);
    for (int32_t i = 0; i < PARAMS; i++) {
        d->value[i] = (double)NAN;
    }
    int32_t count = 0;
    char *rest = NULL;
    for (char *word = strtok_r(d->node_text, " ", &rest); word; word = strtok_r(NULL, " ", &rest)) {
        d->node[count++] = strcmp(word, "-") == 0 ? NULL : word;
    }
    const sl_kind *about = sl_kind_find(kind);
    if (about) {
        read_values(about, d->value_text, d->value);
    }
}

sl_status rig_try(sl_circuit *c, const char *kind, const char *name, const char *nodes,
                  const char *values, sl_part *out)
{
    definition d;
    define(&d, kind, name, nodes, values);
    return sl_circuit_add(c, &d.def, out);
}

sl_status rig_attach(sl_case *cs, const char *kind, const char *name, const char *nodes,
                     const char *values, sl_part *out)
{
    definition d;
    define(&d, kind, name, nodes, values);
    return sl_case_attach(cs, &d.def, out);
}

sl_part rig_part(sl_circuit *c, const char *kind, const char *name, const char *nodes,
                 const char *values)
{
    sl_part part = SL_NONE;
    if (rig_try(c, kind, name, nodes, values, &part) != SL_OK) {
        stop(kind, name, sl_circuit_message(c));
    }
    return part;
}

sl_circuit *rig_circuit(const sl_alloc *alloc)
{
    sl_circuit *c = NULL;
    if (sl_circuit_new(alloc, &c) != SL_OK) {
        stop("circuit", "", "out of memory");
    }
    return c;
}

sl_circuit *rig_grounded(void)
{
    sl_circuit *c = rig_circuit(NULL);
    sl_node zero;
    if (sl_circuit_node(c, "0", &zero) != SL_OK || sl_circuit_set_reference(c, zero) != SL_OK) {
        stop("circuit", "0", sl_circuit_message(c));
    }
    return c;
}

void rig_free(sl_circuit *c, sl_case *cs)
{
    sl_case_free(cs);
    sl_circuit_free(c);
}

sl_condition rig_condition(sl_circuit *c, const char *name)
{
    sl_condition condition = SL_NONE;
    if (sl_circuit_add_condition(c, name, &condition) != SL_OK) {
        stop("condition", name, sl_circuit_message(c));
    }
    return condition;
}

sl_case *rig_case(const sl_circuit *c, sl_condition condition)
{
    sl_case *cs = NULL;
    sl_status st = sl_case_new(c, condition, &cs);
    if (st != SL_OK) {
        stop("case", sl_circuit_condition_name(c, condition), sl_status_text(st));
    }
    return cs;
}

sl_case *rig_solved(const sl_circuit *c, sl_condition condition)
{
    sl_case *cs = rig_case(c, condition);
    if (sl_case_solve(cs) != SL_OK) {
        stop("solve", sl_circuit_condition_name(c, condition), sl_case_message(cs));
    }
    return cs;
}

static sl_part find_part(const sl_circuit *c, const char *name)
{
    sl_part part = sl_circuit_find_part(c, name);
    if (part == SL_NONE) {
        stop("part", name, "not there");
    }
    return part;
}

sl_edit rig_set(const sl_circuit *c, const char *part, const char *param, double value)
{
    sl_part at = find_part(c, part);
    return (sl_edit){at, SL_SET, rig_param(sl_circuit_part_kind(c, at), param), value};
}

sl_edit rig_open(const sl_circuit *c, const char *part, const char *element)
{
    sl_part at = find_part(c, part);
    return (sl_edit){at, SL_OPEN, rig_element(sl_circuit_part_kind(c, at), element), 0.0};
}

sl_edit rig_series(const sl_circuit *c, const char *part, const char *element, double ohm)
{
    sl_part at = find_part(c, part);
    return (sl_edit){at, SL_SERIES, rig_element(sl_circuit_part_kind(c, at), element), ohm};
}

sl_edit rig_mode(const sl_circuit *c, sl_part part, int32_t mode, double share)
{
    const sl_mode *m = &sl_circuit_part_kind(c, part)->modes[mode];
    return (sl_edit){part, m->change, m->index, m->least + share * (m->greatest - m->least)};
}

double rig_volts(const sl_case *cs, const sl_circuit *c, const char *node)
{
    sl_node at = sl_circuit_find_node(c, node);
    if (at == SL_NONE) {
        stop("node", node, "not there");
    }
    double volts = (double)NAN;
    sl_case_node(cs, at, &volts);
    return volts;
}

double rig_across(const sl_case *cs, const sl_circuit *c, const char *red, const char *black)
{
    sl_node a = sl_circuit_find_node(c, red), b = sl_circuit_find_node(c, black);
    if (a == SL_NONE || b == SL_NONE) {
        stop("node", a == SL_NONE ? red : black, "not there");
    }
    double volts = (double)NAN;
    sl_case_between(cs, a, b, &volts);
    return volts;
}

double rig_amps(const sl_case *cs, const sl_circuit *c, const char *part)
{
    sl_part_answer answer = {.current_a = (double)NAN};
    sl_case_part(cs, find_part(c, part), &answer);
    return answer.current_a;
}

int32_t rig_state(const sl_case *cs, const sl_circuit *c, const char *part)
{
    sl_part_answer answer = {.state = -2};
    sl_case_part(cs, find_part(c, part), &answer);
    return answer.state;
}

double rig_notice(const sl_case *cs, const sl_circuit *c, const char *part, const char *name)
{
    sl_notice list[8];
    const sl_part at = find_part(c, part);
    const int32_t count = sl_case_notices(cs, at, list, 8);
    for (int32_t n = 0; n < count; n++) {
        if (strcmp(sl_circuit_part_kind(c, at)->notices[list[n].index].name, name) == 0) {
            return list[n].value;
        }
    }
    return (double)NAN;
}

/* A small motorcycle. */
static const struct {
    const char *kind, *name, *nodes, *values;
} motorcycle[] = {
    {"battery", "B1", "B1+ B1-", "cca=160, charge=0.95"},
    {"cable", "C1", "B1+ lug", "size=10, length=0.5"},
    {"joint", "J1", "lug stud", "type=stud"},
    {"cable", "C2", "frame B1-", "size=10, length=0.4"},
    {"strap", "G1", "engine frame", "size=16, length=0.2"},
    {"fuse", "F1", "stud fused", "rating=30"},
    {"fuse", "F2", "fused key_in", "rating=15, style=mini"},
    {"switch", "KEY", "key_in key_out", ""},
    {"switch", "START", "key_out start_wire", ""},
    {"relay", "K1", "stud S start_wire frame -", "suppressor=680"},
    {"starter", "M1", "stud engine S -", "cranking_current=80"},
    {"lamp", "L1", "key_out frame", "power=55"},
    {"lamp", "L2", "key_out dimmed", "power=21"},
    {"resistor", "R1", "dimmed frame", "resistance=4.7"},
    {"heater", "H1", "key_out frame", "power=40"},
    {"source", "E1", "sense key_out", "voltage=2"},
    {"resistor", "R2", "sense frame", "resistance=1000"},
    {"meter", "V1", "dimmed frame", ""},
    {"test_lamp", "T1", "fused frame", ""},
    {"module", "ECU", "key_out frame", "power=12"},
    {"inverter", "INV", "stud frame", "load=100"},
};

enum { MOTORCYCLE_PARTS = sizeof motorcycle / sizeof *motorcycle };

/* Runs a step once more when memory ran out, so that a circuit is whole after a single failure. */
#define TWICE(st, step) (((st) = (step)) == SL_E_NOMEM ? ((st) = (step)) : (st))

static sl_status try_twice(sl_circuit *c, const sl_part_def *def)
{
    sl_part part;
    sl_status st = sl_circuit_add(c, def, &part);
    return st == SL_E_NOMEM ? sl_circuit_add(c, def, &part) : st;
}

/* The value of a parameter in the example line of its kind, NaN where it has none. */
static double example_value(const sl_kind *kind, const sl_param *param)
{
    static const struct {
        const char *unit;
        double size;
    } units[] = {{"%", 1e-2},  {"mohm", 1e-3}, {"kohm", 1e3},
                 {"mA", 1e-3}, {"ms", 1e-3},   {"mm", 1e-3}};
    char key[60], text[60] = "";
    snprintf(key, sizeof key, " %s = ", param->name);
    const char *at = strstr(kind->example, key);
    if (!at) {
        return (double)NAN;
    }
    at += strlen(key);
    const bool quoted = *at == '"';
    at += quoted;
    snprintf(text, sizeof text, "%.*s", (int)strcspn(at, quoted ? "\"" : ", }"), at);
    for (int32_t i = 0; param->choices && param->choices[i]; i++) {
        if (strcmp(param->choices[i], text) == 0) {
            return i;
        }
    }
    char *unit;
    double value = strtod(text, &unit);
    unit += strspn(unit, " ");
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        value *= strcmp(unit, units[i].unit) == 0 ? units[i].size : 1.0;
    }
    return value;
}

/* A part as in the example of its kind, its first terminal on the stud over 0.1 ohm, the others on
   the frame over 10 ohm each, so that whatever it does the rest goes on. */
static sl_status add_example(sl_circuit *c, const sl_kind *kind)
{
    static const double points[] = {6.0, 4.1, 12.0, 7.0, 14.0, 7.4};
    const char *node[TERMINALS] = {NULL};
    char own[TERMINALS][60], name[TERMINALS * 60 + 10];
    double value[PARAMS];
    sl_status st = SL_OK;
    for (int32_t t = 0; t < kind->terminal_count && st == SL_OK; t++) {
        snprintf(own[t], sizeof own[t], "%s %s", kind->name, kind->terminals[t].name);
        snprintf(name, sizeof name, "tie of %.60s", own[t]);
        node[t] = own[t];
        st = try_twice(c, &(sl_part_def){.kind = "resistor",
                                         .name = name,
                                         .nodes = (const char *[]){own[t], t ? "frame" : "stud"},
                                         .values = (double[]){t ? 10.0 : 0.1}});
    }
    for (int32_t p = 0; p < kind->param_count; p++) {
        value[p] = example_value(kind, &kind->params[p]);
    }
    return st != SL_OK ? st
                       : try_twice(c, &(sl_part_def){.kind = kind->name,
                                                     .name = kind->name,
                                                     .nodes = node,
                                                     .values = value,
                                                     .points = kind->takes_points ? points : NULL,
                                                     .point_count = kind->takes_points ? 3 : 0});
}

static bool has_kind(const sl_circuit *c, const sl_kind *kind)
{
    for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
        if (sl_circuit_part_kind(c, p) == kind) {
            return true;
        }
    }
    return false;
}

static sl_status add_parts(sl_circuit *c)
{
    sl_status st = SL_OK;
    for (int32_t i = 0; st == SL_OK && i < MOTORCYCLE_PARTS; i++) {
        definition d;
        define(&d, motorcycle[i].kind, motorcycle[i].name, motorcycle[i].nodes,
               motorcycle[i].values);
        st = try_twice(c, &d.def);
    }
    for (int32_t k = 0; st == SL_OK && k < sl_kind_count(); k++) {
        st = has_kind(c, sl_kind_at(k)) ? SL_OK : add_example(c, sl_kind_at(k));
    }
    return st;
}

static sl_status add_conditions(sl_circuit *c)
{
    sl_condition rest, on, crank;
    const sl_edit key = rig_set(c, "KEY", "position", 1.0);
    const sl_edit start = rig_set(c, "START", "position", 1.0);
    sl_status st;
    if (TWICE(st, sl_circuit_add_condition(c, "rest", &rest)) != SL_OK ||
        TWICE(st, sl_circuit_add_condition(c, "on", &on)) != SL_OK ||
        TWICE(st, sl_condition_edit(c, on, &key)) != SL_OK ||
        TWICE(st, sl_circuit_add_condition(c, "crank", &crank)) != SL_OK ||
        TWICE(st, sl_condition_edit(c, crank, &key)) != SL_OK ||
        TWICE(st, sl_condition_edit(c, crank, &start)) != SL_OK ||
        (st = sl_condition_set_temperature(c, crank, 5.0)) != SL_OK) {
        return st;
    }
    return sl_condition_after(c, crank, on);
}

sl_status rig_every_kind(const sl_alloc *alloc, sl_circuit **out)
{
    *out = NULL;
    sl_status st;
    TWICE(st, sl_circuit_new(alloc, out));
    return st == SL_OK && (st = add_parts(*out)) == SL_OK ? add_conditions(*out) : st;
}

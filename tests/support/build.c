/* tests/support/build.c: small circuits through the public interface. */
#include "build.h"

#include <stdio.h>
#include <string.h>

#include "near.h"

enum { TERMINALS_MOST = 16, PARAMS_MOST = 64 };

static void expect_ok(sl_status st, const char *what, const char *message)
{
    if (st != SL_OK) {
        print_error("%s: %s: %s\n", what, sl_status_name(st), message);
        fail();
    }
}

build build_start(void)
{
    build b = {.probe_a = 1.0};
    expect_ok(sl_circuit_new(NULL, &b.circuit), "new circuit", "");
    return b;
}

void build_free(build *b)
{
    sl_case_free(b->cs);
    sl_circuit_free(b->circuit);
    *b = (build){0};
}

void build_reference(build *b, const char *node)
{
    sl_node n = SL_NONE;
    expect_ok(sl_circuit_node(b->circuit, node, &n), node, sl_circuit_message(b->circuit));
    expect_ok(sl_circuit_set_reference(b->circuit, n), node, sl_circuit_message(b->circuit));
}

int32_t build_param(const sl_kind *kind, const char *param)
{
    for (int32_t k = 0; k < kind->param_count; k++) {
        if (strcmp(kind->params[k].name, param) == 0) {
            return k;
        }
    }
    print_error("%s: no parameter %s\n", kind->name, param);
    fail();
    return -1;
}

sl_part build_part(build *b, const char *kind, const char *const *nodes, const build_value *values)
{
    const sl_kind *about = sl_kind_find(kind);
    assert_non_null(about);
    assert_true(about->param_count <= PARAMS_MOST);
    double value[PARAMS_MOST];
    for (int32_t k = 0; k < about->param_count; k++) {
        value[k] = (double)NAN;
    }
    for (; values->param; values++) {
        value[build_param(about, values->param)] = values->value;
    }
    char name[32];
    snprintf(name, sizeof name, "%.16s %d", kind, (int)sl_circuit_part_count(b->circuit));
    sl_part_def def = {.kind = kind, .name = name, .nodes = nodes, .values = value};
    sl_part part = SL_NONE;
    expect_ok(sl_circuit_add(b->circuit, &def, &part), name, sl_circuit_message(b->circuit));
    return part;
}

sl_part build_pair(build *b, const char *kind, const char *from, const char *to,
                   const build_value *values)
{
    const char *nodes[TERMINALS_MOST] = {from, to};
    return build_part(b, kind, nodes, values);
}

sl_part build_resistor(build *b, const char *from, const char *to, double ohm)
{
    return build_pair(b, "resistor", from, to, (build_value[]){{"resistance", ohm}, {NULL, 0}});
}

sl_part build_voltage(build *b, const char *positive, const char *negative, double volts)
{
    return build_pair(b, "source", positive, negative,
                      (build_value[]){{"voltage", volts}, {NULL, 0}});
}

sl_part build_current(build *b, const char *into, const char *out_of, double amps)
{
    return build_pair(b, "source", into, out_of, (build_value[]){{"current", amps}, {NULL, 0}});
}

void build_case(build *b)
{
    sl_case_free(b->cs);
    b->cs = NULL;
    expect_ok(sl_case_new(b->circuit, 0, &b->cs), "new case", "");
}

static void edit(build *b, sl_edit change)
{
    if (!b->cs) {
        build_case(b);
    }
    expect_ok(sl_case_edit(b->cs, &change, 1), "edit", sl_case_message(b->cs));
}

void build_set(build *b, sl_part part, const char *param, double value)
{
    int32_t index = build_param(sl_circuit_part_kind(b->circuit, part), param);
    edit(b, (sl_edit){part, SL_SET, index, value});
}

void build_series(build *b, sl_part part, double ohm)
{
    edit(b, (sl_edit){part, SL_SERIES, -1, ohm});
}

void build_open(build *b, sl_part part)
{
    edit(b, (sl_edit){part, SL_OPEN, -1, 0.0});
}

void build_healthy(build *b)
{
    sl_case_clear(b->cs);
}

void build_solve(build *b)
{
    if (!b->cs) {
        build_case(b);
    }
    expect_ok(sl_case_solve(b->cs), "solve", sl_case_message(b->cs));
}

double build_across(const build *b, const char *red, const char *black)
{
    sl_node r = sl_circuit_find_node(b->circuit, red), k = sl_circuit_find_node(b->circuit, black);
    double volts = 0.0;
    assert_true(sl_case_between(b->cs, r, k, &volts) >= SL_OK);
    return volts;
}

double build_volts(const build *b, const char *node)
{
    double volts = 0.0;
    assert_true(sl_case_node(b->cs, sl_circuit_find_node(b->circuit, node), &volts) >= SL_OK);
    return volts;
}

static sl_part_answer answer(const build *b, sl_part part)
{
    sl_part_answer out = {0};
    assert_true(sl_case_part(b->cs, part, &out) >= SL_OK);
    return out;
}

double build_amps(const build *b, sl_part part)
{
    return answer(b, part).current_a;
}

double build_drop(const build *b, sl_part part)
{
    return answer(b, part).drop_v;
}

double build_watts(const build *b, sl_part part)
{
    return answer(b, part).power_w;
}

double build_ohms_with(const build *b, sl_node a, sl_node c, const sl_edit *edits, int32_t count)
{
    sl_case *probe = NULL;
    expect_ok(sl_case_new(b->circuit, 0, &probe), "new case", "");
    const char *nodes[] = {sl_circuit_node_name(b->circuit, a),
                           sl_circuit_node_name(b->circuit, c)};
    double values[] = {(double)NAN, b->probe_a}; /* voltage, current */
    sl_part part = SL_NONE;
    expect_ok(sl_case_edit(probe, edits, count), "edit", sl_case_message(probe));
    expect_ok(
        sl_case_attach(
            probe,
            &(sl_part_def){.kind = "source", .name = "probe", .nodes = nodes, .values = values},
            &part),
        "attach", sl_case_message(probe));
    sl_status st = sl_case_solve(probe);
    double volts = (double)INFINITY;
    if (st != SL_E_CONTRADICTION) { /* a current into an island without a way out */
        expect_ok(st, "solve", sl_case_message(probe));
        expect_ok(sl_case_between(probe, a, c, &volts), "between", "");
    }
    sl_case_free(probe);
    return volts / b->probe_a;
}

double build_ohms(const build *b, sl_node a, sl_node c)
{
    sl_edit none = {0};
    return build_ohms_with(b, a, c, &none, 0);
}

build build_grounded(void)
{
    build b = build_start();
    build_reference(&b, "0");
    return b;
}

sl_part build_takes(build *b, const char *node, double amps)
{
    return build_current(b, "0", node, amps);
}

sl_part build_battery(build *b, const char *positive, const char *negative, double charge,
                      double ohm)
{
    return build_pair(b, "battery", positive, negative,
                      BUILD_VALUES({"charge", charge}, {"resistance", ohm}));
}

bool build_notices(const build *b, sl_part part, const char *name, double *value)
{
    sl_notice list[8];
    int32_t count = sl_case_notices(b->cs, part, list, 8);
    const sl_kind *kind = sl_circuit_part_kind(b->circuit, part);
    for (int32_t n = 0; n < count; n++) {
        if (strcmp(kind->notices[list[n].index].name, name) == 0) {
            if (value) {
                *value = list[n].value;
            }
            return true;
        }
    }
    return false;
}

const char *build_state(const build *b, sl_part part)
{
    sl_part_answer answer;
    assert_true(sl_case_part(b->cs, part, &answer) >= SL_OK);
    return sl_circuit_part_kind(b->circuit, part)->states[answer.state];
}

sl_condition build_setting(build *b, const char *name, sl_condition after, sl_part part,
                           const char *param, double value)
{
    sl_condition c = SL_NONE;
    assert_int_equal(sl_circuit_add_condition(b->circuit, name, &c), SL_OK);
    int32_t index = build_param(sl_circuit_part_kind(b->circuit, part), param);
    sl_edit edit = {part, SL_SET, index, value};
    assert_int_equal(sl_condition_edit(b->circuit, c, &edit), SL_OK);
    if (after != SL_NONE) {
        assert_int_equal(sl_condition_after(b->circuit, c, after), SL_OK);
    }
    return c;
}

void build_solve_in(build *b, sl_condition c)
{
    sl_case_free(b->cs);
    b->cs = NULL;
    assert_int_equal(sl_case_new(b->circuit, c, &b->cs), SL_OK);
    build_solve(b);
}

sl_part build_alternator(build *b, const char *stud, const char *body, const char *sense,
                         const build_value *more)
{
    build_value values[12] = {{"speed", 2400.0}}; /* 6000 rpm of its own */
    int n = 1;
    for (; more && more->param; more++) {
        values[n++] = *more;
    }
    values[n] = (build_value){NULL, 0};
    const char *nodes[8] = {stud, body, sense};
    return build_part(b, "alternator", nodes, values);
}

double build_at_rest_v(double table_v)
{
    return table_v + 6.0 * 0.2e-3 * (20.0 - 26.7);
}

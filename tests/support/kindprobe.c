#include "kindprobe.h"

#include <ctype.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static probe with_defaults(const sl__kind *kind)
{
    probe part = {.kind = kind};
    assert_true(kind->about.param_count <= PROBE_PARAMS);
    assert_true(kind->about.element_count <= PROBE_ELEMENTS);
    for (int32_t n = 0; n < PROBE_PARAMS; n++) {
        const bool known = n < kind->about.param_count;
        const sl_param *param = known ? &kind->about.params[n] : NULL;
        part.given[n] = known && param->presence == SL_DEFAULT ? param->fallback : (double)NAN;
    }
    return part;
}

probe probe_of(const char *kind)
{
    const sl_kind *about = sl_kind_find(kind);
    if (!about) {
        fail_msg("no kind \"%s\"", kind);
    }
    return with_defaults(sl__kind_of(about));
}

static int32_t find_param(const probe *part, const char *name)
{
    for (int32_t n = 0; n < part->kind->about.param_count; n++) {
        if (strcmp(part->kind->about.params[n].name, name) == 0) {
            return n;
        }
    }
    return -1;
}

int32_t probe_param(const probe *part, const char *name)
{
    const int32_t n = find_param(part, name);
    if (n < 0) {
        fail_msg("%s has no parameter \"%s\"", part->kind->about.name, name);
    }
    return n;
}

void probe_set(probe *part, const char *name, double value)
{
    const int32_t n = probe_param(part, name);
    const sl_param *param = &part->kind->about.params[n];
    if (!(value >= param->least && value <= param->greatest)) {
        fail_msg("%s: %s = %g is outside %g .. %g", part->kind->about.name, name, value,
                 param->least, param->greatest);
    }
    part->given[n] = value;
}

void probe_choose(probe *part, const char *name, const char *choice)
{
    const int32_t n = probe_param(part, name);
    const char *const *choices = part->kind->about.params[n].choices;
    for (int32_t c = 0; choices && choices[c]; c++) {
        if (strcmp(choices[c], choice) == 0) {
            part->given[n] = c;
            return;
        }
    }
    fail_msg("%s: %s is never \"%s\"", part->kind->about.name, name, choice);
}

void probe_mode(probe *part, const char *mode, double value)
{
    const sl_kind *about = &part->kind->about;
    for (int32_t m = 0; m < about->mode_count; m++) {
        if (strcmp(about->modes[m].name, mode) == 0) {
            assert_int_equal(about->modes[m].change, SL_SET);
            assert_true(value >= about->modes[m].least && value <= about->modes[m].greatest);
            probe_set(part, about->params[about->modes[m].index].name, value);
            return;
        }
    }
    fail_msg("%s has no mode \"%s\"", about->name, mode);
}

bool probe_points(probe *part, const double *points, int32_t count, sl__complaint *bad)
{
    assert_true(part->kind->about.takes_points && 1 + 2 * count <= PROBE_TABLE);
    part->table[0] = count;
    memcpy(part->table + 1, points, 2 * (size_t)count * sizeof *points);
    return !part->kind->accept || part->kind->accept(points, count, bad);
}

bool probe_complete(probe *part, sl__complaint *bad)
{
    memcpy(part->p, part->given, sizeof part->p);
    return !part->kind->complete || part->kind->complete(part->p, bad);
}

static void must_complete(probe *part)
{
    sl__complaint bad = {-1, "no reason given"};
    if (!probe_complete(part, &bad)) {
        fail_msg("%s: %s", part->kind->about.name, bad.text);
    }
}

void probe_complains(probe *part, const char *param, const char *word)
{
    sl__complaint bad = {-1, ""};
    if (probe_complete(part, &bad)) {
        fail_msg("%s: no complaint of %s", part->kind->about.name, param);
    }
    assert_non_null(bad.text);
    assert_true(bad.param >= 0 && bad.param < part->kind->about.param_count);
    assert_string_equal(part->kind->about.params[bad.param].name, param);
    if (!strstr(bad.text, word)) {
        fail_msg("%s: \"%s\" does not say \"%s\"", part->kind->about.name, bad.text, word);
    }
}

const sl__law *probe_laws(probe *part, double ambient_c, int32_t state)
{
    must_complete(part);
    memset(part->law, 0, sizeof part->law);
    for (int32_t e = 0; part->kind->about.takes_points && e < PROBE_ELEMENTS; e++) {
        assert_true(part->table[0] > 0.0);
        part->law[e].table = part->table;
    }
    part->kind->laws(part->p, ambient_c, state, part->law);
    return part->law;
}

double probe_ohm(probe *part, double ambient_c)
{
    const sl__law *law = probe_laws(part, ambient_c, 0);
    assert_int_equal(law->form, SL__OHMIC);
    return law->ohm;
}

double probe_amps(probe *part, double volts)
{
    const sl__law *law = probe_laws(part, 20.0, 0);
    assert_int_equal(law->form, SL__CURVE);
    double amps = (double)NAN, slope = (double)NAN;
    sl__law_current(law, volts, &amps, &slope);
    return amps;
}

const char *probe_notice(probe *part, double v, double i, double *value)
{
    must_complete(part);
    const sl__flow flow[PROBE_ELEMENTS] = {{.v = v, .i = i}};
    sl__notice_list list = {0};
    sl__notices_of(part->kind, part->p, 0, flow, &list);
    if (list.count == 0) {
        return NULL;
    }
    assert_int_equal(list.count, 1);
    if (value) {
        *value = list.item[0].value;
    }
    return part->kind->about.notices[list.item[0].index].name;
}

/* The example lines: NAME "part" { "node", TERMINAL = "node", field = "quantity", field = 1 } */

static const struct {
    sl_quantity quantity;
    const char *unit;
    double factor;
} units[] = {
    {SL_VOLTAGE, "V", 1.0},
    {SL_CURRENT, "A", 1.0},
    {SL_CURRENT, "mA", 1e-3},
    {SL_RESISTANCE, "ohm", 1.0},
    {SL_RESISTANCE, "mohm", 1e-3},
    {SL_RESISTANCE, "kohm", 1e3},
    {SL_RESISTANCE, "Mohm", 1e6},
    {SL_POWER, "W", 1.0},
    {SL_LENGTH, "m", 1.0},
    {SL_LENGTH, "mm", 1e-3},
    {SL_AREA, "mm2", 1.0},
    {SL_TEMPERATURE, "C", 1.0},
    {SL_FRACTION, "%", 0.01},
    {SL_TIME, "s", 1.0},
    {SL_TIME, "ms", 1e-3},
    {SL_SPEED, "rpm", 1.0},
    {SL_TORQUE, "N m", 1.0},
    {SL_RESISTANCE_PER_LENGTH, "ohm/m", 1.0},
    {SL_RESISTANCE_PER_LENGTH, "mohm/m", 1e-3},
    {SL_CAPACITY, "Ah", 1.0},
};

static void set_text(probe *part, const char *name, const char *text)
{
    const sl_param *param = &part->kind->about.params[probe_param(part, name)];
    if (param->quantity == SL_CHOICE) {
        probe_choose(part, name, text);
        return;
    }
    char *unit = NULL;
    const double value = strtod(text, &unit);
    while (*unit == ' ') {
        unit++;
    }
    if (unit == text || (*unit == '\0' && !sl_quantity_bare(param->quantity))) {
        fail_msg("%s: \"%s\" is no quantity for %s", part->kind->about.name, text, name);
    }
    if (*unit == '\0') {
        probe_set(part, name, value);
        return;
    }
    for (size_t u = 0; u < sizeof units / sizeof *units; u++) {
        if (units[u].quantity == param->quantity && strcmp(units[u].unit, unit) == 0) {
            probe_set(part, name, value * units[u].factor);
            return;
        }
    }
    fail_msg("%s: unit of \"%s\" does not fit %s", part->kind->about.name, text, name);
}

static const char *pass_over(const char *at, const char *marks)
{
    while (isspace((unsigned char)*at) || (*at != '\0' && strchr(marks, *at))) {
        at++;
    }
    return at;
}

/* Copies a word, a number or a quoted text, and returns what follows. */
static const char *take(const char *at, char text[64], bool *quoted)
{
    size_t n = 0;
    *quoted = *at == '"';
    if (*quoted) {
        at++;
    }
    while (*at != '\0' && n < 63 && (*quoted ? *at != '"' : !strchr(" ,={}\"", *at))) {
        text[n++] = *at++;
    }
    text[n] = '\0';
    assert_true(n > 0);
    return *quoted ? at + 1 : at;
}

static bool is_terminal(const sl_kind *about, const char *name)
{
    for (int32_t t = 0; t < about->terminal_count; t++) {
        if (strcmp(about->terminals[t].name, name) == 0) {
            return true;
        }
    }
    return false;
}

/* points = { {6, 4.1}, {12, 7.0} }: returns what follows. */
static const char *take_points(const char *at, probe *part)
{
    double points[PROBE_TABLE];
    int32_t values = 0, depth = 0;
    do {
        depth += *at == '{' ? 1 : *at == '}' ? -1 : 0;
        if (isdigit((unsigned char)*at) || *at == '-') {
            assert_true(values < PROBE_TABLE - 1);
            char *end = NULL;
            points[values++] = strtod(at, &end);
            at = end;
        } else {
            assert_true(*at != '\0');
            at++;
        }
    } while (depth > 0);
    sl__complaint bad = {0, NULL};
    assert_true(values % 2 == 0 && probe_points(part, points, values / 2, &bad));
    return at;
}

probe probe_example(const sl_kind *about)
{
    probe part = with_defaults(sl__kind_of(about));
    char key[64], value[64];
    bool quoted = false;
    int32_t nodes = 0, needed = 0;
    for (int32_t t = 0; t < about->terminal_count; t++) {
        needed += about->terminals[t].optional ? 0 : 1;
    }
    const char *at = take(about->example, key, &quoted);
    assert_string_equal(key, about->name);
    at = take(pass_over(at, ""), key, &quoted);
    assert_true(quoted);
    at = pass_over(at, "{");
    while (*at != '}') {
        assert_true(*at != '\0');
        const bool in_brackets = *at == '['; /* ["30"] = "node": a name no Lua word can be */
        at = pass_over(take(in_brackets ? at + 1 : at, key, &quoted), in_brackets ? "]" : "");
        if (quoted && !in_brackets) {
            nodes++;
        } else {
            assert_true(*at == '=');
            if (strcmp(key, "points") == 0) {
                at = pass_over(take_points(pass_over(at, "="), &part), ",");
                continue;
            }
            at = take(pass_over(at, "="), value, &quoted);
            if (is_terminal(about, key)) {
                nodes++;
            } else {
                set_text(&part, key, value);
            }
        }
        at = pass_over(at, ",");
    }
    assert_in_range(nodes, needed, about->terminal_count);
    return part;
}

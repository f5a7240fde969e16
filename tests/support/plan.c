/* tests/support/plan.c: networks as lists of parts between numbered nodes. */
#include "plan.h"

#include <stdio.h>
#include <stdlib.h>

#include "near.h"
#include "netgen.h"

plan plan_start(int32_t nodes)
{
    return (plan){.nodes = nodes};
}

void plan_free(plan *p)
{
    free(p->part);
    *p = (plan){0};
}

void plan_add(plan *p, plan_kind kind, int32_t from, int32_t to, double value)
{
    if (p->parts == p->room) {
        p->room = 2 * p->room + 16;
        plan_part *grown = realloc(p->part, (size_t)p->room * sizeof *grown);
        if (!grown) {
            fputs("plan: out of memory\n", stderr);
            exit(1);
        }
        p->part = grown;
    }
    p->part[p->parts++] = (plan_part){kind, from, to, value};
}

plan plan_copy(const plan *p)
{
    plan copy = plan_start(p->nodes);
    for (int32_t k = 0; k < p->parts; k++) {
        plan_add(&copy, p->part[k].kind, p->part[k].from, p->part[k].to, p->part[k].value);
    }
    return copy;
}

void plan_join(plan *p, int32_t from, int32_t to)
{
    plan_add(p, PLAN_OHM, from, to, 1.0);
}

build plan_build(const plan *p, int32_t reference)
{
    build b = build_start();
    for (int32_t n = 0; n < p->nodes; n++) {
        char name[16];
        snprintf(name, sizeof name, "n%d", (int)n);
        sl_node made = SL_NONE;
        assert_int_equal(sl_circuit_node(b.circuit, name, &made), SL_OK);
        assert_int_equal(made, n);
    }
    assert_int_equal(sl_circuit_set_reference(b.circuit, reference), SL_OK);
    for (int32_t k = 0; k < p->parts; k++) {
        const plan_part *part = &p->part[k];
        const char *from = sl_circuit_node_name(b.circuit, part->from);
        const char *to = sl_circuit_node_name(b.circuit, part->to);
        sl_part made = part->kind == PLAN_OHM    ? build_resistor(&b, from, to, part->value)
                       : part->kind == PLAN_VOLT ? build_voltage(&b, from, to, part->value)
                                                 : build_current(&b, from, to, part->value);
        assert_int_equal(made, k);
    }
    return b;
}

void plan_distances(const plan *p, int32_t from, int32_t *distance)
{
    for (int32_t n = 0; n < p->nodes; n++) {
        distance[n] = n == from ? 0 : INT32_MAX;
    }
    bool moved = true;
    for (int32_t step = 0; moved; step++) {
        moved = false;
        for (int32_t k = 0; k < 2 * p->parts; k++) {
            const plan_part *part = &p->part[k / 2];
            int32_t a = k % 2 ? part->from : part->to, b = k % 2 ? part->to : part->from;
            if (distance[a] == step && distance[b] > step + 1) {
                distance[b] = step + 1;
                moved = true;
            }
        }
    }
}

void plan_two(int32_t nodes, uint64_t *state, int32_t *a, int32_t *b)
{
    *a = netgen_below(state, nodes);
    *b = netgen_below(state, nodes - 1);
    *b += *b >= *a;
}

plan plan_random(int32_t nodes, int32_t extra, double low, double high, uint64_t *state)
{
    plan p = plan_start(nodes);
    for (int32_t n = 1; n < nodes; n++) {
        int32_t back = netgen_below(state, n);
        plan_add(&p, PLAN_OHM, back, n, 1.0 / netgen_log_uniform(state, low, high));
    }
    for (int32_t k = 0; k < extra; k++) {
        int32_t a, b;
        plan_two(nodes, state, &a, &b);
        plan_add(&p, PLAN_OHM, a, b, 1.0 / netgen_log_uniform(state, low, high));
    }
    return p;
}

static bool is_link(const plan_part *part)
{
    return part->kind == PLAN_VOLT || (part->kind == PLAN_OHM && part->value == 0.0);
}

/* Whether links alone lead from a to b. */
static bool linked(const plan *p, int32_t a, int32_t b)
{
    plan links = plan_start(p->nodes);
    for (int32_t k = 0; k < p->parts; k++) {
        if (is_link(&p->part[k])) {
            plan_join(&links, p->part[k].from, p->part[k].to);
        }
    }
    int32_t *distance = calloc((size_t)p->nodes, sizeof *distance);
    assert_non_null(distance);
    plan_distances(&links, a, distance);
    bool found = distance[b] != INT32_MAX;
    free(distance);
    plan_free(&links);
    return found;
}

bool plan_link(plan *p, plan_kind kind, double value, uint64_t *state)
{
    for (int attempt = 0; attempt < 20; attempt++) {
        int32_t a, b;
        plan_two(p->nodes, state, &a, &b);
        if (!linked(p, a, b)) {
            plan_add(p, kind, a, b, value);
            return true;
        }
    }
    return false;
}

void plan_sources(plan *p, int32_t links, int32_t volts, int32_t amps, double most_a,
                  uint64_t *state)
{
    for (int32_t k = 0; k < links; k++) {
        plan_link(p, PLAN_OHM, 0.0, state);
    }
    for (int32_t k = 0; k < volts; k++) {
        plan_link(p, PLAN_VOLT, netgen_uniform(state, -24.0, 24.0), state);
    }
    for (int32_t k = 0; k < amps; k++) {
        int32_t a, b;
        plan_two(p->nodes, state, &a, &b);
        plan_add(p, PLAN_AMP, a, b, netgen_uniform(state, -most_a, most_a));
    }
}

/* tests/external/lapack_dense_test.c: random networks of resistors, links of 0 ohm, ideal sources
   of voltage between any two nodes and sources of current, against a dense modified nodal solution
   by LAPACK: unknowns are all node voltages and the currents of links and voltage sources. */
#include <stdlib.h>

#include "near.h"
#include "netgen.h"
#include "plan.h"

void dgesv_(const int *n, const int *columns, double *a, const int *lda, int *pivot, double *b,
            const int *ldb, int *info);

/* What double precision leaves of networks with conductances over 1e-2 to 1e2, with a margin. */
static const double WITHIN = 1e-9;

static bool is_link(const plan_part *part)
{
    return part->kind == PLAN_VOLT || (part->kind == PLAN_OHM && part->value == 0.0);
}

/* A square system by columns. */
typedef struct dense {
    int n;
    double *a, *b;
} dense;

static void add(dense *d, int32_t row, int32_t column, double value)
{
    d->a[(size_t)column * (size_t)d->n + (size_t)row] += value;
}

/* Rows: the currents that leave each node sum to 0, but node `reference` is at 0 V; then a link's
   voltage. Columns: node voltages; then the currents of links, into their first node's terminal. */
static dense modified_nodal(const plan *p, int32_t reference, int32_t links)
{
    dense d = {.n = p->nodes + links};
    d.a = calloc((size_t)d.n * (size_t)d.n, sizeof *d.a);
    d.b = calloc((size_t)d.n, sizeof *d.b);
    assert_true(d.a && d.b);
    int32_t next = p->nodes;
    for (int32_t k = 0; k < p->parts; k++) {
        const plan_part *part = &p->part[k];
        const int32_t end[2] = {part->from, part->to};
        if (is_link(part)) {
            add(&d, next, part->from, 1.0);
            add(&d, next, part->to, -1.0);
            d.b[next] = part->value;
        }
        for (int side = 0; side < 2; side++) {
            double sign = side == 0 ? 1.0 : -1.0;
            if (end[side] == reference) {
                continue;
            }
            if (is_link(part)) {
                add(&d, end[side], next, sign);
            } else if (part->kind == PLAN_AMP) {
                d.b[end[side]] += sign * part->value;
            } else {
                add(&d, end[side], end[side], 1.0 / part->value);
                add(&d, end[side], end[1 - side], -1.0 / part->value);
            }
        }
        next += is_link(part);
    }
    add(&d, reference, reference, 1.0);
    return d;
}

static void solve(dense *d)
{
    const int one = 1;
    int info = -1, *pivot = calloc((size_t)d->n, sizeof *pivot);
    assert_non_null(pivot);
    dgesv_(&d->n, &one, d->a, &d->n, pivot, d->b, &d->n, &info);
    assert_int_equal(info, 0);
    free(pivot);
}

/* Returns how many ideal sources and links were compared. */
static int32_t compare(const plan *p, int32_t reference)
{
    int32_t links = 0, next = p->nodes;
    for (int32_t k = 0; k < p->parts; k++) {
        links += is_link(&p->part[k]);
    }
    dense d = modified_nodal(p, reference, links);
    solve(&d);
    double most_v = 1.0, most_a = 1.0;
    for (int32_t n = 0; n < d.n; n++) {
        double *most = n < p->nodes ? &most_v : &most_a;
        *most = fmax(*most, fabs(d.b[n]));
    }
    build b = plan_build(p, reference);
    build_solve(&b);
    for (int32_t n = 0; n < p->nodes; n++) {
        double volts = 0.0;
        assert_int_equal(sl_case_node(b.cs, n, &volts), SL_OK);
        assert_at_most("node", fabs(volts - d.b[n]), WITHIN * most_v);
    }
    for (int32_t k = 0; k < p->parts; k++) {
        const plan_part *part = &p->part[k];
        double amps = build_amps(&b, k), volts = d.b[part->from] - d.b[part->to];
        double want = is_link(part)            ? d.b[next++]
                      : part->kind == PLAN_OHM ? volts / part->value
                                               : -part->value;
        double scale = part->kind == PLAN_OHM && !is_link(part) ? most_v / part->value : most_a;
        assert_at_most("part, current", fabs(amps - want), WITHIN * scale);
        assert_at_most("part, drop", fabs(build_drop(&b, k) - volts), WITHIN * most_v);
    }
    build_free(&b);
    free(d.a);
    free(d.b);
    return links;
}

static void random_networks(void **state)
{
    (void)state;
    uint64_t seed = 501;
    int32_t compared = 0;
    for (int round = 0; round < 600; round++) {
        int32_t nodes = 2 + netgen_below(&seed, 58), extra = netgen_below(&seed, 2 * nodes);
        plan p = plan_random(nodes, extra, 1e-2, 1e2, &seed);
        int32_t links = netgen_below(&seed, nodes / 4 + 1);
        int32_t volts = netgen_below(&seed, nodes / 4 + 2), amps = netgen_below(&seed, 6);
        plan_sources(&p, links, volts, amps, 50.0, &seed);
        compared += compare(&p, netgen_below(&seed, nodes));
        plan_free(&p);
    }
    assert_true(compared > 3000);
}

/* Nothing but links and sources of voltage holds these together. */
static void trees_of_sources(void **state)
{
    (void)state;
    uint64_t seed = 502;
    for (int round = 0; round < 200; round++) {
        int32_t nodes = 3 + netgen_below(&seed, 40);
        plan p = plan_start(nodes);
        for (int32_t n = 1; n < nodes; n++) {
            int32_t back = netgen_below(&seed, n);
            bool bare = netgen_below(&seed, 3) == 0;
            double volts = netgen_uniform(&seed, -3.0, 3.0);
            plan_add(&p, bare ? PLAN_OHM : PLAN_VOLT, back, n, bare ? 0.0 : volts);
        }
        for (int32_t k = 0; k < nodes; k++) {
            int32_t a, b;
            plan_two(nodes, &seed, &a, &b);
            plan_add(&p, PLAN_OHM, a, b, netgen_log_uniform(&seed, 1e-2, 1e2));
        }
        plan_sources(&p, 0, 0, 3, 50.0, &seed);
        compare(&p, netgen_below(&seed, nodes));
        plan_free(&p);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(random_networks),
        cmocka_unit_test(trees_of_sources),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

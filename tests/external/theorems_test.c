/* tests/external/theorems_test.c: the theorems of networks as properties of seeded random networks
   of 3 to 60 nodes. Sources: standard circuit theory. */
#include <stdlib.h>

#include "near.h"
#include "netgen.h"
#include "plan.h"

static const double TIGHT = 1e-13;

/* Rounding where the true voltage or current is nothing. The greatest resistances, 1e9 ohm, see
   currents that need not balance better than 4e-16 of SL_CURRENT_FLOOR_A. */
static const double NO_VOLTS = 1e-16, NO_AMPS = 1e-20;

/* Conductances over 1e-3 to 1e3, and every fourth network over 1e-9 to 1e6; there currents are
   small, so that voltages stay those of a vehicle. */
static bool is_far(int round)
{
    return round % 4 == 3;
}

static plan draw(uint64_t *seed, int round)
{
    int32_t nodes = 3 + netgen_below(seed, 58);
    int32_t extra = netgen_below(seed, 2 * nodes);
    bool far = is_far(round);
    return plan_random(nodes, extra, far ? 1e-9 : 1e-3, far ? 1e6 : 1e3, seed);
}

static build draw_resistors(plan *p, uint64_t *seed, int round)
{
    *p = draw(seed, round);
    build b = plan_build(p, netgen_below(seed, p->nodes));
    b.probe_a = is_far(round) ? 1e-6 : 1.0;
    return b;
}

/* A plan with sources, and the circuit solved. */
static build draw_solved(plan *p, uint64_t *seed, int round)
{
    *p = draw(seed, round);
    int32_t links = netgen_below(seed, 4), volts = 1 + netgen_below(seed, 4);
    int32_t amps = netgen_below(seed, 4);
    plan_sources(p, links, volts, amps, is_far(round) ? 1e-6 : 100.0, seed);
    build b = plan_build(p, netgen_below(seed, p->nodes));
    build_solve(&b);
    return b;
}

static double node_volts(const build *b, sl_node n)
{
    double volts = 0.0;
    assert_int_equal(sl_case_node(b->cs, n, &volts), SL_OK);
    return volts;
}

/* First theorem: the sum of g R over the edges is n - 1. */
static void foster(void **state)
{
    (void)state;
    uint64_t seed = 101;
    for (int round = 0; round < 240; round++) {
        plan p;
        build b = draw_resistors(&p, &seed, round);
        double sum = 0.0;
        for (int32_t k = 0; k < p.parts; k++) {
            sum += build_ohms(&b, p.part[k].from, p.part[k].to) / p.part[k].value;
        }
        assert_near("first theorem", sum, p.nodes - 1, TIGHT);
        build_free(&b);
        plan_free(&p);
    }
}

/* 1 V in series with one branch gives in another the current that the reverse gives. */
static void reciprocity_of_currents(void **state)
{
    (void)state;
    uint64_t seed = 102;
    for (int round = 0; round < 400; round++) {
        plan p = draw(&seed, round);
        int32_t edges = p.parts, j, k;
        plan_two(edges, &seed, &j, &k);
        /* Both branches are cut, and a source of 0 V is put into the gap. */
        int32_t cut[] = {j, k};
        for (int32_t c = 0; c < 2; c++) {
            int32_t gap = p.nodes++;
            plan_add(&p, PLAN_VOLT, gap, p.part[cut[c]].from, 0.0);
            p.part[cut[c]].from = gap;
        }
        build b = plan_build(&p, 0);
        double amps[2];
        for (int32_t c = 0; c < 2; c++) {
            build_case(&b);
            build_set(&b, edges + c, "voltage", 1.0);
            build_solve(&b);
            amps[c] = build_amps(&b, cut[1 - c]);
        }
        if (fabs(amps[1]) > SL_CURRENT_FLOOR_A) {
            assert_near("reciprocity", amps[0], amps[1], TIGHT);
        }
        build_free(&b);
        plan_free(&p);
    }
}

/* 1 A through one pair of nodes gives across another pair the voltage that the reverse gives. */
static void reciprocity_of_voltages(void **state)
{
    (void)state;
    uint64_t seed = 103;
    for (int round = 0; round < 400; round++) {
        plan p = draw(&seed, round);
        int32_t edges = p.parts, node[4];
        for (int32_t c = 0; c < 2; c++) {
            plan_two(p.nodes, &seed, &node[2 * c], &node[2 * c + 1]);
            plan_add(&p, PLAN_AMP, node[2 * c], node[2 * c + 1], 0.0);
        }
        build b = plan_build(&p, 0);
        double volts[2], own[2];
        for (int32_t c = 0; c < 2; c++) {
            build_case(&b);
            build_set(&b, edges + c, "current", is_far(round) ? 1e-6 : 1.0);
            build_solve(&b);
            volts[c] = build_drop(&b, edges + 1 - c);
            own[c] = build_drop(&b, edges + c);
        }
        assert_at_most("reciprocity", fabs(volts[0] - volts[1]) / sqrt(own[0] * own[1]), TIGHT);
        build_free(&b);
        plan_free(&p);
    }
}

/* Raising a resistance or cutting it lowers no resistance between two nodes; lowering it or
   shorting it raises none. */
static void rayleigh(void **state)
{
    (void)state;
    uint64_t seed = 104;
    int moved = 0;
    for (int round = 0; round < 600; round++) {
        plan p;
        build b = draw_resistors(&p, &seed, round);
        int32_t a, c, k = netgen_below(&seed, p.parts);
        plan_two(p.nodes, &seed, &a, &c);
        double share = netgen_log_uniform(&seed, 1.001, 1e3), ohm = p.part[k].value;
        sl_edit raise = {k, SL_SET, 0, ohm * share}, lower = {k, SL_SET, 0, ohm / share};
        sl_edit cut = {k, SL_OPEN, -1, 0.0}, join = {k, SL_SET, 0, 0.0};
        sl_edit worse = {k, SL_SERIES, -1, ohm * (share - 1.0)};
        double base = build_ohms(&b, a, c), more = base * (1.0 - TIGHT);
        double less = base * (1.0 + TIGHT);
        double raised = build_ohms_with(&b, a, c, &raise, 1);
        assert_true(raised >= more);
        assert_near("in series", build_ohms_with(&b, a, c, &worse, 1), raised, TIGHT);
        assert_true(build_ohms_with(&b, a, c, &cut, 1) >= raised * (1.0 - TIGHT));
        double lowered = build_ohms_with(&b, a, c, &lower, 1);
        assert_true(lowered <= less);
        assert_true(build_ohms_with(&b, a, c, &join, 1) <= lowered * (1.0 + TIGHT));
        moved += raised > base * (1.0 + 1e-9);
        build_free(&b);
        plan_free(&p);
    }
    assert_true(moved > 100);
}

/* A square of 1 ohm with one side cut: between its ends 3/4 becomes 3 ohm. */
static void rayleigh_on_a_square(void **state)
{
    (void)state;
    plan p = plan_grid(2, 2);
    build b = plan_build(&p, 0);
    sl_edit cut = {0, SL_OPEN, -1, 0.0};
    assert_near("side of a square", build_ohms(&b, p.part[0].from, p.part[0].to), 0.75, TIGHT);
    assert_near("cut", build_ohms_with(&b, p.part[0].from, p.part[0].to, &cut, 1), 3.0, TIGHT);
    build_free(&b);
    plan_free(&p);
}

/* The same nodes and part ends, other values, and other kinds of part where no tree hangs on it. */
static plan another_on_the_same_graph(const plan *p, uint64_t *seed)
{
    plan q = plan_copy(p);
    for (int32_t k = 0; k < q.parts; k++) {
        plan_part *part = &q.part[k];
        if (k >= q.nodes - 1 && netgen_below(seed, 4) == 0) {
            part->kind = PLAN_AMP;
        }
        part->value = part->kind == PLAN_OHM && part->value > 0.0
                          ? netgen_log_uniform(seed, 1e-3, 1e3)
                          : netgen_uniform(seed, part->kind == PLAN_OHM ? 0.0 : -20.0,
                                           part->kind == PLAN_OHM ? 1.0 : 20.0);
    }
    return q;
}

/* The sum of u i over all parts is nothing, also with u and i from two solutions. */
static void tellegen(void **state)
{
    (void)state;
    uint64_t seed = 105;
    for (int round = 0; round < 400; round++) {
        plan p;
        build first = draw_solved(&p, &seed, round);
        plan q = another_on_the_same_graph(&p, &seed);
        build second = plan_build(&q, netgen_below(&seed, q.nodes));
        build_solve(&second);
        double sum[3] = {0}, size[3] = {0};
        for (int32_t k = 0; k < p.parts; k++) {
            double u1 = build_drop(&first, k), i1 = build_amps(&first, k);
            double u2 = build_drop(&second, k), i2 = build_amps(&second, k);
            double power[3] = {u1 * i1, u1 * i2, u2 * i1};
            for (int c = 0; c < 3; c++) {
                sum[c] += power[c];
                size[c] += fabs(power[c]);
            }
        }
        for (int c = 0; c < 3; c++) {
            assert_at_most("sum of u i", fabs(sum[c]), TIGHT * size[c]);
        }
        build_free(&first);
        build_free(&second);
        plan_free(&p);
        plan_free(&q);
    }
}

/* What the sources give is the sum of I^2 R, and what sl_case_part calls power. */
static void power_balance(void **state)
{
    (void)state;
    uint64_t seed = 106;
    for (int round = 0; round < 400; round++) {
        plan p;
        build b = draw_solved(&p, &seed, round);
        double given = 0.0, heat = 0.0, size = 0.0;
        for (int32_t k = 0; k < p.parts; k++) {
            double amps = build_amps(&b, k), watts = build_watts(&b, k);
            if (p.part[k].kind == PLAN_OHM) {
                heat += amps * amps * p.part[k].value;
                assert_at_most("I^2 R", fabs(watts - amps * amps * p.part[k].value),
                               TIGHT * watts + NO_AMPS);
            } else {
                given -= watts;
            }
            size += fabs(watts);
        }
        assert_at_most("power", fabs(given - heat), TIGHT * size);
        build_free(&b);
        plan_free(&p);
    }
}

/* Whether Kirchhoff's and Ohm's laws hold, from the answers alone. */
static void kirchhoff_and_ohm(void **state)
{
    (void)state;
    uint64_t seed = 107;
    for (int round = 0; round < 400; round++) {
        plan p;
        build b = draw_solved(&p, &seed, round);
        double *sum = calloc((size_t)p.nodes, sizeof *sum), *size = calloc((size_t)p.nodes, 8);
        assert_non_null(sum);
        assert_non_null(size);
        for (int32_t k = 0; k < p.parts; k++) {
            const plan_part *part = &p.part[k];
            double amps = build_amps(&b, k), drop = build_drop(&b, k);
            sum[part->from] += amps;
            sum[part->to] -= amps;
            size[part->from] += fabs(amps);
            size[part->to] += fabs(amps);
            double got = part->kind == PLAN_AMP ? -amps : drop;
            double want = part->kind == PLAN_OHM ? amps * part->value : part->value;
            assert_at_most("law", fabs(got - want), TIGHT * fabs(want) + NO_VOLTS);
            double apart = node_volts(&b, part->from) - node_volts(&b, part->to);
            double most = fmax(fabs(node_volts(&b, part->from)), fabs(node_volts(&b, part->to)));
            assert_at_most("drop", fabs(apart - drop), 1e-15 * most);
        }
        for (int32_t n = 0; n < p.nodes; n++) {
            assert_at_most("currents at a node", fabs(sum[n]), TIGHT * size[n] + NO_AMPS);
        }
        free(sum);
        free(size);
        build_free(&b);
        plan_free(&p);
    }
}

/* A source across a cable, which hangs on the reference by 43 kohm, and two cables of very unlike
   resistance to a dead end. */
static void heavy_loop_on_a_light_thread(void **state)
{
    (void)state;
    const double volts = 14.606323549584999, ohm = 0.00034212983295959208;
    plan p = plan_start(4);
    plan_add(&p, PLAN_OHM, 0, 1, 43533.691083557227);
    plan_add(&p, PLAN_OHM, 1, 2, ohm);
    plan_add(&p, PLAN_OHM, 2, 3, 3.6722339052977133e-05);
    plan_add(&p, PLAN_OHM, 3, 2, 1668615.8704519968);
    plan_add(&p, PLAN_VOLT, 1, 2, -volts);
    build b = plan_build(&p, 0);
    build_solve(&b);
    assert_near("cable", build_amps(&b, 1), -volts / ohm, 1e-15);
    assert_near("source", build_amps(&b, 4), volts / ohm, 1e-15);
    assert_at_most("dead end", fabs(build_amps(&b, 2)), NO_AMPS);
    assert_near("dead end", node_volts(&b, 3), volts, 1e-15);
    build_free(&b);
    plan_free(&p);
}

/* Linear circuits: the answers to each source alone, the others dead, add up. */
static void superposition(void **state)
{
    (void)state;
    uint64_t seed = 108;
    for (int round = 0; round < 300; round++) {
        plan p;
        build b = draw_solved(&p, &seed, round);
        double *sum = calloc((size_t)p.nodes, sizeof *sum), *size = calloc((size_t)p.nodes, 8);
        double *whole = calloc((size_t)p.nodes, 8);
        assert_true(sum && size && whole);
        for (int32_t n = 0; n < p.nodes; n++) {
            whole[n] = node_volts(&b, n);
        }
        for (int32_t alone = 0; alone < p.parts; alone++) {
            if (p.part[alone].kind == PLAN_OHM) {
                continue;
            }
            build_healthy(&b);
            for (int32_t k = 0; k < p.parts; k++) {
                if (k != alone && p.part[k].kind != PLAN_OHM) {
                    build_set(&b, k, p.part[k].kind == PLAN_VOLT ? "voltage" : "current", 0.0);
                }
            }
            build_solve(&b);
            for (int32_t n = 0; n < p.nodes; n++) {
                sum[n] += node_volts(&b, n);
                size[n] += fabs(node_volts(&b, n));
            }
        }
        for (int32_t n = 0; n < p.nodes; n++) {
            assert_at_most("superposition", fabs(sum[n] - whole[n]), TIGHT * size[n] + NO_VOLTS);
        }
        free(sum);
        free(size);
        free(whole);
        build_free(&b);
        plan_free(&p);
    }
}

/* Effective resistance is a metric. */
static void metric(void **state)
{
    (void)state;
    uint64_t seed = 109;
    for (int round = 0; round < 400; round++) {
        plan p;
        build b = draw_resistors(&p, &seed, round);
        int32_t x, y, z;
        plan_two(p.nodes, &seed, &x, &y);
        do {
            z = netgen_below(&seed, p.nodes);
        } while (z == x || z == y);
        double xy = build_ohms(&b, x, y), yz = build_ohms(&b, y, z), xz = build_ohms(&b, x, z);
        assert_true(xy > 0.0 && yz > 0.0 && xz > 0.0);
        assert_near("the other way round", build_ohms(&b, y, x), xy, 1e-15);
        assert_true(xz <= (xy + yz) * (1.0 + TIGHT));
        build_free(&b);
        plan_free(&p);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(foster),
        cmocka_unit_test(reciprocity_of_currents),
        cmocka_unit_test(reciprocity_of_voltages),
        cmocka_unit_test(rayleigh),
        cmocka_unit_test(rayleigh_on_a_square),
        cmocka_unit_test(tellegen),
        cmocka_unit_test(power_balance),
        cmocka_unit_test(kirchhoff_and_ohm),
        cmocka_unit_test(heavy_loop_on_a_light_thread),
        cmocka_unit_test(superposition),
        cmocka_unit_test(metric),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

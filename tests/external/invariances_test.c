/* tests/external/invariances_test.c: what must not change an answer: the scale of all resistances,
   the node chosen as reference, the order of parts and nodes, the names. On seeded random networks
   of 3 to 60 nodes. */
#include <stdio.h>
#include <stdlib.h>

#include "near.h"
#include "netgen.h"
#include "plan.h"

static const double TIGHT = 1e-13;

/* Rounding where the true voltage or current is nothing. The greatest resistances, 1e9 ohm, see
   currents that need not balance better than 4e-16 of SL_CURRENT_FLOOR_A. */
static const double NO_VOLTS = 1e-16, NO_AMPS = 1e-20;

/* Conductances over 1e-3 to 1e3, and every fourth network over 1e-9 to 1e6; there the current
   sources are small, so that voltages stay those of a vehicle. */
static plan draw(uint64_t *seed, int round, bool current_sources)
{
    int32_t nodes = 3 + netgen_below(seed, 58), extra = netgen_below(seed, 2 * nodes);
    bool far = round % 4 == 3;
    plan p = plan_random(nodes, extra, far ? 1e-9 : 1e-3, far ? 1e6 : 1e3, seed);
    int32_t links = netgen_below(seed, 4), volts = 1 + netgen_below(seed, 4);
    int32_t amps = current_sources ? netgen_below(seed, 4) : 0;
    plan_sources(&p, links, volts, amps, far ? 1e-6 : 100.0, seed);
    return p;
}

static double between(const build *b, sl_node red, sl_node black)
{
    double volts = 0.0;
    assert_int_equal(sl_case_between(b->cs, red, black, &volts), SL_OK);
    return volts;
}

/* a and c agree within a share of themselves; what is nothing in both passes. */
static void check_same(const char *label, double a, double c, double nothing, double share)
{
    if (!(fabs(a - c) <= share * fabs(c) + nothing)) {
        print_error("%s: %.17g and %.17g, apart by %.3g\n", label, a, c, fabs(a - c) / fabs(c));
        fail();
    }
}

/* Shuffled: part_of[k] and node_of[n] are the places of part k and node n in the new plan, which
   also turns parts round; sign[k] tells which. */
typedef struct shuffle {
    plan p;
    int32_t *part_of, *node_of;
    double *sign;
} shuffle;

static int32_t *permutation(int32_t count, uint64_t *seed)
{
    int32_t *list = calloc((size_t)count, sizeof *list);
    assert_non_null(list);
    for (int32_t k = 0; k < count; k++) {
        int32_t j = netgen_below(seed, k + 1);
        list[k] = list[j];
        list[j] = k;
    }
    return list;
}

static shuffle shuffled(const plan *p, uint64_t *seed)
{
    shuffle s = {plan_copy(p), permutation(p->parts, seed), permutation(p->nodes, seed),
                 calloc((size_t)p->parts, sizeof(double))};
    assert_non_null(s.sign);
    for (int32_t k = 0; k < p->parts; k++) {
        plan_part part = p->part[k];
        bool turned = netgen_below(seed, 2);
        s.sign[k] = turned ? -1.0 : 1.0;
        double value = turned && part.kind != PLAN_OHM ? -part.value : part.value;
        int32_t from = s.node_of[turned ? part.to : part.from];
        int32_t to = s.node_of[turned ? part.from : part.to];
        s.p.part[s.part_of[k]] = (plan_part){part.kind, from, to, value};
    }
    return s;
}

static void order_of_parts_and_nodes(void **state)
{
    (void)state;
    uint64_t seed = 301;
    for (int round = 0; round < 400; round++) {
        plan p = draw(&seed, round, true);
        shuffle s = shuffled(&p, &seed);
        build a = plan_build(&p, 0), c = plan_build(&s.p, s.node_of[0]);
        build_solve(&a);
        build_solve(&c);
        for (int32_t n = 0; n < p.nodes; n++) {
            check_same("volts", between(&c, s.node_of[n], s.node_of[0]), between(&a, n, 0),
                       NO_VOLTS, TIGHT);
        }
        for (int32_t k = 0; k < p.parts; k++) {
            int32_t there = s.part_of[k];
            check_same("amps", s.sign[k] * build_amps(&c, there), build_amps(&a, k), NO_AMPS,
                       TIGHT);
            check_same("watts", build_watts(&c, there), build_watts(&a, k), NO_AMPS, TIGHT);
        }
        build_free(&a);
        build_free(&c);
        plan_free(&p);
        plan_free(&s.p);
        free(s.part_of);
        free(s.node_of);
        free(s.sign);
    }
}

/* Another reference moves every voltage by one constant, and changes no current. */
static void choice_of_reference(void **state)
{
    (void)state;
    uint64_t seed = 302;
    for (int round = 0; round < 400; round++) {
        plan p = draw(&seed, round, true);
        int32_t ground[2];
        plan_two(p.nodes, &seed, &ground[0], &ground[1]);
        build a = plan_build(&p, ground[0]), c = plan_build(&p, ground[1]);
        build_solve(&a);
        build_solve(&c);
        double apart = between(&a, ground[1], ground[0]);
        for (int32_t n = 0; n < p.nodes; n++) {
            double volts[2] = {0};
            assert_int_equal(sl_case_node(a.cs, n, &volts[0]), SL_OK);
            assert_int_equal(sl_case_node(c.cs, n, &volts[1]), SL_OK);
            assert_at_most("moved by a constant", fabs(volts[0] - volts[1] - apart),
                           TIGHT * (fabs(volts[0]) + fabs(apart)) + NO_VOLTS);
            check_same("between", between(&c, n, 0), between(&a, n, 0), NO_VOLTS, TIGHT);
        }
        for (int32_t k = 0; k < p.parts; k++) {
            check_same("amps", build_amps(&c, k), build_amps(&a, k), NO_AMPS, TIGHT);
        }
        build_free(&a);
        build_free(&c);
        plan_free(&p);
    }
}

static plan scaled(const plan *p, double times)
{
    plan q = plan_copy(p);
    for (int32_t k = 0; k < q.parts; k++) {
        q.part[k].value *= q.part[k].kind == PLAN_OHM ? times : 1.0;
    }
    return q;
}

/* Voltage sources only: all resistances k times greater leave the voltages, and divide the
   currents by k. */
static void scale_of_resistances(void **state)
{
    (void)state;
    static const double times[] = {4.0, 0.125, 3.7, 0.01, 7e3};
    uint64_t seed = 303;
    for (int round = 0; round < 400; round++) {
        plan p = draw(&seed, round, false);
        double k = times[round % 5], most_v = 0.0, most_a = 0.0;
        plan q = scaled(&p, k);
        build a = plan_build(&p, 0), c = plan_build(&q, 0);
        build_solve(&a);
        build_solve(&c);
        for (int32_t n = 0; n < p.nodes; n++) {
            most_v = fmax(most_v, fabs(between(&a, n, 0)));
        }
        for (int32_t e = 0; e < p.parts; e++) {
            most_a = fmax(most_a, fabs(build_amps(&a, e)));
        }
        for (int32_t n = 0; n < p.nodes; n++) {
            assert_at_most("volts", fabs(between(&c, n, 0) - between(&a, n, 0)), TIGHT * most_v);
        }
        for (int32_t e = 0; e < p.parts; e++) {
            assert_at_most("amps", fabs(k * build_amps(&c, e) - build_amps(&a, e)), TIGHT * most_a);
        }
        build_free(&a);
        build_free(&c);
        plan_free(&p);
        plan_free(&q);
    }
}

/* Current sources only: all resistances k times greater make the voltages k times greater. */
static void scale_of_resistances_under_fixed_currents(void **state)
{
    (void)state;
    uint64_t seed = 304;
    for (int round = 0; round < 200; round++) {
        int32_t nodes = 3 + netgen_below(&seed, 58), extra = netgen_below(&seed, 2 * nodes);
        plan p = plan_random(nodes, extra, 1e-3, 1e3, &seed);
        plan_sources(&p, 0, 0, 3, 100.0, &seed);
        double k = netgen_log_uniform(&seed, 1e-2, 1e2), most = 0.0;
        plan q = scaled(&p, k);
        build a = plan_build(&p, 0), c = plan_build(&q, 0);
        build_solve(&a);
        build_solve(&c);
        for (int32_t n = 0; n < nodes; n++) {
            most = fmax(most, fabs(between(&a, n, 0)));
        }
        for (int32_t n = 0; n < nodes; n++) {
            assert_at_most("volts", fabs(between(&c, n, 0) / k - between(&a, n, 0)), TIGHT * most);
        }
        build_free(&a);
        build_free(&c);
        plan_free(&p);
        plan_free(&q);
    }
}

/* The same circuit under names that sort and hash otherwise; node k is "other 1000 - k". */
static build renamed(const plan *p)
{
    build b = build_start();
    for (int32_t n = 0; n < p->nodes; n++) {
        char name[64];
        snprintf(name, sizeof name, "other %d of the nodes", (int)(1000 - n));
        sl_node made = SL_NONE;
        assert_int_equal(sl_circuit_node(b.circuit, name, &made), SL_OK);
    }
    assert_int_equal(sl_circuit_set_reference(b.circuit, 0), SL_OK);
    for (int32_t k = 0; k < p->parts; k++) {
        const plan_part *part = &p->part[k];
        const char *nodes[] = {sl_circuit_node_name(b.circuit, part->from),
                               sl_circuit_node_name(b.circuit, part->to)};
        double values[] = {(double)NAN, (double)NAN};
        values[part->kind == PLAN_AMP] = part->value;
        char name[64];
        snprintf(name, sizeof name, "%d is its name", (int)(1000 - k));
        const char *kind = part->kind == PLAN_OHM ? "resistor" : "source";
        sl_part made = SL_NONE;
        assert_int_equal(
            sl_circuit_add(
                b.circuit,
                &(sl_part_def){.kind = kind, .name = name, .nodes = nodes, .values = values},
                &made),
            SL_OK);
    }
    return b;
}

/* To the last bit. */
static void names(void **state)
{
    (void)state;
    uint64_t seed = 305;
    for (int round = 0; round < 200; round++) {
        plan p = draw(&seed, round, true);
        build a = plan_build(&p, 0), c = renamed(&p);
        build_solve(&a);
        build_solve(&c);
        for (int32_t n = 0; n < p.nodes; n++) {
            assert_near("volts", between(&c, n, 0), between(&a, n, 0), 0.0);
        }
        for (int32_t k = 0; k < p.parts; k++) {
            assert_near("amps", build_amps(&c, k), build_amps(&a, k), 0.0);
            assert_near("drop", build_drop(&c, k), build_drop(&a, k), 0.0);
        }
        build_free(&a);
        build_free(&c);
        plan_free(&p);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(order_of_parts_and_nodes),
        cmocka_unit_test(choice_of_reference),
        cmocka_unit_test(scale_of_resistances),
        cmocka_unit_test(scale_of_resistances_under_fixed_currents),
        cmocka_unit_test(names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

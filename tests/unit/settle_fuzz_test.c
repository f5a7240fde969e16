/* Random circuits of two to eight relays that work on each other: each settles or chatters, the
   order of its parts does not matter, and it ends the same each time. */
#include "near.h"
#include "netgen.h"
#include "rig.h"

#include <stdio.h>
#include <string.h>

static int32_t flips(const sl_case *cs)
{
    sl_quality quality;
    sl_case_quality(cs, &quality);
    return quality.flips;
}

/* Coils fed from the supply, through contacts of any relay, from a weak
   supply; loads behind contacts. Parts can be added in any order. */
enum { RELAYS = 8, PARTS = 40 };

typedef struct part_text {
    char kind[16], name[16], nodes[80], values[160];
} part_text;

typedef struct relays {
    int32_t count, parts;
    part_text part[PARTS];
} relays;

/* A point a coil or a load may hang on. */
static void draw_point(char *text, size_t size, const relays *r, uint64_t *random)
{
    int32_t k = netgen_below(random, r->count);
    switch (netgen_below(random, 5)) {
    case 0:
        snprintf(text, size, "a");
        break;
    case 1:
        snprintf(text, size, "+");
        break;
    case 2:
        snprintf(text, size, "rest%d", (int)k);
        break;
    default:
        snprintf(text, size, "out%d", (int)k);
    }
}

static relays draw_relays(uint64_t *random, bool same_times)
{
    relays r = {.count = 2 + netgen_below(random, RELAYS - 1)};
    part_text *p = r.part;
    *p++ = (part_text){"source", "E", "+ 0", "voltage=12"};
    *p = (part_text){"resistor", "weak", "+ a", ""};
    snprintf(p->values, sizeof p->values, "resistance=%.17g",
             netgen_log_uniform(random, 0.1, 30.0));
    p++;
    for (int32_t k = 0; k < r.count; k++, p++) {
        char feed[16], coil[16];
        draw_point(feed, sizeof feed, &r, random);
        draw_point(coil, sizeof coil, &r, random);
        bool own = strcmp(feed + 3, coil) == 0;
        *p = (part_text){"relay", "", "", ""};
        snprintf(p->name, sizeof p->name, "K%d", (int)k);
        snprintf(p->nodes, sizeof p->nodes, "%s out%d %s 0 rest%d",
                 strchr("+a", feed[0]) && !own ? feed : "+", (int)k, coil, (int)k);
        double operate = netgen_log_uniform(random, 1e-3, 20e-3);
        double release = netgen_log_uniform(random, 1e-3, 20e-3);
        snprintf(p->values, sizeof p->values, "starts=%s, operate_time=%.17g, release_time=%.17g",
                 netgen_below(random, 4) ? "released" : "pulled in", same_times ? 7e-3 : operate,
                 same_times ? 3e-3 : release);
    }
    int32_t loads = 1 + netgen_below(random, 6);
    for (int32_t k = 0; k < loads; k++, p++) {
        char point[16];
        draw_point(point, sizeof point, &r, random);
        *p = (part_text){"resistor", "", "", ""};
        snprintf(p->name, sizeof p->name, "R%d", (int)k);
        snprintf(p->nodes, sizeof p->nodes, "%s 0", point);
        snprintf(p->values, sizeof p->values, "resistance=%.17g",
                 netgen_log_uniform(random, 0.5, 100.0));
    }
    r.parts = (int32_t)(p - r.part);
    return r;
}

static sl_circuit *build(const relays *r)
{
    sl_circuit *c = rig_circuit(NULL);
    sl_node zero;
    assert_int_equal(sl_circuit_node(c, "0", &zero), SL_OK);
    assert_int_equal(sl_circuit_set_reference(c, zero), SL_OK);
    for (int32_t i = 0; i < r->parts; i++) {
        const part_text *p = &r->part[i];
        rig_part(c, p->kind, p->name, p->nodes, p->values);
    }
    return c;
}

static void shuffle(relays *r, uint64_t *random)
{
    for (int32_t i = r->parts - 1; i > 0; i--) {
        int32_t j = netgen_below(random, i + 1);
        part_text t = r->part[i];
        r->part[i] = r->part[j];
        r->part[j] = t;
    }
}

/* The same states in both, whatever the order of the parts. */
static bool same_states(const relays *r, const sl_case *a, const sl_circuit *ca, const sl_case *b,
                        const sl_circuit *cb)
{
    bool same = true;
    for (int32_t i = 0; i < r->parts; i++) {
        const char *name = r->part[i].name;
        same = same && rig_state(a, ca, name) == rig_state(b, cb, name);
    }
    return same;
}

static void random_relays_settle_or_chatter_in_any_order_of_parts(void **unused)
{
    (void)unused;
    int32_t outcomes[3] = {0}, unlike = 0;
    for (uint64_t seed = 1; seed <= 600; seed++) {
        uint64_t random = seed;
        bool same_times = seed % 2;
        relays r = draw_relays(&random, same_times);
        sl_circuit *c = build(&r);
        sl_case *cs = rig_solved(c, 0);
        sl_outcome outcome = sl_case_outcome(cs);
        outcomes[outcome]++;
        for (int32_t view = 0; view < (outcome == SL_CHATTERS ? 2 : 1); view++) {
            sl_quality quality;
            assert_int_equal(sl_case_view(cs, view), SL_OK);
            sl_case_quality(cs, &quality);
            assert_at_most("residual", quality.residual, 1e-12);
        }
        assert_true((sl_case_period_s(cs) > 0.0) == (outcome == SL_CHATTERS));
        assert_int_equal(sl_case_view(cs, 0), SL_OK);
        shuffle(&r, &random);
        sl_circuit *other = build(&r);
        sl_case *shuffled = rig_solved(other, 0);
        bool like = sl_case_outcome(shuffled) == outcome &&
                    (outcome != SL_SETTLED || same_states(&r, cs, c, shuffled, other));
        if (outcome == SL_SETTLED && !like) {
            fail_msg("seed %d: settled, but not when its parts are in another order", (int)seed);
        }
        if (!same_times && !like) {
            fail_msg("seed %d: outcome %d, in another order %d", (int)seed, outcome,
                     sl_case_outcome(shuffled));
        }
        unlike += !like;
        rig_free(other, shuffled);
        rig_free(c, cs);
    }
    print_message("settled %d, timing %d, chatters %d; of equal times another outcome in another "
                  "order: %d\n",
                  (int)outcomes[SL_SETTLED], (int)outcomes[SL_TIMING], (int)outcomes[SL_CHATTERS],
                  (int)unlike);
    assert_true(outcomes[SL_SETTLED] > 100 && outcomes[SL_TIMING] > 5 &&
                outcomes[SL_CHATTERS] > 20);
}

static void the_same_case_ends_the_same_to_the_last_bit(void **unused)
{
    (void)unused;
    for (uint64_t seed = 1; seed <= 100; seed++) {
        uint64_t random = seed;
        relays r = draw_relays(&random, seed % 2);
        sl_circuit *c = build(&r);
        sl_case *once = rig_solved(c, 0), *again = rig_solved(c, 0);
        assert_int_equal(sl_case_solve(again), SL_OK);
        assert_int_equal(sl_case_outcome(again), sl_case_outcome(once));
        assert_int_equal(flips(again), flips(once));
        assert_near("period", sl_case_period_s(again), sl_case_period_s(once), 0.0);
        for (sl_node n = 0; n < sl_circuit_node_count(c); n++) {
            double a = 0.0, b = 0.0;
            assert_int_equal(sl_case_node(once, n, &a), sl_case_node(again, n, &b));
            assert_memory_equal(&a, &b, sizeof a);
        }
        sl_case_free(once);
        rig_free(c, again);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(random_relays_settle_or_chatter_in_any_order_of_parts),
        cmocka_unit_test(the_same_case_ends_the_same_to_the_last_bit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

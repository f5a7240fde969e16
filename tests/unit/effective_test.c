/* tests/unit/effective_test.c: effective resistances and what goes around each branch, against
   34 digits; with what the closed forms make of them. */
#include "near.h"
#include "netgen.h"
#include "numeric/effective.h"
#include "truth.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef struct pass {
    netgen net;
    sl__factor *f;
    sl__effective *e;
    double *ohm, *rest, *error;
    wide *w, *b;
} pass;

static pass pass_of(netgen net)
{
    size_t m = (size_t)net.branches + 1, n = (size_t)net.rows + 1;
    pass p = {.net = net,
              .ohm = calloc(m, sizeof(double)),
              .rest = calloc(m, sizeof(double)),
              .error = calloc(m, sizeof(double)),
              .w = calloc(n, sizeof(wide)),
              .b = calloc(n, sizeof(wide))};
    assert_int_equal(sl__factor_new(NULL, net.rows, net.branches, net.from, net.to, &p.f), SL_OK);
    sl__factor_update(p.f, net.g);
    assert_int_equal(sl__effective_new(p.f, &p.e), SL_OK);
    sl__effective_update(p.e, net.g, p.ohm, p.rest, p.error);
    return p;
}

static void pass_end(pass *p)
{
    sl__effective_free(p->e);
    sl__factor_free(p->f);
    free(p->ohm);
    free(p->rest);
    free(p->error);
    free(p->w);
    free(p->b);
    netgen_free(&p->net);
}

/* Effective resistance between two rows. */
static wide true_ohm(pass *p, int32_t a, int32_t b)
{
    memset(p->b, 0, (size_t)p->net.rows * sizeof *p->b);
    if (a >= 0) {
        p->b[a] += 1;
    }
    if (b >= 0) {
        p->b[b] -= 1;
    }
    truth_solve(&p->net, p->b, p->w);
    return (a >= 0 ? p->w[a] : 0) - (b >= 0 ? p->w[b] : 0);
}

typedef struct worst {
    double ohm, rest, beyond;
    int32_t flagged, hanging;
} worst;

static worst compare(pass *p)
{
    worst most = {0};
    for (int32_t k = 0; k < p->net.branches; k++) {
        int32_t a = p->net.from[k], b = p->net.to[k];
        if (p->net.g[k] <= 0.0 || a == b) {
            continue;
        }
        wide ohm = true_ohm(p, a, b), rest = 1 - (wide)p->net.g[k] * ohm;
        double off = truth_error(p->ohm[k], ohm);
        most.ohm = off > most.ohm ? off : most.ohm;
        if (rest < 1e-25) { /* a bridge: 34 digits leave nothing of it */
            most.hanging++;
            continue;
        }
        off = truth_error(p->rest[k], rest);
        most.beyond = off / p->error[k] > most.beyond ? off / p->error[k] : most.beyond;
        if (p->error[k] > 1e-11) {
            most.flagged++;
        } else {
            most.rest = off > most.rest ? off : most.rest;
        }
    }
    return most;
}

static void vehicle(void **state)
{
    (void)state;
    int32_t flagged = 0, branches = 0;
    for (uint64_t seed = 1; seed <= 6; seed++) {
        pass p = pass_of(netgen_vehicle(60 + 20 * (int32_t)seed, seed));
        worst most = compare(&p);
        assert_true(most.ohm < 1e-13);
        assert_true(most.rest < 1e-11);
        assert_true(most.beyond <= 1.0);
        flagged += most.flagged;
        branches += p.net.branches;
        print_message("%d branches: ohm %.1e rest %.1e beyond %.2g flagged %d bridges %d\n",
                      p.net.branches, most.ohm, most.rest, most.beyond, most.flagged, most.hanging);
        pass_end(&p);
    }
    assert_true(flagged * 10 < branches);
}

static void floating_section(void **state)
{
    (void)state;
    for (int decade = 7; decade <= 14; decade++) {
        pass p = pass_of(netgen_isolated(pow(10.0, decade), 3));
        worst most = compare(&p);
        print_message("1e%d: ohm %.1e rest %.1e beyond %.2g flagged %d\n", decade, most.ohm,
                      most.rest, most.beyond, most.flagged);
        assert_true(most.ohm < 1e-13);
        assert_true(most.rest < 1e-11);
        assert_true(most.beyond <= 1.0);
        pass_end(&p);
    }
}

static void anything(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 60; seed++) {
        pass p = pass_of(netgen_any(30, 20 + (int32_t)seed, seed));
        worst most = compare(&p);
        if (!(most.ohm < 1e-12 && most.rest < 1e-10 && most.beyond <= 1.0))
            print_message("seed %d: ohm %.1e rest %.1e beyond %.2g flagged %d\n", (int)seed,
                          most.ohm, most.rest, most.beyond, most.flagged);
        assert_true(most.ohm < 1e-12);
        assert_true(most.rest < 1e-10);
        assert_true(most.beyond <= 1.0);
        pass_end(&p);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(vehicle), cmocka_unit_test(floating_section), cmocka_unit_test(anything)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

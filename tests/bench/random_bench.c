/* tests/bench/random_bench.c: how many random circuits with curved parts find their operating
   point.

   random_bench [COUNT [FIRST]]   COUNT seeds (10,000) from FIRST (1) on
   random_bench --quick           300

   Of each seed: a knot and a vehicle (tangle.h), solved; and the vehicle with a resistance in
   series with a branch, or that branch open, solved whole and from the healthy one. An answer must
   have its currents and powers in balance, and both ways must agree. Prints the seeds that fail;
   the exit status is then 1. To use more cores, run it once for each with seeds of its own. */
#include "netgen.h"
#include "rig.h"
#include "tangle.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define LEFT_MOST 1e-12
#define QUICK_LEFT_MOST 1e-9 /* what sl_case_set_quick promises */
#define AGREE_V 1e-9

typedef struct tally {
    int64_t solves, failed, curved, iterations, whole;
    int32_t most_iterations;
    double residual, apart_v;
} tally;

static void fail(tally *t, uint64_t seed, const char *what, const char *why)
{
    t->failed++;
    printf("seed %" PRIu64 ": %s: %s\n", seed, what, why);
}

/* Solves; false when that has failed. */
static bool solves(sl_case *cs, uint64_t seed, const char *what, double left_most, tally *t)
{
    char why[160];
    t->solves++;
    if (sl_case_solve(cs) != SL_OK) {
        fail(t, seed, what, sl_case_message(cs));
        return false;
    }
    sl_quality quality;
    sl_case_quality(cs, &quality);
    t->residual = fmax(t->residual, fmax(quality.residual, quality.power_balance));
    t->iterations += quality.iterations;
    if (quality.iterations > t->most_iterations) {
        t->most_iterations = quality.iterations;
    }
    if (!(quality.residual < left_most && quality.power_balance < left_most)) {
        snprintf(why, sizeof why, "left over: currents %g, powers %g", quality.residual,
                 quality.power_balance);
        fail(t, seed, what, why);
        return false;
    }
    return true;
}

static double apart(const sl_circuit *c, const sl_case *a, const sl_case *b)
{
    double most = 0.0;
    for (sl_node n = 0; n < sl_circuit_node_count(c); n++) {
        double va, vb;
        sl_status sa = sl_case_node(a, n, &va), sb = sl_case_node(b, n, &vb);
        double off = sa != sb ? INFINITY : sa == SL_OK ? fabs(va - vb) / (1.0 + fabs(va)) : 0.0;
        most = fmax(most, off);
    }
    return most;
}

static void faulted(const sl_circuit *c, sl_case *whole, uint64_t seed, tally *t)
{
    uint64_t random = seed ^ 0x5eed;
    sl_edit edit;
    do { /* a part may lack its first element: a bare motor has no contacts */
        edit = (sl_edit){netgen_below(&random, sl_circuit_part_count(c)), SL_SERIES, 0,
                         netgen_log_uniform(&random, 1e-4, 1e6)};
        if (netgen_below(&random, 5) == 0) {
            edit.change = SL_OPEN;
            edit.value = 0.0;
        }
    } while (sl_case_edit(whole, &edit, 1) != SL_OK);
    sl_case *quick = rig_case(c, 0);
    sl_case_set_quick(quick, true);
    if (sl_case_edit(quick, &edit, 1) != SL_OK) {
        fail(t, seed, "faulted, quick", sl_case_message(quick));
    }
    if (solves(whole, seed, "faulted", LEFT_MOST, t) &&
        solves(quick, seed, "faulted, quick", QUICK_LEFT_MOST, t)) {
        double off = apart(c, whole, quick);
        t->apart_v = fmax(t->apart_v, off);
        t->whole += sl_case_effort(quick).whole > 0;
        if (!(off <= AGREE_V)) {
            char why[80];
            snprintf(why, sizeof why, "%g apart from the whole solve", off);
            fail(t, seed, "faulted, quick", why);
        }
    }
    sl_case_free(quick);
}

static void run(uint64_t seed, tally *t)
{
    sl_circuit *c = tangle_knot(seed);
    sl_case *cs = rig_case(c, 0);
    solves(cs, seed, "knot", LEFT_MOST, t);
    rig_free(c, cs);
    int32_t curved;
    c = tangle_vehicle(seed, &curved);
    t->curved += curved;
    cs = rig_case(c, 0);
    if (solves(cs, seed, "vehicle", LEFT_MOST, t)) {
        faulted(c, cs, seed, t);
    }
    rig_free(c, cs);
}

int main(int argc, char **argv)
{
    bool quick = argc > 1 && strcmp(argv[1], "--quick") == 0;
    uint64_t count = quick ? 300 : argc > 1 ? strtoull(argv[1], NULL, 10) : 10000;
    uint64_t first = argc > 2 ? strtoull(argv[2], NULL, 10) : 1;
    tally t = {0};
    setvbuf(stdout, NULL, _IOLBF, 0); /* what has failed is told at once */
    for (uint64_t seed = first; seed < first + count; seed++) {
        run(seed, &t);
        if ((seed - first) % 1000 == 999 && isatty(2)) {
            fprintf(stderr, "\r%" PRIu64 " seeds, %" PRId64 " failed", seed - first + 1, t.failed);
        }
    }
    printf("%" PRIu64 " seeds from %" PRIu64 ": %" PRId64 " solves, %" PRId64 " failed\n", count,
           first, t.solves, t.failed);
    printf("curved parts of a vehicle     %.1f\n", (double)t.curved / (double)count);
    printf("steps of Newton's method      %.1f, at most %d\n",
           (double)t.iterations / (double)t.solves, (int)t.most_iterations);
    printf("left over, share of a current %.1e\n", t.residual);
    printf("quick against whole           %.1e of 1 V + the voltage; %" PRId64 " solved whole\n",
           t.apart_v, t.whole);
    return t.failed > 0;
}

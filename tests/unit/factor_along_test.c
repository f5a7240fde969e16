/* A factor that goes only where it must: the same as the whole one, in every width of vector. */
#include "base/memory.h"
#include "near.h"
#include "netgen.h"
#include "numeric/factor_along.h"
#include "probe.h"
#include "rig.h"

#include <stdlib.h>
#include <string.h>

static void *cells(int32_t count, size_t size)
{
    void *block = calloc((size_t)count + 1, size);
    assert_non_null(block);
    return block;
}

/* Solves one network for currents at a few rows: a few voltages are, to the last bit, those of a
   solve in which all rows are wanted, in every width of vector; and those are what each lane has by
   itself. */
static void check(const netgen *net, uint64_t seed)
{
    const int32_t rows = net->rows, all = (rows + 1) * SL__LANES;
    const int32_t in[] = {netgen_below(&seed, rows), -1, netgen_below(&seed, rows)};
    const int32_t out[] = {netgen_below(&seed, rows), in[0], -1};
    sl__factor *f = NULL;
    sl__along *along = NULL, *all_along = NULL;
    assert_int_equal(sl__factor_new(NULL, rows, net->branches, net->from, net->to, &f), SL_OK);
    int32_t *place = cells(rows, sizeof *place), dead[SL__LANES];
    uint8_t *ways = cells(sl__factor_blocks(f), 1);
    sl__factor_mark_ways(f, 3, in, SL__WAY_IN, place, ways);
    sl__factor_mark_ways(f, 3, out, SL__WAY_OUT, place, ways);
    assert_int_equal(sl__along_new(&sl__default_alloc, f, ways, &along), SL_OK);
    memset(ways, SL__WAY_IN | SL__WAY_OUT, (size_t)sl__factor_blocks(f));
    assert_int_equal(sl__along_new(&sl__default_alloc, f, ways, &all_along), SL_OK);
    sl__along_place(f, place);
    double *g = cells(net->branches * SL__LANES, sizeof *g), *one = cells(net->branches, sizeof *g);
    double *b = cells(rows, sizeof *b), *y = cells(all, sizeof *y), *first = cells(all, sizeof *y);
    double *again = cells(all, sizeof *y), *whole = cells(all, sizeof *y);
    double *room = cells(sl__along_room(along) * SL__LANES, sizeof *room);
    double *all_room = cells(sl__along_room(all_along) * SL__LANES, sizeof *room);
    for (int32_t k = 0; k < net->branches * SL__LANES; k++) {
        g[k] = net->g[k / SL__LANES] * netgen_uniform(&seed, 0.5, 2.0);
        g[k] = k / SL__LANES % 7 == 3 && k % SL__LANES == 2 ? 0.0 : g[k];
    }
    for (int32_t kernel = sl__lane_kernels(); kernel > 0; kernel--) {
        memset(y, 0, (size_t)all * sizeof *y);
        for (int32_t l = 0; l < SL__LANES; l++) {
            y[place[in[0]] * SL__LANES + l] += 1.0 + l;
            y[place[in[2]] * SL__LANES + l] -= 0.5;
        }
        memcpy(again, y, (size_t)all * sizeof *y);
        memcpy(whole, y, (size_t)all * sizeof *y);
        sl__along_factor(all_along, kernel, all_room, g, whole, dead);
        sl__along_factor(along, kernel, room, g, y, dead);
        sl__along_solve(along, kernel, room, again);
        for (int32_t i = 0; i < 2; i++) {
            const size_t bytes = SL__LANES * sizeof *y;
            const int32_t at = place[out[i]] * SL__LANES;
            assert_memory_equal(again + at, y + at, bytes);
            assert_memory_equal(whole + at, y + at, bytes);
            if (kernel < sl__lane_kernels()) {
                assert_memory_equal(first + at, y + at, bytes);
            }
        }
        memcpy(first, y, (size_t)all * sizeof *y);
    }
    for (int32_t l = 0; l < SL__LANES; l++) {
        for (int32_t e = 0; e < net->branches; e++) {
            one[e] = g[e * SL__LANES + l];
        }
        assert_int_equal(sl__factor_update(f, one), dead[l]);
        memset(b, 0, (size_t)rows * sizeof *b);
        b[in[0]] += 1.0 + l;
        b[in[2]] -= 0.5;
        sl__factor_solve(f, b, b);
        for (int32_t r = 0; r < rows && dead[l] == 0; r++) {
            assert_near("row", whole[place[r] * SL__LANES + l], b[r], 1e-12);
        }
    }
    sl__along_free(along);
    sl__along_free(all_along);
    sl__factor_free(f);
    free(place);
    free(ways);
    free(g);
    free(one);
    free(b);
    free(y);
    free(first);
    free(again);
    free(whole);
    free(room);
    free(all_room);
}

static void test_vehicles(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed < 40; seed++) {
        netgen net = netgen_vehicle(TEST_IS_SLOW ? 60 : 20 + 15 * (int32_t)seed, seed);
        check(&net, seed);
        netgen_free(&net);
    }
}

/* Any network: islands, branches side by side and to themselves, and 19 orders of magnitude. */
static void test_any(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed < 300; seed++) {
        uint64_t size = seed;
        const int32_t rows = 1 + netgen_below(&size, 40);
        netgen net = netgen_any(rows, netgen_below(&size, 5 * rows), seed);
        check(&net, seed);
        netgen_free(&net);
    }
}

/* Whichever allocation fails, nothing is left behind. */
static void test_no_room(void **state)
{
    (void)state;
    netgen net = netgen_vehicle(40, 1);
    sl__factor *f = NULL;
    assert_int_equal(sl__factor_new(NULL, net.rows, net.branches, net.from, net.to, &f), SL_OK);
    uint8_t *ways = cells(sl__factor_blocks(f), 1);
    sl_status st = SL_E_NOMEM;
    for (size_t n = 0; st != SL_OK; n++) {
        assert_true(n < 100);
        alloc_probe probe;
        const sl_alloc al = probe_start(&probe, n);
        sl__along *along = NULL;
        st = sl__along_new(&al, f, ways, &along);
        assert_true(st == SL_OK || (st == SL_E_NOMEM && !along));
        sl__along_free(along);
        assert_int_equal(probe.live_blocks, 0);
    }
    free(ways);
    sl__factor_free(f);
    netgen_free(&net);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_vehicles),
        cmocka_unit_test(test_any),
        cmocka_unit_test(test_no_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

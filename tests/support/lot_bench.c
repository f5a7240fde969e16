/* tests/support/lot_bench.c: samples of a band in lots, beside each by itself and each solved
 * whole.
 */
#include "lot_bench.h"

#include "near.h"
#include "numeric/lane_kernels.h"
#include "rig.h"

#include <stdlib.h>
#include <string.h>

double *lot_lanes(int32_t count)
{
    double *array = calloc((size_t)count * SL__LANES, sizeof *array);
    assert_non_null(array);
    return array;
}

bool lot_open(const sl_circuit *c, sl_condition condition, const sl_reading *of, bool usual,
              lot_bench *b)
{
    *b = (lot_bench){.cs = rig_case(c, condition)};
    if (sl_band_new(b->cs, of, usual, &b->band) == SL_OK) {
        assert_int_equal(sl__plans_new(&b->band->al, b->cs, &b->band->vary, of, &b->plans), SL_OK);
        assert_int_equal(sl__lots_new(&b->band->al, b->plans, &b->lots), SL_OK);
        const int32_t count = b->band->vary.count + 1;
        b->z = lot_lanes(count);
        b->other = lot_lanes(count);
        b->room = lot_lanes(count);
    }
    if (b->plans && sl__plans_count(b->plans) > 0) {
        assert_int_equal(sl__lot_new(&b->band->al, sl__plans_at(b->plans, 0), &b->lot), SL_OK);
    }
    return b->lot;
}

void lot_close(lot_bench *b)
{
    sl__lot_free(b->lot);
    sl__lots_free(b->lots);
    sl__plans_free(b->plans);
    sl_band_free(b->band);
    sl_case_free(b->cs);
    free(b->z);
    free(b->other);
    free(b->room);
}

static void lot_draw_lanes(const lot_bench *b, int64_t first, sl_shape shape, double *z)
{
    int64_t sample[SL__LANES];
    for (int l = 0; l < SL__LANES; l++) {
        sample[l] = first + l;
    }
    sl__counter_lanes(sl__lanes_kernels_of(sl__lane_kernels()), LOT_SEED, sample, b->band->count,
                      shape, z, b->room);
}

void lot_check_alone(lot_bench *b)
{
    const int32_t count = b->band->vary.count + 1;
    double value[SL__LANES], again[SL__LANES];
    for (int64_t first = 0; first < 64; first += SL__LANES) {
        lot_draw_lanes(b, first, SL_UNIFORM, b->z);
        lot_draw_lanes(b, 1000 + first, SL_NORMAL, b->other);
        const unsigned answered = sl__lot_solve(b->lot, (1U << SL__LANES) - 1U, b->z, value);
        for (int l = 0; l < SL__LANES; l++) {
            const int to = (l + 3) % SL__LANES;
            for (int32_t k = 0; k < count; k++) {
                b->other[k * SL__LANES + to] = b->z[k * SL__LANES + l];
            }
            const unsigned now = sl__lot_solve(b->lot, 1U << to, b->other, again);
            assert_int_equal(now >> to & 1U, answered >> l & 1U);
            if (answered >> l & 1U) {
                assert_memory_equal(&again[to], &value[l], sizeof *value);
            }
        }
    }
}

/* Less than this is no current, and no voltage. */
#define NOTHING 1e-16

/* Puts the case at a sample, and solves it whole. */
static double whole_reading(lot_bench *b, int64_t sample)
{
    double whole;
    for (int32_t k = 0; k < b->band->count; k++) {
        sl__band_place(b->band, &b->band->vary, k,
                       sl__counter_draw(LOT_SEED, sample, k, SL_UNIFORM));
    }
    b->cs->vary = &b->band->vary;
    b->cs->one_order = true;
    assert_int_equal(sl__band_solve(b->band, b->cs, &whole), SL_OK);
    return whole;
}

lot_tried lot_check_whole(lot_bench *b, int32_t samples)
{
    lot_tried t = {0};
    double value[SL__LOTS_MOST];
    int32_t plan[SL__LOTS_MOST];
    sl__lots_solve(b->lots, LOT_SEED, SL_UNIFORM, 0, samples, value, plan);
    for (int32_t k = 0; k < samples; k++) {
        if (plan[k] < 0) {
            continue;
        }
        const double whole = whole_reading(b, k);
        assert_memory_equal(sl__plan_ends(sl__plans_at(b->plans, plan[k])), b->cs->answer[0].state,
                            (size_t)b->cs->parts * sizeof *b->cs->answer[0].state);
        const double off = fabs(value[k] - whole) / fmax(fabs(whole), NOTHING);
        t.worst = off > t.worst ? off : t.worst;
        t.answered++;
        t.plans |= UINT64_C(1) << plan[k];
    }
    return t;
}

void lot_check_gathering(lot_bench *b, int32_t samples)
{
    double value[SL__LOTS_MOST], again[SL__LOTS_MOST];
    int32_t plan[SL__LOTS_MOST], now[SL__LOTS_MOST];
    sl__lots_solve(b->lots, LOT_SEED, SL_NORMAL, 0, samples, value, plan);
    for (int32_t first = 0, count = 1; first + count < samples; first += count++) {
        sl__lots_solve(b->lots, LOT_SEED, SL_NORMAL, first, count, again, now);
        assert_memory_equal(now, plan + first, (size_t)count * sizeof *now);
        for (int32_t k = 0; k < count; k++) {
            if (now[k] >= 0) {
                assert_memory_equal(&again[k], &value[first + k], sizeof *value);
            }
        }
    }
}

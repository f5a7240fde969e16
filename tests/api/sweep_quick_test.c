/* tests/api/sweep_quick_test.c: sweeps answered from the healthy circuit say what those solved
   whole say, and the same to the last bit in whatever pieces they are run. */
#include "near.h"
#include "rig.h"
#include "strapline/strapline.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define AGREE 1e-9        /* relative */
#define AGREE_LEAST 1e-12 /* V or A */

/* Rows as they come: outcome, and the values. */
typedef struct rows {
    int32_t readings, count, room;
    double *value;
    int *outcome;
} rows;

static bool take(void *user, const sl_sweep_row *row)
{
    rows *r = user;
    if (r->count == r->room) {
        r->room = r->room ? 2 * r->room : 64;
        r->value = realloc(r->value, (size_t)r->room * (size_t)r->readings * sizeof *r->value);
        r->outcome = realloc(r->outcome, (size_t)r->room * sizeof *r->outcome);
        assert_non_null(r->value);
        assert_non_null(r->outcome);
    }
    memcpy(r->value + (ptrdiff_t)r->count * r->readings, row->value,
           (size_t)r->readings * sizeof *r->value);
    r->outcome[r->count++] = row->status < 0 ? row->status : (int)row->outcome + 10 * row->end;
    return true;
}

static void rows_end(rows *r)
{
    free(r->value);
    free(r->outcome);
}

/* Runs of `piece` cases, each by a sweeper of its own; 0: all by one. */
static rows run(const sl_sweep *sweep, bool notices, bool quick, int64_t piece,
                sl_sweep_stats *stats)
{
    rows r = {.readings = sl_sweep_reading_count(sweep)};
    const int64_t cases = sl_sweep_case_count(sweep);
    const sl_sweep_setup setup = {NULL, 0, notices, quick};
    for (int64_t first = 0; first < cases; first += piece ? piece : cases) {
        sl_sweeper *w = NULL;
        assert_int_equal(sl_sweeper_new(sweep, &setup, &w), SL_OK);
        assert_int_equal(sl_sweeper_run(w, first, piece ? piece : cases, take, &r, NULL), SL_OK);
        sl_sweeper_stats(w, stats);
        sl_sweeper_free(w);
    }
    return r;
}

static sl_sweep *sweep_of(const sl_circuit *c)
{
    sl_sweep *sweep = NULL;
    assert_int_equal(sl_sweep_new(c, &sweep), SL_OK);
    for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
        assert_int_equal(sl_sweep_add_modes(sweep, p, TEST_IS_SLOW ? 1 : 2), SL_OK);
        const sl_sweep_reading amps = {SL_SWEEP_CURRENT, p, 0, 0};
        const sl_sweep_reading drop = {SL_SWEEP_DROP, p, 0, 0};
        assert_int_equal(sl_sweep_add_reading(sweep, &amps), SL_OK);
        assert_int_equal(sl_sweep_add_reading(sweep, &drop), SL_OK);
        for (int32_t e = 0; e < sl_circuit_part_kind(c, p)->element_count; e++) {
            const sl_sweep_reading element = {SL_SWEEP_ELEMENT_CURRENT, p, e, 0};
            assert_int_equal(sl_sweep_add_reading(sweep, &element), SL_OK);
        }
    }
    const sl_node ground = sl_circuit_reference(c);
    for (sl_node n = 0; n < sl_circuit_node_count(c); n++) {
        const sl_sweep_reading volts = {SL_SWEEP_VOLTAGE, n, ground, 0};
        assert_int_equal(sl_sweep_add_reading(sweep, &volts), SL_OK);
        if (n != ground && n % 9 == 0) {
            assert_int_equal(sl_sweep_add_leak(sweep, n, ground, 0.5), SL_OK);
            assert_int_equal(sl_sweep_add_leak(sweep, n, ground, 1e3), SL_OK);
        }
    }
    return sweep;
}

static void compare(const rows *quick, const rows *whole)
{
    double worst = 0.0;
    assert_int_equal(quick->count, whole->count);
    for (int32_t k = 0; k < whole->count; k++) {
        assert_int_equal(quick->outcome[k], whole->outcome[k]);
        for (int32_t r = 0; r < whole->readings; r++) {
            double got = quick->value[(ptrdiff_t)k * whole->readings + r];
            double want = whole->value[(ptrdiff_t)k * whole->readings + r];
            assert_int_equal(isnan(got), isnan(want));
            double off = fabs(got - want) / (fabs(want) + AGREE_LEAST / AGREE);
            worst = off > worst ? off : worst;
        }
    }
    print_message("%d rows of %d readings: worst %.1e\n", (int)whole->count, (int)whole->readings,
                  worst);
    assert_true(worst <= AGREE);
}

static void quick_is_whole(void **unused)
{
    (void)unused;
    sl_circuit *c = NULL;
    assert_int_equal(rig_every_kind(NULL, &c), SL_OK);
    sl_sweep *sweep = sweep_of(c);
    for (int notices = 0; notices < 2; notices++) {
        sl_sweep_stats quick_stats, whole_stats;
        rows whole = run(sweep, notices, false, 0, &whole_stats);
        rows quick = run(sweep, notices, true, 0, &quick_stats);
        compare(&quick, &whole);
        assert_int_equal(whole_stats.full_solves, whole_stats.cases);
        assert_true(quick_stats.full_solves < quick_stats.cases);
        print_message("notices %d: %lld of %lld cases whole\n", notices,
                      (long long)quick_stats.full_solves, (long long)quick_stats.cases);
        rows pieces = run(sweep, notices, true, 37, &quick_stats);
        assert_int_equal(pieces.count, quick.count);
        assert_memory_equal(pieces.value, quick.value,
                            (size_t)quick.count * (size_t)quick.readings * sizeof *quick.value);
        rows_end(&whole);
        rows_end(&quick);
        rows_end(&pieces);
    }
    sl_sweep_free(sweep);
    sl_circuit_free(c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(quick_is_whole)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

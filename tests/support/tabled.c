/* tests/support/tabled.c: the answers of a sweep as one table. */
#include "tabled.h"

#include <stdlib.h>
#include <string.h>

#include "near.h"

table table_of(const sl_sweep *sweep)
{
    table t = {.cases = sl_sweep_case_count(sweep), .readings = sl_sweep_reading_count(sweep)};
    t.value = malloc((size_t)(t.cases * t.readings) * sizeof *t.value);
    t.mark = malloc((size_t)t.cases * sizeof *t.mark);
    assert_non_null(t.value);
    assert_non_null(t.mark);
    return t;
}

void table_end(table *t)
{
    free(t->value);
    free(t->mark);
}

sl_sweeper *table_sweeper(const sl_sweep *sweep, bool quick)
{
    sl_sweeper *w = NULL;
    const sl_sweep_setup setup = {NULL, 0, false, quick};
    assert_int_equal(sl_sweeper_new(sweep, &setup, &w), SL_OK);
    return w;
}

table table_filled(const sl_sweep *sweep, bool quick, int64_t piece, bool backwards)
{
    table t = table_of(sweep);
    sl_sweeper *w = table_sweeper(sweep, quick);
    const int64_t pieces = (t.cases + piece - 1) / piece;
    for (int64_t n = 0; n < pieces; n++) {
        const int64_t first = (backwards ? pieces - 1 - n : n) * piece;
        int64_t done = 0;
        const sl_status st =
            sl_sweeper_fill(w, first, piece, t.value + first * t.readings, t.mark + first, &done);
        assert_int_equal(st, SL_OK);
        assert_int_equal(done, piece < t.cases - first ? piece : t.cases - first);
    }
    sl_sweeper_stats(w, &t.stats);
    assert_int_equal(t.stats.cases, t.cases);
    sl_sweeper_free(w);
    return t;
}

static bool take(void *user, const sl_sweep_row *row)
{
    table *t = user;
    if (row->end == 0) {
        memcpy(t->value + row->index * t->readings, row->value,
               (size_t)t->readings * sizeof *t->value);
        t->mark[row->index] = (sl_sweep_mark){row->status, row->outcome};
    }
    return true;
}

table table_rows(const sl_sweep *sweep, bool quick)
{
    table t = table_of(sweep);
    sl_sweeper *w = table_sweeper(sweep, quick);
    assert_int_equal(sl_sweeper_run(w, 0, t.cases, take, &t, NULL), SL_OK);
    sl_sweeper_stats(w, &t.stats);
    sl_sweeper_free(w);
    return t;
}

void table_same(const table *a, const table *b)
{
    const size_t bytes = (size_t)a->readings * sizeof *a->value;
    for (int64_t k = 0; k < a->cases; k++) {
        assert_int_equal(a->mark[k].status, b->mark[k].status);
        assert_int_equal(a->mark[k].outcome, b->mark[k].outcome);
        assert_memory_equal(a->value + k * a->readings, b->value + k * a->readings, bytes);
    }
}

static void say_fault(const sl_sweep *sweep, int32_t index)
{
    const sl_circuit *c = sl_sweep_circuit(sweep);
    sl_fault fault = {0};
    if (sl_sweep_fault_at(sweep, index, &fault) == SL_OK) {
        print_message("  fault %d \"%s\" type %d part %s of kind %s mode %d value %g\n", (int)index,
                      fault.name ? fault.name : "", (int)fault.type,
                      fault.part >= 0 ? sl_circuit_part_name(c, fault.part) : "",
                      fault.part >= 0 ? sl_circuit_part_kind(c, fault.part)->name : "",
                      (int)fault.mode, fault.value);
    }
}

static void say_case(const sl_sweep *sweep, int64_t index)
{
    sl_sweep_case what;
    sl_sweep_case_at(sweep, index, &what);
    print_message("case %d: condition %d\n", (int)index, (int)what.condition);
    say_fault(sweep, what.fault);
    say_fault(sweep, what.second);
}

static double apart(double got, double wanted)
{
    const double size = fabs(wanted) + TABLE_AGREE_LEAST / TABLE_AGREE;
    return isnan(got) && isnan(wanted) ? 0.0 : fabs(got - wanted) / size;
}

double table_worst(const sl_sweep *sweep, const table *got, const table *wanted)
{
    double worst = 0.0;
    for (int64_t k = 0; k < wanted->cases; k++) {
        const bool same = got->mark[k].status == wanted->mark[k].status &&
                          got->mark[k].outcome == wanted->mark[k].outcome;
        if (!same) {
            say_case(sweep, k);
        }
        assert_true(same);
        for (int32_t r = 0; r < wanted->readings; r++) {
            const int64_t at = k * wanted->readings + r;
            const double off = apart(got->value[at], wanted->value[at]);
            if (!(off <= TABLE_AGREE) && worst <= TABLE_AGREE) {
                const sl_sweep_reading *of = sl_sweep_reading_at(sweep, r);
                say_case(sweep, k);
                print_message("  quantity %d of %d, %d: %.17g, and not %.17g\n", (int)of->quantity,
                              (int)of->a, (int)of->b, got->value[at], wanted->value[at]);
            }
            worst = off <= worst ? worst : off;
        }
    }
    return worst;
}

/* tests/support/swept.c: the rows of sweeps. */
#include "swept.h"

#include <stdlib.h>

#include "near.h"
#include "netgen.h"
#include "rig.h"

void swept_put(rows *r, double value)
{
    if (r->count == r->room) {
        r->room = 2 * r->room + 256;
        r->value = realloc(r->value, r->room * sizeof *r->value);
    }
    r->value[r->count++] = value;
}

bool swept_take(void *user, const sl_sweep_row *row)
{
    rows *r = user;
    swept_put(r, (double)row->index);
    swept_put(r, row->what.condition);
    swept_put(r, row->what.fault);
    swept_put(r, row->what.second);
    swept_put(r, row->status);
    swept_put(r, row->outcome);
    swept_put(r, row->end);
    swept_put(r, row->period_s);
    for (int32_t k = 0; k < r->readings; k++) {
        swept_put(r, row->value[k]);
    }
    swept_put(r, row->notice_count);
    for (int32_t k = 0; k < row->notice_count; k++) {
        swept_put(r, row->notice[k].part);
        swept_put(r, row->notice[k].index);
        swept_put(r, row->notice[k].value);
    }
    r->rows++;
    return r->rows != r->stop_after;
}

void swept_same(const rows *a, const rows *b)
{
    assert_int_equal(a->count, b->count);
    assert_int_equal(a->rows, b->rows);
    assert_memory_equal(a->value, b->value, a->count * sizeof *a->value);
}

void swept_read_all(sl_sweep *sweep)
{
    const sl_circuit *c = sl_sweep_circuit(sweep);
    for (sl_node n = 0; n < sl_circuit_node_count(c); n++) {
        const sl_sweep_reading r = {SL_SWEEP_VOLTAGE, n, sl_circuit_reference(c), 0};
        assert_int_equal(sl_sweep_add_reading(sweep, &r), SL_OK);
    }
    for (sl_part p = 0; p < sl_circuit_part_count(c); p++) {
        for (sl_sweep_quantity q = SL_SWEEP_CURRENT; q <= SL_SWEEP_STATE; q++) {
            const sl_sweep_reading r = {q, p, 0, 1};
            assert_int_equal(sl_sweep_add_reading(sweep, &r), SL_OK);
        }
        for (int32_t e = 0; e < sl_circuit_part_kind(c, p)->element_count; e++) {
            const sl_sweep_reading amps = {SL_SWEEP_ELEMENT_CURRENT, p, e, 2};
            const sl_sweep_reading volts = {SL_SWEEP_ELEMENT_DROP, p, e, 3};
            assert_int_equal(sl_sweep_add_reading(sweep, &amps), SL_OK);
            assert_int_equal(sl_sweep_add_reading(sweep, &volts), SL_OK);
        }
    }
}

sl_sweep *swept_new(const sl_circuit *c)
{
    sl_sweep *sweep = NULL;
    assert_int_equal(sl_sweep_new(c, &sweep), SL_OK);
    return sweep;
}

void swept_free(sl_circuit *c, sl_sweep *sweep)
{
    sl_sweep_free(sweep);
    sl_circuit_free(c);
}

void swept_read(sl_sweep *sweep, sl_sweep_quantity quantity, int32_t a, int32_t b)
{
    const sl_sweep_reading reading = {quantity, a, b, 0};
    assert_int_equal(sl_sweep_add_reading(sweep, &reading), SL_OK);
}

void swept_read_anything(sl_sweep *sweep, uint64_t *random)
{
    const sl_circuit *c = sl_sweep_circuit(sweep);
    const int32_t nodes = sl_circuit_node_count(c), parts = sl_circuit_part_count(c);
    for (sl_node n = 0; n < nodes; n++) {
        swept_read(sweep, SL_SWEEP_VOLTAGE, n, sl_circuit_reference(c));
    }
    swept_read(sweep, SL_SWEEP_VOLTAGE, netgen_below(random, nodes), netgen_below(random, nodes));
    for (sl_part p = 0; p < parts; p++) {
        swept_read(sweep, SL_SWEEP_STATE, p, 0);
        swept_read(sweep, SL_SWEEP_CURRENT, p, 0);
        swept_read(sweep, SL_SWEEP_DROP, p, 0);
        for (int32_t e = 0; e < sl_circuit_part_kind(c, p)->element_count; e++) {
            swept_read(sweep, SL_SWEEP_ELEMENT_CURRENT, p, e);
            swept_read(sweep, SL_SWEEP_ELEMENT_DROP, p, e);
        }
    }
}

rows swept_run(const sl_sweep *sweep, bool notices, int64_t first, int64_t count)
{
    rows r = {.readings = sl_sweep_reading_count(sweep)};
    const sl_sweep_setup setup = {NULL, 0, notices, false};
    sl_sweeper *w = NULL;
    int64_t done = -1;
    assert_int_equal(sl_sweeper_new(sweep, &setup, &w), SL_OK);
    assert_int_equal(sl_sweeper_run(w, first, count, swept_take, &r, &done), SL_OK);
    assert_int_equal(done, count);
    sl_sweeper_free(w);
    return r;
}

sl_circuit *swept_buzzer(void)
{
    sl_circuit *c = rig_circuit(NULL);
    rig_part(c, "battery", "B", "p 0", "cca=500");
    rig_part(c, "relay", "K", "p lamp coil 0 rest", "");
    rig_part(c, "joint", "J", "rest coil", "resistance=0.001");
    rig_part(c, "lamp", "L", "lamp 0", "power=5");
    return c;
}
